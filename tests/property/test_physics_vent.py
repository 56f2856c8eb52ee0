"""Venting and the spread of a moulded shape: order, limits, first order against draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.physics.bending import spring_back, spring_in
from pairwright.physics.heat import HeatModel
from pairwright.physics.press import Glue, Ply, PressCycle, PressStack, press_cycle
from pairwright.physics.shape_spread import drawn_spring, spread_of, spring_back_spread, spring_in_spread
from pairwright.physics.steam import gas_overpressure, saturation_temperature
from pairwright.physics.vent import vent_by_cooling, vent_time_at_rate
from tests.strategies import finite

COARSE = HeatModel(cells=28, growth=0.06, compiled=False)
STACK = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 7, Glue(2.734e9, 80e3, spread=0.15, water=0.4))


def pressed(platen: float = 403.15) -> PressCycle:
    return press_cycle(STACK, platen=platen, initial=293.15, target_cure=0.95, model=COARSE)


CYCLE = pressed()
BOUND = gas_overpressure(float(CYCLE.line_temperatures.max()))


@given(limit=finite(5e3, 0.95 * BOUND), transfer=finite(8.0, 800.0))
@settings(max_examples=15)
def test_a_higher_limit_or_a_better_contact_vents_sooner(limit: float, transfer: float) -> None:
    def time(limit: float, transfer: float) -> float:
        return vent_by_cooling(
            STACK, CYCLE, limit=limit, air=293.15, heat_transfer=transfer, model=COARSE
        ).time

    base = time(limit, transfer)
    assert 0.0 < base < math.inf
    assert time(1.04 * limit, transfer) < base
    assert time(limit, 1.5 * transfer) < base


def test_below_the_limit_there_is_nothing_to_wait_for() -> None:
    vented = vent_by_cooling(STACK, CYCLE, limit=1.01 * BOUND, air=293.15, heat_transfer=10.0, model=COARSE)

    assert vented.time == 0.0


def test_faces_that_stay_hot_never_vent() -> None:
    vented = vent_by_cooling(
        STACK, CYCLE, limit=20e3, air=403.15, heat_transfer=500.0, longest=900.0, model=COARSE
    )

    assert math.isinf(vented.time)
    assert vented.bounds[-1] > 20e3


def test_the_bound_is_at_its_limit_when_the_time_is_over() -> None:
    vented = vent_by_cooling(STACK, CYCLE, limit=60e3, air=293.15, heat_transfer=10.0, model=COARSE)

    assert float(np.interp(vented.time, vented.times, vented.bounds)) == pytest.approx(60e3, rel=0.02)
    assert saturation_temperature(60e3 + 101325.0) < CYCLE.line_temperatures.max()


@given(bound=finite(0.0, 4e5), limit=finite(0.0, 4e5), rate=finite(1.0, 1e5))
def test_a_stated_rate_is_a_straight_line(bound: float, limit: float, rate: float) -> None:
    time = vent_time_at_rate(bound, limit, rate=rate)

    assert time == pytest.approx(max(0.0, bound - limit) / rate)
    assert bound - rate * time <= max(bound, limit) + 1e-6


def test_a_pressure_that_never_falls_is_refused() -> None:
    with pytest.raises(InputError, match="above 0 Pa/s"):
        vent_time_at_rate(1e5, 5e4, rate=0.0)


# ------------------------------------------------------------------------------------- spread
@given(n=st.integers(4, 15), ratio=finite(3.0, 20.0), modulus=finite(0.01, 0.06), thickness=finite(0.0, 0.02))
@settings(max_examples=25)
def test_small_spreads_are_told_alike_by_first_order_and_by_draws(
    n: int, ratio: float, modulus: float, thickness: float
) -> None:
    plies = [(1e9 * (ratio if k % 2 == 0 else 1.0), 1.5e-3) for k in range(n)]
    cvs = {"modulus_cv": [modulus] * n, "thickness_cv": [thickness] * n}

    first = spring_back_spread(plies, **cvs)
    drawn = drawn_spring(plies, seed=3, samples=6000, **cvs)

    assert first.value == spring_back(plies)
    assert drawn.mean() == pytest.approx(first.value, abs=0.35 * first.sd)
    assert drawn.std() == pytest.approx(first.sd, rel=0.15)


def test_a_stack_that_is_stiffer_throughout_springs_back_alike() -> None:
    one, two = ([(E * k, 1.5e-3) for E in (12e9, 1e9, 12e9)] for k in (1.0, 1.7))
    cvs = {"modulus_cv": [0.1] * 3, "thickness_cv": [0.02] * 3}

    assert spring_back_spread(one, **cvs).sd == pytest.approx(spring_back_spread(two, **cvs).sd, rel=1e-6)


@given(change=finite(-0.06, 0.06), cv=finite(0.0, 0.3), sd=finite(0.0, 0.02))
def test_spring_in_spreads_with_movement_and_moisture(change: float, cv: float, sd: float) -> None:
    found = spring_in_spread(
        90.0, along=0.01, through=0.19, moisture_change=change, movement_cv=cv, moisture_sd=sd
    )

    assert found.value == pytest.approx(spring_in(90.0, along=0.01 * change, through=0.19 * change))
    assert found.sd >= 0.0
    if sd > 1e-6:
        # the slope in moisture alone, for small strains: angle times the difference of movements
        assert found.sd >= 90.0 * 0.18 * sd * 0.9


def test_a_product_spreads_as_the_guide_says() -> None:
    # JCGM 100, 5.1.6: relative variances of a product add
    found = spread_of(lambda x: x[0] * x[1] / x[2], [2.0, 3.0, 4.0], sds=[0.02, 0.03, 0.08])

    assert found.sd / found.value == pytest.approx(math.sqrt(1e-4 + 1e-4 + 4e-4), rel=1e-3)
