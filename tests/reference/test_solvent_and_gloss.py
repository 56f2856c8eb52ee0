"""Solvent figure, gloss geometry and thermal expansion against what was read in print."""

from __future__ import annotations

import pytest

from pairwright.physics.fit import Climate, Side, expansion_coefficient, size_in
from pairwright.physics.gloss import STANDARD_INDEX, gloss_geometry, ideal_gloss
from pairwright.physics.solvent import LEL_SHARE, TOLUENE_LEL, dilution_air, vapour_volume

FT3_PER_GALLON = 0.3048**3 / 3.785411784e-3  # in m3 per m3


def test_a_gallon_of_toluene_makes_the_printed_vapour() -> None:
    # published 30.4 ft3 per US gallon, near 70 degF
    vapour = vapour_volume(1.0, density=866.9, molar_mass=0.09214, temperature=294.26)

    assert vapour / FT3_PER_GALLON == pytest.approx(30.4, abs=0.1)


def test_the_limits_are_the_published_ones() -> None:
    # ECHA dossier of toluene, from the CRC Handbook: 1.1 %; NFPA 86: below 25 % of it
    assert TOLUENE_LEL == 0.011
    assert LEL_SHARE == 0.25


def test_a_litre_of_toluene_needs_the_air_of_the_cautious_limit() -> None:
    # 0.2263 m3 of vapour, 1.1 %, factor 4 -> 81.4 m3 of air per litre
    air = dilution_air(0.2263, explosive_limit=TOLUENE_LEL)

    assert air == pytest.approx(81.4, abs=0.05)
    assert air > dilution_air(0.2263, explosive_limit=0.014)  # the laxer limit of other tables


def test_the_angle_to_read_follows_the_standard() -> None:
    # ISO 2813: 20 degrees above 70 units at 60 degrees, 85 below 10
    assert [gloss_geometry(g) for g in (71.0, 70.0, 10.0, 9.9)] == [20, 60, 60, 85]
    assert STANDARD_INDEX == 1.567  # ISO 2813:2014, at 587.6 nm
    assert ideal_gloss(STANDARD_INDEX, 60.0) == pytest.approx(100.0, rel=1e-12)  # by definition


def test_expansion_from_two_lengths_is_the_printed_one() -> None:
    # NIST TN 1900, example E13: 1.7266e-5 1/K
    found = expansion_coefficient(1.4999, 1.5021, before=288.15, after=373.10)

    assert found == pytest.approx(1.7266e-5, abs=0.0005e-5)
    long = size_in(
        Side(1.4999, expansion=found), Climate("hot", 0.0, 373.10), made=Climate("cold", 0.0, 288.15)
    )
    assert long == pytest.approx(1.5021, abs=1e-6)


@pytest.mark.parametrize(
    ("size", "per_percent", "change", "printed"),
    [
        # flooring-trade example on Wood Handbook coefficients: 5 in, 0.00129, 6 -> 9 % -> 0.019 in
        (5 * 0.0254, 0.00129, 0.03, 0.019 * 0.0254),
        # Wood Handbook Table 13-5, radial beech: 20 mm, 0.0019, 8 -> 12 % -> 0.152 mm
        (0.020, 0.0019, 0.04, 0.152e-3),
    ],
)
def test_wood_moves_as_printed(size: float, per_percent: float, change: float, printed: float) -> None:
    made, later = Climate("made", 0.08, 293.15), Climate("later", 0.08 + change, 293.15)

    moved = size_in(Side(size, movement=100.0 * per_percent), later, made=made) - size

    assert moved == pytest.approx(printed, rel=0.03)  # 0.019 in is printed to two figures
