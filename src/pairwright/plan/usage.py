"""How full stations and buffers were in a finished plan."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from pairwright.plan.calendar import WorkingTime
from pairwright.plan.emit import needed_setups
from pairwright.plan.problem import Problem
from pairwright.plan.shop import Shop
from pairwright.plan.state import State


@dataclass(frozen=True, slots=True)
class Usage:
    """Of each station the minutes there were, worked and blocked; of each buffer minutes by level."""

    available: list[float]
    busy: list[float]
    blocked: list[float]
    levels: list[dict[int, int]]


def usage(problem: Problem, state: State, *, end: int) -> Usage:
    """From minute 0 to `end`. Setups count as work; a place kept after the work counts as blocked."""
    shop = problem.shop
    stations = len(shop.station_ids)
    hours = [hours_of_station(shop, station) for station in range(stations)]
    available: list[float] = []
    for station, time in enumerate(hours):
        places = shop.unit_from[station + 1] - shop.unit_from[station]
        available.append(float(places * (worked(time, end) if time is not None else end)))
    busy = [0.0] * stations
    blocked = [0.0] * stations
    counted: set[int] = set()
    setups = needed_setups(problem, state)
    for task in range(problem.tasks):
        if state.unit[task] < 0:
            continue
        batch = state.batch[task]
        if batch >= 0 and batch in counted:
            continue
        counted.add(batch)
        station = problem.way_station[state.way[task]]
        time = hours[station]
        start, done, freed = state.start[task], state.end[task], state.freed[task]
        start = setups.start.get(task, start)
        if time is None:
            busy[station] += done - start
            blocked[station] += freed - done
        else:
            busy[station] += worked(time, done) - worked(time, start)
            blocked[station] += worked(time, freed) - worked(time, done)
    return Usage(available, busy, blocked, buffer_levels(problem, state, end=end))


def hours_of_station(shop: Shop, station: int) -> WorkingTime | None:
    """Hours of a manned station; None: what runs unattended may run at any time."""
    return shop.times[shop.working(station, -1)] if shop.manned[station] else None


def worked(time: WorkingTime, at: int) -> int:
    """Working minutes before a moment."""
    i = bisect_right(time.starts, at) - 1
    if i < 0:
        return 0
    return time.before[i] + min(at, time.ends[i]) - time.starts[i]


def buffer_levels(problem: Problem, state: State, *, end: int) -> list[dict[int, int]]:
    """Of each pool the minutes spent at each number of places taken, stays only."""
    task_of = {n: t for t, numbers in enumerate(problem.task_operations) for n in numbers}
    edges: list[list[tuple[int, int]]] = [[] for _ in problem.shop.places]
    for hold, number in enumerate(problem.hold_operation):
        closer = problem.hold_close[hold]
        if closer < 0 or problem.hold_at_end[hold]:
            continue
        task = task_of[number]
        begin = state.start[task] if state.unit[task] < 0 else state.end[task]
        need = problem.hold_need[hold]
        edges[problem.hold_pool[hold]].extend(((begin, need), (state.start[closer], -need)))
    levels: list[dict[int, int]] = []
    for pool in edges:
        found: dict[int, int] = {}
        level = at = 0
        for moment, change in [*sorted(pool), (end, 0)]:
            if moment > at:
                found[level] = found.get(level, 0) + moment - at
            at = max(at, moment)
            level += change
        levels.append(found)
    return levels
