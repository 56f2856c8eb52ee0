"""Intervals of what a forecast reports, against another computation and against drawn truth."""

from __future__ import annotations

import random

import pytest
from scipy.stats import binomtest, quantile_test

from pairwright.plan.confidence import quantile_interval, ratio_interval, share_interval
from pairwright.plan.forecast import nearest_rank


@pytest.mark.parametrize("n", [1, 2, 10, 29, 40, 100, 200])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_quantiles_interval_is_that_of_the_binomial_ranks(n: int, share: float) -> None:
    """Against scipy.stats.quantile_test, which leaves out a bound that so few values can't give."""
    values = list(range(1, n + 1))
    other = quantile_test(values, p=share).confidence_interval(0.95)

    found = quantile_interval(values, share)

    assert [float("nan") if v is None else float(v) for v in found] == pytest.approx(
        [float(other.low), float(other.high)], nan_ok=True
    )


@pytest.mark.parametrize(("count", "of"), [(0, 40), (1, 40), (9, 10), (20, 40), (150, 200), (40, 40), (1, 1)])
def test_a_shares_interval_is_the_exact_one(count: int, of: int) -> None:
    other = binomtest(count, of).proportion_ci(0.95, "exact")

    assert share_interval(count, of) == pytest.approx((other.low, other.high), abs=1e-9)


def test_nineteen_in_twenty_intervals_hold_the_true_p90() -> None:
    """Exponential times, 40 runs each, 600 forecasts: at least 95 %, less 3.5 of the binomial spread."""
    rng = random.Random(7)
    true_p90 = 2302.585  # of an exponential of mean 1000
    held = 0
    for _ in range(600):
        values = sorted(round(rng.expovariate(0.001)) for _ in range(40))
        low, high = quantile_interval(values, 0.9)
        assert low is not None
        assert low <= nearest_rank(values, 0.9)
        held += low <= true_p90 and (high is None or true_p90 <= high)
    assert held / 600 >= 0.95 - 3.5 * (0.95 * 0.05 / 600) ** 0.5


def test_nineteen_in_twenty_intervals_hold_the_true_utilisation() -> None:
    rng = random.Random(9)
    held = 0
    for _ in range(600):
        wholes = [rng.uniform(80, 120) for _ in range(30)]
        parts = [0.6 * whole + rng.gauss(0, 5) for whole in wholes]
        found = ratio_interval(parts, wholes)
        assert found is not None
        held += found[0] <= 0.6 <= found[1]
    assert 0.95 - 3.5 * (0.95 * 0.05 / 600) ** 0.5 <= held / 600 <= 0.99


def test_one_run_says_nothing_of_its_own_scatter() -> None:
    assert ratio_interval([1.0], [2.0]) is None
    assert quantile_interval([5], 0.5) == (None, None)
