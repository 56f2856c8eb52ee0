"""Gluing in and finishing land where the trade knows them: common practice, no source.

Inputs are plausible and not any works' own; each test says the neighbourhood it must hit.
"""

from __future__ import annotations

import pytest

from pairwright.physics.film import Coat, Removal, cut_through_probability, film_build
from pairwright.physics.glue import GlueSheet, clamp_time, cure_time
from pairwright.physics.hardness import days_to_hardness
from pairwright.physics.path import path_removal, path_time
from pairwright.physics.stove import Layer, stove_cycle

COAT = Coat(150e-6, 0.42, 15e-6)  # two-part gloss lacquer, sprayed
FLATTING, POLISH = Removal(70e-6, 12e-6), Removal(25e-6, 5e-6)
DEPTH = 300e-6  # of clear over the colour that a piano gloss is expected to keep


def failing(coats: int) -> float:
    left = film_build([COAT] * coats, [FLATTING, FLATTING, POLISH], reserve=DEPTH)
    return left.probability_below_reserve


# common practice, no source: about eight coats in two series with flatting between
def test_a_piano_gloss_takes_about_eight_coats_in_two_series_with_flatting_between() -> None:
    needed = next(n for n in range(1, 20) if failing(n) < 0.01)

    assert 7 <= needed <= 9
    first_series = [COAT] * (needed // 2)
    assert cut_through_probability(first_series, [FLATTING]) < 1e-6


# common practice, no source: about two weeks of rest before polishing
def test_it_rests_about_two_weeks_before_polishing() -> None:
    # pendulum hardness at 95 % of what it grows to, first order, a few days' time constant
    days = days_to_hardness(0.95 * 120.0, 120.0, rate=0.22, exponent=1.0)

    assert 10.0 <= days <= 18.0


# common practice, no source: a machine polishing cycle of the order of 70 minutes a cabinet
def test_machine_polishing_takes_about_seventy_minutes_a_cabinet() -> None:
    # 1.7 m2 of faces, a 150 mm wheel at half overlap, three compounds of four passes each
    per_compound = path_time(1.7, 0.15, overlap=0.5, feed=0.08, passes=4, lane=1.0, turn_time=2.0)

    assert 50 * 60.0 <= 3 * per_compound.time <= 90 * 60.0


def test_polishing_takes_off_a_small_part_of_the_film() -> None:
    taken = path_removal(
        2.5e-11, 5e3, speed=12.0, width=0.15, feed=0.08, overlap=0.5, passes=4, pressure_cv=0.1,
        coefficient_cv=0.15,
    )  # fmt: skip

    assert 5e-6 <= taken.mean <= 40e-6
    assert taken.sd < 0.25 * taken.mean


# common practice, no source: bracing glue stays clamped about 2 h and cures about 2 h more
@pytest.mark.parametrize("room", [288.15, 293.15, 298.15])
def test_bracing_is_clamped_about_two_hours_and_cures_about_two_more(room: float) -> None:
    # a data sheet of 2 h and 2 h at 20 degC, 50 kJ/mol stated: a workshop's ten kelvin stay near it
    sheet = GlueSheet("drying", 480.0, 900.0, 7200.0, 7200.0, activation_energy=50e3)

    assert 3600.0 <= clamp_time(sheet, room) <= 4 * 3600.0
    assert 3600.0 <= cure_time(sheet, room) <= 4 * 3600.0


def test_a_wooden_panel_is_stoved_within_the_hour_and_stays_below_sixty_degrees() -> None:
    stack = [Layer(1.5e-4, 0.2, 1200.0, 1600.0), Layer(6e-4, 0.16, 650.0, 1600.0),
             Layer(9e-3, 0.15, 700.0, 1600.0)]  # fmt: skip

    stay = stove_cycle(
        stack, 293.15, air=323.15, heat_transfer=20.0, target=313.15, hold=1800.0, limit=333.15
    )

    assert 1800.0 < stay.time < 3600.0
    assert stay.limit_margin is not None
    assert stay.limit_margin > 0.0
