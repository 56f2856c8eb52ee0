"""One trial of the search: priorities and rules in, a plan's worth out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pairwright.base.time import MINUTE
from pairwright.plan.decode import WHOLE, Decoded, Rules, decode
from pairwright.plan.emit import Score, score_from
from pairwright.plan.problem import Problem


@dataclass(frozen=True, slots=True)
class Candidate:
    """What the decoder is told. `release` holds (task, minute) of tasks that are held back."""

    rank: tuple[int, ...]
    rules: Rules
    release: tuple[tuple[int, int], ...] = ()

    def releases(self, problem: Problem) -> list[int]:
        """Earliest start of each task. [min]"""
        early = list(problem.release)
        for task, at in self.release:
            early[task] = max(early[task], at)
        return early

    def rules_without_limit(self) -> Rules:
        """The same rules with any number of sets in process."""
        return replace(self.rules, in_process=0)


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of a candidate: its score, or None where it could not be placed.

    `blame` says of each order how much of the first objective is its doing. [s]
    """

    candidate: Candidate
    score: Score | None
    blame: tuple[float, ...] = ()


def run(problem: Problem, candidate: Candidate) -> Decoded:
    """Decode a candidate."""
    return decode(problem, list(candidate.rank), rules=candidate.rules, release=candidate.releases(problem))


def unlocked(problem: Problem, candidate: Candidate) -> tuple[Candidate, Decoded]:
    """Decode a candidate; where it locks, again with ever fewer sets in process.

    The last resort places set after set: nothing of an earlier set is then still held when a later
    one begins, so it ends whenever each set by itself can be placed.
    """
    decoded = run(problem, candidate)
    limit = candidate.rules.in_process or len(problem.set_ids)
    while decoded.locked and limit > 1:
        limit = (limit + 1) // 2
        candidate = replace(candidate, rules=replace(candidate.rules, in_process=limit))
        decoded = run(problem, candidate)
    if decoded.locked and not candidate.rules.serial:
        candidate = replace(candidate, rules=Rules(window=WHOLE, in_process=1), release=())
        decoded = run(problem, candidate)
    return candidate, decoded


def trial(problem: Problem, candidate: Candidate, *, objective: str, now: int) -> Trial:
    """Decode a candidate and value it."""
    candidate, decoded = unlocked(problem, candidate)
    if not decoded.complete:
        return Trial(candidate, None)
    worth = decoded.worth(problem)
    score = score_from(problem, worth, objective=objective, now=now)
    return Trial(candidate, score, blame_of(problem, worth.done, objective=objective))


def blame_of(problem: Problem, done: Sequence[int], *, objective: str) -> tuple[float, ...]:
    """Weighted lateness of each order; for the makespan, how near its end is to the last one. [s]"""
    if objective == "makespan":
        last = max(done, default=0)
        return tuple(float(max(0, 10 * d - 9 * last)) for d in done)
    ends = [problem.shop.origin + MINUTE * d for d in done]
    rows = zip(ends, problem.order_due, problem.order_weight, strict=True)
    return tuple(weight * max(0, end - due) for end, due, weight in rows)
