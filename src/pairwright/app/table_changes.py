"""What a table that comes in would change: row by row, as events of the record."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.tables import PLACES, View, parts_now, qualifications_now
from pairwright.base.time import local_date
from pairwright.base.words import text
from pairwright.floor import Lot, Order
from pairwright.floor.stock import in_unit
from pairwright.works.rows import Columns, Row
from pairwright.works.tables import LOTS, ORDERS, PARTS, PURCHASES, book_of_rows

if TYPE_CHECKING:
    from pairwright.base.errors import Problem
    from pairwright.works import Works

Fields = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Change:
    """What one row would change: `fields` by name, before and after; `events` as JSON has them."""

    row: Row
    id: str
    what: str  # new, changed, same
    fields: tuple[tuple[str, Any, Any], ...] = ()
    events: tuple[dict[str, Any], ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """The public shape."""
        return {
            "row": self.row.line,
            "id": self.id,
            "change": self.what,
            "fields": {name: [before, after] for name, before, after in self.fields},
        }


@dataclass(frozen=True, slots=True)
class Coming:
    """What rows are compared with."""

    works: Works
    view: View
    reason: str
    problems: list[Problem]

    def noon(self, day: date) -> str:
        """The moment that stands for a day of which no hour is known."""
        return datetime(day.year, day.month, day.day, 12, tzinfo=self.view.zone).isoformat()


def _change(
    row: Row, name: str, before: Fields | None, *, after: Fields, events: Sequence[dict[str, Any]]
) -> Change:
    if before is None:
        fields = tuple((key, None, value) for key, value in after.items() if value not in (None, ""))
        return Change(row, name, "new", fields, tuple(events))
    fields = tuple((key, before.get(key), value) for key, value in after.items() if before.get(key) != value)
    return Change(row, name, "changed" if fields else "same", fields, tuple(events) if fields else ())


def _order_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    book = book_of_rows(coming.works, orders=rows, problems=coming.problems)
    for row, order in zip(rows, book.orders, strict=True):
        before = coming.view.state.order(order.id)
        if _closed(row, "order", before):
            continue
        after = {
            "product": order.product, "option": order.option, "quantity": order.quantity,
            "due": order.due.isoformat(), "weight": order.weight,
            "released": None if order.released is None else order.released.isoformat(),
            "customer": order.customer,
        }  # fmt: skip
        data = {"order": order.id, **{k: v for k, v in after.items() if v not in (None, "")}}
        old = None
        if before is not None:
            old = {k: getattr(before, k) for k in after} | {"quantity": int(before.quantity)}
        yield _change(row, order.id, old, after=after, events=[{"kind": "ordered", "data": data}])


def _purchase_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    book = book_of_rows(coming.works, purchases=rows, problems=coming.problems)
    for row, one in zip(rows, book.purchases, strict=True):
        before = coming.view.state.order(one.id)
        if _closed(row, "purchase", before):
            continue
        unit = coming.works.materials[one.material].unit
        after = {"material": one.material, "quantity": one.quantity, "arrives": one.arrives.isoformat()}
        old = None
        if before is not None:
            there = round(in_unit(before.quantity, before.unit, wanted=unit), PLACES)
            old = {"material": before.material, "quantity": there, "arrives": before.due}
        data = {"purchase": one.id, "unit": unit, **after}
        yield _change(row, one.id, old, after=after, events=[{"kind": "purchased", "data": data}])


def _closed(row: Row, column: str, before: Order | None) -> bool:
    """Whether a row is about what has come to its end; told if so."""
    if before is None or not (before.closed or before.kind != column):
        return False
    row.refuse(
        column, text("one that is open, or a new one; {id} has come to its end", id=before.id),
        text("give it a number of its own, or remove the row"),
    )  # fmt: skip
    return True


def _lot_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    book = book_of_rows(coming.works, lots=rows, problems=coming.problems)
    for row, lot in zip(rows, book.lots, strict=True):
        unit = coming.works.materials[lot.material].unit
        values = dict(lot.values)
        day = None if lot.received is None else lot.received.isoformat()
        expiry = None if lot.expiry is None else lot.expiry.isoformat()
        before = coming.view.state.lot(lot.id)
        if before is None:
            data: dict[str, Any] = {"quantity": lot.quantity, "unit": unit, "material": lot.material}
            raw: dict[str, Any] = {"kind": "received", "lot": lot.id, "data": data}
            if expiry is not None:
                data["expiry"] = expiry
            if values:
                data["values"] = values
            if lot.received is not None:
                raw["event_time"] = coming.noon(lot.received)
            after = {"material": lot.material, "quantity": lot.quantity, "unit": unit, "received": day,
                     "expiry": expiry, **values}  # fmt: skip
            yield _change(row, lot.id, None, after=after, events=[raw])
        elif _same_lot(row, before, coming, material=lot.material, day=day, expiry=expiry):
            yield _counted(row, before, coming, quantity=lot.quantity, unit=unit, values=values)


def _same_lot(
    row: Row, before: Lot, coming: Coming, *, material: str, day: str | None, expiry: str | None
) -> bool:
    """Whether a row agrees with what can't be changed of a lot that came in."""
    arrived = None if before.arrived is None else local_date(before.arrived, coming.view.zone).isoformat()
    fixed = {
        "material": (before.material, material), "received": (arrived, day), "expiry": (before.expiry, expiry),
    }  # fmt: skip
    good = True
    for column, (recorded, given) in fixed.items():
        if given is not None and recorded != given:
            row.refuse(
                column, text("{recorded}, as its receipt has it", recorded=recorded or "empty"),
                text("correct the receipt in the record, or the row"),
            )  # fmt: skip
            good = False
    return good


def _counted(
    row: Row, before: Lot, coming: Coming, *, quantity: float, unit: str, values: Mapping[str, str]
) -> Change:
    there = round(in_unit(float(before.rest), before.unit, wanted=unit), PLACES)
    known = {name: str(value) for name, value in before.values if name in values}
    events: list[dict[str, Any]] = []
    if there != quantity:
        data = {"quantity": quantity, "unit": unit, "reason": coming.reason}
        events.append({"kind": "counted", "lot": before.id, "data": data})
    fresh = {name: value for name, value in values.items() if known.get(name) != value}
    if fresh:
        events.append({"kind": "registered", "lot": before.id, "data": {"what": "lot", "values": fresh}})
    old = {"quantity": there, **known}
    return _change(row, before.id, old, after={"quantity": quantity, **values}, events=events)


def _part_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    """More parts than the record knows are registered, piece by piece; fewer are told."""
    book = book_of_rows(coming.works, parts=rows, problems=coming.problems)
    there = parts_now(coming.view)
    seen: set[tuple[str, str, str, str]] = set()
    for row, part in zip(rows, book.parts, strict=True):
        key = (part.product, part.option, part.part, part.side or "")
        stem = ".".join(("stock", *(k for k in (part.product, part.option, part.part, part.side) if k)))
        if key in seen:
            row.refuse("part", text("named once with its option and side"), text("write one row for them"))
            continue
        seen.add(key)
        if part.quantity < there[key]:
            row.refuse(
                "quantity", text("{n} or more: so many have an identity", n=there[key]),
                text("record of each that is gone where it went"),
            )  # fmt: skip
            continue
        facts = {"product": part.product, "option": part.option, "part": part.part, "side": part.side}
        data = {"finished": True, **{name: value for name, value in facts.items() if value}}
        events = [
            {"kind": "registered", "item": name, "data": data}
            for name in _free_names(coming, stem, part.quantity - there[key])
        ]
        old = {"quantity": there[key]} if there[key] else None
        yield _change(row, stem, old, after={"quantity": part.quantity}, events=events)


def _free_names(coming: Coming, stem: str, count: int) -> Iterator[str]:
    number = 0
    while count > 0:
        number += 1
        if coming.view.state.thing(f"{stem}.{number}") is None:
            count -= 1
            yield f"{stem}.{number}"


ITEMS: Final = Columns(
    ("item",), ("product", "option", "part", "side", "set", "order", "finished", "standing")
)
ITEM_FIELDS: Final = ("product", "option", "part", "side", "set", "order")


def _item_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    for row in _once(rows, "item"):
        name = row.label("item")
        after: dict[str, Any] = {key: row.cell(key) for key in ITEM_FIELDS if row.cell(key)}
        _known_item(row, coming.works)
        if row.flag("finished"):
            after["finished"] = True
        if name is None:
            continue
        before = coming.view.state.item(name)
        old = None if before is None else {key: getattr(before, key) or None for key in after}
        fresh = after if old is None else {k: v for k, v in after.items() if old.get(k) != v}
        events = [{"kind": "registered", "item": name, "data": fresh}]
        yield _change(row, name, old, after=after, events=events)


def _known_item(row: Row, works: Works) -> None:
    """That product, option, part and side go together."""
    if not row.cell("product"):
        for column in ("option", "part"):
            if row.cell(column):
                row.refuse(column, text("empty where the product is"), text("name the product"))
        return
    product = row.one_of("product", works.products, what=text("a product"))
    if product is None:
        return
    variants = [v for (p, o), v in works.variants.items() if p == product and row.cell("option") in ("", o)]
    if not variants:
        row.one_of(
            "option", works.products[product].options, what=text("an option of {product}", product=product)
        )
        return
    parts = {name for v in variants for name in v.parts}
    if row.cell("part"):
        row.one_of("part", parts, what=text("a part of {product}", product=product))
    sides = {side for v in variants for side in v.sides() if side is not None} | {"a", "b"}
    if row.cell("side"):
        row.one_of("side", sides, what=text("a side of {product}", product=product))


PEOPLE: Final = Columns(("person", "name"))


def _people_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    for row in _once(rows, "person"):
        person, name = row.label("person"), row.plain("name")
        if person is not None and name is not None:
            before = coming.view.names.get(person)
            found = _change(
                row, person, None if before is None else {"name": before}, after={"name": name}, events=()
            )
            yield Change(row, person, found.what, found.fields, names={person: name})


QUALIFICATIONS: Final = Columns(("person", "skill"), ("until", "withdrawn"))


def _qualification_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    there = qualifications_now(coming.view)
    seen: set[tuple[str, str]] = set()
    for row in rows:
        person, skill = row.label("person"), row.label("skill")
        until, withdrawn = row.day("until", needed=False), row.flag("withdrawn")
        if person is None or skill is None:
            continue
        if (person, skill) in seen:
            row.refuse("skill", text("named once for each person"), text("remove one of the two rows"))
            continue
        seen.add((person, skill))
        last = None if until is None else until.isoformat()
        after = {"until": last, "withdrawn": withdrawn}
        before = there.get((person, skill))
        old = None if before is None else {"until": before[0], "withdrawn": before[1]}
        data: dict[str, Any] = {"person": person, "skill": skill}
        if last is not None:
            data["until"] = last
        if withdrawn:
            data["withdrawn"] = True
        yield _change(
            row, f"{person} {skill}", old, after=after, events=[{"kind": "qualified", "data": data}]
        )


INSTRUMENTS: Final = Columns(("instrument",), ("checked", "good", "until"))


def _instrument_changes(rows: Sequence[Row], coming: Coming) -> Iterator[Change]:
    for row in _once(rows, "instrument"):
        name = row.label("instrument")
        checked, until = row.day("checked", needed=False), row.day("until", needed=False)
        good = row.flag("good")
        if checked is None and (until is not None or good):
            row.refuse(
                "checked", text("given where the outcome of a check is"), text("write the day of the check")
            )
        elif checked is not None and not row.cell("good"):
            row.refuse("good", text("yes or no, as it was checked"), text("write the outcome of the check"))
        if name is not None:
            yield _instrument(row, name, coming, checked=checked, good=good, until=until)


def _instrument(
    row: Row, name: str, coming: Coming, *, checked: date | None, good: bool, until: date | None
) -> Change:
    tool = coming.view.state.tool(name)
    events: list[dict[str, Any]] = []
    if tool is None:
        events.append({"kind": "registered", "item": name, "data": {"what": "instrument"}})
    after: dict[str, Any] = {}
    if checked is not None:
        last = None if until is None else until.isoformat()
        after = {"checked": checked.isoformat(), "good": good, "until": last}
        data = {"instrument": name, "good": good, **({} if last is None else {"until": last})}
        events.append({"kind": "calibrated", "event_time": coming.noon(checked), "data": data})
    old = None
    if tool is not None:
        check = max(tool.checks, key=lambda one: one.sequence, default=None)
        old = {} if check is None else {
            "checked": local_date(check.time, coming.view.zone).isoformat(), "good": check.good, "until": check.until,
        }  # fmt: skip
    return _change(row, name, old, after=after, events=events)


def _once(rows: Sequence[Row], column: str) -> Iterator[Row]:
    """The rows whose id did not come before; one that comes twice is told."""
    seen: dict[str, int] = {}
    for row in rows:
        name = row.cell(column)
        if name in seen:
            row.refuse(column, text("named once; {word} {n} has it too", word=row.word, n=seen[name]),
                       text("give each its own"))  # fmt: skip
            continue
        seen[name] = row.line
        yield row


@dataclass(frozen=True, slots=True)
class Way:
    """How a table comes in."""

    columns: Columns
    changes: Callable[[Sequence[Row], Coming], Iterator[Change]]


WAYS: Final[Mapping[str, Way]] = {
    "orders": Way(ORDERS, _order_changes),
    "lots": Way(LOTS, _lot_changes),
    "parts": Way(PARTS, _part_changes),
    "purchases": Way(PURCHASES, _purchase_changes),
    "items": Way(ITEMS, _item_changes),
    "people": Way(PEOPLE, _people_changes),
    "qualifications": Way(QUALIFICATIONS, _qualification_changes),
    "instruments": Way(INSTRUMENTS, _instrument_changes),
}
