"""Standard tolerances against public copies of ISO 286-1, Table 1.

IT5 to IT11 in mm were read for all sizes in a public copy of DIN ISO 286; IT1 to IT14 to 315 mm
in a second one; IT14 at 10 and 100 mm in an encyclopaedia. IT12 to IT18 above 315 mm are from
memory and only held against the printed formula.
"""

from __future__ import annotations

import pytest

from pairwright.base.errors import InputError
from pairwright.physics.grades import MULTIPLES, STEPS, iso_tolerance, tolerance_factor

# upper end of the step [mm]: IT5 IT6 IT7 IT8 IT9 IT10 IT11 [um]
PRINTED_5_TO_11 = {
    3: (4, 6, 10, 14, 25, 40, 60), 6: (5, 8, 12, 18, 30, 48, 75), 10: (6, 9, 15, 22, 36, 58, 90),
    18: (8, 11, 18, 27, 43, 70, 110), 30: (9, 13, 21, 33, 52, 84, 130),
    50: (11, 16, 25, 39, 62, 100, 160), 80: (13, 19, 30, 46, 74, 120, 190),
    120: (15, 22, 35, 54, 87, 140, 220), 180: (18, 25, 40, 63, 100, 160, 250),
    250: (20, 29, 46, 72, 115, 185, 290), 315: (23, 32, 52, 81, 130, 210, 320),
    400: (25, 36, 57, 89, 140, 230, 360), 500: (27, 40, 63, 97, 155, 250, 400),
    630: (32, 44, 70, 110, 175, 280, 440), 800: (36, 50, 80, 125, 200, 320, 500),
    1000: (40, 56, 90, 140, 230, 360, 560), 1250: (47, 66, 105, 165, 260, 420, 660),
    1600: (55, 78, 125, 195, 310, 500, 780), 2000: (65, 92, 150, 230, 370, 600, 920),
    2500: (78, 110, 175, 280, 440, 700, 1100), 3150: (96, 135, 210, 330, 540, 860, 1350),
}  # fmt: skip
# upper end of the step [mm]: IT1 IT2 IT3 IT4 and IT12 IT13 IT14 [um]
PRINTED_REST = {
    3: (0.8, 1.2, 2, 3, 100, 140, 250), 6: (1, 1.5, 2.5, 4, 120, 180, 300),
    10: (1, 1.5, 2.5, 4, 150, 220, 360), 18: (1.2, 2, 3, 5, 180, 270, 430),
    30: (1.5, 2.5, 4, 6, 210, 330, 520), 50: (1.5, 2.5, 4, 7, 250, 390, 620),
    80: (2, 3, 5, 8, 300, 460, 740), 120: (2.5, 4, 6, 10, 350, 540, 870),
    180: (3.5, 5, 8, 12, 400, 630, 1000), 250: (4.5, 7, 10, 14, 460, 720, 1150),
    315: (6, 8, 12, 16, 520, 810, 1300),
}  # fmt: skip


@pytest.mark.parametrize(("top", "row"), PRINTED_5_TO_11.items())
def test_it5_to_it11_are_the_printed_ones(top: int, row: tuple[int, ...]) -> None:
    ours = [iso_tolerance(top / 1000.0, f"IT{n}") * 1e6 for n in range(5, 12)]

    assert ours == pytest.approx(list(row), rel=1e-9)


@pytest.mark.parametrize(("top", "row"), PRINTED_REST.items())
def test_the_finer_and_coarser_grades_are_the_printed_ones(top: int, row: tuple[float, ...]) -> None:
    ours = [iso_tolerance(top / 1000.0, f"IT{n}") * 1e6 for n in (1, 2, 3, 4, 12, 13, 14)]

    assert ours == pytest.approx(list(row), rel=1e-9)


def test_it14_at_ten_and_a_hundred_millimetres() -> None:
    # printed: a part of 10 mm may vary by 0.36 mm, one of 100 mm by 0.87 mm
    assert iso_tolerance(0.010, "IT14") == pytest.approx(0.36e-3, rel=1e-9)
    assert iso_tolerance(0.100, "IT14") == pytest.approx(0.87e-3, rel=1e-9)


@pytest.mark.parametrize(("low", "high", "printed"), [(30, 50, 1.5612), (80, 120, 2.1725)])
def test_the_factor_is_the_printed_formula_s(low: int, high: int, printed: float) -> None:
    # ISO 286-1:1988: i = 0.45 D^(1/3) + 0.001 D um, D the geometric mean of the step
    assert tolerance_factor(low / 1000.0, high / 1000.0) * 1e6 == pytest.approx(printed, abs=1e-4)


@pytest.mark.parametrize("grade", sorted(MULTIPLES, key=lambda g: int(g[2:])))
def test_the_table_is_the_printed_formula_within_its_rounding(grade: str) -> None:
    # the standard rounds to few figures; at its first step, where they are fewest, by up to 16 %
    for low, high in zip((0, *STEPS[:12]), STEPS[:13], strict=True):
        by_formula = MULTIPLES[grade] * tolerance_factor(low / 1000.0, high / 1000.0)
        rounding = 0.16 if high == 3 else 0.10
        assert iso_tolerance(high / 1000.0, grade) == pytest.approx(by_formula, rel=rounding), high


@pytest.mark.parametrize("number", range(7, 14))
def test_five_grades_coarser_is_ten_times_wider(number: int) -> None:
    # the standard's multiples repeat times ten after five grades (16 -> 160 ... 250 -> 2500): this
    # holds the rows from memory, IT12 to IT18, against the printed ones, IT7 to IT11
    for top in STEPS:
        fine = iso_tolerance(top / 1000.0, f"IT{number}")
        assert iso_tolerance(top / 1000.0, f"IT{number + 5}") == pytest.approx(10.0 * fine, rel=0.02), top


def test_a_size_that_the_standard_does_not_hold_is_refused() -> None:
    with pytest.raises(InputError, match="IT01"):
        iso_tolerance(0.6, "IT01")
