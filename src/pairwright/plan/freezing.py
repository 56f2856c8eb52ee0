"""Placing what is free around what stays, and letting a few others make way where that helps."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from pairwright.base.time import MINUTE
from pairwright.plan.decode import WHOLE, Rules, decode
from pairwright.plan.emit import Score, completions, score_of
from pairwright.plan.fixed import around, copied
from pairwright.plan.forecast import candidate_of
from pairwright.plan.kept import Keeping, Kept, keep
from pairwright.plan.problem import Problem
from pairwright.plan.schedule import Schedule
from pairwright.plan.state import State
from pairwright.plan.trial import Candidate

SHORT: Final = 120  # a window in which nearly the first come goes first [min]
SHARE: Final = 0.05  # of the unaffected operations, so many may begin at another time
ONE_BY_ONE: Final = Rules(window=WHOLE, in_process=1)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan that goes on is to be like.

    `soonest` is an order that is to end as soon as it can; without one the plan's objective chooses.
    With `free` everything that has not begun and is not pinned may move; else at most `share` of the
    unaffected operations, and so many sets are tried that may make way.
    """

    soonest: str | None = None
    free: bool = False
    share: float = 0.0
    tries: int = 0
    way: tuple[int, ...] = ()  # sets that make way without being tried
    push: bool | None = None  # whether all that follows a delay is pushed on; None: whichever is better


@dataclass(frozen=True, slots=True)
class Found:
    """Everything placed, and what it is worth."""

    problem: Problem
    state: State
    score: Score
    rules: Rules


def placed(
    keeping: Keeping, kept: Kept, like: Schedule, *, asked: Asked, last: Collection[int] = (),
    only: Found | None = None,
) -> Found | None:  # fmt: skip
    """The best of a few ways to place what is free.

    Parameters
    ----------
    keeping, kept
        What is known, and what stays.
    like : Schedule
        The earlier plan.
    asked : Asked
        What is wanted.
    last : Collection[int]
        Sets that let all others go first.
    only : Found
        The one way to place, as it was done there.
    """
    problem = keeping.problem
    told = candidate_of(problem, like)
    early = _releases(problem, keeping, kept, told, free=asked.free)
    rank = ranks(problem, like, told, soonest=asked.soonest, last=last)
    best: tuple[tuple[float, ...], Found] | None = None
    for tied in (False, True):
        state = copied(kept.state)
        some = around(problem, state, free=kept.free, tie_holds=tied)
        release = [max(a, b) for a, b in zip(some.release, early, strict=True)]
        for rules in _ways(told, asked.free) if only is None else (only.rules,):
            decoded = decode(some, rank, rules=rules, release=release, state=copied(state))
            if not decoded.complete:
                continue
            one = _worth(problem, decoded.state, like, keeping, rules)
            key = worth_key(one, keeping, asked.soonest)
            if best is None or key < best[0]:
                best = (key, one)
        if asked.free and best is not None:
            break
    if best is None and kept.free and only is None:
        return _one_by_one(keeping, kept, like, rank)
    return None if best is None else best[1]


def _one_by_one(keeping: Keeping, kept: Kept, like: Schedule, rank: list[int]) -> Found | None:
    """The last resort: set after set."""
    problem = keeping.problem
    state = copied(kept.state)
    some = around(problem, state, free=kept.free)
    release = [max(at, keeping.now) for at in some.release]
    decoded = decode(some, rank, rules=ONE_BY_ONE, release=release, state=state)
    return _worth(problem, decoded.state, like, keeping, ONE_BY_ONE) if decoded.complete else None


def ranks(
    problem: Problem,
    like: Schedule,
    told: Candidate,
    *,
    soonest: str | None = None,
    last: Collection[int] = (),
) -> list[int]:
    """Priorities of sets: as they were; a new order goes before what is due later, or before all."""
    known = dict(like.rank)
    old = sorted((n for n, name in enumerate(problem.set_ids) if name in known), key=lambda n: told.rank[n])
    line = [n for n in old if n not in last]
    for n, name in enumerate(problem.set_ids):
        if name in known:
            continue
        order = problem.set_order[n]
        due = problem.order_due[order]
        first = problem.order_ids[order] == soonest
        later = (i for i, o in enumerate(line) if first or problem.order_due[problem.set_order[o]] > due)
        line.insert(next(later, len(line)), n)
    found = [0] * len(problem.set_ids)
    for place, n in enumerate((*line, *(n for n in old if n in last))):
        found[n] = place
    return found


def _ways(told: Candidate, free: bool) -> list[Rules]:
    if free:
        return [told.rules]
    found = [told.rules, Rules(window=SHORT), Rules(window=WHOLE)]
    return [r for n, r in enumerate(found) if r not in found[:n]]


def _releases(problem: Problem, keeping: Keeping, kept: Kept, told: Candidate, *, free: bool) -> list[int]:
    """Earliest starts: never in the past, and not before its planned start where a task has one. [min]"""
    early = [max(at, keeping.now) for at in told.releases(problem)]
    if not free:
        for task in kept.free:
            if task in keeping.loose:
                early[task] = max(problem.release[task], keeping.now)
            elif task in keeping.places:
                early[task] = max(early[task], keeping.places[task].start)
    return early


def _worth(problem: Problem, state: State, like: Schedule, keeping: Keeping, rules: Rules) -> Found:
    now = problem.shop.origin + keeping.now * MINUTE
    score = score_of(problem, state, objective=like.objective_kind, now=now)
    return Found(problem, state, score, rules)


def worth_key(one: Found, keeping: Keeping, soonest: str | None) -> tuple[float, ...]:
    """What is compared: the end of the one order, or the objective and what it moves."""
    if soonest is not None:
        order = one.problem.order_ids.index(soonest)
        return (completions(one.problem, one.state)[order], one.score.flow)
    moved = sum(one.state.start[t] != p.start for t, p in keeping.places.items() if t not in keeping.begun)
    return (one.score.first, moved, one.score.flow, one.score.setups)


def share_moved(found: Found, keeping: Keeping, affected: Collection[int]) -> float:
    """Share of the operations that had no reason to move and begin at another time. [-]"""
    moved = every = 0
    for task, place in keeping.places.items():
        if task not in keeping.begun and task not in keeping.void and task not in affected:
            count = len(found.problem.task_operations[task])
            every += count
            moved += count if found.state.start[task] != place.start else 0
    return moved / every if every else 0.0


# others make way


def improved(
    keeping: Keeping, kept: Kept, like: Schedule, *, asked: Asked, found: Found
) -> tuple[Found, tuple[int, ...]]:
    """Let sets that have time make way for the order that has lost most; answers which did.

    Parameters
    ----------
    keeping, kept, like
        What is known, what stays, and the earlier plan.
    asked : Asked
        With `share` and `tries`.
    found : Found
        What has been found without moving anybody.
    """
    affected = kept.affected
    gone: list[int] = []
    tried: set[int] = set()
    best = found
    for _ in range(asked.tries):
        number = next((n for n in _may_make_way(keeping, like, best, affected) if n not in tried), -1)
        if number < 0:
            break
        tried.add(number)
        other = with_way(keeping, kept, like, asked=asked, found=found, way=(*gone, number))
        if other is None or share_moved(other, keeping, affected) > asked.share:
            continue
        if worth_key(other, keeping, asked.soonest)[0] < worth_key(best, keeping, asked.soonest)[0]:
            best = other
            gone.append(number)
    return best, tuple(gone)


def with_way(
    keeping: Keeping, kept: Kept, like: Schedule, *, asked: Asked, found: Found, way: tuple[int, ...]
) -> Found | None:
    """Place everything with some sets going last."""
    problem = keeping.problem
    tasks = {
        t
        for t in range(problem.tasks)
        if problem.set_of[t] in way and t in keeping.places and t not in keeping.begun
    }
    fewer = keep(keeping, more=tasks - keeping.pinned, known=kept)
    return placed(keeping, fewer, like, asked=asked, last=way, only=found)


def _may_make_way(keeping: Keeping, like: Schedule, found: Found, affected: Collection[int]) -> list[int]:
    """Sets with which the order that has lost most could change places, the most promising first."""
    problem = found.problem
    origin = problem.shop.origin
    before = {o.order: o.late for o in like.orders}
    done = completions(problem, found.state)

    def late(order: int, end: int) -> float:
        return problem.order_weight[order] * max(0, origin + MINUTE * end - problem.order_due[order])

    lost = [
        late(n, done[n]) - problem.order_weight[n] * before.get(name, 0)
        for n, name in enumerate(problem.order_ids)
    ]
    worst = max(range(len(lost)), key=lambda n: (lost[n], -n), default=-1)
    if worst < 0 or lost[worst] <= 0:
        return []
    names = {operation.set: operation.facts.product for operation in problem.operations}
    ends = [0] * len(problem.set_ids)
    for task, number in enumerate(problem.set_of):
        ends[number] = max(ends[number], found.state.end[task])
    struck = {problem.set_of[t] for t in affected} | {problem.set_of[t] for t in keeping.pinned}
    began = {problem.set_of[t] for t in keeping.begun}
    wanted = {(p.id, p.option) for n, p in names.items() if problem.set_order[n] == worst}
    alike = {name for name, _ in wanted}
    fresh = not any(problem.set_order[n] == worst for n in began)
    rows: list[tuple[bool, bool, bool, float, int]] = []
    for number in sorted({problem.set_of[t] for t in keeping.places} - struck):
        order = problem.set_order[number]
        gain = late(worst, done[worst]) - late(worst, ends[number])
        gain -= late(order, max(done[order], done[worst])) - late(order, done[order])
        if order != worst and gain > 0:
            product = names[number]
            other = (product.id, product.option) not in wanted
            rows.append((other, product.id not in alike, fresh and number in began, -gain, number))
    return [row[-1] for row in sorted(rows)]
