"""Where each piece stands, as the record's rules will see it: so that a decision is written down in time.

A piece that went back is later than its mate, in another charge, or past a window. Somebody decides then
that it may go on; on a simulated floor that is foreseen here.
"""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.simulation.lives import Life
from pairwright.works import Works
from pairwright.works.product import Product, Step


@dataclass(slots=True)
class Doing:
    """A step as it was done."""

    index: int
    start: int
    end: int
    batch: str | None
    stale: bool = False


class Track:
    """What was done to each piece so far."""

    def __init__(self, works: Works) -> None:
        self._works = works
        self._done: dict[str, list[Doing]] = {}

    def begin(self, life: Life, index: int, *, start: int, end: int, batch: str | None) -> None:
        """A step begins."""
        self._done.setdefault(life.id, []).append(Doing(index, start, end, batch))

    def back(self, life: Life, index: int) -> None:
        """The piece goes back to a step: that and what followed counts no longer."""
        done = self._done.get(life.id, [])
        places = [n for n, one in enumerate(done) if one.index == index and not one.stale]
        for one in done[places[-1] :] if places else ():
            one.stale = True

    def late(self, life: Life, index: int, *, start: int, mate: Life | None) -> bool:
        """Whether a longest wait, or the distance from its mate, is over when a step begins."""
        product = self._works.variants[life.product, life.option]
        steps = product.parts[life.part].steps
        return self._window_over(life, steps, index, start) or self._out_of_step(
            life, product, index, start=start, mate=mate
        )

    def other_batch(
        self, life: Life, step: Step, index: int, *, batch: str | None, mate: Life | None
    ) -> bool:
        """Whether a step asks for the mate's charge, and that was another one."""
        if step.mates != "same batch" or mate is None or batch is None:
            return False
        other = self._did(mate, index)
        return other is not None and other.batch != batch

    def _window_over(self, life: Life, steps: tuple[Step, ...], index: int, start: int) -> bool:
        before = [one for one in self._done.get(life.id, ()) if not one.stale and one.index < index]
        if not before:
            return False
        last = before[-1]
        if any(not step.stations for step in steps[last.index + 1 : index]):
            return False
        longest = steps[last.index].next_max
        return longest is not None and start - last.end > longest

    def _out_of_step(
        self, life: Life, product: Product, index: int, *, start: int, mate: Life | None
    ) -> bool:
        step = product.parts[life.part].steps[index]
        root = life.part == product.root
        within = step.mates_within if step.mates_within is not None else product.mates_within
        if within is None or mate is None or (step.mates_within is None and not root):
            return False
        other = self._did(mate, index)
        return other is not None and abs(start - other.start) > within

    def _did(self, life: Life, index: int) -> Doing | None:
        return next(
            (one for one in reversed(self._done.get(life.id, ())) if one.index == index and not one.stale),
            None,
        )
