"""Hardness growth: what was put in comes out; the interval keeps its promise."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.physics.hardness import days_to_hardness, hardness, hardness_day, ready_day
from pairwright.physics.hardness_fit import fit_growth
from tests.strategies import finite

DAYS = (1.0, 2.0, 4.0, 7.0, 10.0, 14.0)


@given(finite(60.0, 220.0), finite(0.05, 1.0), finite(0.5, 1.6))
@settings(max_examples=60, deadline=None)
def test_exact_readings_give_back_their_constants(final: float, rate: float, exponent: float) -> None:
    seen = [(d, hardness(d, final, rate=rate, exponent=exponent)) for d in DAYS]
    assume(0.3 * final < seen[-1][1])  # something of the curve must have been seen

    growth = fit_growth(seen)

    assert growth.final == pytest.approx(final, rel=2e-3)
    assert growth.exponent == pytest.approx(exponent, rel=2e-3)
    wanted = 0.9 * seen[-1][1]
    assert ready_day(growth, wanted).day == pytest.approx(
        days_to_hardness(wanted, final, rate=rate, exponent=exponent), rel=1e-5
    )


@given(finite(60.0, 220.0), finite(0.05, 1.0), finite(0.5, 1.6), finite(0.05, 0.95))
def test_hardness_and_day_are_inverse(final: float, rate: float, exponent: float, share: float) -> None:
    day = days_to_hardness(share * final, final, rate=rate, exponent=exponent)

    assert hardness(day, final, rate=rate, exponent=exponent) == pytest.approx(share * final, rel=1e-9)


@given(finite(0.2, 5.0))
def test_a_cold_room_stretches_the_days(shift: float) -> None:
    day = days_to_hardness(100.0, 150.0, rate=0.2, exponent=0.9)

    assert days_to_hardness(100.0, 150.0, rate=0.2, exponent=0.9, shift=shift) == pytest.approx(day / shift)


def test_the_interval_covers_about_as_often_as_it_says() -> None:
    # 300 films of known growth, read six times with a scatter of 3 units: 95 % +/- 3.8 %
    rng = np.random.default_rng(5)
    true = days_to_hardness(120.0, 150.0, rate=0.25, exponent=1.0)
    inside = 0
    for _ in range(300):
        seen = [(d, hardness(d, 150.0, rate=0.25, exponent=1.0) + 3.0 * rng.standard_normal()) for d in DAYS]
        ready = hardness_day(seen, 120.0, exponent=1.0)
        inside += ready.low <= true <= ready.high

    assert 0.91 <= inside / 300 <= 0.99


def test_more_readings_narrow_the_interval() -> None:
    rng = np.random.default_rng(2)
    days = np.linspace(1.0, 14.0, 24)
    seen = [(float(d), hardness(float(d), 150.0, rate=0.25, exponent=1.0) + rng.normal(0, 2)) for d in days]

    few, many = hardness_day(seen[::4], 110.0), hardness_day(seen, 110.0)

    assert many.high - many.low < few.high - few.low


def test_two_readings_are_first_order_through_both() -> None:
    growth = fit_growth([(2.0, 60.0), (6.0, 110.0)])

    assert growth.exponent == 1.0
    for day, value in ((2.0, 60.0), (6.0, 110.0)):
        assert hardness(day, growth.final, rate=growth.rate, exponent=1.0) == pytest.approx(value, rel=1e-6)
    ready = ready_day(growth, 100.0)
    assert ready.low < ready.day < ready.high < math.inf


@pytest.mark.parametrize(
    "readings",
    [[], [(3.0, 80.0)], [(3.0, 80.0), (3.0, 82.0)], [(0.0, 0.0), (3.0, 80.0)], [(2.0, 90.0), (5.0, 60.0)],
     [(2.0, -1.0), (5.0, 60.0)], [(2.0,), (5.0, 60.0)], [3.0, 5.0]],
)  # fmt: skip
def test_readings_that_say_nothing_are_refused(readings: list[object]) -> None:
    with pytest.raises(InputError, match="readings"):
        fit_growth(readings)  # type: ignore[arg-type]


def test_a_threshold_beyond_the_final_hardness_has_no_day() -> None:
    seen = [(d, hardness(d, 100.0, rate=0.5, exponent=1.0)) for d in DAYS]

    ready = hardness_day(seen, 140.0)

    assert math.isinf(ready.day)
    assert math.isinf(ready.high)


@given(st.permutations(list(range(len(DAYS)))))
@settings(max_examples=10, deadline=None)
def test_the_order_of_readings_does_not_matter(order: list[int]) -> None:
    seen = [(d, hardness(d, 120.0, rate=0.3, exponent=0.8) + (-1) ** n) for n, d in enumerate(DAYS)]

    assert hardness_day([seen[n] for n in order], 80.0).day == pytest.approx(
        hardness_day(seen, 80.0).day, rel=1e-6
    )
