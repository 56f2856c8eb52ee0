"""A plan made of what stayed and what was placed around it: operations, dates, bound, what moved."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from pairwright.base.time import MINUTE
from pairwright.base.words import Text, text
from pairwright.plan.emit import completions, numbered, order_dates
from pairwright.plan.forecast import candidate_of
from pairwright.plan.freezing import Found
from pairwright.plan.kept import Keeping
from pairwright.plan.live import Live, Move
from pairwright.plan.problem import Problem
from pairwright.plan.schedule import OBJECTIVES, Operation, Schedule, gap_of
from pairwright.plan.state import State
from pairwright.works.definition import Works


def moves_of(
    names: list[str], found: Found, keeping: Keeping, affected: Collection[int]
) -> tuple[tuple[Move, ...], int]:
    """Operations that begin at another time, by planned start; and how many had no reason to."""
    problem = keeping.problem
    moves: list[Move] = []
    unaffected = 0
    origin = problem.shop.origin
    for task, place in sorted(keeping.places.items(), key=lambda row: (row[1].start, row[0])):
        if task in keeping.begun or task in keeping.void:
            continue
        numbers = problem.task_operations[task]
        unaffected += 0 if task in affected else len(numbers)
        start = found.state.start[task]
        if start != place.start:
            moves += [
                Move(names[n], origin + MINUTE * place.start, origin + MINUTE * start, task in affected)
                for n in numbers
            ]
    return tuple(moves), unaffected


def schedule_of(
    works: Works, found: Found, names: list[str], keeping: Keeping, like: Schedule, live: Live
) -> Schedule:
    """Everything that stayed and was placed, as a plan."""
    problem, state, score = found.problem, found.state, found.score
    operations = _operations(problem, state, names, keeping)
    kind = like.objective_kind
    bound = min(_bound(problem, keeping, kind), score.first)
    return replace(
        like, revision=works.revision, now=live.now,
        status="optimal" if score.first <= bound else "feasible",
        objective=score.first,
        objectives=tuple(zip(OBJECTIVES[kind], (score.first, score.flow, score.setups), strict=True)),
        lower_bound=bound, gap=gap_of(score.first, bound),
        makespan_end=max((op.end for op in operations), default=live.now),
        orders=order_dates(problem, completions(problem, state)), operations=operations,
        reasons=(), notes=_notes(problem, names, state, keeping), verified=None,
        rank=tuple(zip(problem.set_ids, candidate_of(problem, like).rank, strict=True)),
        release=_release(problem, state, like),
    )  # fmt: skip


def _operations(problem: Problem, state: State, names: list[str], keeping: Keeping) -> tuple[Operation, ...]:
    """Every operation under its name; what was lost with a piece counts as rework."""
    made = numbered(problem, state)
    found: list[Operation] = []
    for task, numbers in enumerate(problem.task_operations):
        if task in keeping.void:
            continue
        for number in numbers:
            op, name = made[number], names[number]
            found.append(op if op.id == name else replace(op, id=name, rework=True))
    return tuple(sorted(found, key=lambda op: (op.start, op.id)))


def _bound(problem: Problem, keeping: Keeping, kind: str) -> float:
    """A value that no way to carry on can beat: steps in order, as if everything were always free."""
    ends = [0] * problem.tasks
    for task in range(problem.tasks):
        if task in keeping.begun:
            ends[task] = keeping.begun[task].end
            continue
        at = max(keeping.now, problem.release[task])
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            at = max(at, ends[problem.pre_task[row]] + problem.pre_least[row])
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        least = min((problem.way_minutes[way] for way in ways), default=0)
        ends[task] = at if task in keeping.void else at + least
    done = [0] * len(problem.order_ids)
    for task, end in enumerate(ends):
        order = problem.set_order[problem.set_of[task]]
        done[order] = max(done[order], end)
    if kind == "makespan":
        return float(MINUTE * (max(done, default=keeping.now) - keeping.now))
    origin = problem.shop.origin
    rows = zip(done, problem.order_due, problem.order_weight, strict=True)
    return sum(weight * max(0, origin + MINUTE * end - due) for end, due, weight in rows)


def _release(problem: Problem, state: State, like: Schedule) -> tuple[tuple[str, int], ...]:
    """Items held back: as before, and new ones until they begin, so that a forecast follows this plan."""
    found = dict(like.release)
    ranked = dict(like.rank)
    for task, numbers in enumerate(problem.task_operations):
        operation = problem.operations[numbers[0]]
        if operation.facts.index == 0 and problem.set_ids[operation.set] not in ranked:
            found[operation.item] = problem.shop.origin + MINUTE * state.start[task]
    return tuple(found.items())


def _notes(problem: Problem, names: list[str], state: State, keeping: Keeping) -> tuple[Text, ...]:
    """Longest waits behind what has begun that can't be kept any more."""
    found: list[Text] = []
    for task in range(problem.tasks):
        if task in keeping.begun or task in keeping.void:
            continue
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other, longest = problem.pre_task[row], problem.pre_longest[row]
            gap = state.start[task] - state.end[other]
            if other in keeping.begun and 0 <= longest < gap:
                found.append(
                    text("{operation} can no longer follow {before} in time: judge the piece before it goes on",
                         operation=names[problem.task_operations[task][0]],
                         before=names[problem.task_operations[other][0]])
                )  # fmt: skip
    return tuple(found)


def pin_texts(names: list[str], problem: Problem, pins: Iterable[int]) -> tuple[Text, ...]:
    """Pins that can't be kept, in words."""
    return tuple(
        text(
            "{operation} is pinned and can't stay where it is", operation=names[problem.task_operations[t][0]]
        )
        for t in pins
    )


def no_plan(works: Works, like: Schedule, live: Live, reasons: tuple[Text, ...]) -> Schedule:
    """No plan: pins that can't be kept are proof, anything else is not."""
    return replace(
        like, revision=works.revision, now=live.now, status="infeasible" if reasons else "unknown", objective=0.0,
        objectives=tuple((name, 0.0) for name, _ in like.objectives), lower_bound=0.0, gap=None,
        makespan_end=live.now, orders=tuple(replace(o, completion=live.now, late=0) for o in like.orders),
        operations=(), reasons=reasons, notes=(), verified=None, supply=None,
    )  # fmt: skip


def uses_away(works: Works, operations: Iterable[Operation], live: Live) -> dict[str, int]:
    """Operations that lie where the tooling of their setup family is away, and when it is back. [s]"""
    found: dict[str, int] = {}
    for one in live.away:
        if one.count:
            continue
        for op in operations:
            step = works.variants[op.product, op.option].parts[op.part].steps[op.index]
            if (
                step.setup == one.name
                and op.id not in live.begun
                and op.start < one.end
                and one.start < op.end
            ):
                found[op.id] = max(found.get(op.id, 0), one.end)
    return found
