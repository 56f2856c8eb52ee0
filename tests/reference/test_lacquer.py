"""Lacquer amounts against published coverage notes.

Sources, each beside its rows: published coating-coverage notes and tables (theoretical spreading
rate, wet film, loss guide). They print two to five figures; the tolerance is half the last one.
"""

from __future__ import annotations

import pytest

from pairwright.physics.film import Coat, film_build
from pairwright.physics.lacquer import dry_film, lacquer_volume, spreading_rate, wet_film_for

M2_PER_LITRE = 1000.0  # of a spreading rate in 1/m
FT2 = 0.3048**2
US_GALLON = 3.785411784e-3
MIL = 25.4e-6


@pytest.mark.parametrize(
    ("solids", "film", "printed", "half_digit"),
    [
        # coating-coverage note: 1000 VS/DFT
        (0.65, 125e-6, 5.2, 0.05),
        # published spreading-rate table
        (0.40, 50e-6, 8.0, 0.05),
        (0.70, 75e-6, 9.3, 0.05),
    ],
)
def test_a_litre_covers_what_the_coverage_tables_print(
    solids: float, film: float, printed: float, half_digit: float
) -> None:
    assert spreading_rate(film, solids) / M2_PER_LITRE == pytest.approx(printed, abs=half_digit)
    # the same row read the other way: that area takes one litre
    assert lacquer_volume(printed, film, volume_solids=solids) == pytest.approx(1e-3, rel=0.01)


def test_a_gallon_covers_what_the_coverage_note_prints() -> None:
    # coating-coverage note: 1604 VS/DFT, 65 % and 5 mil -> 208.52 ft2 per US gallon
    covered = spreading_rate(5.0 * MIL, 0.65) * US_GALLON / FT2

    assert covered == pytest.approx(208.52, abs=0.05)  # the note's 1604 is 1604.17 rounded


def test_the_wet_film_is_the_published_one() -> None:
    # WFT = 100 DFT/VS: 65 %, 100 um -> 153.85 um
    assert wet_film_for(100e-6, 0.65) == pytest.approx(153.85e-6, abs=0.005e-6)
    assert dry_film(153.85e-6, 0.65) == pytest.approx(100e-6, abs=0.005e-6)
    assert film_build([Coat(153.85e-6, 0.65)]).mean == pytest.approx(100e-6, abs=0.005e-6)


def test_losses_raise_the_amount_as_the_loss_guide_says() -> None:
    # published loss guide: conventional spray loses 50 %, airless 30 %, brush and roller 10-15 %
    bare = lacquer_volume(5.2, 125e-6, volume_solids=0.65)

    assert lacquer_volume(5.2, 125e-6, volume_solids=0.65, transfer_efficiency=0.5) == pytest.approx(2 * bare)
    assert lacquer_volume(5.2, 125e-6, volume_solids=0.65, transfer_efficiency=0.7) == pytest.approx(
        bare / 0.7
    )


def test_the_worked_case_of_the_coverage_formula() -> None:
    # 2.4 m2, 60 um, 40 %, transfer 0.65 -> 0.5538 L by the published formula
    volume = lacquer_volume(2.4, 60e-6, volume_solids=0.40, transfer_efficiency=0.65)

    assert volume == pytest.approx(0.5538e-3, abs=0.00005e-3)
