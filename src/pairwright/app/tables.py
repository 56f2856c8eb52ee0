"""The tables that a works keeps: what each holds, as the record has it now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Final, TypeAlias
from zoneinfo import ZoneInfo

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso, local_date
from pairwright.base.words import Text, text
from pairwright.floor import Item, Lot, Order, Tool, standing

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.out_sheets import Outgoing, Value
    from pairwright.floor import Entry, State

Row: TypeAlias = "tuple[Value, ...]"
PLACES: Final = 9  # decimals of a quantity


@dataclass(frozen=True, slots=True)
class View:
    """What tables are read from: the state, people's names, the works' zone."""

    state: State
    names: Mapping[str, str]
    zone: ZoneInfo

    def entries(self) -> Iterator[Entry]:
        """Every event in order."""
        return (entry for entry, _ in self.state.past.pending())


@dataclass(frozen=True, slots=True)
class Table:
    """One table; `taken` says that it can come in as well."""

    name: str
    means: Text
    columns: tuple[str, ...]
    rows: Callable[[View], Iterable[Row]]
    taken: bool = True
    values: Callable[[View], Sequence[str]] | None = None  # further columns, after the named ones


def view_of(floor: Floor) -> View:
    """What the tables of a works are read from."""
    with floor.record.reading() as reading:
        names = reading.names()
    return View(floor.state(), names, floor.opened.works.zone)


def outgoing(table: Table, view: View) -> Outgoing:
    """A table with its rows."""
    from pairwright.archive.out_sheets import Outgoing

    more = () if table.values is None else tuple(table.values(view))
    objects = () if table.taken else ("data",)
    return Outgoing(table.name, (*table.columns, *more), tuple(table.rows(view)), objects)


def table_named(name: str, *, field: str, taken: bool = False) -> Table:
    """A table by its name; raises `InputError` for one that is not there, or does not come in."""
    found = TABLES.get(name)
    if found is None or (taken and not found.taken):
        names = ", ".join(n for n, one in TABLES.items() if one.taken or not taken)
        raise InputError(
            Problem(
                "command line",
                field,
                text("one of {names}", names=names),
                shown(name),
                text("choose one of them"),
            )
        )
    return found


def qualifications_now(view: View) -> dict[tuple[str, str], tuple[str | None, bool]]:
    """For each person and skill the last day, and whether it was withdrawn."""
    from pairwright.floor.qualification import qualifications

    people = {str(e.event.data["person"]) for e in view.entries() if e.event.kind == "qualified"}
    return {
        (person, skill): (one.until, one.withdrawn)
        for person in sorted(people)
        for skill, one in sorted(qualifications(view.state, person).items())
    }


def parts_now(view: View) -> Counter[tuple[str, str, str, str]]:
    """How many finished parts are in stock, by product, option, part and side."""
    from pairwright.floor.stock import book_of

    found: Counter[tuple[str, str, str, str]] = Counter()
    for one in book_of(view.state.things(), zone=view.zone).parts:
        found[one.product, one.option, one.part, one.side or ""] += one.quantity
    return found


def _orders(view: View) -> Iterator[Row]:
    for one in view.state.things():
        if isinstance(one, Order) and one.kind == "order" and not one.closed:
            yield (one.id, one.product, one.option, int(one.quantity), _day(one.due), one.weight,
                   _day(one.released), one.customer)  # fmt: skip


def _purchases(view: View) -> Iterator[Row]:
    for one in view.state.things():
        if isinstance(one, Order) and one.kind == "purchase" and not one.closed:
            yield one.id, one.material, one.quantity, one.unit, _day(one.due)


def _at_hand(view: View) -> Iterator[Lot]:
    return (one for one in view.state.things() if isinstance(one, Lot) and one.rest > 0 and not one.scrapped)


def value_names(view: View) -> list[str]:
    """Further columns of the lots: what was noted of them when they came in."""
    named = {name for lot in _at_hand(view) for name, _ in lot.values}
    return sorted(named - set(LOT_COLUMNS))


def _lots(view: View) -> Iterator[Row]:
    names = value_names(view)
    for lot in _at_hand(view):
        values = dict(lot.values)
        arrived = None if lot.arrived is None else local_date(lot.arrived, view.zone)
        yield (
            lot.id, lot.material, round(float(lot.rest), PLACES), lot.unit, arrived, _day(lot.expiry),
            *(values.get(name) for name in names),
        )  # fmt: skip


def _parts(view: View) -> Iterator[Row]:
    for (product, option, part, side), count in sorted(parts_now(view).items()):
        yield product, option, part, side, count


def _items(view: View) -> Iterator[Row]:
    for one in view.state.things():
        if isinstance(one, Item):
            yield (one.id, one.product, one.option, one.part, one.side, one.set, one.order, one.finished,
                   standing(one))  # fmt: skip


def _people(view: View) -> Iterator[Row]:
    return iter(sorted(view.names.items()))


def _qualifications(view: View) -> Iterator[Row]:
    for (person, skill), (until, withdrawn) in qualifications_now(view).items():
        yield person, skill, _day(until), withdrawn


def _instruments(view: View) -> Iterator[Row]:
    for one in view.state.things():
        if isinstance(one, Tool) and one.kind == "instrument":
            last = max(one.checks, key=lambda check: check.sequence, default=None)
            if last is None:
                yield one.id, None, None, None
            else:
                yield one.id, local_date(last.time, view.zone), last.good, _day(last.until)


def _events(view: View) -> Iterator[Row]:
    import json

    for entry in view.entries():
        event = entry.event
        yield (
            entry.sequence, event.key, event.kind, event.local_time(), iso(entry.record_time, view.zone),
            event.station, event.actor, event.subject_kind, event.subject,
            json.dumps(event.data, ensure_ascii=False, separators=(",", ":")), entry.hash,
        )  # fmt: skip


def _day(value: str | None) -> date | None:
    return None if value is None else date.fromisoformat(value)


ORDER_COLUMNS: Final = ("order", "product", "option", "quantity", "due", "weight", "released", "customer")
LOT_COLUMNS: Final = ("lot", "material", "quantity", "unit", "received", "expiry")
PURCHASE_COLUMNS: Final = ("purchase", "material", "quantity", "unit", "arrives")
PART_COLUMNS: Final = ("product", "option", "part", "side", "quantity")
ITEM_COLUMNS: Final = ("item", "product", "option", "part", "side", "set", "order", "finished", "standing")
EVENT_COLUMNS: Final = (
    "sequence", "key", "kind", "event_time", "record_time", "station", "actor", "about", "id", "data", "hash",
)  # fmt: skip

_TABLES: Final = (
    Table("orders", text("open orders"), ORDER_COLUMNS, _orders),
    Table("lots", text("bulk material at hand"), LOT_COLUMNS, _lots, values=value_names),
    Table("parts", text("finished parts in stock"), PART_COLUMNS, _parts),
    Table("purchases", text("material that is under way"), PURCHASE_COLUMNS, _purchases),
    Table("items", text("every piece with an identity"), ITEM_COLUMNS, _items),
    Table("people", text("people's names"), ("person", "name"), _people),
    Table("qualifications", text("who may do what"), ("person", "skill", "until", "withdrawn"), _qualifications),
    Table("instruments", text("instruments and their last check"), ("instrument", "checked", "good", "until"),
          _instruments),
    Table("events", text("the record itself"), EVENT_COLUMNS, _events, taken=False),
)  # fmt: skip
TABLES: Final[Mapping[str, Table]] = {table.name: table for table in _TABLES}
