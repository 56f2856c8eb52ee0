"""The press solver: the exact series, order in space and time, heat in equals heat stored, order and bounds."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.physics.heat import INSULATED, PERFECT, Faces, Heating, HeatModel, Layer, heat_stack
from pairwright.physics.press import Glue, Ply, PressCycle, PressStack, press_cycle
from pairwright.physics.slab import rise_fraction
from pairwright.physics.wood import heat_capacity_line
from tests.strategies import finite, layups, moistures, platen_temperatures

GLUE = Glue(1.792e9, 80e3, order=1.0, spread=0.15, water=0.4)
COARSE = HeatModel(cells=16, growth=0.12)


def pressed(
    thicknesses: list[float], *, platen: float = 391.15, moisture: float = 0.08, gravity: float = 0.62,
    glue: Glue = GLUE, one_sided: bool = False, target: float = 0.95, model: HeatModel = COARSE,
) -> PressCycle:  # fmt: skip
    stack = PressStack(tuple(Ply(t, gravity, moisture) for t in thicknesses), glue)
    return press_cycle(
        stack, platen=platen, initial=293.15, target_cure=target, one_sided=one_sided, model=model, cap=1e6
    )


def constant_wall(model: HeatModel, time: float = 60.0) -> Heating:
    """Two halves of 10 mm, 1.6e-7 m2/s, stepped by 100 K on both faces."""
    half = Layer(0.005, 0.16, 1000.0, 1000.0)
    return heat_stack(
        [half, half], Faces((0.0,), (373.15,), (373.15,)), initial=273.15, cap=time, model=model
    )


def test_the_series_is_met_to_a_thousandth_of_the_step() -> None:
    heating = constant_wall(HeatModel(), time=400.0)
    exact = [100.0 * rise_fraction(1.6e-7 * t / 0.005**2) for t in heating.times]

    assert np.abs(heating.temperatures[:, 0] - 273.15 - exact).max() < 0.1


@pytest.mark.parametrize("fourier", [0.05, 0.1, 0.2, 0.5, 1.0])
def test_the_whole_profile_is_met(fourier: float) -> None:
    time = fourier * 0.005**2 / 1.6e-7
    heating = constant_wall(HeatModel(), time=time)
    exact = [100.0 * rise_fraction(fourier, (x - 0.005) / 0.005) for x in heating.places]

    assert np.abs(heating.profile - 273.15 - exact).max() < 0.1


def test_the_error_falls_with_the_square_of_the_cell() -> None:
    # at Fo 0.5, steps so short that only the cells count
    time = 0.5 * 0.005**2 / 1.6e-7
    errors = []
    for cells in (8, 16, 32):
        heating = constant_wall(HeatModel(cells=cells, growth=0.004), time=time)
        errors.append(abs(heating.temperatures[-1, 0] - 273.15 - 100.0 * rise_fraction(0.5)))

    orders = [math.log2(a / b) for a, b in itertools.pairwise(errors)]
    assert all(1.8 < order < 2.2 for order in orders), (errors, orders)


def test_the_error_falls_with_the_square_of_the_step() -> None:
    # against very short steps on the same cells
    time = 0.5 * 0.005**2 / 1.6e-7
    ends = [
        constant_wall(HeatModel(cells=16, growth=growth), time=time).temperatures[-1, 0]
        for growth in (0.2, 0.1, 0.05, 0.002)
    ]
    errors = [abs(end - ends[-1]) for end in ends[:-1]]

    orders = [math.log2(a / b) for a, b in itertools.pairwise(errors)]
    assert all(1.7 < order < 2.4 for order in orders), (errors, orders)


def test_the_opening_time_converges() -> None:
    finest = pressed([1.5e-3] * 15, platen=408.15, model=HeatModel(cells=240, growth=0.01, compiled=False))
    usual = pressed([1.5e-3] * 15, platen=408.15, model=HeatModel())

    assert usual.open_time == pytest.approx(finest.open_time, rel=2e-4)


@given(
    thicknesses=st.lists(finite(3e-4, 3.5e-3), min_size=1, max_size=9),
    bottom=finite(300.0, 430.0),
    top=finite(300.0, 430.0),
    contacts=st.tuples(
        st.sampled_from([PERFECT, INSULATED, 500.0]), st.sampled_from([PERFECT, INSULATED, 80.0])
    ),
    moisture=moistures,
    gravity=finite(0.35, 0.8),
    time=finite(5.0, 900.0),
)
@settings(max_examples=30)
def test_what_flows_in_is_what_is_stored(
    thicknesses: list[float], bottom: float, top: float, contacts: tuple[float, float], moisture: float,
    gravity: float, time: float,
) -> None:  # fmt: skip
    a, b = heat_capacity_line(moisture)
    density = 1000.0 * gravity * (1.0 + moisture)
    layers = [Layer(t, 0.12 + 0.1 * gravity, density, a, b, 0.0025) for t in thicknesses]

    heating = heat_stack(
        layers, Faces((0.0,), (bottom,), (top,), *contacts), initial=293.15, cap=time, model=COARSE
    )

    size = max(abs(heating.stored), 1.0)
    assert heating.heat[-1] == pytest.approx(heating.stored, abs=1e-6 * size)
    low, high = min(293.15, bottom, top), max(293.15, bottom, top)
    assert heating.profile.min() >= low - 1e-6
    assert heating.profile.max() <= high + 1e-6


@given(layup=layups(most=9), platen=platen_temperatures, moisture=moistures)
@settings(max_examples=15)
def test_a_symmetrical_stack_heats_symmetrically(layup: list[float], platen: float, moisture: float) -> None:
    cycle = pressed(layup, platen=platen, moisture=moisture)

    assert cycle.line_temperatures == pytest.approx(cycle.line_temperatures[::-1], abs=1e-5)
    assert cycle.coldest_line == (len(layup) - 1) // 2 - 1
    assert cycle.line_cures.min() == cycle.line_cures[cycle.coldest_line] or cycle.line_cures.min() == (
        pytest.approx(cycle.line_cures[cycle.coldest_line], abs=1e-9)
    )


@given(platen=platen_temperatures, target=finite(0.5, 0.99), order=finite(1.0, 2.0))
@settings(max_examples=15)
def test_the_press_opens_exactly_at_the_target(platen: float, target: float, order: float) -> None:
    glue = Glue(1.792e9, 80e3, order=order, spread=0.15, water=0.4)

    cycle = pressed([1e-3] * 4, platen=platen, target=target, glue=glue)

    assert cycle.line_cures.min() >= target
    assert cycle.line_cures.min() == pytest.approx(target, abs=1e-6)
    assert cycle.times[-1] == cycle.open_time
    assert np.all(np.diff(cycle.times) > 0.0)
    assert np.all(np.diff(cycle.cures, axis=0) >= 0.0)


@given(layup=st.lists(finite(5e-4, 2.5e-3), min_size=2, max_size=6), platen=platen_temperatures)
@settings(max_examples=15)
def test_order_of_heat_cure_and_thickness(layup: list[float], platen: float) -> None:
    base = pressed(layup, platen=platen).open_time

    assert pressed(layup, platen=platen + 5.0).open_time < base
    assert pressed([*layup, 1.5e-3], platen=platen).open_time > base
    assert pressed(layup, platen=platen, target=0.97).open_time > base
    faster = Glue(2.0 * GLUE.rate_constant, GLUE.activation_energy, 1.0, GLUE.spread, GLUE.water)
    assert pressed(layup, platen=platen, glue=faster).open_time < base


@given(layup=st.lists(finite(5e-4, 2.5e-3), min_size=2, max_size=5), platen=platen_temperatures)
@settings(max_examples=10)
def test_one_sided_heat_is_half_of_a_double_stack(layup: list[float], platen: float) -> None:
    # the insulated face is a mirror: the mirrored stack, with dry glue that adds no water in its middle
    dry = Glue(GLUE.rate_constant, GLUE.activation_energy)
    fine = HeatModel(cells=24)

    single = pressed(layup, platen=platen, glue=dry, one_sided=True, model=fine)
    double = pressed([*layup, *reversed(layup)], platen=platen, glue=dry, model=fine)

    # the mirrored stack also cures its middle line, a little later than the outermost of the single one
    at = np.array([np.interp(single.open_time, double.times, line) for line in double.temperatures.T])
    assert at[: len(layup) - 1] == pytest.approx(single.line_temperatures, abs=0.1)
    assert single.coldest_line == len(layup) - 2
    assert single.open_time > pressed(layup, platen=platen, glue=dry, model=fine).open_time


def test_one_sided_heating_takes_four_times_as_long_where_heat_rules() -> None:
    # the time to reach a temperature goes with the square of the way
    half = Layer(0.005, 0.16, 1000.0, 1000.0)
    two = heat_stack([half, half], Faces((0.0,), (373.15,), (373.15,)), initial=273.15, cap=2000.0,
                     model=HeatModel())  # fmt: skip
    one = heat_stack([half, half], Faces((0.0,), (373.15,), (373.15,), PERFECT, INSULATED), initial=273.15, cap=2000.0,
                     model=HeatModel())  # fmt: skip
    middle = float(np.interp(353.15, two.temperatures[:, 0], two.times))
    far = heat_stack([half, half], Faces((0.0,), (373.15,), (373.15,), PERFECT, INSULATED), initial=273.15,
                     cap=4.0 * middle, model=HeatModel()).profile[-1]  # fmt: skip

    assert far == pytest.approx(353.15, abs=0.15)
    assert float(np.interp(4.0 * middle, one.times, one.temperatures[:, 0])) > 353.15


def test_glue_water_adds_to_both_neighbours_and_nothing_is_lost() -> None:
    stack = PressStack((Ply(1e-3, 0.6, 0.08), Ply(2e-3, 0.5, 0.06), Ply(1e-3, 0.6, 0.08)), GLUE)

    wood = [1000.0 * p.specific_gravity * p.thickness for p in stack.plies]
    before = sum(m * p.moisture for m, p in zip(wood, stack.plies, strict=True))
    after = sum(m * x for m, x in zip(wood, stack.moistures(), strict=True))

    assert after - before == pytest.approx(2 * GLUE.spread * GLUE.water)
    assert stack.moistures()[0] - 0.08 == pytest.approx(0.5 * 0.15 * 0.4 / 0.6)


def test_a_slow_platen_opens_later_and_a_long_one_all_the_same() -> None:
    stack = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 5, GLUE)

    def opened(ramp: list[tuple[float, float]] | None) -> float:
        return press_cycle(
            stack, platen=391.15, initial=293.15, target_cure=0.95, ramp=ramp, model=COARSE
        ).open_time

    at_once, slow, slower = (
        opened(None),
        opened([(0, 293.15), (60, 391.15)]),
        opened([(0, 293.15), (240, 391.15)]),
    )

    assert at_once < slow < slower < at_once + 240.0
    assert opened([(0, 391.15)]) == pytest.approx(at_once, rel=1e-12)


def test_unequal_platens_lie_between_equal_ones() -> None:
    stack = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 6, GLUE)

    def opened(platen: float | tuple[float, float]) -> PressCycle:
        return press_cycle(stack, platen=platen, initial=293.15, target_cure=0.95, model=COARSE)

    mixed = opened((383.15, 398.15))

    assert opened(398.15).open_time < mixed.open_time < opened(383.15).open_time
    assert mixed.coldest_line < 2
    assert mixed.open_time == pytest.approx(opened((398.15, 383.15)).open_time, rel=1e-6)


def test_energy_is_that_of_heating_to_the_end() -> None:
    cycle = pressed([1.5e-3] * 9)
    mean = float(cycle.line_temperatures.mean())
    a, b = heat_capacity_line(0.14)
    rough = 1000 * 0.62 * 1.14 * 9 * 1.5e-3 * (a * (mean - 293.15) + 0.5 * b * (mean**2 - 293.15**2))

    assert cycle.energy == pytest.approx(rough, rel=0.1)
