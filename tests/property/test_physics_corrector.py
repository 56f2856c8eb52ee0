"""The corrector of a coil: coil and corrector side by side are a plain resistance."""

from __future__ import annotations

import math

import pytest
from hypothesis import given

from pairwright.physics.crossover import impedance_corrector
from tests.strategies import finite


@given(resistance=finite(1.0, 32.0), inductance=finite(1e-5, 1e-2), frequency=finite(10.0, 4e4))
def test_a_corrected_coil_is_its_resistance_at_every_frequency(
    resistance: float, inductance: float, frequency: float
) -> None:
    omega = 2.0 * math.pi * frequency
    found = impedance_corrector(resistance, inductance)

    coil = complex(resistance, omega * inductance)
    corrector = complex(found.series_resistance, -1.0 / (omega * found.series_capacitance))
    together = coil * corrector / (coil + corrector)

    assert together.real == pytest.approx(resistance, rel=1e-9)
    assert together.imag == pytest.approx(0.0, abs=1e-9 * resistance)
