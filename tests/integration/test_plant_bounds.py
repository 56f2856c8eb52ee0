"""Lower bounds against proven optima: small instances of the plant without setups, by a constraint solver.

The optimum comes from tests/integration/optimum.py (OR-Tools CP-SAT on the works' records, proven). Each
instance draws the times of the coats, of sanding and trimming, due days and weights from its seed, so that
now the booth, now the way of a pair decides. What the plan finds must lie at or above the optimum, too.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest

from bench.plant_works import COATS, layout
from pairwright.app.opened import Opened, open_texts
from pairwright.app.planning import plan_works
from pairwright.plan.bound import lower_bound
from pairwright.plan.build import build_problem
from pairwright.plan.shop import build_shop
from pairwright.works import apply_changes
from tests.integration.optimum import optimum

DAYS = 40
WEEKS = 26 * 7 * 1440  # minutes


def small_plant(pairs: int, seed: int) -> Opened:
    """A plant with a shorter rest, other times and tight due days."""
    chance = random.Random(seed)
    cabinet = "products/teasel.cabinet.steps"
    changes = [(f"{cabinet}.coat-{COATS}-dry.next_min", "6 h")]
    for n in range(1, COATS + 1):
        changes.append((f"{cabinet}.coat-{n}.duration", f"{chance.choice((24, 60, 100, 130))} min"))
    for step in ("sand", "edges"):
        changes.append((f"{cabinet}.{step}.duration", f"{chance.choice((25, 90, 180))} min"))
    texts = apply_changes(layout(pairs=pairs, setups=False, seed=seed), changes)
    head, *rows = texts["orders.csv"].splitlines()
    for n, row in enumerate(rows):
        cells = row.split(",")
        cells[4] = str(date(2027, 3, 8) + timedelta(days=chance.choice((0, 1, 2, 3, 4, 7, 8))))
        cells[5] = str(chance.choice((1, 2, 3)))
        rows[n] = ",".join(cells)
    return open_texts({**texts, "orders.csv": "\n".join((head, *rows)) + "\n"}, "plant")


def bound_of(opened: Opened, objective: str) -> float:
    """The bound as it is computed, before it is laid beside a plan's value. [s]"""
    shop = build_shop(opened.works, opened.now(), horizon=WEEKS)
    problem = build_problem(shop, opened.book, times=opened.times)
    return lower_bound(problem, objective=objective, now=opened.now())


def compare(pairs: int, seed: int, objective: str, seconds: float) -> tuple[float, float] | None:
    """Bound and proven optimum, after the checks; None where the solver had no time to prove it."""
    opened = small_plant(pairs, seed)
    best = optimum(opened, objective=objective, days=DAYS, seconds=seconds)
    bound = bound_of(opened, objective)
    planned = plan_works(opened, actor="test", now=opened.now(), objective=objective, effort=12)

    assert planned.violations == ()
    assert bound <= best.value + 1e-6
    assert planned.schedule.objective >= best.bound - 1e-6
    return (bound, best.value) if best.proven else None


@pytest.mark.parametrize("objective", ["makespan", "service"])
def test_no_bound_lies_above_the_optimum(objective: str) -> None:
    found = [compare(pairs, seed, objective, 30.0) for pairs, seed in ((2, 1), (2, 2), (2, 3), (3, 2))]

    assert None not in found
    assert sum(best > 0 for pair in found if pair for best in pair[1:]) >= 3  # not a row of zeros
    assert any(pair and pair[0] > 0 for pair in found)


@pytest.mark.slow
@pytest.mark.parametrize("objective", ["makespan", "service"])
def test_no_bound_lies_above_the_optimum_at_length(objective: str) -> None:
    found = [compare(pairs, seed, objective, 30.0) for pairs in (2, 3, 4) for seed in range(1, 7)]

    proven = [pair for pair in found if pair is not None]
    met = sum(bound == best for bound, best in proven)
    share = sum(bound for bound, _ in proven) / sum(best for _, best in proven)
    print(f"{objective}: {len(proven)} of {len(found)} proven, bound met in {met}, {share:.0%} of all optima")
    assert len(proven) >= 12
