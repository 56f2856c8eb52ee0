"""Bands, A-weighting and sweep against the standards' tables and the papers.

IEC 61260-1:2014 (base-ten bands), IEC 61672-1 Table 3 (A-weighting, printed to 0.1 dB at nominal
frequencies, to be computed at the exact ones), Farina 2000, Novak et al. 2010 and 2015.
"""

from __future__ import annotations

import pytest

from pairwright.measure.bands import a_weighting, band_edges
from pairwright.measure.sweep import sweep_lead, sweep_rate, synchronized_rate


@pytest.mark.parametrize(
    ("fraction", "index", "lower", "upper"),
    [(3, 0, 891.2509, 1122.0185), (1, 0, 707.9458, 1412.5375)],
)
def test_the_edges_at_one_kilohertz(fraction: int, index: int, lower: float, upper: float) -> None:
    band = band_edges(fraction, index)

    assert (band.lower, band.upper) == pytest.approx((lower, upper), abs=1e-4)
    assert band.centre == 1000.0


@pytest.mark.parametrize(("index", "centre"), [(-17, 19.953), (13, 19952.6)])
def test_third_octaves_at_the_ends_of_hearing(index: int, centre: float) -> None:
    assert band_edges(3, index).centre == pytest.approx(centre, rel=3e-5)


def test_an_even_fraction_has_no_band_at_one_kilohertz() -> None:
    # IEC 61260-1: for even b the mid-bands lie at G^((2x+1)/2b); first above 1 kHz 1029.2005 Hz
    assert band_edges(12, 0).centre == pytest.approx(1029.2005, abs=1e-4)
    assert band_edges(12, 0).lower == pytest.approx(1000.0)


@pytest.mark.parametrize(
    ("band", "printed"),
    # exact frequency 10^(band/10): nominal 10, 31.5, 100, 250, 500, 1k, 2k, 2.5k, 10k, 20k
    [(10, -70.4), (15, -39.4), (20, -19.1), (24, -8.6), (27, -3.2), (30, 0.0), (33, 1.2), (34, 1.3),
     (40, -2.5), (43, -9.3)],
)  # fmt: skip
def test_a_weighting_is_the_standard_s_table(band: int, printed: float) -> None:
    assert a_weighting(10.0 ** (band / 10.0)) == pytest.approx(printed, abs=0.0505)  # printed to 0.1 dB


@pytest.mark.parametrize(
    ("order", "lead"), [(2, 0.501717), (3, 0.795202), (5, 1.164950), (10, 1.666667), (20, 2.168383)]
)
def test_harmonics_lead_by_the_logarithm_of_their_order(order: int, lead: float) -> None:
    # Farina 2000: L ln n; 5 s from 20 Hz to 20 kHz, L 0.7238241 s
    assert sweep_lead(20.0, 20000.0, duration=5.0, order=order) == pytest.approx(lead, abs=1e-6)


def test_the_rate_and_the_synchronized_rate() -> None:
    # Farina 2000; Novak et al. 2010: L 0.7 s, so the sweep lasts 4.835429 s
    assert sweep_rate(20.0, 20000.0, duration=5.0) == pytest.approx(0.7238241, abs=1e-7)
    rate = synchronized_rate(20.0, 20000.0, duration=5.0)
    assert rate == pytest.approx(0.7)
    assert rate * 6.907755278982137 == pytest.approx(4.835429, abs=1e-6)
