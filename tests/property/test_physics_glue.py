"""Glue-up, clamps, shifts, fit, gloss, solvent: order, inverses, bounds."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given

from pairwright.base.errors import InputError
from pairwright.physics.clamp import clamp_force, clamp_spacing, clamps_needed, glue_line_pressure
from pairwright.physics.fit import Climate, Side, gap_range, size_in
from pairwright.physics.gloss import fresnel_reflectance, ideal_gloss
from pairwright.physics.glue import (
    GlueSheet,
    clamp_time,
    cure_time,
    glue_mass,
    open_time,
    open_time_left,
    vapour_pressure,
)
from pairwright.physics.shift import arrhenius_shift, q10_shift, rate_shift
from pairwright.physics.solvent import dilution_air
from tests.strategies import finite, humidities, pressures, room_temperatures

SHEET = GlueSheet("drying", 600.0, 900.0, 2700.0, 7200.0, activation_energy=50e3)
RESIN = GlueSheet("reaction", 1200.0, 1800.0, 7200.0, 7200.0, factor_per_10_k=2.0)


@given(room_temperatures, room_temperatures)
def test_a_cold_bench_lengthens_the_clamp(one: float, other: float) -> None:
    cold, warm = sorted((one, other))

    for sheet in (SHEET, RESIN):
        assert clamp_time(sheet, cold) >= clamp_time(sheet, warm)
        assert cure_time(sheet, cold) >= cure_time(sheet, warm)
        assert open_time(sheet, cold) >= open_time(sheet, warm) * (1 - 1e-12)


@given(humidities, humidities)
def test_a_damp_room_keeps_drying_glue_open_and_clamped_longer(one: float, other: float) -> None:
    dry, damp = sorted((one, other))

    assert open_time(SHEET, 293.15, humidity=damp) >= open_time(SHEET, 293.15, humidity=dry)
    assert clamp_time(SHEET, 293.15, humidity=damp) >= clamp_time(SHEET, 293.15, humidity=dry)
    assert clamp_time(RESIN, 293.15, humidity=damp) == clamp_time(RESIN, 293.15, humidity=dry)


def test_a_damp_room_hurries_a_glue_that_sets_by_moisture() -> None:
    foam = GlueSheet("moisture", 600.0, 900.0, 7200.0, 14400.0)

    assert clamp_time(foam, 293.15, humidity=0.65) < clamp_time(foam, 293.15, humidity=0.35)


@given(room_temperatures)
def test_the_sheet_s_own_climate_gives_the_sheet_s_own_times(temperature: float) -> None:
    assert clamp_time(SHEET, 293.15, humidity=0.5) == pytest.approx(2700.0)
    assert open_time(SHEET, 293.15) == pytest.approx(600.0)
    assert rate_shift(temperature, temperature, activation_energy=60e3) == pytest.approx(1.0)


def test_no_constant_is_invented_for_another_temperature() -> None:
    bare = GlueSheet("reaction", 600.0, 900.0, 2700.0, 7200.0)

    assert clamp_time(bare, 293.15) == 2700.0
    with pytest.raises(InputError, match="activation_energy"):
        clamp_time(bare, 283.15)
    with pytest.raises(InputError, match="not both"):
        rate_shift(283.15, 293.15, activation_energy=5e4, factor=2.0)


@given(room_temperatures, finite(20e3, 120e3))
def test_both_shift_forms_agree_on_their_common_ten_kelvin(reference: float, energy: float) -> None:
    factor = arrhenius_shift(reference + 10.0, reference, activation_energy=energy)

    assert q10_shift(reference + 10.0, reference, factor=factor) == pytest.approx(factor)
    assert arrhenius_shift(reference, reference + 10.0, activation_energy=energy) == pytest.approx(
        1.0 / factor
    )


def test_doubling_from_100_to_110_is_82_kilojoules() -> None:
    # closed form: E = R ln 2/(1/373.15 - 1/383.15)
    assert arrhenius_shift(383.15, 373.15, activation_energy=82.4e3) == pytest.approx(2.0, abs=0.001)


@given(finite(0.0, 700.0), finite(0.0, 1000.0))
def test_open_time_runs_out_by_shares(opened: float, closed: float) -> None:
    left = open_time_left(SHEET, 293.15, open_for=opened, closed_for=closed)

    assert (left.left >= 0.0) == (opened / 600.0 + closed / 900.0 <= 1.0 + 1e-12) or abs(left.left) < 1e-6


def test_room_air_vapour_pressure() -> None:
    # closed form of the Magnus coefficients at 20 degC: 2332.6 Pa
    assert vapour_pressure(293.15) == pytest.approx(2332.6, abs=0.1)


@given(pressures, finite(0.05, 2.5), finite(0.005, 0.5))
def test_force_and_pressure_are_inverse(pressure: float, length: float, width: float) -> None:
    force = clamp_force(pressure, length, width=width)

    assert glue_line_pressure(force, length, width=width) == pytest.approx(pressure, rel=1e-12)


@given(finite(0.05, 2.5), finite(0.02, 0.2))
def test_clamps_are_never_further_apart_than_their_cones_reach(length: float, cover: float) -> None:
    count = clamps_needed(0.5e6, length, width=0.02, cover=cover, clamp_capacity=1e9)

    assert count * clamp_spacing(cover) >= length * (1 - 1e-6)
    assert clamp_spacing(cover) == pytest.approx(2.0 * cover)  # 45 degrees


@given(finite(0.03, 0.2), finite(0.2, 2.0))
def test_glue_mass_is_spread_times_area(spread: float, area: float) -> None:
    assert glue_mass(spread, area, lines=3, loss=0.25) * 0.75 == pytest.approx(3 * spread * area)


@given(finite(0.04, 0.16), finite(278.15, 308.15))
def test_two_sides_of_one_stuff_keep_their_gap_in_proportion(moisture: float, temperature: float) -> None:
    made, room = Climate("shop", 0.08, 293.15), Climate("room", moisture, temperature)
    opening, insert = Side(0.101, 0.3, 5e-6), Side(0.100, 0.3, 5e-6)

    gap = gap_range(opening, insert, made=made, climates=[room])

    assert gap.smallest == gap.largest
    assert gap.smallest / size_in(insert, room, made=made) == pytest.approx(0.01, rel=1e-9)


@given(finite(0.04, 0.16), finite(0.04, 0.16))
def test_the_smallest_gap_is_where_the_wood_is_driest(one: float, other: float) -> None:
    assume(abs(one - other) > 1e-6)
    made = Climate("shop", 0.08, 293.15)
    rooms = [Climate("one", one, 293.15), Climate("two", other, 293.15)]

    gap = gap_range(Side(0.18, 0.3), Side(0.178), made=made, climates=rooms)

    assert gap.smallest <= gap.largest
    assert gap.smallest_at == ("one" if one < other else "two")


def test_without_climates_the_gap_is_as_made() -> None:
    gap = gap_range(Side(0.18), Side(0.179), made=Climate("shop", 0.08, 293.15), climates=[])

    assert gap.smallest == gap.largest == gap.as_made


# Fresnel at n 1.567 and gloss of an ideal film of n 1.50: closed form
@pytest.mark.parametrize(
    ("angle", "reflectance", "gloss"), [(20, 0.049078, 82.05), (60, 0.100056, 89.14), (85, 0.619148, 98.97)]
)
def test_ideal_gloss_is_fresnel(angle: float, reflectance: float, gloss: float) -> None:
    assert fresnel_reflectance(1.567, angle) == pytest.approx(reflectance, abs=1e-6)
    assert ideal_gloss(1.50, angle) == pytest.approx(gloss, abs=0.01)


@given(finite(1.3, 1.8), finite(0.0, 89.0))
def test_reflectance_is_a_share(index: float, angle: float) -> None:
    assert 0.0 < fresnel_reflectance(index, angle) < 1.0
    assert fresnel_reflectance(index, 0.0) == pytest.approx(((index - 1.0) / (index + 1.0)) ** 2)


@given(finite(0.005, 0.1), finite(0.05, 1.0))
def test_diluted_vapour_has_the_asked_share_of_the_limit(limit: float, share: float) -> None:
    air = dilution_air(1.0, explosive_limit=limit, share=share)

    # the published form takes the air that makes the limit itself and divides it by the share: the
    # mixture ends at the share of the limit, or above it by no more than the limit itself (1 % of it)
    reached = 1.0 / (1.0 + air)
    assert limit * share * (1 - 1e-12) <= reached <= limit * share / (1.0 - limit) + 1e-12
    assert math.isclose(air * share, dilution_air(1.0, explosive_limit=limit, share=1.0))
