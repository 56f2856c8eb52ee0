"""How good the plans are: value, bound, gap and violations on the plant and the sample works.

Limits: no violation; no bound above its plan; `service` nowhere worse than the best of the usual dispatch
rules, sent through the same decoder (first come, earliest due date, shortest processing, least slack,
weight over work; each minute by minute, shift by shift, and set after set).

``python bench/plan_quality.py [PAIRS ...]`` takes other sizes than 10, 50 and 200.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from pairwright.app.opened import Opened, open_texts
from pairwright.app.planning import PlanResult, plan_works
from pairwright.base.time import DAY, MINUTE
from pairwright.plan.build import build_problem
from pairwright.plan.decode import WHOLE, Rules
from pairwright.plan.emit import Score
from pairwright.plan.orders import as_ranks
from pairwright.plan.problem import Problem
from pairwright.plan.shop import build_shop
from pairwright.plan.trial import Candidate, trial
from pairwright.works import Book, StepTime, Works

SIZES: Final = (10, 50, 200)
HORIZON: Final = 4 * 366 * 1440  # minutes
MANNERS: Final = {
    "by the minute": Rules(window=1, defer=True),
    "by the shift": Rules(window=480, defer=True),
    "set after set": Rules(window=WHOLE),
}
HEAD: Final = (
    "works            pairs  operations  objective   time  makespan   bound    gap  broken  "
    "lateness      flow   setup  best dispatch rule"
)


def priorities(problem: Problem) -> Mapping[str, tuple[int, ...]]:
    """Ranks of the sets by the usual rules, by their own arithmetic; ties as the book lists them."""
    work = [0] * len(problem.set_ids)
    for task, number in enumerate(problem.set_of):
        ways = range(problem.way_from[task], problem.way_from[task + 1])
        work[number] += min((problem.way_minutes[way] for way in ways), default=0)
    due = [problem.order_due[order] for order in problem.set_order]
    weight = [problem.order_weight[order] for order in problem.set_order]
    rules: dict[str, Callable[[int], float]] = {
        "first come": lambda _: 0.0,
        "earliest due date": lambda s: due[s],
        "shortest processing": lambda s: work[s],
        "least slack": lambda s: due[s] - MINUTE * work[s],
        "weight over work": lambda s: -weight[s] / max(1, work[s]),
    }
    return {
        name: tuple(as_ranks(sorted(range(len(work)), key=lambda s: (rule(s), s))))
        for name, rule in rules.items()
    }


def dispatched(
    works: Works, book: Book, *, times: Sequence[StepTime], now: int, objective: str = "service"
) -> dict[str, Score]:
    """What each dispatch rule is worth; those that lock or find no room are left out."""
    problem = build_problem(build_shop(works, now, horizon=HORIZON), book, times=times)
    found: dict[str, Score] = {}
    for name, rank in priorities(problem).items():
        for manner, rules in MANNERS.items():
            score = trial(problem, Candidate(rank, rules), objective=objective, now=now).score
            if score is not None:
                found[f"{name}, {manner}"] = score
    return found


@dataclass(frozen=True, slots=True)
class Line:
    """One plan and what it is measured against."""

    name: str
    pairs: int
    result: PlanResult
    seconds: float
    best: tuple[str, Score] | None  # of the dispatch rules, for service

    @property
    def kept(self) -> bool:
        """Whether every limit is kept."""
        plan = self.result.schedule
        value = tuple(value for _, value in plan.objectives)
        best = self.best[1] if self.best is not None else None
        return (
            self.result.found
            and plan.lower_bound <= plan.objective
            and (best is None or value <= (best.first, best.flow, best.setups))
        )

    def __str__(self) -> str:
        plan = self.result.schedule
        values = dict(plan.objectives)
        gap = "-" if plan.gap is None else f"{plan.gap:.1%}"
        late = values.get("weighted_lateness")
        best = "" if self.best is None else f"{self.best[1].first / DAY:.2f} d: {self.best[0]}"
        return (
            f"{self.name:16} {self.pairs:5} {len(plan.operations):11}  {plan.objective_kind:9} "
            f"{self.seconds:5.1f}s {(plan.makespan_end - plan.now) / DAY:8.2f}d {plan.lower_bound / DAY:6.2f}d "
            f"{gap:>6} {len(self.result.violations):7} {'-' if late is None else f'{late / DAY:.2f}':>9}d "
            f"{values['flow_time'] / DAY:8.1f}d {values['setup_time'] / 3600:6.1f}h  {best}"
        )


def measured(name: str, pairs: int, opened: Opened, objective: str) -> Line:
    """Plan, audit, and compare with the dispatch rules. The durations are computed before."""
    now, times = opened.now(), opened.times
    begun = time.perf_counter()
    result = plan_works(opened, actor="bench", now=now, objective=objective, materials=False)
    seconds = time.perf_counter() - begun
    best = None
    if objective == "service":
        found = dispatched(opened.works, opened.book, times=times, now=now)
        best = min(found.items(), key=lambda entry: (entry[1], entry[0])) if found else None
    return Line(name, pairs, result, seconds, best)


def lines(sizes: Sequence[int]) -> Iterator[Line]:
    """The plant with and without setups, and the sample works."""
    from bench.plant_works import layout
    from pairwright import sample

    for pairs in sizes:
        for name, texts in (
            ("plant", layout(pairs=pairs)),
            ("plant, no setups", layout(pairs=pairs, setups=False)),
            ("sample works", sample.layout(pairs=pairs)),
        ):
            opened = open_texts(texts, name)
            for objective in ("makespan", "service"):
                yield measured(name, pairs, opened, objective)


def main() -> int:
    sizes = [int(word) for word in sys.argv[1:]] or list(SIZES)
    print(HEAD)
    kept = True
    for line in lines(sizes):
        print(line, flush=True)
        kept = kept and line.kept
    print(f"limits: {'kept' if kept else 'BROKEN'}")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))  # for bench.plant_works
    raise SystemExit(main())
