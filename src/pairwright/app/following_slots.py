"""Which piece of the record stands for which item of the plan: by set, side and part, else by order.

Nothing is guessed silently: a piece that could be none of the plan's items is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from pairwright.base.words import Text, text
from pairwright.floor.things import Item, Set

if TYPE_CHECKING:
    from pairwright.plan.schedule import Schedule
    from pairwright.works import Book, Works
    from pairwright.works.product import Product, Step

FAR: Final = 1 << 62  # later than any planned start


@dataclass(frozen=True, slots=True)
class Slot:
    """An item of the plan, or (with `part` the root and `whole`) a set as one."""

    id: str
    set: str
    order: str
    part: str
    side: str | None
    holder: str | None
    product: Product
    whole: bool = False

    @property
    def route(self) -> tuple[Step, ...]:
        """All steps of its part, those that are done to a set as one among them."""
        return self.product.route(self.part)

    def own(self, step: Step) -> bool:
        """Whether a step of the route is one of its own operations."""
        return step.together == self.whole


@dataclass(frozen=True, slots=True)
class Pieces:
    """The pieces of the floor, by the item of the plan that they stand for, the first made first."""

    slots: Mapping[str, Slot]
    lives: Mapping[str, tuple[Item, ...]]
    sets: Mapping[str, Set]
    told: tuple[Text, ...] = ()

    @property
    def names(self) -> dict[str, str]:
        """The plan's item of each piece."""
        return {item.id: slot for slot, some in sorted(self.lives.items()) for item in some}


def slots_of(works: Works, book: Book, *, covered: frozenset[str]) -> dict[str, Slot]:
    """Everything that the orders of a book ask for, holders before what they hold.

    Parameters
    ----------
    works, book
        The definition, and the orders with what their sets were begun as.
    covered : frozenset[str]
        Items that finished parts in stock stand for.
    """
    from pairwright.plan.stock import items_of_set, set_ids
    from pairwright.works.effectivity import InForce

    in_force = InForce(works, book)
    found: dict[str, Slot] = {}
    for order in book.orders:
        for number, name in enumerate(set_ids(order), 1):
            product = in_force.product(order, number)
            found[name] = Slot(name, name, order.id, product.root, None, None, product, whole=True)
            gone: set[str] = set()
            for item in items_of_set(product, name):
                if item.id in covered or item.holder in gone:
                    gone.add(item.id)
                    continue
                found[item.id] = Slot(item.id, name, order.id, item.part, item.side, item.holder, product)
    return found


def covered_by(works: Works, book: Book, like: Schedule) -> tuple[str, ...]:
    """Items of a plan's orders of which it has no operation: finished parts in stock stand for them."""
    made = {op.item for op in like.operations}
    known = {row.order for row in like.orders}
    orders = tuple(order for order in book.orders if order.id in known)
    every = slots_of(works, replace(book, orders=orders), covered=frozenset())
    parted: dict[str, bool] = {}
    for slot in every.values():
        parted[slot.set] = parted.get(slot.set, False) or slot.id in made
    return tuple(
        sorted(
            slot.id
            for slot in every.values()
            if not slot.whole and slot.id not in made and parted[slot.set]
            and (slot.holder is None or slot.holder in made) and any(slot.own(s) for s in slot.route)
        )
    )  # fmt: skip


def worked(item: Item) -> bool:
    """Whether anything has been done to a piece."""
    return item.under is not None or any(not one.aside for one in item.done)


def pieces_of(
    slots: Mapping[str, Slot], items: Iterable[Item], sets: Iterable[Set], *, known: Mapping[str, str],
    starts: Mapping[str, int],
) -> Pieces:  # fmt: skip
    """Give each piece of the floor the item of the plan that it stands for.

    Parameters
    ----------
    slots : Mapping[str, Slot]
        Items of the plan, holders before what they hold.
    items, sets
        Of the record.
    known : Mapping[str, str]
        What earlier plans took pieces for: it stays, where the floor does not say otherwise.
    starts : Mapping[str, int]
        When the plan has the first operation of each item begin. [s]
    """
    assigning = _Assigning(slots, known, starts)
    some = [item for item in items if item.part and not item.finished and (worked(item) or not item.scrapped)]
    depth = {(slot.product.id, slot.part): slot.id.count(".") for slot in slots.values() if not slot.whole}
    some.sort(key=lambda item: (depth.get((item.product or "", item.part or ""), 9), item.first, item.id))
    while some:
        level = depth.get((some[0].product or "", some[0].part or ""), 9)
        group = [i for i in some if depth.get((i.product or "", i.part or ""), 9) == level]
        some = some[len(group) :]
        assigning.place(group)
    lives = {slot: tuple(sorted(row, key=lambda i: (i.first, i.id))) for slot, row in assigning.lives.items()}
    return Pieces(slots, lives, {one.id: one for one in sets if one.id in slots}, tuple(assigning.told))


@dataclass(slots=True)
class _Assigning:
    slots: Mapping[str, Slot]
    known: Mapping[str, str]
    starts: Mapping[str, int]
    lives: dict[str, list[Item]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    told: list[Text] = field(default_factory=list)

    def place(self, group: list[Item]) -> None:
        """Pieces of one depth: mates where they are mated, then what is known, then the others."""
        rest: list[Item] = []
        for item in group:
            slot = self._mated(item) or self._in_holder(item)
            rest += [] if self._take(item, slot) else [item]
        group, rest = rest, []
        for item in group:
            rest += [] if self._take(item, self._stated(item)) else [item]
        for item in rest:
            if not self._take(item, self._fitting(item)) and item.order in {
                s.order for s in self.slots.values()
            }:
                self.told.append(
                    text("{item} ({part}) of order {order} is none of the pieces that the plan has",
                         item=item.id, part=item.part or "", order=item.order or "")
                )  # fmt: skip

    def _take(self, item: Item, slot: str | None) -> bool:
        if slot is None:
            return False
        there = self.lives.setdefault(slot, [])
        if any(not one.scrapped and one.pair is not None and item.pair is None for one in there):
            return False
        there.append(item)
        self.names[item.id] = slot
        was = self.known.get(item.id)
        if was is not None and was != slot:
            self.told.append(
                text("{item} now stands for {slot}, not for {was}", item=item.id, slot=slot, was=was)
            )
        return True

    def _mated(self, item: Item) -> str | None:
        """The half that a mated piece is, in the set that it is mated in."""
        bond = item.pair
        slot = None if bond is None else self.slots.get(bond.set)
        if bond is None or slot is None or item.part != slot.product.root:
            return None
        number = bond.halves.index(item.id) if item.id in bond.halves else 0
        sides = slot.product.sides()
        side = bond.sides[number] if bond.sides[number] in sides else sides[min(number, len(sides) - 1)]
        name = f"{slot.set}.{side or 'single'}"
        return name if name in self.slots else None

    def _in_holder(self, item: Item) -> str | None:
        """A place in what the piece has been built into."""
        holder = self.names.get(item.used_in or item.into or "")
        if holder is None:
            return None
        slot = self.slots[holder]
        places = [
            s.id for s in self.slots.values()
            if s.holder in (slot.id, slot.set) and s.part == item.part and s.set == slot.set
        ]  # fmt: skip
        was = self._stated(item)
        if was in places:
            return was
        return self._best([name for name in places if not self.lives.get(name)])

    def _stated(self, item: Item) -> str | None:
        for name in (self.known.get(item.id), item.id):
            slot = self.slots.get(name or "")
            if slot is not None and not slot.whole and slot.part == item.part:
                return slot.id
        return None

    def _fitting(self, item: Item) -> str | None:
        """The item of its set, side and part, or of its order, that is to be made first and is not."""
        if not (item.set or item.order):
            return None
        fits = list(self._fits(item))
        free = [name for name in fits if not self.lives.get(name)]
        free = free or [name for name in fits if self.lives[name][-1].scrapped]
        if not free and item.set:
            free = [name for name in fits if self.lives[name][-1].pair is None and item.side is not None]
        return self._best(free)

    def _fits(self, item: Item) -> Iterator[str]:
        for slot in self.slots.values():
            at = slot.set == item.set if item.set else slot.order == item.order
            like = (slot.product.id, slot.part) == (item.product, item.part)
            option = item.option in (None, slot.product.option)
            side = item.side is None or slot.side in (None, item.side)
            if at and like and option and side and not slot.whole:
                yield slot.id

    def _best(self, names: list[str]) -> str | None:
        return min(names, key=lambda name: (self.starts.get(name, FAR), name), default=None)
