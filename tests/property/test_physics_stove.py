"""Stoving: the analytic wall, heat in equals heat stored, order and bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.physics.layers import Layer
from pairwright.physics.modes import Stack
from pairwright.physics.stove import stove_cycle, stove_history, stove_temperature, time_at_temperature
from tests.strategies import finite

WOOD = Layer(0.020, 0.16, 700.0, 1600.0)


def series(biot: float, fourier: float, depth: float) -> float:
    """Closed form: share of the step that is still missing at a depth (1 the heated face, 0 far)."""
    total = 0.0
    for n in range(60):
        low, high = n * math.pi, n * math.pi + math.pi / 2 - 1e-12
        for _ in range(200):
            z = 0.5 * (low + high)
            low, high = (z, high) if z * math.tan(z) < biot else (low, z)
        c = 4.0 * math.sin(z) / (2.0 * z + math.sin(2.0 * z))
        total += c * math.exp(-z * z * fourier) * math.cos(z * depth)
    return total


# zeta_1 and C_1 of a plane wall: closed form, as textbook tables print them
@pytest.mark.parametrize(
    ("biot", "zeta", "c"),
    [(0.01, 0.0998, 1.0017), (0.1, 0.3111, 1.0161), (0.3, 0.5218, 1.0450), (1.0, 0.8603, 1.1191),
     (5.0, 1.3138, 1.2402), (10.0, 1.4289, 1.2620), (100.0, 1.5552, 1.2731)],
)  # fmt: skip
def test_the_slowest_mode_is_the_first_root_of_the_wall(biot: float, zeta: float, c: float) -> None:
    transfer = biot * WOOD.conductivity / WOOD.thickness
    stack = Stack([WOOD], transfer)
    diffusivity = WOOD.conductivity / (WOOD.density * WOOD.heat_capacity)

    found = math.sqrt(stack.rates[0] / diffusivity) * WOOD.thickness

    assert found == pytest.approx(zeta, abs=1e-4)
    far = stack.out[-1, 0] * stack.ones[0]
    assert far == pytest.approx(c, abs=2e-4)


@given(biot=finite(0.05, 50.0), fourier=finite(0.02, 3.0))
@settings(max_examples=40, deadline=None)
def test_one_layer_is_the_analytic_series(biot: float, fourier: float) -> None:
    transfer = biot * WOOD.conductivity / WOOD.thickness
    time = fourier * WOOD.thickness**2 * WOOD.density * WOOD.heat_capacity / WOOD.conductivity

    state = stove_temperature([WOOD], 300.0, air=400.0, heat_transfer=transfer, time=time)

    assert state.surface == pytest.approx(400.0 - 100.0 * series(biot, fourier, 1.0), abs=0.1)
    assert state.core == pytest.approx(400.0 - 100.0 * series(biot, fourier, 0.0), abs=0.1)


def test_the_space_error_falls_with_the_square_of_the_cells() -> None:
    exact = 400.0 - 100.0 * series(2.0, 0.3, 0.0)
    transfer = 2.0 * WOOD.conductivity / WOOD.thickness
    time = 0.3 * WOOD.thickness**2 * WOOD.density * WOOD.heat_capacity / WOOD.conductivity
    misses = []
    for cells in (10, 20, 40):
        stack = Stack([WOOD], transfer, cells=cells)
        modes = stack.advance(stack.begin(300.0), time, bottom=(400.0, 0.0))
        places = stack.places(modes, bottom=400.0)
        misses.append(abs(float(places[-1]) - exact))

    assert math.log2(misses[0] / misses[1]) == pytest.approx(2.0, abs=0.2)
    assert math.log2(misses[1] / misses[2]) == pytest.approx(2.0, abs=0.2)


layers = st.lists(
    st.builds(Layer, finite(5e-5, 0.02), finite(0.05, 60.0), finite(300.0, 8000.0), finite(400.0, 2500.0)),
    min_size=1,
    max_size=4,
)


@given(stack=layers, transfer=finite(5.0, 80.0), time=finite(1.0, 7200.0))
@settings(max_examples=40, deadline=None)
def test_heat_through_the_face_is_heat_stored(stack: list[Layer], transfer: float, time: float) -> None:
    # heat taken up between two moments against the flux through the face at Gauss points between them
    nodes, weights = np.polynomial.legendre.leggauss(24)
    begin = 0.2 * time
    span = time - begin
    moments = sorted(begin + 0.5 * span * (nodes + 1.0))
    rows = stove_history(stack, 293.15, air=[(0.0, 343.15)], heat_transfer=transfer, times=moments)
    flux = transfer * (343.15 - rows[:, 0])
    through = 0.5 * span * float(weights @ flux)

    def stored(at: float) -> float:
        return stove_temperature(stack, 293.15, air=343.15, heat_transfer=transfer, time=at).heat

    gained = stored(time) - stored(begin)
    whole = sum(y.thickness * y.density * y.heat_capacity for y in stack) * 50.0
    assert through == pytest.approx(gained, rel=1e-3, abs=1e-6 * whole)
    assert 0.0 <= stored(time) <= whole * (1 + 1e-9)


@given(stack=layers, transfer=finite(5.0, 80.0), time=finite(0.0, 7200.0))
@settings(max_examples=40, deadline=None)
def test_temperatures_stay_between_the_stack_and_the_air(
    stack: list[Layer], transfer: float, time: float
) -> None:
    rows = stove_history(stack, 293.15, air=[(0.0, 343.15)], heat_transfer=transfer, times=[time])

    assert np.all(rows >= 293.15 - 1e-6)
    assert np.all(rows <= 343.15 + 1e-6)
    assert np.all(np.diff(rows[0]) <= 1e-6)  # never warmer further in


def test_air_that_warms_slowly_is_air_in_small_steps() -> None:
    ramp = [(0.0, 293.15), (900.0, 333.15)]
    stairs = [(0.0, 293.15)]
    for n in range(300):
        level = 293.15 + 40.0 * (n + 0.5) / 300.0
        stairs += [(3.0 * n + 1e-6, level), (3.0 * (n + 1), level)]

    smooth = stove_history([WOOD], 293.15, air=ramp, heat_transfer=25.0, times=[900.0])
    stepped = stove_history([WOOD], 293.15, air=stairs, heat_transfer=25.0, times=[900.0])

    assert smooth[0] == pytest.approx(stepped[0], abs=0.02)


@given(air=finite(318.15, 353.15), transfer=finite(10.0, 60.0), hold=finite(0.0, 3600.0))
@settings(max_examples=25, deadline=None)
def test_warmer_or_faster_air_never_lengthens_the_stove(air: float, transfer: float, hold: float) -> None:
    stack = [Layer(1.2e-4, 0.2, 1200.0, 1600.0), Layer(6e-4, 0.16, 650.0, 1600.0), WOOD]

    def stay(air: float, transfer: float) -> float:
        return stove_cycle(stack, 293.15, air=air, heat_transfer=transfer, target=313.15, hold=hold).time

    assert stay(air + 5.0, transfer) < stay(air, transfer)
    assert stay(air, transfer * 1.3) < stay(air, transfer)


def test_time_at_temperature_of_a_straight_climb() -> None:
    assert time_at_temperature([0.0, 100.0], [300.0, 400.0], threshold=370.0) == pytest.approx(30.0)
    assert time_at_temperature([0.0, 100.0], [300.0, 300.0], threshold=370.0) == 0.0
