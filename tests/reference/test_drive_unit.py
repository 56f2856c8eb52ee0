"""Drive-unit parameters against Small's relations.

Small, J. Audio Eng. Soc. 20 (1972) 383-395. No full numeric example of parameters from raw
impedance was found in print; the round trip of a synthetic unit stands in (numbers by independent
arithmetic), and the published constants beside it.
"""

from __future__ import annotations

import numpy as np
import pytest

from pairwright.physics.drive_unit import (
    DriveUnit,
    driver_parameters,
    reference_efficiency,
    sensitivity,
)
from pairwright.physics.unit_impedance import (
    CoilLoss,
    Estimate,
    added_mass,
    coil_impedance,
    impedance,
    known_volume,
    three_points,
)

UNIT = DriveUnit(5.8, 0.0185, 0.85e-3, 1.35, 7.2, 0.0137)


def exact(value: float) -> Estimate:
    return Estimate(value, 0.0)


@pytest.mark.parametrize(
    ("name", "expected"),
    [("resonance", 40.13514), ("mechanical_q", 3.455753), ("electrical_q", 0.5219626),
     ("total_q", 0.4534698), ("compliance_volume", 22.40682e-3), ("efficiency", 0.002668196),
     ("peak_impedance", 44.2)],
)  # fmt: skip
def test_the_synthetic_unit_by_small_s_relations(name: str, expected: float) -> None:
    assert getattr(driver_parameters(UNIT), name) == pytest.approx(expected, rel=3e-6)


def test_the_efficiency_constant_of_the_paper() -> None:
    # Small 1972: 4 pi^2/c^3 = 9.614e-7 s3/m3 at 345 m/s
    assert reference_efficiency(1.0, 1.0, electrical_q=1.0) == pytest.approx(9.614e-7, rel=1e-4)


def test_efficiency_and_sensitivity_of_a_usual_woofer() -> None:
    # fs 30 Hz, Vas 100 L, Qes 0.4 -> 0.0064894 and, with the paper's 112.1 dB constant, 90.22 dB
    efficiency = reference_efficiency(30.0, 0.100, electrical_q=0.4)

    assert efficiency == pytest.approx(0.0064894, abs=1e-7)
    assert sensitivity(efficiency) == pytest.approx(90.217, abs=0.005)
    assert sensitivity(1.0) == pytest.approx(112.1, abs=0.05)
    assert sensitivity(1.0, density=1.2041, sound_speed=343.21) == pytest.approx(112.160, abs=0.002)


def test_an_added_mass_gives_back_the_moving_mass() -> None:
    assert added_mass(exact(40.13514), exact(32.33614), mass=exact(0.010)).value == pytest.approx(
        0.0185, abs=1e-6
    )


def test_a_known_volume_gives_back_the_compliance() -> None:
    volume = known_volume(
        exact(40.13514), exact(72.25086), electrical_q=exact(0.5219626),
        boxed_electrical_q=exact(0.9396316), volume=exact(0.010),
    )  # fmt: skip

    assert volume.value == pytest.approx(22.40682e-3, abs=1e-6)


def test_three_points_give_back_the_quality_factors() -> None:
    mechanical, electrical, off = three_points(5.8, 44.2, resonance=40.13514, lower=27.18758, upper=59.24874)

    assert mechanical == pytest.approx(3.455753, rel=1e-5)
    assert electrical == pytest.approx(0.5219626, rel=1e-5)
    assert off == pytest.approx(0.0, abs=1e-6)
    beside = impedance(
        np.array([27.18758, 59.24874]), resistance=5.8, resonance=40.13514, mechanical_q=3.455753,
        electrical_q=0.5219626,
    )  # fmt: skip
    assert np.abs(beside) == pytest.approx([(5.8 * 44.2) ** 0.5] * 2, rel=1e-5)


def test_the_lossy_inductances_at_one_kilohertz() -> None:
    # two inductances with a bridge, and Leach (J. Audio Eng. Soc. 50 (2002)): phase 90 n degrees
    bridge = coil_impedance(np.array([1000.0]), CoilLoss(0.3e-3, 0.5e-3, 4.0))[0]
    power = coil_impedance(np.array([1000.0]), CoilLoss(factor=0.02, power=0.7))[0]

    assert (bridge.real, bridge.imag) == pytest.approx((1.526054, 3.827988), abs=1e-5)
    assert (power.real, power.imag) == pytest.approx((4.138116, 8.12151), abs=1e-5)
    assert np.degrees(np.angle(power)) == pytest.approx(63.0)
