"""Control charts against printed tables and worked examples."""

from __future__ import annotations

import pytest

from pairwright.base.laws import ask
from pairwright.quality.charts import LAWS, count_limits, individual_limits, share_limits, subgroup_limits
from pairwright.quality.constants import chart_constants, mean_range_factor
from pairwright.quality.rules import signals
from tests.reference.published_sets import FLOW_WIDTH, PISTON_RINGS

# Montgomery, appendix VI, and ASTM E2587: printed to 3 decimals (some books round the last one differently)
PRINTED = [  # n, d2, d3, c4, A2, A3, D3, D4, B3, B4
    (2, 1.128, 0.853, 0.7979, 1.880, 2.659, 0.0, 3.267, 0.0, 3.267),
    (3, 1.693, 0.888, 0.8862, 1.023, 1.954, 0.0, 2.575, 0.0, 2.568),
    (4, 2.059, 0.880, 0.9213, 0.729, 1.628, 0.0, 2.282, 0.0, 2.266),
    (5, 2.326, 0.864, 0.9400, 0.577, 1.427, 0.0, 2.115, 0.0, 2.089),
    (6, 2.534, 0.848, 0.9515, 0.483, 1.287, 0.0, 2.004, 0.030, 1.970),
    (7, 2.704, 0.833, 0.9594, 0.419, 1.182, 0.076, 1.924, 0.118, 1.882),
    (8, 2.847, 0.820, 0.9650, 0.373, 1.099, 0.136, 1.864, 0.185, 1.815),
    (9, 2.970, 0.808, 0.9693, 0.337, 1.032, 0.184, 1.816, 0.239, 1.761),
    (10, 3.078, 0.797, 0.9727, 0.308, 0.975, 0.223, 1.777, 0.284, 1.716),
]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"n={row[0]}")
def test_the_constants_are_those_of_the_printed_tables(row: tuple[float, ...]) -> None:
    k = chart_constants(int(row[0]))

    assert (k.d2, k.d3, k.c4, k.A2, k.A3, k.D3, k.D4, k.B3, k.B4) == pytest.approx(row[1:], abs=0.001)


@pytest.mark.parametrize(
    ("n", "printed"),
    # AIAG, Measurement Systems Analysis, 4th ed.: K2 of 2 and 3 appraisers, K3 of 10 parts are 1/d2*
    [(2, 0.7071), (3, 0.5231), (10, 0.3146)],
)
def test_the_factor_of_a_single_range_is_that_of_the_gauge_manual(n: int, printed: float) -> None:
    assert 1.0 / mean_range_factor(n) == pytest.approx(printed, abs=5e-5)


def test_the_piston_rings_have_the_limits_of_the_book() -> None:
    # Montgomery, piston rings: grand mean 74.00118, limits 73.98805 and 74.0143, sigma 0.009785
    found = subgroup_limits(PISTON_RINGS, spread="range")

    assert found.centre == pytest.approx(74.001176, abs=1e-6)
    assert (found.lower, found.upper) == pytest.approx((73.98805, 74.01430), abs=1e-5)
    assert found.spread_centre == pytest.approx(0.02276, abs=1e-8)
    assert found.spread_upper == pytest.approx(0.04813, abs=1e-5)
    assert found.sigma == pytest.approx(0.009785, abs=1e-6)
    assert found.outside == found.spread_outside == ()


def test_the_piston_rings_have_the_sd_chart_of_the_book() -> None:
    # the same rings; factors as printed, A3 1.427 and B4 2.089, times the mean sd of the corrected data, 0.00924
    found = subgroup_limits(PISTON_RINGS, spread="sd")

    assert found.spread_centre == pytest.approx(0.00924, abs=1e-5)
    assert found.upper == pytest.approx(74.001176 + 1.427 * 0.00924, abs=1e-5)
    assert found.spread_upper == pytest.approx(2.089 * 0.00924, abs=1e-5)


def test_the_flow_width_has_the_limits_of_the_book() -> None:
    # Montgomery, example 6.1: 1.5056, mean range 0.32521, limits 1.31795 and 1.69325 (with A2 rounded to 0.577)
    found = subgroup_limits(FLOW_WIDTH, spread="range")

    assert found.centre == pytest.approx(1.5056, abs=5e-5)
    assert (found.lower, found.upper) == pytest.approx((1.31795, 1.69325), abs=1e-4)
    assert found.spread_upper == pytest.approx(0.68781, abs=2e-4)
    assert found.sigma == pytest.approx(0.1398, abs=5e-5)


def test_single_values_have_the_limits_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2, with d2 rounded to 1.128: 3 x 1.8778 x (1/1.128 - 1/d2) = 0.0017
    found = individual_limits([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])

    assert found.centre == pytest.approx(50.81, abs=1e-9)
    assert found.spread_centre == pytest.approx(1.8778, abs=5e-5)
    assert (found.lower, found.upper) == pytest.approx((45.8159, 55.8041), abs=0.0018)
    assert found.spread_upper == pytest.approx(6.1347, abs=0.001)  # D4 printed 3.267


def test_counts_have_the_limits_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.3.3.1: defects on wafers, 16, 28 and 4; the third and 24th wafer lie outside or on it
    wafers = [
        16,
        14,
        28,
        16,
        12,
        20,
        10,
        12,
        10,
        17,
        19,
        17,
        14,
        16,
        15,
        13,
        14,
        16,
        11,
        20,
        11,
        19,
        16,
        31,
        13,
    ]

    found = count_limits(wafers)

    assert (found.centre, found.lower, found.upper) == pytest.approx((16.0, 4.0, 28.0), abs=1e-12)
    assert found.outside == (23,)


def test_shares_have_the_limits_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 6.3.3.2: 0.2313, 0.4102 and 0.0524 (one of them prints 0.4103 after rounding)
    bad = [
        12,
        15,
        8,
        10,
        4,
        7,
        16,
        9,
        14,
        10,
        5,
        6,
        17,
        12,
        22,
        8,
        10,
        5,
        13,
        11,
        20,
        18,
        24,
        15,
        9,
        12,
        7,
        13,
        9,
        6,
    ]

    found = share_limits(bad, [50] * 30)
    served = ask(LAWS[0], {"chart": "p", "data": [[b, 50] for b in bad]}).result

    assert found.centre == pytest.approx(0.2313, abs=5e-5)
    assert (found.lower, found.upper) == pytest.approx((0.0524, 0.4102), abs=1e-4)
    assert found.outside == (14, 22)  # the book's samples 15 and 23
    assert (served["lower"], served["upper"]) == (found.lower, found.upper)


def test_each_rule_speaks_on_the_shortest_series_that_meets_it() -> None:
    # L. S. Nelson, J. Quality Technology 16 (1984), his definitions of the tests
    assert [s.place for s in signals([1.2] * 8, 0.0, sigma=2.0, rules=("eight_on_one_side",))] == [7]
    assert [
        s.place for s in signals([1, 2, 3, 4, 5, 6], 0.0, sigma=9.0, rules=("six_rising_or_falling",))
    ] == [5]
    assert [s.place for s in signals([1, -1] * 7, 0.0, sigma=9.0, rules=("fourteen_alternating",))] == [13]
    assert [
        s.place for s in signals([0.5, -0.5, 0.2] * 5, 0.0, sigma=1.0, rules=("fifteen_within_one",))
    ] == [14]
    assert [s.place for s in signals([1.5, -1.5] * 4, 0.0, sigma=1.0, rules=("eight_outside_one",))] == [7]
