"""A stay in the stove."""

from __future__ import annotations

import math

import pytest

from pairwright.physics.stove import Layer, stove_cycle, stove_history, time_at_temperature

FILM = Layer(1.5e-4, 0.2, 1200.0, 1600.0)
VENEER = Layer(6e-4, 0.16, 650.0, 1600.0)
CORE = Layer(9e-3, 0.15, 700.0, 1600.0)
STACK = [FILM, VENEER, CORE]
ROOM, AIR = 293.15, 328.15


def test_the_coldest_film_holds_its_temperature_as_long_as_asked() -> None:
    stay = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=1800.0)
    times = [stay.time * n / 400 for n in range(401)]
    rows = stove_history(STACK, ROOM, air=[(0.0, AIR)], heat_transfer=25.0, times=times)

    held = time_at_temperature(times, [float(r[1]) for r in rows], threshold=313.15)

    assert held == pytest.approx(1800.0, rel=0.002)
    assert stay.time == stay.reach + 1800.0


def test_the_underside_of_the_film_lags_behind_its_face() -> None:
    stay = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=60.0)

    assert stay.film_surface > stay.film_bottom > stay.veneer_bottom > stay.core > ROOM


def test_air_no_warmer_than_the_target_never_gets_there() -> None:
    stay = stove_cycle(STACK, ROOM, air=313.15, heat_transfer=25.0, target=313.15, hold=60.0)

    assert math.isinf(stay.time)
    assert math.isinf(stay.reach)
    assert math.isfinite(stay.hottest)


def test_a_film_that_is_warm_already_only_holds() -> None:
    stay = stove_cycle(STACK, 315.15, air=AIR, heat_transfer=25.0, target=313.15, hold=600.0)

    assert (stay.reach, stay.time) == (0.0, 600.0)


def test_the_limit_is_compared_with_the_hottest_wood() -> None:
    stay = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=1800.0, limit=323.15)

    assert stay.limit_margin == pytest.approx(323.15 - stay.hottest)
    assert stay.hottest == pytest.approx(stay.film_bottom, abs=1e-6)
    open_ended = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=1800.0)
    assert open_ended.limit_margin is None


def test_air_that_has_to_warm_up_first_takes_longer() -> None:
    at_once = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=0.0)
    slowly = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=0.0, ramp=900.0)

    assert at_once.reach < slowly.reach < at_once.reach + 900.0


def test_cooling_ends_at_the_handling_temperature() -> None:
    stay = stove_cycle(
        STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=1800.0, room=295.15,
        handling=303.15, room_transfer=10.0,
    )  # fmt: skip

    assert stay.cool_time > 0.0
    assert stay.history[-1][0] == pytest.approx(stay.time + stay.cool_time)
    assert stay.history[-1][1] == pytest.approx(303.15, abs=0.01)
    times = [row[0] for row in stay.history]
    assert times == sorted(times)


def test_a_room_too_warm_to_cool_in_is_said_to_take_for_ever() -> None:
    stay = stove_cycle(
        STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=60.0, room=303.15, handling=303.15
    )

    assert math.isinf(stay.cool_time)


def test_a_film_of_two_layers_is_judged_at_its_underside() -> None:
    thin = [Layer(7.5e-5, 0.2, 1200.0, 1600.0)] * 2
    two = stove_cycle([*thin, VENEER, CORE], ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=0.0,
                      film_layers=2)  # fmt: skip
    one = stove_cycle(STACK, ROOM, air=AIR, heat_transfer=25.0, target=313.15, hold=0.0)

    assert two.reach == pytest.approx(one.reach, rel=1e-3)


def test_a_film_on_metal_alone_has_a_cycle_too() -> None:
    stay = stove_cycle(
        [Layer(8e-5, 0.2, 1300.0, 1500.0), Layer(4e-3, 160.0, 2700.0, 900.0)],
        ROOM, air=433.15, heat_transfer=30.0, target=423.15, hold=900.0,
    )  # fmt: skip

    assert 900.0 < stay.time < 3600.0
    assert stay.film_surface - stay.core < 0.5  # aluminium is warm through at once
