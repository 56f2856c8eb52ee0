"""Crossovers against printed coefficient tables and filter theory.

The tables (Dickason's handbook and public copies) print L = k R/f and C = k/(R f) with four or
five decimals; the fourth-order Butterworth's first inductance is misprinted 0.2437 in some (0.24362).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pairwright.physics.crossover import (
    crossover_values,
    impedance_corrector,
    pad,
)
from pairwright.physics.network import Branch, network

LOW = {
    "BW1": (0.15915,), "BW2": (0.22508, 0.11254), "LR2": (0.31831, 0.07958),
    "BW3": (0.23873, 0.21221, 0.07958), "BW4": (0.24362, 0.25101, 0.17227, 0.06091),
    "LR4": (0.30011, 0.25321, 0.15005, 0.05627),
}  # fmt: skip
HIGH = {
    "BW1": (0.15915,), "BW2": (0.11254, 0.22508), "LR2": (0.07958, 0.31831),
    "BW3": (0.10610, 0.11937, 0.31831), "BW4": (0.10397, 0.10091, 0.14704, 0.41589),
    "LR4": (0.08440, 0.10004, 0.16881, 0.45016),
}  # fmt: skip
LOAD, CORNER = 8.0, 2000.0


def level(kind: str, side: str, frequency: np.ndarray) -> np.ndarray:
    """Voltage at the load for 1 V, by nodal analysis of the ladder."""
    node, circuit = "n0", [Branch("source", ("n0", "common"), 1.0)]
    for n, e in enumerate(crossover_values(kind, side, frequency=CORNER, resistance=LOAD), start=1):
        if e.position == "series":
            circuit.append(Branch(e.kind, (node, f"n{n}"), e.value))
            node = f"n{n}"
        else:
            circuit.append(Branch(e.kind, (node, "common"), e.value))
    circuit.append(Branch("resistor", (node, "common"), LOAD))
    return network(circuit, frequency)[node]


@pytest.mark.parametrize("kind", sorted(LOW))
@pytest.mark.parametrize("side", ["low", "high"])
def test_the_values_are_the_printed_coefficients(kind: str, side: str) -> None:
    printed = (LOW if side == "low" else HIGH)[kind]

    found = crossover_values(kind, side, frequency=CORNER, resistance=LOAD)

    for element, k in zip(found, printed, strict=True):
        scale = LOAD / CORNER if element.kind == "inductor" else 1.0 / (LOAD * CORNER)
        assert element.value / scale == pytest.approx(k, abs=1e-5)


def test_the_parts_of_a_fourth_order_branch() -> None:
    # LR4 at 8 ohm, 2 kHz, from the printed coefficients
    low = [e.value for e in crossover_values("LR4", "low", frequency=2e3, resistance=8.0)]
    high = [e.value for e in crossover_values("LR4", "high", frequency=2e3, resistance=8.0)]

    assert low == pytest.approx([1.2004e-3, 15.826e-6, 0.6002e-3, 3.517e-6], rel=1e-4)
    assert high == pytest.approx([5.275e-6, 0.4001e-3, 10.551e-6, 1.8006e-3], rel=2e-4)


@pytest.mark.parametrize(
    ("kind", "each", "same", "reversed_"),
    # filter theory; Linkwitz, J. Audio Eng. Soc. 24 (1976): level of each branch, of the sum, of
    # the sum with one branch reversed, at the crossover frequency; None is a null
    [("BW1", -3.0103, 0.0, 0.0), ("BW2", -3.0103, None, 3.0103), ("LR2", -6.0206, None, 0.0),
     ("BW3", -3.0103, 0.0, 0.0), ("BW4", -3.0103, 3.0103, None), ("LR4", -6.0206, 0.0, None)],
)  # fmt: skip
def test_levels_at_the_crossover(kind: str, each: float, same: float | None, reversed_: float | None) -> None:
    low, high = level(kind, "low", np.array([CORNER]))[0], level(kind, "high", np.array([CORNER]))[0]

    for branch in (low, high):
        assert 20.0 * math.log10(abs(branch)) == pytest.approx(each, abs=0.001)
    for total, printed in ((low + high, same), (low - high, reversed_)):
        if printed is None:
            assert abs(total) < 1e-9
        else:
            assert 20.0 * math.log10(abs(total)) == pytest.approx(printed, abs=0.001)


@pytest.mark.parametrize(
    ("kind", "printed"), [("BW2", -40.00), ("LR2", -40.09), ("BW3", -60.00), ("BW4", -80.00), ("LR4", -80.00)]
)
def test_the_slope_a_decade_above(kind: str, printed: float) -> None:
    value = level(kind, "low", np.array([10.0 * CORNER]))[0]

    assert 20.0 * math.log10(abs(value)) == pytest.approx(printed, abs=0.02)


@pytest.mark.parametrize(
    ("attenuation", "series", "shunt"),
    # voltage divider of constant input resistance, handbook table for 8 ohm
    [(3.0, 2.33643, 19.39217), (6.0, 3.99050, 8.03808), (10.0, 5.47018, 3.69980)],
)
def test_the_pad_for_eight_ohm(attenuation: float, series: float, shunt: float) -> None:
    found = pad(8.0, attenuation)

    assert (found.series, found.shunt) == pytest.approx((series, shunt), abs=1e-5)
    together = found.series + found.shunt * 8.0 / (found.shunt + 8.0)
    assert together == pytest.approx(8.0)  # the load that the crossover sees stays


def test_the_corrector_makes_a_coil_a_resistance() -> None:
    # handbook: R = Re, C = Le/Re^2; 5.8 ohm and 0.5 mH -> 14.86326 uF, |Z| 5.8 ohm throughout
    found = impedance_corrector(5.8, 0.5e-3)
    frequency = np.array([100.0, 1000.0, 10000.0])
    s = 2j * math.pi * frequency
    coil = 5.8 + s * 0.5e-3
    corrector = found.series_resistance + 1.0 / (s * found.series_capacitance)

    assert found.series_capacitance == pytest.approx(14.86326e-6, abs=1e-11)
    assert np.abs(coil * corrector / (coil + corrector)) == pytest.approx([5.8] * 3, rel=1e-12)
