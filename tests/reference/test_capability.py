"""Capability against worked examples of books."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from pairwright.base.laws import ask
from pairwright.quality.capability import LAWS, normal_capability, percentile_indices, sd_factors
from pairwright.quality.charts import subgroup_limits
from pairwright.quality.shapes import Percentiles, fitted
from tests.reference.published_sets import FLOW_WIDTH, PISTON_RINGS


def test_the_interval_of_cp_is_that_of_the_book() -> None:
    # Montgomery, chapter 8: limits 62 and 38, 20 values, s 1.75 -> 2.29 (1.57 to 3.01), chi-square 8.91 and 32.85
    found = normal_capability(38.0, 62.0, mean=50.0, sd=1.75, n=20)

    assert found.cp == pytest.approx(2.29, abs=0.005)
    assert found.cp_low == pytest.approx(1.57, abs=0.01)  # the book multiplies rounded figures
    assert found.cp_high == pytest.approx(3.01, abs=0.01)
    assert [19 * v * v for v in sd_factors(20, confidence=0.95)] == pytest.approx([8.91, 32.85], abs=0.005)


def test_the_interval_of_cpk_is_that_of_bissell_s_example() -> None:
    # Montgomery, chapter 8, after Bissell 1990: Cpk 1.33 of 20 values -> 0.88 to 1.78
    found = normal_capability(None, 1.33 * 3.0, mean=0.0, sd=1.0, n=20)

    assert found.cpk == pytest.approx(1.33, abs=1e-12)
    assert (found.cpk_low, found.cpk_high) == pytest.approx((0.88, 1.78), abs=0.006)


def test_the_interval_of_cpk_is_that_of_a_trade_journal() -> None:
    # Quality Digest, May 2000, last word: Cpk 1.15 of 45 values -> 0.89 to 1.41
    found = normal_capability(-1.15 * 3.0, None, mean=0.0, sd=1.0, n=45)

    assert (found.cpk_low, found.cpk_high) == pytest.approx((0.89, 1.41), abs=0.005)


def test_the_piston_rings_are_as_capable_as_the_book_says() -> None:
    # Montgomery: limits 74 -/+ 0.05 mm; sigma within the subgroups -> Cp 1.70, Cpk 1.66; all values -> Pp 1.655
    within = subgroup_limits(PISTON_RINGS, spread="range")
    every = [v for row in PISTON_RINGS for v in row]
    overall = float(np.std(every, ddof=1))

    short = normal_capability(73.95, 74.05, mean=within.centre, sd=within.sigma, n=125)
    served = ask(LAWS[0], {"lower": 73.95, "upper": 74.05, "data": every})

    assert short.cp == pytest.approx(1.703, abs=0.002)
    assert short.cpk == pytest.approx(1.663, abs=0.002)
    assert served.result["cp"] == pytest.approx(1.655, abs=0.002)
    assert served.result["sd"] == pytest.approx(overall, rel=1e-12)


def test_the_flow_width_is_as_capable_as_the_book_says() -> None:
    # Montgomery, example 6.1: 1.50 -/+ 0.50 um, sigma 0.1398 -> Cp 1.192
    within = subgroup_limits(FLOW_WIDTH, spread="range")

    assert normal_capability(1.0, 2.0, mean=within.centre, sd=within.sigma, n=125).cp == pytest.approx(
        1.192, abs=1e-3
    )


@pytest.mark.parametrize("cp", [0.5, 1.0, 1.33, 1.5, 1.67])
def test_a_centred_process_fails_as_often_as_the_normal_law_says(cp: float) -> None:
    # an independent library's normal tail
    found = normal_capability(-3.0 * cp, 3.0 * cp, mean=0.0, sd=1.0, n=100)

    assert found.ppm == pytest.approx(2e6 * float(stats.norm.sf(3.0 * cp)), rel=1e-12)


def test_six_sigma_with_a_shift_fails_3_4_times_in_a_million() -> None:
    # the figure that gave the method its fame: Cp 2, mean off by 1.5 sd -> 3.4 ppm
    assert normal_capability(-6.0, 6.0, mean=1.5, sd=1.0, n=100).ppm == pytest.approx(3.4, abs=0.01)


def test_percentiles_of_a_lognormal_process_give_the_standard_s_indices() -> None:
    # ISO 22514-2, percentile method; percentiles of lognormal(0, 0.25) from an independent library
    known = stats.lognorm(0.25)
    places = Percentiles(*(float(known.ppf(p)) for p in (0.00135, 0.5, 0.99865)))

    wide, near = percentile_indices(0.4, 2.5, places=places)

    assert wide == pytest.approx((2.5 - 0.4) / (2.116988 - 0.472369), rel=1e-5)
    assert near == pytest.approx(1.1372, abs=5e-5)


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("exponential", stats.expon()),
        ("rayleigh", stats.rayleigh(scale=2.0)),
        ("folded_normal", stats.halfnorm(scale=0.3)),
        ("lognormal", stats.lognorm(0.25)),
        ("normal", stats.norm(5.0, 0.7)),
        ("as_measured", stats.gamma(3.0)),
    ],
)
def test_a_shape_is_found_again_in_values_spread_like_it(name: str, known: stats.rv_continuous) -> None:
    # exact quantiles as data; scipy's own quantile is the second opinion
    data = known.ppf((np.arange(20_000) + 0.5) / 20_000)

    found = fitted(name, np.asarray(data)).percentiles()

    wanted = [float(known.ppf(p)) for p in (0.001349898, 0.5, 0.998650102)]
    assert [found.low, found.middle, found.high] == pytest.approx(wanted, rel=2e-3, abs=1e-5)


def test_the_exponential_has_the_percentiles_of_the_closed_form() -> None:
    # -ln(1 - p): 0.00135091, 0.693147, 6.607651 for p 0.135, 50, 99.865 %
    found = fitted("exponential", np.array([0.5, 1.0, 1.5])).percentiles()

    assert [found.low, found.middle, found.high] == pytest.approx(
        [0.00135081, math.log(2.0), 6.60773], rel=1e-4
    )
