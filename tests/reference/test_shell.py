"""Thick curved beams and thin rings against textbooks and a published finite-element benchmark."""

from __future__ import annotations

import math

import pytest

from pairwright.base.laws import ask
from pairwright.physics.shell import LAWS, quarter_ring, shell_opening

BY_NAME = {law.name: law for law in LAWS}

# Shigley, Mechanical Engineering Design, 9th ed., Fig. 3-35: crane hook, section 0.75 x 4 in, r_i 2, r_o 6 in; the
# load of 5000 lbf acts through the centre of curvature
HOOK = {"inner_radius": 2.0, "outer_radius": 6.0, "width": 0.75, "axial_force": 5000.0, "moment": 20000.0}


def test_the_hooks_neutral_radius_is_the_books() -> None:
    answer = ask(BY_NAME["curved_beam"], HOOK)

    assert answer.result["neutral_radius"] == pytest.approx(3.641, abs=0.0005)
    assert answer.result["eccentricity"] == pytest.approx(0.359, abs=0.0005)


def test_the_hooks_stresses_are_the_books() -> None:
    # 16.9 and -5.63 kpsi: tension inside
    answer = ask(BY_NAME["curved_beam"], HOOK)

    assert answer.result["inner_stress"] / 1e3 == pytest.approx(16.9, abs=0.05)
    assert answer.result["outer_stress"] / 1e3 == pytest.approx(-5.63, abs=0.005)


def test_the_same_hook_in_metres_and_newtons() -> None:
    inch, pound = 0.0254, 4.4482216152605
    metric = {"inner_radius": 2 * inch, "outer_radius": 6 * inch, "width": 0.75 * inch,
              "axial_force": 5000 * pound, "moment": 20000 * pound * inch}  # fmt: skip

    answer = ask(BY_NAME["curved_beam"], metric)

    assert answer.result["inner_stress"] / 6894757.293 == pytest.approx(16.9, abs=0.05)


# MacNeal and Harder, Finite Elem. Anal. Des. 1 (1985) 3-20, curved beam: quarter ring, r 4.12 to 4.32, width 0.1,
# E 1e7, unit load in plane at the tip: 0.08734
RADIUS, STIFFNESS = 4.22, 1e7 * 0.1 * 0.2**3 / 12.0


def test_a_quarter_ring_gives_as_in_the_benchmark() -> None:
    _, along, _ = quarter_ring(RADIUS, stiffness=STIFFNESS, force=1.0)

    # bending only, thin ring: 1.4 % above the published value
    assert along == pytest.approx(0.08734, rel=0.015)


def test_a_half_ring_is_two_quarters_of_the_benchmark() -> None:
    # by symmetry about the crown each half of a half ring is a quarter ring clamped there
    answer = ask(
        BY_NAME["shell_opening"], {"leg": 0.0, "radius": RADIUS, "stiffness": STIFFNESS, "force": 1.0}
    )

    assert answer.result["opening"] == pytest.approx(2.0 * 0.08734, rel=0.015)


# University of Washington, CEE 459, problem 10.7: thin quarter ring, bending part: 3 pi/4 - 2, pi/4, 1/2 of P R^3/EI
def test_the_quarter_rings_coefficients_are_those_of_the_lecture() -> None:
    found = quarter_ring(1.0, stiffness=1.0, force=1.0)

    assert found == pytest.approx((0.35619, 0.78540, 0.5), abs=5e-6)


def test_two_half_rings_make_the_pinched_ring() -> None:
    # Timoshenko and Young 1968, section 79; Roark, Table 9 case 1: a full ring pulled across a diameter opens by
    # (pi/4 - 2/pi) P R^3/EI. Each half ring carries P/2 at its tips and the moment that keeps them from turning.
    R, EI, P = 1.0, 1.0, 1.0
    turning_by_force = 2.0 * R * R / EI  # both tips together, per unit force
    turning_by_moment = math.pi * R / EI
    moment = 0.5 * P * turning_by_force / turning_by_moment
    free = shell_opening(0.0, R, stiffness=EI, force=0.5 * P)

    opening = free - moment * turning_by_force

    assert opening == pytest.approx(math.pi / 4.0 - 2.0 / math.pi, rel=1e-12)


def test_the_opening_of_a_long_u_is_that_of_two_cantilevers() -> None:
    # P L^3/(3 E I) each (any handbook of beams)
    answer = ask(BY_NAME["shell_opening"], {"leg": 1.0, "radius": 1e-6, "stiffness": 10.0, "force": 3.0})

    assert answer.result["opening"] == pytest.approx(2.0 * 3.0 / (3.0 * 10.0), rel=1e-5)
