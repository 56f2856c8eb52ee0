"""Tools that wear: changed before their life is over, as stops of their station by date.

The plan is made; where a tool would be used for longer than its life, a change is put before the
operation that would do so, and the same decisions are carried out again around it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Final

from pairwright.base.time import MINUTE, WEEK
from pairwright.base.words import Text, text
from pairwright.plan.calendar import NEVER, advance, common, expand, flat, stops_of, without
from pairwright.plan.schedule import Operation, Schedule, ToolChange
from pairwright.works.definition import Works
from pairwright.works.factory import Maintenance, Station

ROUNDS: Final = 60
SINGLY: Final = 20  # rounds in which each station gets one change more: later ones move with it


@dataclass(frozen=True, slots=True)
class ToolPlanner:
    """How to plan a works, and how to carry out an earlier plan's decisions on it."""

    full: Callable[[Works], Schedule]
    again: Callable[[Works, Schedule], Schedule]


def tooled_plan(works: Works, planner: ToolPlanner) -> Schedule:
    """A plan in which no tool is used beyond its life.

    Parameters
    ----------
    works : Works
        The definition; stations with a `tool` have one that wears.
    planner : ToolPlanner
        How to plan.

    Notes
    -----
    A change once put stays where it is, so where many are needed a tool may be changed somewhat
    early. An operation longer than a tool's life is begun with a fresh one.
    """
    changes: tuple[ToolChange, ...] = ()
    schedule = planner.full(works)
    for turn in range(ROUNDS):
        more = tuple(worn(works, schedule, changes))
        if turn < SINGLY:
            more = tuple(c for n, c in enumerate(more) if c.station not in {m.station for m in more[:n]})
        if not more:
            break
        changes = tuple(sorted((*changes, *more), key=lambda c: (c.start, c.station)))
        schedule = planner.again(with_changes(works, changes), schedule)
    return replace(schedule, tool_changes=changes, notes=(*schedule.notes, *_notes(works, changes)))


def with_changes(works: Works, changes: Iterable[ToolChange]) -> Works:
    """The same works with tool changes as planned stops of their stations."""
    stops: dict[str, list[Maintenance]] = {}
    for change in changes:
        stop = Maintenance.model_construct(
            start=datetime.fromtimestamp(change.start, tz=UTC), length=float(change.end - change.start),
            reason="tool change",
        )  # fmt: skip
        stops.setdefault(change.station, []).append(stop)
    if not stops:
        return works
    stations = {
        name: station.model_copy(update={"maintenance": (*station.maintenance, *stops[name])})
        if name in stops
        else station
        for name, station in works.factory.stations.items()
    }
    return replace(works, factory=works.factory.model_copy(update={"stations": stations}))


def worn(works: Works, schedule: Schedule, changes: Sequence[ToolChange]) -> Iterator[ToolChange]:
    """Changes that are missing: before each operation that would use a tool beyond its life."""
    for name, station in works.factory.stations.items():
        if station.tool is None:
            continue
        done = [c.start for c in changes if c.station == name]
        used = float(station.tool.used)
        before = schedule.now
        for first, begin, minutes in _uses(schedule, name):
            if any(before <= at <= first.start for at in done):
                used = 0.0
            if used > 0 and used + minutes > station.tool.life:
                yield ToolChange(name, begin, _end(works, station, begin))
                used = 0.0
            used += minutes
            before = first.start


def _uses(schedule: Schedule, station: str) -> Iterator[tuple[Operation, int, int]]:
    """Operations at a station in order, a batch once: the first, when it or its setup begins, its work. [s]"""
    seen: set[str] = set()
    for op in sorted(schedule.operations, key=lambda o: (o.start, o.id)):
        if op.station != station or (op.batch is not None and op.batch in seen):
            continue
        if op.batch is not None:
            seen.add(op.batch)
        worked = sum(b - a for a, b in op.pieces) if op.pieces else op.end - op.start
        yield op, op.start if op.setup_start is None else op.setup_start, worked


def _end(works: Works, station: Station, begin: int) -> int:
    """When a change begun at a moment is done: worked in the station's and its crew's hours. [s]"""
    tool = station.tool
    need = -(-round(tool.change if tool is not None else 0.0) // MINUTE)
    origin, zone, factory = begin, works.zone, works.factory
    horizon = 6 * WEEK // MINUTE
    hours = expand(factory.calendars[station.calendar], zone, origin=origin, horizon=horizon)
    if station.crew is not None:
        crew = factory.calendars[factory.crews[station.crew].calendar]
        hours = common(hours, expand(crew, zone, origin=origin, horizon=horizon))
    hours = without(hours, stops_of(station.maintenance, zone, origin=origin, horizon=horizon))
    done = advance(flat(hours), 0, work=need)
    return origin + MINUTE * (done if done < NEVER else need)


def _notes(works: Works, changes: Sequence[ToolChange]) -> Iterator[Text]:
    counted: dict[str, int] = {}
    for change in changes:
        counted[change.station] = counted.get(change.station, 0) + 1
    for name, n in sorted(counted.items()):
        yield text("{station}: its tool is changed {n} times", station=works.factory.stations[name].name, n=n)
