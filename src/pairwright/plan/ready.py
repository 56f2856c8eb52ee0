"""Earliest starts of single operations, laid over a problem: what waits for material."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pairwright.base.time import MINUTE
from pairwright.plan.problem import Problem


def held(problem: Problem, ready: Mapping[str, int]) -> Problem:
    """The same problem with the named operations beginning no earlier than stated.

    Parameters
    ----------
    problem : Problem
        The flat arrays.
    ready : Mapping[str, int]
        UTC seconds by operation (item/step); others are left as they are. [s]
    """
    if not ready:
        return problem
    release = list(problem.release)
    for task, numbers in enumerate(problem.task_operations):
        for number in numbers:
            operation = problem.operations[number]
            at = ready.get(f"{operation.item}/{operation.facts.step.id}")
            if at is not None:
                release[task] = max(release[task], -(-(at - problem.shop.origin) // MINUTE))
    return replace(problem, release=release)
