"""Runs that tell factors apart, and effects that come out of them."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from pairwright.quality.experiment import full_factorial, half_fraction, main_effects, spread_runs


def signs(runs: tuple[tuple[int, ...], ...]) -> np.ndarray:
    return 2.0 * np.array(runs) - 1.0


def test_a_full_factorial_makes_every_combination_once() -> None:
    runs = full_factorial([2, 3, 4])

    assert len(set(runs)) == len(runs) == 24


@pytest.mark.parametrize("factors", [3, 4, 5, 6])
def test_half_of_the_runs_keep_every_two_factors_apart(factors: int) -> None:
    runs = half_fraction(factors)

    assert len(set(runs)) == 2 ** (factors - 1)
    matrix = signs(runs)
    assert np.array_equal(matrix.T @ matrix, len(runs) * np.eye(factors))


def test_an_effect_of_a_half_is_mixed_with_the_product_of_all_others() -> None:
    matrix = signs(half_fraction(4))

    assert np.array_equal(matrix[:, 3], matrix[:, 0] * matrix[:, 1] * matrix[:, 2])


def test_spread_runs_put_one_run_into_each_slice_of_each_factor() -> None:
    runs = spread_runs(3, 8, seed=5)

    for place in range(3):
        assert sorted(int(8 * run[place]) for run in runs) == list(range(8))
    assert runs == spread_runs(3, 8, seed=5) != spread_runs(3, 8, seed=6)


def test_an_effect_is_the_mean_at_the_high_level_less_that_at_the_low_one() -> None:
    """Two levels and a full factorial: the same as the signed mean (the definition by contrasts)."""
    rng = random.Random(3)
    runs = full_factorial([2, 2, 2])
    values = [rng.gauss(50, 10) for _ in runs]

    found = main_effects(runs, values, factors={"a": 2, "b": 2, "c": 2})

    contrasts = signs(runs).T @ np.array(values) / 4
    assert [e.effect for e in found.effects] == pytest.approx(contrasts)
    assert [e.means[1] - e.means[0] for e in found.effects] == pytest.approx(contrasts)


def test_three_levels_are_told_by_their_shifts_even_when_runs_are_missing() -> None:
    truth = {0: 1.0, 1: 4.0, 2: -2.0}
    runs = [run for n, run in enumerate(full_factorial([3, 2])) if n != 2]

    found = main_effects(runs, [truth[a] + 0.5 * b for a, b in runs], factors={"a": 3, "b": 2})

    assert found.effects[0].effect == pytest.approx(-3.0)
    assert found.effects[1].effect == pytest.approx(0.5)


def test_without_spare_runs_no_scatter_is_claimed() -> None:
    found = main_effects([(0,), (1,)], [1.0, 2.0], factors={"a": 2})

    assert found.scatter is None
    assert found.effects[0].half_width is None


def test_runs_that_do_not_tell_the_factors_apart_are_refused() -> None:
    with pytest.raises(ValueError, match="each other"):
        main_effects([(0, 0), (1, 1), (0, 0)], [1.0, 2.0, 3.0], factors={"a": 2, "b": 2})
    with pytest.raises(ValueError, match="each other"):
        main_effects([], [], factors={"a": 2})


def test_ninety_five_in_a_hundred_intervals_hold_the_true_effect() -> None:
    """1000 drawn experiments; the binomial spread of the count is 0.7 %, so 92.5-97.5 % is 3.6 of it."""
    rng = random.Random(11)
    runs = full_factorial([2, 2]) * 2
    held = 0
    for _ in range(1000):
        values = [3.0 * a - 1.0 * b + rng.gauss(0, 2) for a, b in runs]
        effect = main_effects(runs, values, factors={"a": 2, "b": 2}).effects[0]
        assert effect.half_width is not None
        held += abs(effect.effect - 3.0) <= effect.half_width
    assert 925 <= held <= 975


def test_every_two_columns_of_a_full_factorial_are_independent() -> None:
    runs = full_factorial([2, 3, 2])

    for i, j in itertools.combinations(range(3), 2):
        pairs = [(run[i], run[j]) for run in runs]
        assert len({pairs.count(p) for p in pairs}) == 1
