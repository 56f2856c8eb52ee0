"""Developed lengths against the closed form of parallel curves and a sheet-metal table.

The bend allowance of sheet metal is the same geometry: angle times the radius of the neutral fibre. K = 0.5 puts that
fibre in the middle, which for a thin veneer it is.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from pairwright.base.laws import ask
from pairwright.physics.profile import LAWS

LAW = LAWS[0]


def lengths(profile: list[dict[str, float]], thicknesses: list[float]) -> list[float]:
    found: list[float] = ask(LAW, {"profile": profile, "thicknesses": thicknesses}).result["lengths"]
    return found


def test_a_half_ring_of_two_plies() -> None:
    # closed form: pi (R + t/2), pi (R + 3t/2)
    inner, outer = lengths([{"radius": 0.1, "turn_deg": 180.0}], [0.01, 0.01])

    assert inner == pytest.approx(math.pi * 0.105, rel=1e-12)
    assert outer == pytest.approx(math.pi * 0.115, rel=1e-12)


@pytest.mark.parametrize(
    ("radius", "thickness", "degrees", "allowance"),
    # BA = angle (R + K T), K = 0.5: closed form, inches as bend tables have them
    [(0.25, 0.125, 90.0, 0.4909), (0.5, 0.0625, 90.0, 0.8345), (1.0, 0.25, 45.0, 0.8836)],
)
def test_a_right_angle_of_sheet_metal(
    radius: float, thickness: float, degrees: float, allowance: float
) -> None:
    (found,) = lengths([{"radius": radius, "turn_deg": degrees}], [thickness])

    assert found == pytest.approx(allowance, abs=5e-5)


def test_every_ply_of_a_u_is_pi_thicknesses_longer() -> None:
    u = [{"line": 0.25}, {"radius": 0.15, "turn_deg": 180.0}, {"line": 0.25}]
    found = lengths(u, [1.5e-3] * 9)

    steps = [b - a for a, b in pairwise(found)]
    assert steps == pytest.approx([math.pi * 1.5e-3] * 8, rel=1e-9)
    assert found[0] == pytest.approx(0.5 + math.pi * 0.15075, rel=1e-12)


def test_a_bend_outwards_shortens_the_outer_plies() -> None:
    inner, outer = lengths([{"radius": 0.1, "turn_deg": -90.0}], [1e-3, 1e-3])

    assert outer == pytest.approx(inner - 0.5 * math.pi * 1e-3, rel=1e-9)


def test_the_strain_is_that_of_the_tightest_bend() -> None:
    two = [{"radius": 0.2, "turn_deg": 90.0}, {"radius": 0.09, "turn_deg": 30.0}]
    answer = ask(LAW, {"profile": two, "thicknesses": [1.5e-3]})

    assert answer.result["tightest"] == pytest.approx(0.09075)
    assert answer.result["strains"] == pytest.approx([1.5e-3 / (2 * 0.09075)])
