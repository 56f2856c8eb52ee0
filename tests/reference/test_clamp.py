"""Clamp force against published bench examples.

The magazine prints pounds force where it says psi per clamp; the arithmetic is pounds.
"""

from __future__ import annotations

import pytest

from pairwright.physics.clamp import clamp_force, clamps_needed, glue_line_pressure

INCH = 0.0254
POUND = 4.4482216152605  # N
PSI = 6894.757293168


def test_the_panel_of_the_woodworking_magazine() -> None:
    # Wood (magazine), September 2021, "Dealing with pressure": 1 in by 25 in at 150 psi -> 3,750 lb
    force = clamp_force(150.0 * PSI, 25.0 * INCH, width=1.0 * INCH)

    assert force / POUND == pytest.approx(3750.0, rel=1e-6)


@pytest.mark.parametrize(("per_clamp", "clamps"), [(420.0, 9), (470.0, 8)])
def test_the_number_of_clamps_of_the_woodworking_magazine(per_clamp: float, clamps: int) -> None:
    # same article: 420 lb each takes nine clamps, about 470 lb each takes eight. Cover is made
    # large, so that force alone decides.
    needed = clamps_needed(
        150.0 * PSI, 25.0 * INCH, width=1.0 * INCH, cover=10.0, clamp_capacity=per_clamp * POUND
    )

    assert needed == clamps


def test_a_large_face_takes_a_press() -> None:
    # bench forum example: 540 sq in at 225 psi -> 121,500 lb
    force = clamp_force(225.0 * PSI, 30.0 * INCH, width=18.0 * INCH)

    assert force / POUND == pytest.approx(121_500.0, rel=1e-6)
    assert glue_line_pressure(force, 30.0 * INCH, width=18.0 * INCH) == pytest.approx(225.0 * PSI)
