"""Stoving against a textbook wall.

Incropera, DeWitt, Bergman, Lavine, Fundamentals of Heat and Mass Transfer, 6th ed., example 5.4:
wall 40 mm, k 63.9 W/(m K), 7832 kg/m3, 434 J/(kg K), first at -20 degC, then a fluid of 60 degC
with 500 W/(m2 K) on one face, the other insulated, after 8 minutes. The book uses one term of the
series with rounded table values, hence its 0.1 K off the exact root (43.02 degC).
"""

from __future__ import annotations

import math

import pytest

from pairwright.physics.layers import Layer
from pairwright.physics.stove import stove_temperature

WALL = Layer(0.040, 63.9, 7832.0, 434.0)
COLD, HOT, TRANSFER, TIME = 253.15, 333.15, 500.0, 480.0


def wall() -> tuple[float, float, float]:
    state = stove_temperature([WALL], COLD, air=HOT, heat_transfer=TRANSFER, time=TIME)
    return state.surface, state.core, state.heat


def test_the_wall_has_the_textbook_s_numbers() -> None:
    biot = TRANSFER * WALL.thickness / WALL.conductivity
    fourier = 18.8e-6 * TIME / WALL.thickness**2

    assert biot == pytest.approx(0.313, abs=0.0005)
    assert fourier == pytest.approx(5.64, abs=0.005)
    assert WALL.conductivity / (WALL.density * WALL.heat_capacity) == pytest.approx(18.8e-6, abs=0.05e-6)


def test_the_insulated_face_is_as_warm_as_printed() -> None:
    assert wall()[1] - 273.15 == pytest.approx(42.9, abs=0.2)


def test_the_heat_flux_is_the_printed_one() -> None:
    # printed -7360 W/m2 (exact root 7318): out of the fluid, into the wall
    flux = TRANSFER * (HOT - wall()[0])

    assert flux == pytest.approx(7360.0, abs=60.0)


def test_the_heat_taken_up_is_the_printed_one() -> None:
    # printed -2.72e7 J per metre of a pipe of 1 m diameter
    per_metre = wall()[2] * math.pi * 1.0

    assert per_metre == pytest.approx(2.72e7, abs=0.01e7)


def test_splitting_the_wall_into_layers_changes_nothing() -> None:
    # same example, the wall cut in three: the book's number must stand
    parts = [Layer(t, 63.9, 7832.0, 434.0) for t in (0.005, 0.010, 0.025)]

    state = stove_temperature(parts, COLD, air=HOT, heat_transfer=TRANSFER, time=TIME)

    assert state.core - 273.15 == pytest.approx(42.9, abs=0.2)
    assert state.core == pytest.approx(wall()[1], abs=0.01)
