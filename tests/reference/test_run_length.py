"""Average run lengths against the printed tables."""

from __future__ import annotations

import pytest

from pairwright.base.laws import ask
from pairwright.quality.rules import USUAL
from pairwright.quality.run_length import (
    LAWS,
    cusum_run_length,
    ewma_run_length,
    one_sided_cusum_run_length,
    rules_run_length,
    shewhart_run_length,
)

SHIFTS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
ONE, TWO, FOUR, EIGHT = USUAL


@pytest.mark.parametrize(("shift", "printed"), [(0.0, 370.40), (0.5, 155.22), (2.0, 6.30)])
def test_the_plain_chart_runs_as_long_as_the_book_says(shift: float, printed: float) -> None:
    # Montgomery, and Champ & Woodall 1987 for no shift
    assert shewhart_run_length(shift) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(
    ("rules", "shift", "printed"),
    # C. W. Champ, W. H. Woodall, Technometrics 29 (1987), table 1
    [
        ((ONE,), 0.0, 370.40),
        ((ONE, TWO), 0.0, 225.44),
        ((ONE, FOUR), 0.0, 166.05),
        ((ONE, EIGHT), 0.0, 152.73),
        ((ONE, TWO, FOUR), 0.0, 132.89),
        (USUAL, 0.0, 91.75),
        (USUAL, 1.0, 9.22),
    ],
)
def test_rules_speak_as_often_as_the_exact_results_say(
    rules: tuple[str, ...], shift: float, printed: float
) -> None:
    assert rules_run_length(rules, shift=shift) == pytest.approx(printed, abs=0.006)


# J. M. Lucas, M. S. Saccucci, Technometrics 32 (1990), as reprinted by Montgomery: three figures
WEIGHTED = [
    (0.40, 3.054, (500, 224, 71.2, 28.4, 14.3, 5.9, 3.5, 2.5, 2.0, 1.4)),
    (0.25, 2.998, (500, 170, 48.2, 20.1, 11.1, 5.5, 3.6, 2.7, 2.3, 1.7)),
    (0.20, 2.962, (500, 150, 41.8, 18.2, 10.5, 5.5, 3.7, 2.9, 2.4, 1.9)),
    (0.10, 2.814, (500, 106, 31.3, 15.9, 10.3, 6.1, 4.4, 3.4, 2.9, 2.2)),
    (0.05, 2.615, (500, 84.1, 28.8, 16.4, 11.4, 7.1, 5.2, 4.2, 3.5, 2.7)),
]


@pytest.mark.parametrize(
    ("weight", "width", "printed"), WEIGHTED, ids=lambda v: str(v) if isinstance(v, float) else ""
)
def test_the_weighted_mean_runs_as_long_as_the_table_says(
    weight: float, width: float, printed: tuple[float, ...]
) -> None:
    for shift, length in zip(SHIFTS, printed, strict=True):
        # 0.5 % of the long ones (their limits are rounded), a unit of the last printed place of the short ones
        tolerance = max(0.005 * length, 0.1)
        assert ewma_run_length(shift, weight=weight, width=width) == pytest.approx(length, abs=tolerance)


# Montgomery, table of two-sided cumulative sums with allowance 0.5
SUMS = [
    (4.0, (168, 74.2, 26.6, 13.3, 8.38, 4.75, 3.34, 2.62, 2.19, 1.71)),
    (5.0, (465, 139, 38.0, 17.0, 10.4, 5.75, 4.01, 3.11, 2.57, 2.01)),
]


@pytest.mark.parametrize(("decision", "printed"), SUMS, ids=["h=4", "h=5"])
def test_the_cumulative_sum_runs_as_long_as_the_table_says(
    decision: float, printed: tuple[float, ...]
) -> None:
    for shift, length in zip(SHIFTS, printed, strict=True):
        found = cusum_run_length(shift, allowance=0.5, decision=decision)
        assert found == pytest.approx(length, rel=0.004)  # three printed figures


@pytest.mark.parametrize(("decision", "printed"), [(4.0, 336.0), (5.0, 930.0)])
def test_one_cumulative_sum_runs_as_long_as_the_older_tables_say(decision: float, printed: float) -> None:
    # older printed tables give 336 and 930, by coarser chains: within 0.3 %
    assert one_sided_cusum_run_length(0.0, allowance=0.5, decision=decision) == pytest.approx(
        printed, rel=0.003
    )


@pytest.mark.parametrize(
    ("allowance", "decision"),
    [(0.25, 8.01), (0.5, 4.77), (0.75, 3.34), (1.0, 2.52), (1.25, 1.99), (1.5, 1.61)],
)
def test_the_published_designs_run_370_points(allowance: float, decision: float) -> None:
    # D. M. Hawkins 1993, as in Montgomery's table: intervals printed to 0.01, worth up to 2 % of the length
    assert cusum_run_length(0.0, allowance=allowance, decision=decision) == pytest.approx(370.0, rel=0.02)


def test_the_handbook_serves_all_four_charts() -> None:
    law = LAWS[0]
    asked = [
        ({"chart": "shewhart"}, 370.40),
        ({"chart": "rules", "rules": [ONE, TWO], "shift": 0.0}, 225.44),
        ({"chart": "ewma", "weight": 0.1, "width": 2.814, "shift": 1.0}, 10.3),
        ({"chart": "cusum", "allowance": 0.5, "decision": 5.0, "shift": 0.5}, 38.0),
    ]

    for inputs, printed in asked:
        assert ask(law, inputs).result["average_run_length"] == pytest.approx(printed, rel=0.005)
