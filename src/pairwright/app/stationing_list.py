"""All that is in the making, by the station it goes to next; kept up with the record event by event."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from itertools import islice
from typing import TYPE_CHECKING, Final

from pairwright.app.stationing_cache import Kept
from pairwright.base.errors import MachineryError
from pairwright.base.words import Text, text
from pairwright.floor import State, Stored
from pairwright.floor.effective import touched_by
from pairwright.floor.past import Past
from pairwright.floor.routes import Position, Routes
from pairwright.floor.things import Item, Lot, Order, Set, Thing, Tool, Worked
from pairwright.works.effectivity import InForce
from pairwright.works.orders import Book
from pairwright.works.orders import Order as WantedOrder
from pairwright.works.product import Product, Step

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Listed, Reading

PAGE: Final = 5000
GONE: Final = ("scrapped", "used up", "mounted")  # how a thing stands that goes to no station any more


@dataclass(slots=True)
class Index:
    """What is where; `head` counts the events that it knows of."""

    head: int = 0
    at_station: dict[str, set[str]] = field(default_factory=dict)
    stations_of: dict[str, tuple[str, ...]] = field(default_factory=dict)
    shelf: dict[tuple[str, str], set[str]] = field(
        default_factory=dict
    )  # finished and free, by product and part
    shelved: dict[str, tuple[str, str]] = field(default_factory=dict)
    made: Counter[tuple[str, str | None, str, str | None, str | None]] = field(default_factory=Counter)
    counted: dict[str, tuple[str, str | None, str, str | None, str | None]] = field(default_factory=dict)
    lots: dict[str, set[str]] = field(default_factory=dict)  # by material
    orders: set[str] = field(default_factory=set)
    placed: dict[str, str] = field(default_factory=dict)  # thing -> buffer
    shipped: set[str] = field(default_factory=set)  # sets that have left
    troubled: set[str] = field(default_factory=set)  # somebody has yet to decide on something
    held: set[str] = field(default_factory=set)
    actions: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Look:
    """One consistent view of the floor: things when they are asked for, and where everything is."""

    state: State
    index: Index


class Making:
    """The index of one record, for one works."""

    def __init__(self, routes: Routes) -> None:
        self.routes = routes
        self.index = Index()
        self._kept = Kept()
        self._lock = threading.RLock()

    @contextmanager
    def looking(self, floor: Floor) -> Iterator[Look]:
        """The floor at the end of its record, for as long as it is looked at; others wait.

        Parameters
        ----------
        floor : Floor
            The works with its record.
        """
        with self._lock, floor.record.reading() as reading:
            rows = reading.state().past.stored
            if rows is None:
                raise MachineryError(text("the record gives no store to look through"))
            last = reading.head().sequence
            touched = self._touched(reading, rows) if 0 < self.index.head < last else []
            state = State(self._kept.over(rows, touched), first=last + 1)
            if self.index.head == 0:
                self._all(reading, state)
            else:
                self._changed(state, touched)
            self.index.head = last
            yield Look(state, self.index)

    def _touched(self, reading: Reading, rows: Stored) -> list[str]:
        """Things that events since the last look have touched."""
        past = Past(rows)
        names: set[str] = set()
        for entry in reading.events(self.index.head + 1):
            names.update(name for name in touched_by(entry.event, past) if not name.startswith("@"))
        return sorted(names)

    def _all(self, reading: Reading, state: State) -> None:
        """File everything that is not gone: what has left or is in something else is only counted."""
        for row in _rows(reading, "set"):
            if row.standing == "shipped":
                self.index.shipped.add(row.id)
            else:
                self._file(state, row.id, state.thing(row.id))
        doubtful = _reported(reading)
        for row in _rows(reading, "item"):
            gone = row.standing in GONE or row.in_set in self.index.shipped
            if row.id in doubtful or not gone:
                self._file(state, row.id, state.thing(row.id))
            elif row.standing != "scrapped":
                self._count(row.id, (row.product, row.option, row.part, row.side, row.in_set))
        for kind in ("lot", "order", "action"):
            for row in _rows(reading, kind):
                self._file(state, row.id, state.thing(row.id))

    def _changed(self, state: State, names: Sequence[str]) -> None:
        for name in names:
            thing = state.thing(name)
            self._file(state, name, thing)
            if isinstance(thing, Set):
                halves = thing.pair.halves if thing.pair is not None else ()
                for other in {*halves, *thing.members}.difference(names):
                    self._file(state, other, state.thing(other))
            elif isinstance(thing, Item) and thing.set is not None:
                self._file(state, thing.set, state.set(thing.set))

    def _count(
        self, name: str, what: tuple[str | None, str | None, str | None, str | None, str | None]
    ) -> None:
        product, option, part, side, one = what
        if product is not None and part is not None:
            key = (product, option, part, side, one)
            self.index.made[key] += 1
            self.index.counted[name] = key

    def _file(self, state: State, name: str, thing: Thing | None) -> None:
        index = self.index
        for station in index.stations_of.pop(name, ()):
            index.at_station[station].discard(name)
        shelf = index.shelved.pop(name, None)
        if shelf is not None:
            index.shelf[shelf].discard(name)
        before = index.counted.pop(name, None)
        if before is not None:
            index.made[before] -= 1
        index.placed.pop(name, None)
        index.troubled.discard(name)
        index.held.discard(name)
        if thing is not None and any(one.open for one in thing.troubles):
            index.troubled.add(name)
        if thing is not None and thing.holds:
            index.held.add(name)
        if isinstance(thing, Tool) and thing.kind == "action":
            index.actions.add(name)
        if isinstance(thing, Lot) and thing.material is not None:
            index.lots.setdefault(thing.material, set()).add(name)
        elif isinstance(thing, Order) and thing.kind == "order":
            index.orders.add(name)
        elif isinstance(thing, Item | Set):
            self._worked(state, thing)

    def _worked(self, state: State, thing: Item | Set) -> None:
        index = self.index
        if thing.place is not None:
            index.placed[thing.id] = thing.place
        if isinstance(thing, Set):
            if thing.release is not None and thing.release.shipped is not None:
                index.shipped.add(thing.id)
            self._station(state, thing)
            return
        if thing.scrapped:
            return
        self._count(thing.id, (thing.product, thing.option, thing.part, thing.side, thing.set))
        if thing.into is None and thing.used_in is None and thing.set not in index.shipped:
            self._station(state, thing)

    def _station(self, state: State, thing: Item | Set) -> None:
        index = self.index
        position = self.routes.position(state, thing)
        if position is None:
            return
        step = position.next
        if isinstance(thing, Item) and step is None:
            shelf = (position.product.id, position.part)
            index.shelf.setdefault(shelf, set()).add(thing.id)
            index.shelved[thing.id] = shelf
            return
        stations = _stations(thing, step)
        index.stations_of[thing.id] = stations
        for station in stations:
            index.at_station.setdefault(station, set()).add(thing.id)


def _rows(reading: Reading, kind: str) -> Iterator[Listed]:
    after = ""
    while page := reading.things(kind, after=after, limit=PAGE):
        yield from page
        after = page[-1].id


def _reported(reading: Reading) -> set[str]:
    """Items on which something was ever reported: they may wait for a decision wherever they are."""
    found: set[str] = set()
    for kind in ("reported", "inspected"):
        after = 0
        while page := reading.find(kind, after=after, limit=PAGE):
            after = page[-1].sequence
            found.update(e.event.subject for e in page if e.event.subject and not e.event.data.get("clear"))
    return found


def _stations(thing: Item | Set, step: Step | None) -> tuple[str, ...]:
    """Where a thing is, or may go next; what is done together is listed by its set alone."""
    if thing.under is not None:
        return () if thing.under.station is None else (thing.under.station,)
    if step is None or (isinstance(thing, Item) and step.together and thing.pair is not None):
        return ()
    if isinstance(thing, Set) and not step.together:
        return ()
    return tuple(one.station for one in step.stations)


def lacking(
    index: Index, state: State, *, position: Position, step: Step, routes: Routes, day: str
) -> list[Text]:
    """Parts and materials of a step that are not at hand."""
    found = list(_parts_lacking(index, state, position=position, step=step))
    for material, amount in routes.needs.get(position.place(step.id), {}).items():
        if not any(_usable(state.lot(name), amount, day) for name in index.lots.get(material, ())):
            called = routes.works.materials[material].name
            found.append(text("no lot of {material} with enough in it", material=called))
    return found


def _usable(lot: Lot | None, amount: float, day: str) -> bool:
    return (
        lot is not None and not lot.scrapped and not lot.holds and float(lot.rest) >= amount
        and (lot.expiry is None or lot.expiry >= day)
    )  # fmt: skip


def _parts_lacking(index: Index, state: State, *, position: Position, step: Step) -> Iterator[Text]:
    product = position.product
    for name in step.uses:
        part = product.parts[name]
        if part.steps and not any(
            _suits(state.item(one), product) for one in index.shelf.get((product.id, name), ())
        ):
            yield text("no finished {part}", part=part.name)


def _suits(item: Item | None, product: Product) -> bool:
    return item is not None and item.option in (None, product.option) and not item.holds


@dataclass(frozen=True, slots=True)
class Fresh:
    """An item that an order asks for and that nobody has begun."""

    order: str
    set: str | None  # None where pairs are formed from finished halves
    product: str
    option: str
    part: str
    side: str | None
    step: str


def to_begin(index: Index, state: State, *, routes: Routes, station: str, most: int) -> Iterator[Fresh]:
    """Items to be begun at a station, for the sets that are due first.

    Parameters
    ----------
    index : Index
        What there is.
    state : State
        Of the floor.
    routes : Routes
        Of the works.
    station : str
        Where.
    most : int
        So many at most. [-]
    """
    found = _unmade(
        index, sorted(_open(index, state), key=lambda one: (one.due or "", one.id)), routes, station
    )
    yield from islice(found, most)


def _unmade(index: Index, orders: Sequence[Order], routes: Routes, station: str) -> Iterator[Fresh]:
    left = Counter(index.made)
    in_force = InForce(routes.works, _book(index, orders))
    firsts: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for order in orders:
        if (order.product or "", order.option) not in routes.works.variants:
            continue
        wanted = _wanted_order(order)
        for number in range(1, int(order.quantity) + 1):
            name = f"{order.id}-{number}"
            if name in index.shipped:
                continue
            product = in_force.product(wanted, number)
            place = (product.id, product.option)
            if place not in firsts:
                firsts[place] = list(_begun_at(product, station))
            late = product.binding == "late"  # a pair is formed from finished halves: none is made for a set
            for part, step in firsts[place]:
                for side in _sides(product, part):
                    if not _take(left, product, part=part, side=side, set_name=name):
                        yield Fresh(order.id, None if late else name, product.id, product.option, part,
                                    None if late else side, step)  # fmt: skip


def _begun_at(product: Product, station: str) -> Iterator[tuple[str, str]]:
    """Parts whose first step is done at a station, with that step."""
    for name, part in product.parts.items():
        step = _first(part.steps) if part.steps else None
        if step is not None and any(one.station == station for one in step.stations):
            yield name, step.id


def _book(index: Index, orders: Sequence[Order]) -> Book:
    """The orders, and what each set that has begun was begun as: revisions of a product go by that."""
    begun = {key[4]: key[0] for key, count in index.made.items() if count > 0 and key[4] is not None}
    return Book(orders=tuple(map(_wanted_order, orders)), begun=tuple(sorted(begun.items())))


def _wanted_order(order: Order) -> WantedOrder:
    return WantedOrder(
        order.id,
        order.product or "",
        order.option,
        int(order.quantity),
        date.fromisoformat(order.due or "9999-12-31"),
    )


def _first(steps: tuple[Step, ...]) -> Step:
    return next((step for step in steps if step.stations), steps[0])


def _open(index: Index, state: State) -> Iterator[Order]:
    for name in index.orders:
        order = state.order(name)
        if order is not None and not order.closed:
            yield order


def _sides(product: Product, part: str) -> Iterable[str | None]:
    """A side for each piece of a part in a set; None where it has none."""
    from pairwright.works import set_parts

    count = product.parts[part].quantity
    user = product.user_of(part)
    while user is not None:
        count *= product.parts[user[0]].quantity
        user = product.user_of(user[0])
    sides = (None,) if part in set_parts(product) else product.sides()
    return [side for side in sides for _ in range(count)]


def _take(
    left: Counter[tuple[str, str | None, str, str | None, str | None]],
    product: Product, *, part: str, side: str | None, set_name: str,
) -> bool:  # fmt: skip
    """Whether a piece that exists already stands for this one; then it is counted off."""
    sides = (
        (side, None)
        if product.parts[part].handed or product.root == part
        else (side, None, *_all(left, part))
    )
    for at in (set_name, None):
        for option in (product.option, None):
            for one in sides:
                key = (product.id, option, part, one, at)
                if left[key] > 0:
                    left[key] -= 1
                    return True
    return False


def _all(
    left: Counter[tuple[str, str | None, str, str | None, str | None]], part: str
) -> tuple[str | None, ...]:
    return tuple(dict.fromkeys(key[3] for key in left if key[2] == part))


def worked_at(index: Index, state: State, station: str) -> Iterator[Worked]:
    """Things that are at a station or go there next."""
    for name in sorted(index.at_station.get(station, ())):
        thing = state.thing(name)
        if isinstance(thing, Item | Set):
            yield thing
