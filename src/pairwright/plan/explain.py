"""Why a plan could not go on: who waits for what, in words."""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Text, text
from pairwright.plan.decode import Decoded
from pairwright.plan.problem import Problem

MOST: Final = 6


def who_waits(problem: Problem, decoded: Decoded) -> tuple[Text, ...]:
    """Of each pool that is full for ever: who holds it, and who waits for it."""
    waiting: dict[int, list[str]] = {}
    for block, pool in decoded.locked:
        task = problem.block_task[problem.block_from[block]]
        waiting.setdefault(pool, []).append(_name(problem, task))
    said: list[Text] = []
    for pool, names in sorted(waiting.items()):
        holders = sorted(_holders(problem, decoded, pool))
        said.append(
            text(
                "{pool} is full ({places} places): held by {holders}; waited for by {waiting}",
                pool=problem.shop.pool_ids[pool],
                places=problem.shop.places[pool],
                holders=_listed(holders),
                waiting=_listed(names),
            )
        )
    return tuple(said)


def _holders(problem: Problem, decoded: Decoded, pool: int) -> set[str]:
    """Items that keep a place of the pool and whose next step is not placed."""
    state = decoded.state
    found: set[str] = set()
    for hold, opener in enumerate(problem.hold_open):
        closer = problem.hold_close[hold]
        if problem.hold_pool[hold] != pool or closer < 0 or state.start[opener] < 0:
            continue
        if state.start[closer] < 0:
            found.add(problem.operations[problem.hold_operation[hold]].item)
    return found


def _name(problem: Problem, task: int) -> str:
    operation = problem.operations[problem.task_operations[task][0]]
    return f"{operation.item}/{operation.facts.step.id}"


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:MOST])
    return shown if len(names) <= MOST else f"{shown}, …"
