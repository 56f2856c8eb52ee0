"""Scatter of a film build against published sums of independent inputs."""

from __future__ import annotations

import pytest

from pairwright.physics.film import Coat, Removal, film_build


def test_four_equal_inputs_double_the_scatter() -> None:
    # JCGM 101:2008, 9.2.2: four normal inputs of sd 1 -> u 2.00, 95 % interval +/- 3.92
    left = film_build([Coat(10.0, 1.0, 1.0)] * 4)

    assert left.sd == pytest.approx(2.00, abs=0.005)
    assert film_build([Coat(10.0, 1.0, 1.0)] * 4, reserve=40.0 - 3.92).probability_below_reserve == (
        pytest.approx(0.025, abs=0.0002)  # the interval is printed to 0.01: 0.01 x density 0.029
    )
    assert film_build([Coat(10.0, 1.0, 1.0)] * 4, reserve=40.0 + 3.92).probability_below_reserve == (
        pytest.approx(0.975, abs=0.0002)
    )


def test_the_components_of_the_gauge_block_sum_as_printed() -> None:
    # JCGM 100:2008, H.1: components 25, 9.7, 2.9, 16.6 nm -> combined 32 nm
    parts = [Removal(0.0, sd) for sd in (25e-9, 9.7e-9, 2.9e-9, 16.6e-9)]

    assert film_build([], parts).sd == pytest.approx(32e-9, abs=0.5e-9)


def test_solids_turn_wet_scatter_into_dry_scatter() -> None:
    # published wet-film note: 65 % of 153.85 um is 100 um; a tenth of the one is a tenth of the other
    left = film_build([Coat(153.85e-6, 0.65, 15.385e-6)])

    assert left.mean == pytest.approx(100e-6, abs=0.005e-6)
    assert left.sd == pytest.approx(10e-6, abs=0.0005e-6)
