"""Abrasion against published trials.

No Preston coefficient of a lacquer film is published. What can be held against print: the law's
own number, and the sanding times of a trial whose sample height cancels.
"""

from __future__ import annotations

import pytest

from pairwright.physics.abrasion import abrasion_depth, preston_coefficient, worn_rate

# Sydor, Mirski, Stuper-Szablewska, Rogozinski, Appl. Sci. 11(6) (2021) 2860: time to sand a
# sample away at 3828 Pa and 14.5 m/s, softwood and hardwood, by grit
PRESSURE, SPEED = 3828.0, 14.5
TIMES = {60: (87.0, 209.0), 120: (150.0, 225.0), 180: (188.0, 338.0)}
LONGER = {60: 2.4, 120: 1.5, 180: 1.8}  # as the article prints it
HEIGHT = 0.02  # any: it cancels


def test_the_law_gives_its_own_number() -> None:
    # Preston 1927: dz = k p v t; 1e-13 m2/N, 20 kPa, 2 m/s, 1 h -> 14.4 um
    assert abrasion_depth(1e-13, 20e3, speed=2.0, time=3600.0) == pytest.approx(14.4e-6, rel=1e-12)


@pytest.mark.parametrize("grit", sorted(TIMES))
def test_hardwood_takes_longer_by_the_published_factor(grit: int) -> None:
    soft, hard = TIMES[grit]
    on_soft = preston_coefficient(HEIGHT, PRESSURE, speed=SPEED, time=soft)
    on_hard = preston_coefficient(HEIGHT, PRESSURE, speed=SPEED, time=hard)

    assert on_soft / on_hard == pytest.approx(LONGER[grit], abs=0.05)  # printed to one decimal
    # and the coefficient of the one trial predicts how deep the other wood is by then
    deep = abrasion_depth(on_hard, PRESSURE, speed=SPEED, time=soft)
    assert deep == pytest.approx(HEIGHT / LONGER[grit], rel=0.03)


def test_coarser_grit_cuts_faster_in_the_published_order() -> None:
    rates = [preston_coefficient(HEIGHT, PRESSURE, speed=SPEED, time=TIMES[g][0]) for g in (60, 120, 180)]

    assert rates == sorted(rates, reverse=True)


def test_a_worn_belt_follows_the_published_form() -> None:
    # Ockajova et al., BioResources 11(2) (2016) 5242: y = a + b exp(-ct) over 480 min
    constants = {"lasting": 1.0, "fresh": 3.0, "decay": 0.02}

    assert worn_rate(0.0, **constants) == pytest.approx(4.0)
    assert worn_rate(480.0, **constants) == pytest.approx(1.0, abs=3.0 * 1e-4)
