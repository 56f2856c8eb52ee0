"""From operations to pieces: each physical item with what was done to it, how it ended, what it is made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from pairwright.works import Book

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation
    from pairwright.simulation.course import Course

GOOD: Final = "good"
AGAIN: Final = "again"  # it goes back to an earlier step
LOST: Final = "lost"
ASIDE: Final = "aside"  # its mate was lost, and it can't be mated to another


@dataclass(eq=False, slots=True)
class Life:
    """One physical piece; `plan` is the item of the plan that it stands for, `turn` counts those before it."""

    id: str
    plan: str
    product: str
    option: str
    part: str
    side: str | None
    set: str
    order: str
    turn: int = 0
    operations: list[Operation] = field(default_factory=list)
    ends: dict[int, str] = field(
        default_factory=dict
    )  # place of an operation -> how it ended, where not well
    parts: dict[int, list[Life]] = field(default_factory=dict)  # place of an operation -> what it uses
    stock: bool = False
    used: bool = False

    @property
    def good(self) -> bool:
        """Whether it was not lost."""
        return not any(end in (LOST, ASIDE) for end in self.ends.values())

    @property
    def end(self) -> int:
        """When the last operation ended, UTC seconds."""
        return max((one.end for one in self.operations), default=0)


@dataclass(frozen=True, slots=True)
class Pieces:
    """Every piece, and what is done to whole sets."""

    lives: tuple[Life, ...]
    sets: Mapping[str, Life]  # operations on a set as one
    roots: Mapping[str, tuple[Life, ...]]  # the last good halves of each set, or its single


def pieces_of(course: Course, book: Book) -> Pieces:
    """The pieces of a course.

    Parameters
    ----------
    course : Course
        What came to pass.
    book : Book
        Orders, and finished parts in stock.
    """
    by_item: dict[str, list[Operation]] = defaultdict(list)
    for one in course.operations:
        by_item[one.item].append(one)
    sets: dict[str, Life] = {}
    lives: dict[str, list[Life]] = {}
    for item, operations in by_item.items():
        operations.sort(key=lambda one: (one.start, one.index, one.end))
        first = operations[0]
        if item == first.set:
            sets[item] = _life(first, 0, operations)
        else:
            lives[item] = list(_turns(operations))
    shelf = _shelf(book)
    every = [life for turns in lives.values() for life in turns]
    for life in sorted([*every, *sets.values()], key=lambda one: (one.operations[0].start, one.id)):
        _put_together(life, lives, shelf)
    for item, turns in lives.items():
        _say_lost(turns, list(course.lost.get(item, ())), root=_is_root(course, turns[0]))
    roots: dict[str, tuple[Life, ...]] = {}
    for turns in lives.values():
        last = turns[-1]
        if _is_root(course, last):
            roots[last.set] = (*roots.get(last.set, ()), last)
    return Pieces(
        tuple(every), sets,
        {name: tuple(sorted(found, key=lambda one: one.side or "")) for name, found in roots.items()},
    )  # fmt: skip


def _life(first: Operation, turn: int, operations: list[Operation]) -> Life:
    name = first.item if turn == 0 else f"{first.item}-r{turn + 1}"
    return Life(name, first.item, first.product, first.option, first.part, first.side, first.set, first.order,
                turn, operations)  # fmt: skip


def _is_root(course: Course, life: Life) -> bool:
    return bool(life.part == course.works.variants[life.product, life.option].root)


def _turns(operations: list[Operation]) -> Iterator[Life]:
    """Each making of an item: a new one begins where the route begins again without rework."""
    begins = [0]
    reached = -1
    for place, one in enumerate(operations):
        if not one.rework and one.index <= reached:
            begins.append(place)
        if not one.rework:
            reached = one.index
    for turn, (first, beyond) in enumerate(zip(begins, [*begins[1:], len(operations)], strict=True)):
        life = _life(operations[first], turn, operations[first:beyond])
        for place, (one, following) in enumerate(zip(life.operations, life.operations[1:], strict=False)):
            if following.rework and not one.rework:
                life.ends[place] = AGAIN
        yield life


def _say_lost(turns: list[Life], steps: list[str], *, root: bool) -> None:
    """A making that nothing used was lost, if another follows: by itself, or with its mate.

    What was used in something that was lost itself is made anew too, and was not lost.
    """
    gone = [life for life in turns[:-1] if root or not life.used]
    for number, life in enumerate(gone):
        left = len(gone) - number
        own = bool(steps) and (len(steps) >= left or steps[0] == life.operations[-1].step)
        if own:
            steps.pop(0)
        life.ends[len(life.operations) - 1] = LOST if own else ASIDE


def _shelf(book: Book) -> list[tuple[tuple[str, str, str, str | None], list[str]]]:
    """Finished parts in stock, by what they are, with their ids as the record begins with them."""
    found: list[tuple[tuple[str, str, str, str | None], list[str]]] = []
    count: dict[str, int] = defaultdict(int)
    for part in book.parts:
        stem = ".".join(name for name in ("stock", part.product, part.option, part.part, part.side) if name)
        names = []
        for _ in range(part.quantity):
            count[stem] += 1
            names.append(f"{stem}.{count[stem]}")
        found.append(((part.product, part.option, part.part, part.side), names))
    return found


def _put_together(
    life: Life, lives: Mapping[str, list[Life]],
    shelf: Iterable[tuple[tuple[str, str, str, str | None], list[str]]],
) -> None:  # fmt: skip
    """Find the pieces that each operation uses."""
    for place, one in enumerate(life.operations):
        for name in one.uses:
            made = [part for part in lives.get(name, ()) if not part.used and part.end <= one.start]
            part = made[-1] if made else _from_stock(life, name, shelf)
            if part is not None:
                part.used = True
                life.parts.setdefault(place, []).append(part)


def _from_stock(
    life: Life, plan: str, shelf: Iterable[tuple[tuple[str, str, str, str | None], list[str]]]
) -> Life | None:
    tail = plan.removeprefix(life.plan + ".").split(".")[0]
    for (product, option, part, side), names in shelf:
        fits = product == life.product and part == tail and option in ("", life.option)
        if fits and names and side in (None, "", life.side):
            name = names.pop(0)
            return Life(name, plan, product, life.option, part, side, life.set, life.order, stock=True)
    return None
