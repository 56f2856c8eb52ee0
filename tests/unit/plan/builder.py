"""Tiny works for the plan's tests: a few lines of table each, times straight from the steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from pairwright.base.words import text
from pairwright.plan import Operation, Schedule, make_plan
from pairwright.works.definition import ProductLine, Works
from pairwright.works.factory import Factory
from pairwright.works.orders import Book, Order, PartStock
from pairwright.works.product import Product
from pairwright.works.record import Times
from pairwright.works.steptime import StepTime

ZONE: Final = "UTC"
MONDAY: Final = date(2027, 3, 1)
NOW: Final = int(datetime(2027, 3, 1, 6, tzinfo=ZoneInfo(ZONE)).timestamp())
DAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ALWAYS: Final = {"always": True}
EIGHT_HOURS: Final = {"week": {d: ["06:00-14:00"] for d in DAYS[:5]}}
WITH_BREAK: Final = {"week": {d: ["06:00-10:00", "10:30-14:30"] for d in DAYS[:5]}}


def step(id: str, station: str | Sequence[str] | None, minutes: float, **more: Any) -> dict[str, Any]:
    """One step with a fixed time; `minutes` may be (low, likely, high)."""
    names = [] if station is None else [station] if isinstance(station, str) else list(station)
    times = minutes if isinstance(minutes, tuple) else (minutes,) * 3
    duration = dict(zip(("low", "likely", "high"), (f"{m} min" for m in times), strict=True))
    lasting = {k: f"{v} min" for k, v in more.items() if k in ("next_min", "next_max", "mates_within")}
    return {"id": id, "kind": "build", "stations": names, "duration": duration, **more, **lasting}


def part(*steps: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A part with its route."""
    return {"name": "part", "steps": list(steps), **more}


def single(
    id: str, *steps: dict[str, Any], parts: Mapping[str, Any] | None = None, **more: Any
) -> dict[str, Any]:
    """A product of one item."""
    return {"id": id, "kind": "single", "binding": "none", "parts": {"body": part(*steps), **(parts or {})},
            **more}  # fmt: skip


def pair(
    id: str, *steps: dict[str, Any], parts: Mapping[str, Any] | None = None, early: bool = False, **more: Any
) -> dict[str, Any]:
    """A product of two halves."""
    bound = {"binding": "early", "handed": True} if early else {"binding": "late"}
    return {"id": id, "kind": "pair", **bound, "parts": {"body": part(*steps), **(parts or {})}, **more}


def works_of(
    *products: dict[str, Any],
    stations: Mapping[str, Mapping[str, Any]],
    calendars: Mapping[str, Any] | None = None,
    options: Sequence[str] = ("plain",),
    zone: str = ZONE,
    **factory: Any,
) -> Works:
    """A works from tables; every station works always and unmanned rules are as in the records."""
    made = Factory.model_validate(
        {
            "name": "Small works",
            "time_zone": zone,
            "climate": {"temperature": "293 K", "humidity": 0.5},
            "calendars": {"always": ALWAYS, **(calendars or {})},
            "stations": {
                name: {"name": name, "calendar": "always", **table} for name, table in stations.items()
            },
            **factory,
        }
    )
    variants: dict[tuple[str, str], Product] = {}
    lines: dict[str, ProductLine] = {}
    for table in products:
        for option in options:
            body = {"name": table["id"], "root": "body", **table, "option": option, "option_name": option}
            variants[table["id"], option] = Product.model_validate(body)
        lines[table["id"]] = ProductLine(table["id"], table["id"], table["kind"], False, {})
    return Works(made, {}, lines, variants, {}, "0" * 64)


def book_of(*orders: Order | tuple[str, int] | str, parts: Sequence[PartStock] = ()) -> Book:
    """Orders of products, numbered A, B, C ..., due on the first day where nothing else is said."""
    made: list[Order] = []
    for n, order in enumerate(orders):
        if isinstance(order, Order):
            made.append(order)
            continue
        product, quantity = (order, 1) if isinstance(order, str) else order
        made.append(Order(chr(ord("A") + n), product, "plain", quantity, MONDAY))
    return Book(orders=tuple(made), parts=tuple(parts))


def times_of(works: Works) -> tuple[StepTime, ...]:
    """Times as the steps state them, for each of their stations."""
    found: list[StepTime] = []
    for (name, option), product in works.variants.items():
        for part_name, record in product.parts.items():
            for one in record.steps:
                stations: list[tuple[str | None, Times]] = [
                    (a.station, a.duration if isinstance(a.duration, Times) else one.duration)  # type: ignore[misc]
                    for a in one.stations
                ]
                for station, times in stations or [(None, one.duration)]:  # type: ignore[list-item]
                    found.append(
                        StepTime(name, option, part_name, one.id, station, times.low, times.likely, times.high,
                                 False, text("stated"))
                    )  # fmt: skip
    return tuple(found)


def plan_of(
    works: Works, book: Book, *, objective: str = "makespan", effort: int = 30, **more: Any
) -> Schedule:
    """A plan with times as stated."""
    return make_plan(works, book, times=times_of(works), now=more.pop("now", NOW), objective=objective, effort=effort,
                     **more)  # fmt: skip


def minutes_of(schedule: Schedule) -> dict[str, tuple[int, int]]:
    """Start and end of each operation in minutes from now, by item/step."""
    return {
        op.id: ((op.start - schedule.now) // 60, (op.end - schedule.now) // 60) for op in schedule.operations
    }


def operation(schedule: Schedule, id: str) -> Operation:
    """One operation."""
    return next(op for op in schedule.operations if op.id == id)


def length_of(schedule: Schedule) -> int:
    """Minutes from now to the last end."""
    return (schedule.makespan_end - schedule.now) // 60
