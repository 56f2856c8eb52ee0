"""Stations and crews as machines of a bound: who has to be there, for how long, in what hours."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field

from pairwright.plan.calendar import NEVER, WorkingTime, flat
from pairwright.plan.earliest import Earliest
from pairwright.plan.machine import usable
from pairwright.plan.problem import Problem
from pairwright.plan.shop import BATCH, LINE, SINGLE


@dataclass(slots=True)
class Resource:
    """A station or crew with the tasks that nobody else can do."""

    name: str
    time: WorkingTime
    tasks: list[int] = field(default_factory=list)
    work: list[float] = field(default_factory=list)  # shared among all places [min]
    changes: float = 0.0  # setups that can't be avoided [min]
    shrunk: WorkingTime | None = None  # hours that work without setups can really fill


def resources(problem: Problem, at_best: Earliest) -> Iterator[Resource]:
    """Every station and crew that has work of its own."""
    only_station, only_crew = _owners(problem)
    for station in range(len(problem.shop.station_ids)):
        tasks = [t for t, s in enumerate(only_station) if s == station]
        if tasks:
            yield _station(problem, at_best, station, tasks)
    for crew, name in enumerate(problem.shop.crew_ids):
        tasks = [t for t, c in enumerate(only_crew) if c == crew]
        if tasks:
            yield _crew(problem, crew, name, tasks)


def _owners(problem: Problem) -> tuple[list[int], list[int]]:
    """Of each task the only station and the only crew that can do it; -1: there are several or none."""
    stations: list[int] = []
    crews: list[int] = []
    for task in range(problem.tasks):
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        at = {problem.way_station[w] for w in ways}
        by = {problem.way_crew[w] if problem.way_people[w] else -1 for w in ways}
        stations.append(at.pop() if len(at) == 1 else -1)
        crews.append(by.pop() if len(by) == 1 else -1)
    return stations, crews


def _least(problem: Problem, task: int) -> int:
    return min(problem.way_minutes[w] for w in range(problem.way_from[task], problem.way_from[task + 1]))


def _station(problem: Problem, at_best: Earliest, station: int, tasks: list[int]) -> Resource:
    shop = problem.shop
    places = shop.unit_from[station + 1] - shop.unit_from[station]
    minutes = [_least(problem, t) for t in tasks]
    load = [problem.load[t] / shop.capacity[station] for t in tasks]
    if shop.kind[station] == SINGLE:
        work = [m / places for m in minutes]
    else:
        work = [m * share / places for m, share in zip(minutes, load, strict=True)]
        if shop.kind[station] == LINE and shop.pitch[station] <= min(minutes):
            entries = [shop.pitch[station] * share for share in load]
            work = entries if sum(entries) > sum(work) else work
    if not shop.manned[station]:
        return Resource(shop.station_ids[station], flat([(0, shop.horizon)]), tasks, work)
    ways = {problem.way_time[w] for t in tasks for w in _ways(problem, t)}
    time = shop.times[ways.pop()] if len(ways) == 1 else shop.times[shop.working(station, -1)]
    found = Resource(shop.station_ids[station], time, tasks, work, _changes(problem, station, tasks, places))
    if shop.kind[station] == SINGLE and not any(problem.pause[t] for t in tasks):
        heads = [at_best.start[t] for t in tasks]
        ends = _reachable_ends(problem, time, tasks)
        found.shrunk = usable(time, heads, minutes=_all_minutes(problem, tasks), last_end=ends)
    return found


def _ways(problem: Problem, task: int) -> range:
    return range(problem.way_from[task], problem.way_from[task + 1])


def _all_minutes(problem: Problem, tasks: list[int]) -> list[int]:
    return sorted({problem.way_minutes[w] for t in tasks for w in _ways(problem, t)})


def _changes(problem: Problem, station: int, tasks: list[int], places: int) -> float:
    """Setups between families that must come, shared among the places. [min]"""
    row = problem.shop.setup_of[station]
    families = sorted({problem.family[t] for t in tasks} - {-1})
    if row < 0 or len(families) <= places:
        return 0.0
    matrix = problem.shop.setup_times[row]
    least = min(matrix[a + 1][b] for a in families for b in families if a != b)
    return least * (len(families) - places) / places


def _crew(problem: Problem, crew: int, name: str, tasks: list[int]) -> Resource:
    shop = problem.shop
    people = shop.people[crew]
    work: list[float] = []
    for task in tasks:
        asked = min(problem.way_people[w] * problem.way_minutes[w] for w in _ways(problem, task))
        stations = {problem.way_station[w] for w in _ways(problem, task)}
        batched = all(shop.kind[s] in (BATCH, LINE) for s in stations)
        share = min(problem.load[task] / shop.capacity[s] for s in stations) if batched else 1.0
        mixed = not batched and any(shop.kind[s] in (BATCH, LINE) for s in stations)
        work.append(0.0 if mixed else asked * share / people)
    calendar = shop.works.factory.crews[name].calendar
    return Resource(name, flat(shop.calendars[calendar]), tasks, work)


def _reachable_ends(problem: Problem, time: WorkingTime, tasks: list[int]) -> list[int]:
    """For each working interval the latest end from which the next step begins in time.

    Only where every task of the station has such a next step, or an end could lie anywhere.
    """
    latest = [0] * len(time.ends)
    later = _tight_next(problem, set(tasks))
    kinds: set[tuple[int, int, int, int]] = set()
    for task in tasks:
        if task not in later:
            return list(time.ends)
        kinds.add(later[task])
    for n, (start, end) in enumerate(zip(time.starts, time.ends, strict=True)):
        latest[n] = max((_latest_end(problem, kind, start, end) for kind in kinds), default=end)
    return latest


def _tight_next(problem: Problem, tasks: set[int]) -> dict[int, tuple[int, int, int, int]]:
    """Of each task its next step's way, time index, least and longest wait; only a single way counts."""
    found: dict[int, tuple[int, int, int, int]] = {}
    for task in range(problem.tasks):
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            before = problem.pre_task[row]
            ways = _ways(problem, task)
            if before in tasks and problem.pre_longest[row] >= 0 and len(ways) == 1:
                way = ways[0]
                if problem.way_station[way] >= 0:
                    length = _first_piece(problem, task, way)
                    found[before] = (problem.way_time[way], length, problem.pre_least[row],
                                     problem.pre_longest[row])  # fmt: skip
    return found


def _first_piece(problem: Problem, task: int, way: int) -> int:
    """How much working time must be left in the interval in which the task begins. [min]"""
    if not problem.shop.manned[problem.way_station[way]] or problem.pause[task]:
        return 1
    return problem.way_minutes[way]


def _latest_end(problem: Problem, kind: tuple[int, int, int, int], start: int, end: int) -> int:
    """The latest moment in (start, end] from which a next step can begin between its waits."""
    time_index, length, least, longest = kind
    time = problem.shop.times[time_index]
    i = bisect_left(time.ends, end + least + length)
    if i < len(time.ends) and max(time.starts[i], end + least) + length <= time.ends[i]:
        begin = max(time.starts[i], end + least)
        if begin <= end + longest:
            return end
    for j in range(min(i, len(time.ends) - 1), -1, -1):
        begin = time.ends[j] - length
        if begin < time.starts[j] or begin - least > end:
            continue
        return max(start, min(end, begin - least)) if begin - least > start else start
    return start if time.ends else NEVER
