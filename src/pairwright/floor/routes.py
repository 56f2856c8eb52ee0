"""Where a thing stands on its route: the step that is next, what came last, how long it has waited.

A works' routes with what the rules of a station need to know of them. Steps that are pure waits (no
station) leave no event of their own: they show as time that must have passed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from pairwright.floor.repairs import repair_due, repair_steps
from pairwright.floor.state import State
from pairwright.floor.things import Done, Item, Set, Worked
from pairwright.works.definition import Works
from pairwright.works.product import Product, Step

Place: TypeAlias = tuple[str, str, str, str]  # product, option, part, step


@dataclass(frozen=True, slots=True)
class Position:
    """A thing on its route.

    `index` is the place of the step that is next (past the last one when all are done), `waits` the pure
    waits on the way there, `last` the step that was ended last with its record.
    """

    product: Product
    part: str
    index: int
    waits: tuple[Step, ...]
    last: tuple[Step, Done] | None
    finished: frozenset[str]
    repair: str | None = None  # the spot repair that it is sent back with
    lines: tuple[Step, ...] = ()  # its steps, before the one that it comes back to
    back_to: str | None = None

    @property
    def steps(self) -> tuple[Step, ...]:
        """The whole route, with the steps of a spot repair in their place."""
        return spliced(self.product.parts[self.part].steps, self.lines, before=self.back_to)

    @property
    def next(self) -> Step | None:
        """The step to be done now; None at the end of the route."""
        return self.steps[self.index] if self.index < len(self.steps) else None

    def index_of(self, step: str) -> int | None:
        """The place of a step in the route, from 0."""
        return next((n for n, one in enumerate(self.steps) if one.id == step), None)

    def place(self, step: str) -> Place:
        """The step with its product, option and part."""
        return (self.product.id, self.product.option, self.part, step)


class Routes:
    """The routes of a works.

    Parameters
    ----------
    works : Works
        The definition.
    least : Mapping[Place, float]
        The shortest time that a step or a wait may take, where nature decides. [s]
    needs : Mapping[Place, Mapping[str, float]]
        Material of a step for each item, in the material's unit.
    """

    def __init__(
        self, works: Works, *, least: Mapping[Place, float] | None = None,
        needs: Mapping[Place, Mapping[str, float]] | None = None,
    ) -> None:  # fmt: skip
        self.works = works
        self.least = dict(least or {})
        self.needs = dict(needs or {})
        self.repairs = repair_steps(works)

    def variant(self, thing: Worked) -> Product | None:
        """The product that a thing is made as; any option that makes its part where none is known."""
        if thing.product is None:
            return None
        if thing.option is not None:
            return self.works.variants.get((thing.product, thing.option))
        part = thing.part if isinstance(thing, Item) else None
        for (name, _), product in self.works.variants.items():
            if name == thing.product and (part is None or part in product.parts):
                return product
        return None

    def position(self, state: State, thing: Worked) -> Position | None:
        """Where a thing stands; None where its product or part is not known, or has no steps."""
        if isinstance(thing, Set):
            return self._of_set(state, thing)
        if not isinstance(thing, Item):
            return None
        product = self.variant(thing)
        if product is None or thing.part not in product.parts or not product.parts[thing.part].steps:
            return None
        return self._of_item(thing, product, together=done_together(state, thing))

    def _of_item(self, item: Item, product: Product, *, together: tuple[Done, ...]) -> Position:
        due = repair_due(self.works, item)
        repair, since = (None, 0) if due is None else (due[0], due[1].decided or 0)
        lines = () if repair is None else self.repairs[repair]
        steps = spliced(product.parts[str(item.part)].steps, lines, before=item.to_step)
        places = {step.id: n for n, step in enumerate(steps)}
        of_repair = {step.id for step in lines}
        done = [
            one
            for one in (*item.done, *together)
            if not one.stale and one.step in places and (one.step not in of_repair or one.sequence > since)
        ]
        finished = frozenset(one.step for one in done)
        index = _next(item, steps, finished=finished, lines=lines)
        before = [one for one in done if places[one.step] < index]
        last = max(before, key=lambda one: one.sequence, default=None)
        passed = 0 if last is None else places[last.step] + 1
        waits = tuple(s for s in steps[passed:index] if not s.stations and s.id not in finished)
        at = None if last is None else (steps[places[last.step]], last)
        return Position(
            product,
            str(item.part),
            index,
            waits,
            at,
            finished,
            repair,
            lines,
            item.to_step if lines else None,
        )

    def _of_set(self, state: State, one: Set) -> Position | None:
        """A set stands where the half that is behind stands."""
        found = [p for p in (self.position(state, half) for half in halves(state, one)) if p is not None]
        return min(found, key=lambda p: p.index, default=None)

    def least_wait(self, position: Position) -> float:
        """Time that must have passed since the last step before the next may begin. [s]"""
        if position.last is None:
            return 0.0
        step = position.last[0]
        waits: float = sum(self.least_time(position, one) + one.next_min for one in position.waits)
        return float(step.next_min) + waits

    def least_time(self, position: Position, step: Step) -> float:
        """The shortest time of a step: computed, or as stated. [s]"""
        found = self.least.get(position.place(step.id))
        if found is not None:
            return found
        return 0.0 if isinstance(step.duration, str) else step.duration.low

    def longest_wait(self, position: Position) -> float | None:
        """Time after which the next step may no longer begin; None where nothing limits it. [s]"""
        if position.last is None or position.waits:
            return None
        longest = position.last[0].next_max
        return None if longest is None else float(longest)


def halves(state: State, one: Set) -> Iterator[Item]:
    """The finished halves of a set, or its single: mates, else the members of its root part."""
    names = one.pair.halves if one.pair is not None else one.members
    for name in names:
        item = state.item(name)
        if item is not None and not item.scrapped and item.into is None and item.used_in is None:
            yield item


def mate_of(state: State, item: Item) -> Item | None:
    """The other half: by the pair, or, before the pair is formed, the like part of the other side."""
    if item.pair is not None:
        return state.item(item.pair.other(item.id))
    one = None if item.set is None else state.set(item.set)
    for name in () if one is None else one.members:
        other = state.item(name)
        if other is None or other.id == item.id or other.part != item.part or other.scrapped:
            continue
        if other.side is not None and other.side != item.side:
            return other
    return None


def done_together(state: State, item: Item) -> tuple[Done, ...]:
    """What was done to an item with its mate, since they are mates."""
    one = None if item.set is None else state.set(item.set)
    if one is None:
        return ()
    since = 0 if item.pair is None else item.pair.sequence
    if item.pair is None and one.was_paired:
        return ()
    return tuple(done for done in one.done if done.sequence > since)


def spliced(route: tuple[Step, ...], lines: tuple[Step, ...], *, before: str | None) -> tuple[Step, ...]:
    """A route with further steps before one of its own.

    Parameters
    ----------
    route : tuple[Step, ...]
        The steps of a part.
    lines : tuple[Step, ...]
        What comes in.
    before : str | None
        The step that it comes in before; where there is no such step nothing comes in.
    """
    place = next((n for n, step in enumerate(route) if step.id == before), None)
    return route if not lines or place is None else (*route[:place], *lines, *route[place:])


def _next(
    item: Item, steps: tuple[Step, ...], *, finished: frozenset[str], lines: tuple[Step, ...]
) -> int:  # fmt: skip
    """The place of the step to be done now."""
    places = {step.id: n for n, step in enumerate(steps)}
    if item.to_step in places:
        due = next((line.id for line in lines if line.id not in finished), item.to_step)
        return places[due]
    if item.finished:
        return len(steps)
    return next((n for n, s in enumerate(steps) if s.stations and s.id not in finished), len(steps))
