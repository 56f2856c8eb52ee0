"""A schedule with its operations found by item, set, order and place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pairwright.base.time import MINUTE
from pairwright.plan.calendar import common, expand, merged, stops_of, without
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation, Schedule

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Planned:
    """A schedule, looked up by what a book asks for; every list is in order of start."""

    works: Works
    schedule: Schedule
    items: Mapping[str, tuple[Operation, ...]]
    sets: Mapping[str, tuple[Operation, ...]]
    orders: Mapping[str, tuple[Operation, ...]]
    stations: Mapping[str, tuple[Operation, ...]]

    @property
    def now(self) -> int:
        """The moment the plan begins. [s]"""
        return int(self.schedule.now)

    @property
    def end(self) -> int:
        """The end of the last operation. [s]"""
        return max((op.end for op in self.schedule.operations), default=self.now)


def planned(works: Works, schedule: Schedule) -> Planned:
    """Sort a schedule's operations into lookups."""
    items: dict[str, list[Operation]] = {}
    sets: dict[str, list[Operation]] = {}
    orders: dict[str, list[Operation]] = {}
    stations: dict[str, list[Operation]] = {}
    for op in sorted(schedule.operations, key=lambda o: (o.start, o.end, o.id)):
        items.setdefault(op.item, []).append(op)
        sets.setdefault(op.set, []).append(op)
        orders.setdefault(op.order, []).append(op)
        if op.station is not None:
            stations.setdefault(op.station, []).append(op)
    return Planned(
        works, schedule,
        {k: tuple(v) for k, v in items.items()}, {k: tuple(v) for k, v in sets.items()},
        {k: tuple(v) for k, v in orders.items()}, {k: tuple(v) for k, v in stations.items()},
    )  # fmt: skip


def pieces_of(op: Operation) -> list[Span]:
    """When an operation is worked: its pieces, else all of it. [s]"""
    return [(int(a), int(b)) for a, b in op.pieces] if op.pieces else [(op.start, op.end)]


def working_time(works: Works, station: str, *, begin: int, end: int) -> list[Span]:
    """When a station can be worked: its calendar and its crew's, less its maintenance. [s]"""
    if end <= begin:
        return []
    factory, zone = works.factory, works.zone
    place = factory.stations[station]
    horizon = -(-(end - begin) // MINUTE)
    open_ = expand(factory.calendars[place.calendar], zone, origin=begin, horizon=horizon)
    if place.manned and place.crew in factory.crews:
        crew = factory.calendars[factory.crews[place.crew].calendar]
        open_ = common(open_, expand(crew, zone, origin=begin, horizon=horizon))
    open_ = without(open_, stops_of(place.maintenance, zone, origin=begin, horizon=horizon))
    return [(begin + a * MINUTE, begin + b * MINUTE) for a, b in open_]


def overlap(spans: list[Span], begin: int, *, end: int) -> int:
    """How much of [begin, end) lies in the spans, which do not overlap each other. [s]"""
    return sum(max(0, min(b, end) - max(a, begin)) for a, b in spans)


def union(spans: list[Span]) -> list[Span]:
    """The spans as sorted intervals that do not touch."""
    return merged(spans)
