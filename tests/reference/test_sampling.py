"""Sampling by attributes against printed tables; what a sample proves against handbooks."""

from __future__ import annotations

import pytest
from scipy import stats

from pairwright.base.laws import ask
from pairwright.quality.characteristic import (
    LAWS as CHARACTERISTIC,
)
from pairwright.quality.characteristic import (
    acceptance,
    fraction_at,
    lot_acceptance,
    share_interval,
    zero_failure_sample,
)
from pairwright.quality.sampling import LAWS, quality_place, sampling_plan
from pairwright.quality.sampling_table import LETTERS, LOT_ENDS, QUALITY_LEVELS, SIZES, cell, code_letter
from pairwright.quality.tolerance_factor import one_sided_factor, two_sided_factor, variables_acceptance


def test_code_letters_of_level_two_are_those_of_the_standard() -> None:
    # ISO 2859-1, table 1 (public copy)
    found = [code_letter(lot, "II") for lot in (50, 90, 150, 280, 500, 1200, 3200, 10_000)]

    assert found == ["D", "E", "F", "G", "H", "J", "K", "L"]


# MIL-STD-105E (1989), table I: levels I, II, III from the smallest lots to the largest
LEVEL_ROWS = (
    "AAB ABC BCD CDE CEF DFG EGH FHJ GJK HKL JLM KMN LNP MPQ NQR"  # one group for each range of lot sizes
).split()


@pytest.mark.parametrize("level", ["I", "II", "III"])
def test_code_letters_of_every_level_are_those_of_the_table(level: str) -> None:
    column = ("I", "II", "III").index(level)
    lots = [*LOT_ENDS, 500_001]

    assert [code_letter(lot, level) for lot in lots] == [row[column] for row in LEVEL_ROWS]
    assert [code_letter(lot + 1, level) for lot in lots[:-1]] == [row[column] for row in LEVEL_ROWS[1:]]


def test_sample_sizes_are_those_of_the_standard() -> None:
    # ISO 2859-1, table 2-A (public copy)
    assert SIZES == (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)


@pytest.mark.parametrize(
    ("letter", "percent", "accept"),
    # ISO 2859-1:1999, points printed in the caption of an open-access figure
    [("F", 0.65, 0), ("G", 0.40, 0), ("H", 0.25, 0), ("J", 0.15, 0), ("J", 0.65, 1), ("K", 0.40, 1)],
)
def test_acceptance_numbers_are_those_of_the_standard(letter: str, percent: float, accept: int) -> None:
    assert cell(LETTERS.index(letter), quality_place(percent / 100) or 0) == accept


# MIL-STD-105E (1989), table II-A, columns 0.65 to 15 %: the rejection numbers, < is the arrow up, > down
REJECT = """
A > > > > > 1 ? >
B > > > > 1 < > 2
C > > > 1 < > 2 3
D > > 1 < > 2 3 4
E > 1 < > 2 3 4 6
F 1 < > 2 3 4 6 8
G < > 2 3 4 6 8 11
H > 2 3 4 6 8 11 15
J 2 3 4 6 8 11 15 22
K 3 4 6 8 11 15 22 <
L 4 6 8 11 15 22 < <
M 6 8 11 15 22 < < <
N 8 11 15 22 < < < <
P 11 15 22 < < < < <
Q 15 22 < < < < < <
"""


@pytest.mark.parametrize("row", REJECT.strip().splitlines(), ids=lambda row: row[0])
def test_the_master_table_is_that_of_the_older_standard(row: str) -> None:
    letter, *cells = row.split()
    first = QUALITY_LEVELS.index(0.0065)

    for step, printed in enumerate(cells):
        found = cell(LETTERS.index(letter), first + step)
        shown = found + 1 if isinstance(found, int) else {"up": "<", "down": ">"}[found]
        assert printed in ("?", str(shown))


@pytest.mark.parametrize(
    ("lot", "percent", "level", "wanted"),
    # arrows followed by hand in the printed table
    [
        (100, 0.65, "II", ("F", 20, 0, 1)),
        (100, 1.0, "II", ("E", 13, 0, 1)),  # up
        (100, 1.5, "II", ("G", 32, 1, 2)),  # down
        (40, 0.65, "II", ("F", 20, 0, 1)),  # down over two letters
        (400, 1.0, "II", ("H", 50, 1, 2)),
        (1000, 1.0, "III", ("K", 125, 3, 4)),
        (4000, 10.0, "II", ("K", 125, 21, 22)),  # up: nothing above 21
    ],
)
def test_arrows_lead_to_the_plan_next_to_them(
    lot: int, percent: float, level: str, wanted: tuple[str, int, int, int]
) -> None:
    plan = sampling_plan(lot, percent / 100, level=level)

    assert (plan.code_letter, plan.sample, plan.accept, plan.reject) == wanted


def test_a_plan_beyond_the_cells_that_were_read_says_so() -> None:
    known = ask(LAWS[0], {"lot": 100, "level": "II", "aql": 0.0065})
    recalled = ask(LAWS[0], {"lot": 100, "level": "II", "aql": 0.00025})

    assert known.findings == ()
    assert {f.code for f in recalled.findings} == {"from_memory", "full_inspection"}


def test_the_operating_characteristic_is_that_of_the_book() -> None:
    # Montgomery, chapter 15: n 89, c 2
    fractions = (0.005, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09)
    printed = (0.9897, 0.9397, 0.7366, 0.4985, 0.3042, 0.1721, 0.0919, 0.0468, 0.0230, 0.0109)

    found = [acceptance(89, 2, fraction=p) for p in fractions]

    assert found == pytest.approx(printed, abs=5.1e-5)


def test_the_risk_points_of_plans_are_those_of_an_independent_library() -> None:
    # scipy: share that passes with 95, 50 and 10 %
    for sample, accept in ((125, 3), (80, 1), (50, 1), (20, 0)):
        for chance in (0.95, 0.5, 0.1):
            share = fraction_at(sample, accept, probability=chance)
            assert stats.binom.cdf(accept, sample, share) == pytest.approx(chance, abs=1e-9)


def test_a_small_lot_is_not_a_process() -> None:
    # scipy's hypergeometric and binomial: lot 50, 2 bad, sample 13, none accepted: 0.5437 against 0.5882
    law = CHARACTERISTIC[0]
    lot = ask(law, {"sample": 13, "accept": 0, "fraction": 0.04, "lot": 50}).result["probability"]
    process = ask(law, {"sample": 13, "accept": 0, "fraction": 0.04}).result["probability"]

    assert lot == pytest.approx(float(stats.hypergeom.cdf(0, 50, 2, 13)), rel=1e-12)
    assert process == pytest.approx(float(stats.binom.cdf(0, 13, 0.04)), rel=1e-12)
    assert (round(lot, 4), round(process, 4)) == (0.5437, 0.5882)


@pytest.mark.parametrize(
    ("sample", "accept", "bad", "lot", "printed"),
    # textbook solutions: lot 100, sample 20, 2 % bad, one accepted: 0.9616; lot 10, sample 4, 1 or 2 bad: 0.6, 1/3
    [(20, 1, 2, 100, 0.9616), (4, 0, 1, 10, 0.6), (4, 0, 2, 10, 0.3333)],
)
def test_a_lot_passes_as_often_as_the_textbook_counts(
    sample: int, accept: int, bad: int, lot: int, printed: float
) -> None:
    assert lot_acceptance(sample, accept, bad=bad, lot=lot) == pytest.approx(printed, abs=5e-5)


@pytest.mark.parametrize(
    ("reliability", "confidence", "sample"),
    # printed tables of quality manuals for 95 %: 29, 59, 299; a reliability library's manual: 2995
    [(0.90, 0.95, 29), (0.95, 0.95, 59), (0.99, 0.95, 299), (0.999, 0.95, 2995)],
)
def test_a_sample_without_failure_is_as_large_as_the_tables_say(
    reliability: float, confidence: float, sample: int
) -> None:
    assert zero_failure_sample(reliability, confidence) == sample


def test_no_failure_in_59_bounds_the_share_at_4_95_percent() -> None:
    # Clopper and Pearson; closed form 1 - 0.05^(1/59)
    assert share_interval(0, 59, confidence=0.90)[1] == pytest.approx(1.0 - 0.05 ** (1.0 / 59.0), rel=1e-12)


@pytest.mark.parametrize(
    ("n", "share", "confidence", "printed"),
    # NIST/SEMATECH e-Handbook 7.2.6.3 (1.8740), and the tables for 10 values (2.911)
    [(43, 0.90, 0.99, 1.8740), (10, 0.95, 0.95, 2.911)],
)
def test_one_sided_factors_are_those_of_the_handbook(
    n: int, share: float, confidence: float, printed: float
) -> None:
    assert one_sided_factor(n, share=share, confidence=confidence) == pytest.approx(printed, abs=1e-4)


def test_the_two_sided_factor_is_that_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.3, Howe: 2.217
    assert two_sided_factor(43, share=0.90, confidence=0.99) == pytest.approx(2.217, abs=5e-4)


def test_a_plan_by_measurement_passes_as_the_non_central_t_says() -> None:
    # scipy.stats, an independent route to the same distribution
    for fraction in (0.005, 0.01, 0.02, 0.05, 0.1):
        known = stats.nct.sf(1.82 * 20**0.5, 19, -(20**0.5) * stats.norm.ppf(fraction))
        assert variables_acceptance(20, 1.82, fraction=fraction) == pytest.approx(float(known), abs=1e-6)
