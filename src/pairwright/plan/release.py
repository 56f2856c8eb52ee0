"""Holding items back: begun so late that they come just in time, work in process is less."""

from __future__ import annotations

from pairwright.plan.problem import Problem
from pairwright.plan.state import State


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


def held_back(problem: Problem, state: State, *, percent: int) -> tuple[tuple[int, int], ...]:
    """Earliest starts for the first task of each item: so much of its slack is waited out.

    A made part waits for what uses it; a half waits for what is done to it later.
    """
    latest = latest_starts(problem, state)
    found: list[tuple[int, int]] = []
    for task in range(problem.tasks):
        if any(problem.pre_next[r] for r in range(problem.pre_from[task], problem.pre_from[task + 1])):
            continue
        slack = latest[task] - state.start[task]
        if slack > 0:
            found.append((task, state.start[task] + slack * percent // 100))
    return tuple(found)
