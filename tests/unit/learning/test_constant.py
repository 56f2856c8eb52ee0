"""Constants from groups of observations: coverage, outliers, what can't be told apart."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.learning.constant import estimate, estimate_ratio, estimate_share
from pairwright.learning.together import fit_together


def drawn(rng: np.random.Generator, groups: int, between: float, within: float) -> dict[str, list[float]]:
    return {
        f"b{n}": list(3.0 + between * g + within * rng.standard_normal(int(rng.integers(2, 9))))
        for n, g in enumerate(rng.standard_normal(groups))
    }


@pytest.mark.parametrize(("between", "within"), [(0.0, 0.2), (0.1, 0.2), (0.3, 0.1)])
def test_the_interval_covers_the_hidden_value_in_92_to_98_percent(between: float, within: float) -> None:
    rng = np.random.default_rng(11)
    found = [estimate(drawn(rng, 12, between, within)) for _ in range(1000)]

    covered = np.mean([one.low <= 3.0 <= one.high for one in found])

    assert 0.92 <= covered <= 0.98


def test_observations_of_one_batch_do_not_count_as_many() -> None:
    rng = np.random.default_rng(3)
    rows = drawn(rng, 5, 0.5, 0.01)
    alike = estimate(rows)
    as_if_apart = estimate({f"{n}-{i}": [v] for n, row in rows.items() for i, v in enumerate(row)})

    assert alike.uncertainty > 1.5 * as_if_apart.uncertainty
    assert alike.between > 10 * alike.within


def test_an_outlier_is_told_and_left_out() -> None:
    rng = np.random.default_rng(5)
    rows = drawn(rng, 10, 0.05, 0.1)
    clean = estimate(rows)
    rows["b3"].append(9.0)
    found = estimate(rows)

    assert ("b3", len(rows["b3"]) - 1) in found.outliers
    assert found.value == pytest.approx(clean.value)


def test_a_factor_is_estimated_on_its_logarithm() -> None:
    rng = np.random.default_rng(8)
    rows = {f"d{n}": list(1.2 * np.exp(0.1 * rng.standard_normal(5))) for n in range(40)}

    one = estimate_ratio(rows)

    assert one.low < 1.2 < one.high
    assert one.value == pytest.approx(1.2, rel=0.03)


def test_the_anova_components_are_those_of_a_textbook() -> None:
    # S. R. Searle et al., Variance Components, 1992, balanced data: (MSB - MSE)/n; worked by hand
    one = estimate({"a": [1.0, 3.0], "b": [5.0, 7.0], "c": [9.0, 11.0]})

    assert one.within == pytest.approx(math.sqrt(2.0))
    assert one.between == pytest.approx(math.sqrt((32.0 - 2.0) / 2.0))
    assert one.value == pytest.approx(6.0)


def test_the_interval_of_a_share_is_jeffreys() -> None:
    # Brown, Cai, DasGupta 2001: 0 of n has the lower end 0, n of n the upper end 1
    assert estimate_share(0, 20).low == 0.0
    assert estimate_share(20, 20).high == 1.0
    rng = np.random.default_rng(9)
    inside = [estimate_share(int(k), 80) for k in rng.binomial(80, 0.07, 4000)]
    assert 0.92 <= np.mean([one.low <= 0.07 <= one.high for one in inside]) <= 0.98


def test_two_constants_that_act_apart_are_told_apart() -> None:
    rng = np.random.default_rng(1)
    covered = []
    for _ in range(400):
        effects = rng.standard_normal((40, 2))
        left = effects @ np.array([0.3, -0.2]) + 0.1 * rng.standard_normal(40)
        found = fit_together(["rate", "contact"], effects, left, nominal=[1.0, 2.0])
        assert found.inseparable == ()
        covered += [c.low <= true <= c.high for c, true in zip(found.constants, (1.3, 1.8), strict=True)]

    assert 0.92 <= np.mean(covered) <= 0.98


def test_two_constants_that_only_act_together_are_declared_inseparable() -> None:
    rng = np.random.default_rng(2)
    one = rng.standard_normal(60)
    effects = np.column_stack([one, 2.0 * one + 1e-3 * rng.standard_normal(60), rng.standard_normal(60)])
    left = effects @ np.array([0.1, 0.1, 0.5]) + 0.05 * rng.standard_normal(60)

    found = fit_together(["rate", "order", "offset"], effects, left, nominal=[1.0, 1.0, 0.0])

    assert found.inseparable == (("rate", "order"),)
    assert [c.separable for c in found.constants] == [False, False, True]
    assert found.constants[0].value == 1.0


def test_too_little_is_no_basis() -> None:
    with pytest.raises(InputError):
        estimate({"a": [1.0, 2.0]})
    with pytest.raises(InputError):
        estimate({"a": [1.0, 2.0, math.nan, 4.0]})
    with pytest.raises(InputError):
        estimate_share(3, 2)
    with pytest.raises(InputError):
        fit_together(["a"], np.ones((1, 1)), np.ones(1), nominal=[0.0])
