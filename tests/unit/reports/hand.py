"""A plan of the small works made by hand, as records, for the tests of what a book says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pairwright.base.time import parse_instant
from pairwright.plan.schedule import Operation, OrderDates, Schedule, Stay
from pairwright.works import Works

NOW = parse_instant("2027-03-01T06:00:00+01:00")
MINUTE = 60
HOUR = 3600


def at(minute: int) -> int:
    """UTC seconds of a minute after the opening."""
    return NOW + minute * MINUTE


def op(
    item: str,
    part: str,
    step: str,
    *,
    index: int,
    start: int,
    end: int,
    station: str | None = None,
    **more: Any,
) -> Operation:
    """An operation from minute to minute."""
    order = item.partition("-")[0]
    side = next((s for s in ("left", "right") if f".{s}" in item), None)
    tern = order == "T1"
    return Operation(
        f"{item}#{index}", order, f"{order}-1", item, side, "tern" if tern else "wren", "ash" if tern else "oak",
        part, step, index, at(start), at(end), station=station, unit=None if station is None else more.pop("unit", 0),
        crew="makers" if station in ("press", "bench", "packing") else None, **more,
    )  # fmt: skip


def half(side: str, *, lag: int = 0) -> list[Operation]:
    """One half of the pair, its shell first, so many minutes later than it could be."""
    item = f"T1-1.{side}"
    unit = 0 if side == "left" else 1
    form = 30 if side == "left" else 90
    glue = 155 + lag
    return [
        op(f"{item}.shell", "shell", "form", index=0, start=form, end=form + 60, station="press",
           setup_start=at(0) if side == "left" else None),
        op(item, "cabinet", "glue", index=0, start=glue, end=glue + 20, station="bench", unit=unit,
           uses=(f"{item}.shell",)),
        op(item, "cabinet", "cure", index=1, start=glue + 20, end=glue + 140, station="clamps", unit=unit),
        op(item, "cabinet", "coat", index=2, start=glue + 145, end=glue + 175, station="line", unit=unit),
        op(item, "cabinet", "warm", index=3, start=480, end=540, station="oven", batch="b1"),
        op(item, "cabinet", "harden", index=4, start=540, end=1140, buffer_stays=(Stay("rack", at(540), at(1440)),)),
    ]  # fmt: skip


def schedule(works: Works, *, lag: int = 0, **more: Any) -> Schedule:
    """The pair and the single; the single waits for the press and ends on Tuesday, a day late."""
    operations = [
        *half("left"), *half("right", lag=lag),
        op("T1-1", "cabinet", "pack", index=5, start=1440, end=1470, station="packing"),
        op("W1-1.single", "body", "form", index=0, start=180, end=240, station="press", setup_start=at(150)),
        op("W1-1.single", "body", "pack", index=1, start=1470, end=1500, station="packing"),
    ]  # fmt: skip
    due = {"T1": at(1920), "W1": at(480)}
    end = {"T1": at(1470), "W1": at(1500)}
    orders = tuple(OrderDates(o, due[o], end[o], max(0, end[o] - due[o])) for o in ("T1", "W1"))
    late = float(sum(o.late for o in orders))
    made = Schedule(
        works.revision, NOW, "service", "feasible", late, (("weighted_lateness", late),), late / 2, 1.0, at(1500),
        orders, tuple(operations),
    )  # fmt: skip
    return replace(made, **more)
