"""Holding items back: begun so late that they come just in time, work in process is less."""

from __future__ import annotations

from typing import Final

from pairwright.plan.problem import Problem
from pairwright.plan.state import State
from pairwright.plan.usage import usage

FULL: Final = 0.5


def latest_starts(problem: Problem, state: State) -> list[int]:
    """How late each task could start if every set ended as it does; resources not counted. [min]"""
    last_end = [0] * len(problem.set_ids)
    for task in range(problem.tasks):
        number = problem.set_of[task]
        last_end[number] = max(last_end[number], state.end[task])
    latest_end = [last_end[problem.set_of[task]] for task in range(problem.tasks)]
    latest = [0] * problem.tasks
    for task in range(problem.tasks - 1, -1, -1):
        latest[task] = max(state.start[task], latest_end[task] - (state.end[task] - state.start[task]))
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            before = problem.pre_task[row]
            latest_end[before] = min(latest_end[before], latest[task] - problem.pre_least[row])
    return latest


def held_back(
    problem: Problem, state: State, *, days: int, blame: tuple[float, ...] = ()
) -> tuple[tuple[int, int], ...]:
    """Earliest starts for the first tasks of items, so many days before they would be too late.

    What passes a station that is used for more than half of its time is not held back: work that
    such a station misses is missed by everything after it. Nor is an order that is to blame.
    """
    latest = latest_starts(problem, state)
    spared = _at_full_stations(problem, state)
    found: list[tuple[int, int]] = []
    for task in range(problem.tasks):
        if any(problem.pre_next[r] for r in range(problem.pre_from[task], problem.pre_from[task + 1])):
            continue
        at = latest[task] - days * 1440
        operation = problem.operations[problem.task_operations[task][0]]
        blamed = bool(blame) and blame[problem.set_order[problem.set_of[task]]] > 0
        if at > state.start[task] and operation.item not in spared and not blamed:
            found.append((task, at))
    return tuple(found)


def _at_full_stations(problem: Problem, state: State) -> set[str]:
    """Items with a step at a station that is used for more than half of its time."""
    used = usage(problem, state, end=max(state.end, default=0))
    full = {
        station
        for station, (busy, there) in enumerate(zip(used.busy, used.available, strict=True))
        if busy > FULL * there
    }
    return {
        problem.operations[number].item
        for task, numbers in enumerate(problem.task_operations)
        if problem.way_station[state.way[task]] in full
        for number in numbers
    }
