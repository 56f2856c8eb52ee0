"""How early each task can be at best: calendars and waits count, everything else is free.

What comes out is a lower bound of every plan: no unit, crew, pool or setup is ever in the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pairwright.plan.calendar import NEVER
from pairwright.plan.problem import Problem
from pairwright.plan.seek import when

PASSES: Final = 60


@dataclass(slots=True)
class Earliest:
    """Lower bounds of start and end of each task, and of the end of each set. [min]"""

    start: list[int]
    end: list[int]
    set_end: list[int]


def earliest(problem: Problem) -> Earliest:
    """Push all tasks forward until nothing moves any more; stopping early is still a bound."""
    n = problem.tasks
    found = Earliest([0] * n, [0] * n, [0] * len(problem.set_ids))
    floor_end = [0] * n
    floor_start = list(problem.release)
    ranges = _set_ranges(problem)
    for first, beyond in ranges:
        for _ in range(PASSES):
            for task in range(first, beyond):
                found.start[task], found.end[task] = soonest(
                    problem, found.end, task=task, at=floor_start[task], end_at=floor_end[task]
                )
            if not _raise_floors(problem, found, floor_start, floor_end, first, beyond):
                break
        for task in range(first, beyond):
            number = problem.set_of[task]
            found.set_end[number] = max(found.set_end[number], found.end[task])
    return found


def soonest(problem: Problem, ends: list[int], *, task: int, at: int, end_at: int) -> tuple[int, int]:
    """Least start and least end of a task over its ways, each for itself."""
    least_start = least_end = NEVER
    for way in range(problem.way_from[task], problem.way_from[task + 1]):
        early = at
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            lag = max(problem.pre_least[row], _brought(problem, row, way))
            early = max(early, ends[problem.pre_task[row]] + lag)
        station = problem.way_station[way]
        minutes = problem.way_minutes[way]
        if station < 0:
            start = max(early, end_at - minutes)
            end = start + minutes
        else:
            if not problem.pause[task]:
                early = max(early, end_at - minutes)
            start, end = when(
                problem, problem.shop.times[problem.way_time[way]], task=task, way=way, at=early
            )
            end = max(end, end_at)
        least_start = min(least_start, start)
        least_end = min(least_end, end)
    return least_start, least_end


def _brought(problem: Problem, row: int, way: int) -> int:
    """The least transport time from any way of the task before; 0 where an area is not certain."""
    area = problem.way_area[way]
    if area < 0 or not problem.pre_brought[row]:
        return 0
    before = problem.pre_task[row]
    areas = [problem.way_area[w] for w in range(problem.way_from[before], problem.way_from[before + 1])]
    if not areas or min(areas) < 0:
        return 0
    return min(problem.shop.transport[a][area] for a in areas)


def _raise_floors(
    problem: Problem, found: Earliest, floor_start: list[int], floor_end: list[int], first: int, beyond: int
) -> bool:
    """What longest waits and mates ask of earlier tasks; whether anything rose."""
    rose = False
    for task in range(first, beyond):
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            longest = problem.pre_longest[row]
            before = problem.pre_task[row]
            if longest >= 0 and found.start[task] - longest > found.end[before]:
                floor_end[before] = found.start[task] - longest
                rose = True
        mate = problem.mate[task]
        if mate >= 0 and found.start[mate] - problem.mate_within[task] > found.start[task]:
            floor_start[task] = found.start[mate] - problem.mate_within[task]
            rose = True
    return rose


def _set_ranges(problem: Problem) -> list[tuple[int, int]]:
    """Tasks of a set lie side by side: first and beyond of each."""
    ranges: list[tuple[int, int]] = []
    first = 0
    for task in range(1, problem.tasks + 1):
        if task == problem.tasks or problem.set_of[task] != problem.set_of[first]:
            ranges.append((first, task))
            first = task
    return ranges
