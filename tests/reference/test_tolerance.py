"""Tolerance chains against the additive examples of JCGM 101 and JCGM 100.

JCGM 101:2008, 9.2.2 and 9.2.3: four inputs of unit variance, normal and rectangular, with the
intervals printed to 0.01; JCGM 100:2008, H.1, components of the gauge block. 9.2.4 (one of sd 10)
is from memory: printed by the test, not asserted as published; its closed form is a property test.
"""

from __future__ import annotations

import math

import pytest

from pairwright.physics.tolerance import Contributor, tolerance_chain

RECTANGULAR = Contributor(0.0, math.sqrt(3.0), distribution="uniform")
NORMAL = Contributor(0.0, 3.0)
# 95 % ends of 1e6 mirrored draws scatter by about 0.004 here; three of these and half a printed digit
NOISE = 0.005 + 3 * 0.004


def test_four_normal_inputs_as_printed() -> None:
    # JCGM 101, 9.2.2: u 2.00, [-3.92, 3.92]
    chain = tolerance_chain([NORMAL] * 4, seed=3)

    assert chain.sd == pytest.approx(2.00, abs=0.005)
    assert chain.mc_sd == pytest.approx(2.00, abs=0.005)
    assert chain.mc_high == pytest.approx(3.92, abs=NOISE)
    assert chain.mc_low == pytest.approx(-3.92, abs=NOISE)


def test_four_rectangular_inputs_as_printed() -> None:
    # JCGM 101, 9.2.3: u 2.00, [-3.88, 3.88]
    chain = tolerance_chain([RECTANGULAR] * 4, seed=3)

    assert chain.sd == pytest.approx(2.00, abs=0.005)
    assert chain.mc_high == pytest.approx(3.88, abs=NOISE)
    assert chain.mc_low == pytest.approx(-3.88, abs=NOISE)


def test_the_shape_of_the_inputs_shows_in_the_interval() -> None:
    # 9.2.2 against 9.2.3: the same u, 3.92 against 3.88
    normal, flat = tolerance_chain([NORMAL] * 4, seed=5), tolerance_chain([RECTANGULAR] * 4, seed=5)

    assert normal.mc_high - flat.mc_high == pytest.approx(0.04, abs=0.02)


def test_the_components_of_the_gauge_block_sum_as_printed() -> None:
    # JCGM 100, H.1: 25, 9.7, 2.9, 16.6 nm -> 32 nm
    parts = [Contributor(0.0, 3.0 * sd) for sd in (25e-9, 9.7e-9, 2.9e-9, 16.6e-9)]

    chain = tolerance_chain(parts, samples=1000)

    assert chain.sd == pytest.approx(32e-9, abs=0.5e-9)
    assert chain.contributions[0] == pytest.approx(25.0**2 / 1002.0, abs=0.001)  # printed sum 1002 nm2


def test_one_dominant_rectangle_is_printed_only(capsys: pytest.CaptureFixture[str]) -> None:
    wide = Contributor(0.0, 10.0 * math.sqrt(3.0), distribution="uniform")

    chain = tolerance_chain([RECTANGULAR] * 3 + [wide], seed=3)

    with capsys.disabled():
        print(f"\nfrom memory, JCGM 101 9.2.4: u 10.1, +/- 17.0; here {chain.mc_sd:.2f}, {chain.mc_high:.2f}")
    assert chain.sd == pytest.approx(math.sqrt(103.0), rel=1e-12)  # closed form
