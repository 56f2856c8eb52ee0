"""Warp, bending with shear and the opened shell against printed and closed forms."""

from __future__ import annotations

import math
from typing import Any

import pytest

from pairwright.base.laws import ask
from pairwright.physics.sheetlaws import LAWS

BY_NAME = {law.name: law for law in LAWS}


def answer(name: str, **inputs: Any) -> dict[str, Any]:
    return dict(ask(BY_NAME[name], inputs).result)


def strip(E: float, thickness: float, strain: float) -> dict[str, float]:
    """A strip without Poisson's effect, that grows by `strain` along x."""
    return {"E1": E, "E2": E, "G12": 0.5 * E, "nu12": 0.0, "thickness": thickness, "moisture_change": 0.01,
            "movement_along": strain / 0.01, "movement_across": 0.0}  # fmt: skip


@pytest.mark.parametrize(("m", "n"), [(1.0, 1.0), (0.5, 2.0), (2.0, 0.4), (0.25, 1.0)])
def test_two_strips_bend_as_timoshenko_printed(m: float, n: float) -> None:
    # J. Opt. Soc. Am. 11 (1925) 233, Eq. 4: m = a1/a2, n = E1/E2, h = a1 + a2
    lower, h = 1e-3, 1e-3 * (1.0 + m) / m
    upper, strain = h - lower, 2e-3
    printed = (
        6.0 * strain * (1.0 + m) ** 2 / (h * (3.0 * (1.0 + m) ** 2 + (1.0 + m * n) * (m * m + 1.0 / (m * n))))
    )

    found = answer(
        "warp", plies=[strip(n * 1e10, lower, 0.0), strip(1e10, upper, strain)], length=0.5, width=0.02
    )

    assert abs(found["bow_x"]) == pytest.approx(printed * 0.5**2 / 8.0, rel=1e-9)
    assert found["bow_x"] > 0.0  # the upper one grows
    assert found["bow_y"] == pytest.approx(0.0, abs=1e-12)


def test_alike_plies_do_not_bend() -> None:
    found = answer("warp", plies=[strip(1e10, 1e-3, 1e-3)] * 3, length=1.0, width=0.3)

    assert found["bow_x"] == pytest.approx(0.0, abs=1e-12)
    assert found["twist"] == pytest.approx(0.0, abs=1e-12)
    assert found["strain_x"] == pytest.approx(1e-3)


@pytest.mark.parametrize("ratio", [5.0, 10.0, 20.0])
def test_a_beam_of_one_wood_is_the_textbooks(ratio: float) -> None:
    # F L^3/(48 E I) and F L/(4 G A 5/6): shear adds 1.2 (h/L)^2 E/G of the bending
    h, E, G = 0.01, 12e9, 0.6e9
    found = answer(
        "three_point_bending",
        plies=[{"E": E, "G": G, "thickness": h}],
        span=ratio * h,
        width=0.05,
        force=100.0,
    )

    assert found["bending"] == pytest.approx(
        100.0 * (ratio * h) ** 3 / (48.0 * E * 0.05 * h**3 / 12.0), rel=1e-9
    )
    assert found["shear"] / found["bending"] == pytest.approx(1.2 * E / G / ratio**2, rel=1e-9)
    assert found["apparent_modulus"] == pytest.approx(E / (1.0 + 1.2 * E / G / ratio**2), rel=1e-9)


def test_a_crossed_strip_is_softer_by_its_rolling_shear() -> None:
    # Wood Handbook and beech 2019: rolling shear moduli of 40 to 200 MPa; at a span of ten thicknesses it counts
    def stiff(rolling: float) -> float:
        along, across = (
            {"E": 12e9, "G": 0.6e9, "thickness": 1.5e-3},
            {"E": 0.8e9, "G": rolling, "thickness": 1.5e-3},
        )
        found = answer(
            "three_point_bending", plies=[along, across] * 3 + [along], span=0.105, width=0.05, force=50.0
        )
        return float(found["apparent_modulus"])

    assert stiff(40e6) < stiff(195e6) < stiff(0.6e9)
    assert stiff(40e6) < 0.8 * stiff(0.6e9)


def test_a_half_ring_pulled_open_is_the_closed_form() -> None:
    # pi P R^3/(2 E I) for a thin half ring pulled at its ends
    found = answer("shell_held_open", leg=0.0, radius=0.15, thickness=0.003, width=0.02, modulus=10e9, opening=0.002,
                   along_limit=50e6, through_limit=2e6)  # fmt: skip

    force = 0.002 / (math.pi * 0.15**3 / (2.0 * 10e9 * 0.02 * 0.003**3 / 12.0))
    assert found["force"] == pytest.approx(force, rel=1e-9)
    assert found["safe_opening"] == pytest.approx(0.002 / found["share"], rel=1e-9)


def test_the_stress_of_a_thin_crown_is_that_of_a_beam() -> None:
    found = answer("shell_held_open", leg=0.2, radius=0.3, thickness=0.003, width=0.02, modulus=10e9, opening=0.004,
                   along_limit=50e6, through_limit=2e6)  # fmt: skip

    moment = found["force"] * 0.5
    beam = 6.0 * moment / (0.02 * 0.003**2) + found["force"] / (0.02 * 0.003)
    assert found["hoop_stress"] == pytest.approx(beam, rel=0.01)
    assert found["radial_stress"] == pytest.approx(1.5 * moment / (0.02 * 0.003 * 0.3), rel=1e-9)
