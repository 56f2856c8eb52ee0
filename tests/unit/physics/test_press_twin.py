"""The press loop against an independent solver, and its compiled form against its plain one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from pairwright.physics.heat import INSULATED, PERFECT, HeatModel
from pairwright.physics.press import Glue, Ply, PressStack, press_cycle
from pairwright.physics.wood import wood_conductivity, wood_heat_capacity
from tests.strategies import finite, platen_temperatures

R = 8.314462618
GLUE = Glue(1.792e9, 80e3, order=1.5, spread=0.16, water=0.45)


def by_library(stack: PressStack, platen: float, target: float, *, one_sided: bool = False) -> float:
    """Opening time by nodes on the glue lines and a stiff library solver: another grid, another method."""
    inside = 12  # intervals in each ply
    x = [0.0]
    for ply in stack.plies:
        x += [x[-1] + ply.thickness * (n + 1) / inside for n in range(inside)]
    x = np.array(x)
    gap = np.diff(x)
    gravity = np.repeat([p.specific_gravity for p in stack.plies], inside)
    wet = np.repeat(stack.moistures(), inside)
    lines = np.arange(1, len(stack.plies)) * inside

    def rates(_: float, y: np.ndarray) -> np.ndarray:
        T = y[: len(x)]
        middle = 0.5 * (T[1:] + T[:-1])
        k = np.array(
            [wood_conductivity(g, m, temperature=t) for g, m, t in zip(gravity, wet, middle, strict=True)]
        )
        c = np.array([
            1000 * g * (1 + m) * wood_heat_capacity(t, m) for g, m, t in zip(gravity, wet, middle, strict=True)
        ])  # fmt: skip
        flow = k * (T[:-1] - T[1:]) / gap
        stored = np.zeros(len(x))
        stored[:-1] += 0.5 * c * gap
        stored[1:] += 0.5 * c * gap
        net = np.zeros(len(x))
        net[:-1] -= flow
        net[1:] += flow
        out = net / stored
        out[0] = 0.0
        if not one_sided:
            out[-1] = 0.0
        cure = np.clip(y[len(x) :], 0.0, 1.0)
        speed = stack.glue.rate_constant * np.exp(-stack.glue.activation_energy / (R * T[lines]))
        return np.concatenate([out, speed * (1.0 - cure) ** stack.glue.order])

    start = np.full(len(x), 293.15)
    start[0] = platen
    if not one_sided:
        start[-1] = platen

    def cured(_: float, y: np.ndarray) -> float:
        return float(y[len(x) :].min() - target)

    cured.terminal = True  # type: ignore[attr-defined]
    y0 = np.concatenate([start, np.zeros(len(lines))])
    run = solve_ivp(rates, (0.0, 7200.0), y0, method="BDF", rtol=1e-6, atol=1e-7, events=cured)
    return float(run.t_events[0][0])


@pytest.mark.parametrize(
    ("thicknesses", "gravities", "platen", "one_sided"),
    [
        ([1.5e-3] * 7, [0.62] * 7, 393.15, False),
        ([0.6e-3, 1.5e-3, 1.5e-3, 1.0e-3], [0.60, 0.62, 0.37, 0.62], 383.15, False),
        ([1.5e-3] * 4, [0.636] * 4, 408.15, True),
    ],
)
def test_a_stiff_library_solver_opens_the_press_at_the_same_time(
    thicknesses: list[float], gravities: list[float], platen: float, one_sided: bool
) -> None:
    stack = PressStack(tuple(Ply(t, g, 0.08) for t, g in zip(thicknesses, gravities, strict=True)), GLUE)

    ours = press_cycle(stack, platen=platen, initial=293.15, target_cure=0.93, one_sided=one_sided)

    assert ours.open_time == pytest.approx(by_library(stack, platen, 0.93, one_sided=one_sided), rel=2e-3)


@given(
    thicknesses=st.lists(finite(5e-4, 2.5e-3), min_size=2, max_size=7),
    platen=platen_temperatures,
    one_sided=st.booleans(),
    contact=st.sampled_from([PERFECT, 400.0]),
)
@settings(max_examples=25)
def test_compiled_and_plain_give_the_same_numbers(
    thicknesses: list[float], platen: float, one_sided: bool, contact: float
) -> None:
    stack = PressStack(tuple(Ply(t, 0.62, 0.08) for t in thicknesses), GLUE)

    plain, compiled = (
        press_cycle(
            stack, platen=platen, initial=293.15, target_cure=0.95, one_sided=one_sided, contact=contact,
            ramp=[(0.0, 330.0), (40.0, platen)], cap=1e6, model=HeatModel(cells=16, growth=0.1, compiled=c),
        )
        for c in (False, True)
    )  # fmt: skip

    # the same text runs in both: the last digit may differ where the exponential does
    assert compiled.open_time == pytest.approx(plain.open_time, rel=1e-12)
    assert compiled.times == pytest.approx(plain.times, rel=1e-12)
    assert compiled.temperatures == pytest.approx(plain.temperatures, rel=1e-12)
    assert compiled.cures == pytest.approx(plain.cures, abs=1e-12)
    assert compiled.energy == pytest.approx(plain.energy, rel=1e-12)


def test_an_insulated_contact_is_one_sided_heat() -> None:
    assert INSULATED == 0.0
