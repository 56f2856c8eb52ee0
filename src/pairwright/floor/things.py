"""What the events of one thing come to: items, lots, sets, orders, tools. All frozen.

A thing's record is the fold of the events that touch it, in order of the record; see `advance`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any, Final, TypeAlias, TypeVar


@dataclass(frozen=True, slots=True)
class Hold:
    """A stop on this very thing; `key` is that of the event that put it."""

    key: str
    reason: str
    since: int
    actor: str
    nonconformance: str | None = None


@dataclass(frozen=True, slots=True)
class Trouble:
    """A nonconformance: what is wrong, and what was decided."""

    id: str
    opened: int  # sequence
    what: str
    step: str | None = None
    zone: str | None = None
    photograph: str | None = None
    disposition: str | None = None
    to_step: str | None = None
    authority: str | None = None
    decided: int | None = None  # sequence

    @property
    def open(self) -> bool:
        """Whether somebody has yet to decide; a hold decides nothing."""
        return self.disposition in (None, "hold")


@dataclass(frozen=True, slots=True)
class Common:
    """What every thing has: identity, where its events begin and end, holds, troubles."""

    id: str
    kind: str
    first: int
    last: int
    holds: tuple[Hold, ...] = ()
    cleared: tuple[str, ...] = ()  # holds on what it is made of that do not reach it
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True)
class Under:
    """A step that has begun and not ended."""

    step: str
    since: int
    station: str | None
    actor: str
    programme: str | None
    batch: str | None
    carrier: str | None
    key: str


@dataclass(frozen=True, slots=True)
class Done:
    """A step that has ended. `stale` says that rework has gone back before it.

    `aside` marks what was done on the way back to a step that it was sent to: a spot repair.
    """

    step: str
    start: int | None
    end: int
    station: str | None
    actor: str
    programme: str | None
    batch: str | None
    carrier: str | None
    key: str
    sequence: int
    stale: bool = False
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Input:
    """What went into an item for good. `quantity` is in `unit`; an item has none."""

    id: str
    kind: str  # "lot" or "item"; "id" where only an identity was given
    quantity: float | None
    unit: str | None
    step: str
    key: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Mount:
    """A part that is in an item now and can come out again."""

    id: str
    key: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Bond:
    """Two halves that are mates, in the set that they make up."""

    set: str
    first: str
    second: str
    sides: tuple[str, str]
    key: str
    sequence: int

    @property
    def halves(self) -> tuple[str, str]:
        """Both, left or a first."""
        return self.first, self.second

    def other(self, item: str) -> str:
        """The mate of one of the two."""
        return self.second if item == self.first else self.first


@dataclass(frozen=True, slots=True)
class Reading:
    """The last measurement of a characteristic."""

    characteristic: str
    value: float | None
    attachment: str | None
    instrument: str | None
    limit_revision: str | None
    time: int
    actor: str
    key: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Look:
    """The last inspection of a zone."""

    zone: str
    clear: bool
    defect: str | None
    size: float | None
    time: int
    actor: str
    key: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Worked(Common):
    """What is worked on: an item, or a set as one.

    `changed` is the sequence of the last event after which tests must be made again: mating, unmating,
    rework, a part put in or taken out. `measured` is that of the last measurement.
    """

    product: str | None = None
    option: str | None = None
    order: str | None = None
    station: str | None = None
    place: str | None = None
    carrier: str | None = None
    batch: str | None = None
    under: Under | None = None
    done: tuple[Done, ...] = ()
    to_step: str | None = None  # rework returns to it
    inputs: tuple[Input, ...] = ()
    pair: Bond | None = None
    was_paired: bool = False
    readings: tuple[Reading, ...] = ()
    looks: tuple[Look, ...] = ()
    values: tuple[tuple[str, Any], ...] = ()
    changed: int = 0
    measured: int = 0


@dataclass(frozen=True, slots=True)
class Item(Worked):
    """One physical, identified piece."""

    part: str | None = None
    side: str | None = None
    set: str | None = None
    material: str | None = None
    lot: str | None = None  # that it came in with
    what: str = "item"
    parts: tuple[Mount, ...] = ()
    into: str | None = None  # mounted in
    used_in: str | None = None  # used up by
    received: bool = False
    finished: bool = False  # made before the record began, or elsewhere
    scrapped: bool = False


@dataclass(frozen=True, slots=True)
class Lot(Common):
    """Bulk material. Quantities are exact decimals in `unit`; `rest` is what should still be there."""

    material: str | None = None
    unit: str | None = None
    received: Decimal = Decimal(0)
    used: Decimal = Decimal(0)
    adjusted: Decimal = Decimal(0)  # by counting, and by scrapping
    uses: int = 0
    expiry: str | None = None
    serials: tuple[str, ...] = ()
    values: tuple[tuple[str, Any], ...] = ()
    certificate: str | None = None
    scrapped: bool = False
    arrived: int | None = None  # UTC seconds of the first receipt
    readings: tuple[Reading, ...] = ()

    @property
    def rest(self) -> Decimal:
        """In = out + rest, to the last figure."""
        return self.received + self.adjusted - self.used


@dataclass(frozen=True, slots=True)
class Release:
    """The permission to leave, and the leaving."""

    dossier: str
    time: int
    actor: str
    key: str
    sequence: int
    halves: tuple[str, ...]
    shipped: str | None = None  # key of the event


@dataclass(frozen=True, slots=True)
class Set(Worked):
    """What an order counts: a pair, or a single."""

    members: tuple[str, ...] = ()  # items registered as the set's own
    release: Release | None = None


@dataclass(frozen=True, slots=True)
class Order(Common):
    """So many sets wanted by a day, or (kind "purchase") material under way."""

    product: str | None = None
    option: str = ""
    material: str | None = None
    quantity: float = 0.0
    unit: str | None = None
    due: str | None = None
    weight: float = 1.0
    released: str | None = None
    customer: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Check:
    """One calibration of an instrument."""

    good: bool
    time: int
    until: str | None
    key: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Tool(Common):
    """An instrument, a carrier, a batch, a programme, an action: what events name beside their subject."""

    revision: str | None = None
    checks: tuple[Check, ...] = ()
    uses: int = 0
    person: str | None = None
    by: str | None = None
    settled: bool = False


Thing: TypeAlias = Item | Lot | Set | Order | Tool
C = TypeVar("C", bound=Common)


def after(thing: C, /, **changes: Any) -> C:
    """A thing with some fields changed; five times as fast as `dataclasses.replace`.

    Parameters
    ----------
    thing : Thing
        The thing as it was.
    **changes : Any
        Fields by name.
    """
    kind = type(thing)
    made = object.__new__(kind)
    setters = _SETTERS[kind]
    for name, (get, put) in setters.items():
        if name not in changes:
            put(made, get(thing))
    for name, value in changes.items():
        setters[name][1](made, value)
    return made


# for each kind of thing: how each field is read and, once, set (the descriptors of its slots)
_SETTERS: Final[dict[type, dict[str, tuple[Any, Any]]]] = {
    kind: {
        field.name: (getattr(kind, field.name).__get__, getattr(kind, field.name).__set__)
        for field in fields(kind)
    }
    for kind in (Item, Lot, Set, Order, Tool)
}
