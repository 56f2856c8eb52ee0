"""Stove and rest: until warm and held, until cooled, hard, levelled."""

from __future__ import annotations

import math

import pytest

from pairwright.process import energy, report
from tests.unit.process.small import changed, found, time

PLAIN = changed()


def test_the_stove_warms_the_film_and_then_holds_it() -> None:
    dry = time(PLAIN, "dry")

    assert dry.likely > 1800.0
    assert dry.low > 1800.0  # the hold does not scatter
    assert "held for 30 min" in str(dry.reason)


def test_warmer_or_livelier_air_shortens_the_stove() -> None:
    warmer = changed(('air = "45 degC"', 'air = "52 degC"'))
    livelier = changed(('heat_transfer = "20 W', 'heat_transfer = "40 W'))

    assert time(warmer, "dry").likely < time(PLAIN, "dry").likely
    assert time(livelier, "dry").likely < time(PLAIN, "dry").likely


def test_air_too_cool_for_the_film_is_an_error_and_the_time_stays_finite() -> None:
    cool = changed(('air = "45 degC"', 'air = "39 degC"'))

    assert found(cool, "dry")["hold_not_reached"].severity == "error"
    assert math.isfinite(time(cool, "dry").high)


def test_a_surface_too_hot_for_the_wood_or_the_film_is_an_error() -> None:
    assert (
        found(changed(('limit = "55 degC"', 'limit = "43 degC"')), "dry")["surface_too_hot"].severity
        == "error"
    )
    assert (
        found(changed(('stove_limit = "60 degC"', 'stove_limit = "43 degC"')), "dry")["film_too_hot"].severity
        == "error"
    )
    assert found(PLAIN, "dry") == {}


def test_the_oven_s_power_is_shared_by_load_and_the_body_takes_its_heat() -> None:
    alone = {"option": "walnut", "part": "body", "step": "dry"}
    machine = 12e3 * time(PLAIN, "dry").likely / 4.0
    # at most the whole body at 45 degC: 0.9 m2 of 11.75 mm
    heat = 0.9 * (0.0117 * 680.0 * 1600.0 + 0.00005 * 1200.0 * 1600.0) * 25.0

    assert machine < energy(PLAIN, "linden", **alone) <= machine + heat


def test_a_thicker_shell_cools_longer_and_cold_air_cools_it_sooner() -> None:
    thicker = changed(('layer = { thickness = "11.7 mm"', 'layer = { thickness = "20 mm"'))
    colder = changed(('air = "20 degC"', 'air = "10 degC"'))

    assert time(thicker, "cool").likely > time(PLAIN, "cool").likely > time(colder, "cool").likely


def test_one_free_face_takes_longer_than_two() -> None:
    one = changed(('until = "cooled"', 'until = "cooled"\nfaces = 1'))

    assert time(one, "cool").likely > 1.9 * time(PLAIN, "cool").likely


def test_air_warmer_than_the_end_never_cools() -> None:
    warm = changed(('air = "20 degC"', 'air = "36 degC"'))

    assert found(warm, "cool")["cooling_not_reached"].severity == "error"
    assert math.isfinite(time(warm, "cool").likely)


def test_cooling_ends_where_the_figure_crosses_the_wanted_core() -> None:
    shown = report(PLAIN, "linden", option="walnut", part="shell", step="cool")
    curve = shown.figures[0].curves[0]
    below = [t for t, T in zip(curve.x, curve.y, strict=True) if T <= 273.15 + 35.0]

    assert min(below) == pytest.approx(shown.timing.likely, rel=0.05)


def test_moisture_levels_with_the_square_of_the_thickness() -> None:
    thin = changed(('wood = "birch"\nthickness = "11.7 mm"', 'wood = "birch"\nthickness = "5.85 mm"'))

    assert time(PLAIN, "level").likely == pytest.approx(4.0 * time(thin, "level").likely, rel=1e-4)


def test_a_harder_threshold_rests_longer_and_a_colder_room_too() -> None:
    harder = changed(("threshold = 100", "threshold = 120"))
    colder = changed(
        ('temperature = "20 degC"\nhumidity', 'temperature = "16 degC"\nhumidity'), ('"17 degC"', '"16 degC"')
    )

    assert time(harder, "rest").likely > time(PLAIN, "rest").likely
    assert time(colder, "rest").likely == pytest.approx(time(PLAIN, "rest").likely * 2 ** (4 / 12))


def test_the_rest_ends_when_the_growth_reaches_the_threshold() -> None:
    days = (-math.log(1.0 - 100.0 / 150.0) / 0.3) ** (1.0 / 0.8)

    assert time(PLAIN, "rest").likely == pytest.approx(days * 86400.0)


def test_a_hardness_that_the_film_never_reaches_is_an_error_and_the_wait_stays_finite() -> None:
    never = changed(("threshold = 100", "threshold = 160"))

    assert found(never, "rest")["hardness_not_reached"].severity == "error"
    assert math.isfinite(time(never, "rest").high)
    assert "never reaches" in str(time(never, "rest").reason)


def test_a_pure_wait_has_no_station() -> None:
    assert time(PLAIN, "rest").station is None
    assert time(PLAIN, "rest").computed
