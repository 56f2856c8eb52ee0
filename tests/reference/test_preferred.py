"""Preferred values against IEC 60063, tolerance letters against IEC 60062.

E6, E12 and E24 as in several public tables. The exception of E192 is from memory: printed, not asserted as
published.
"""

from __future__ import annotations

import pytest

from pairwright.physics.preferred import LETTERS, nearest_preferred, preferred_values, two_preferred

E24 = (
    "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1"
)  # fmt: skip


@pytest.mark.parametrize(
    ("series", "printed"),
    [
        ("E6", "1.0 1.5 2.2 3.3 4.7 6.8"),
        ("E12", "1.0 1.2 1.5 1.8 2.2 2.7 3.3 3.9 4.7 5.6 6.8 8.2"),
        ("E24", E24),
    ],
)
def test_the_short_series_are_the_standard_s_table(series: str, printed: str) -> None:
    assert preferred_values(series) == tuple(float(v) for v in printed.split())


def test_the_short_series_are_not_the_rounded_formula() -> None:
    # common knowledge of the standard: 2.7 3.0 3.3 3.6 3.9 4.3 4.7 8.2 where rounding gives 2.6 2.9 3.2 ...
    rounded = [round(10.0 ** (n / 24.0), 1) for n in range(24)]

    apart = [(a, b) for a, b in zip(preferred_values("E24"), rounded, strict=True) if a != b]

    assert [a for a, _ in apart] == [2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 8.2]
    assert [b for _, b in apart] == [2.6, 2.9, 3.2, 3.5, 3.8, 4.2, 4.6, 8.3]


def test_the_long_series_follow_the_formula(capsys: pytest.CaptureFixture[str]) -> None:
    for series, count in (("E48", 48), ("E96", 96)):
        assert preferred_values(series) == tuple(round(10.0 ** (n / count), 2) for n in range(count))
    formula = [round(10.0 ** (n / 192.0), 2) for n in range(192)]
    apart = [
        (n, a, b) for n, (a, b) in enumerate(zip(preferred_values("E192"), formula, strict=True)) if a != b
    ]
    with capsys.disabled():
        print(f"\nfrom memory, IEC 60063, E192: 9.20 for 9.19; here {apart}")
    assert len(apart) == 1


def test_tolerance_letters() -> None:
    # IEC 60062: F 1, G 2, J 5, K 10, M 20 %
    assert LETTERS == {"F": 0.01, "G": 0.02, "J": 0.05, "K": 0.10, "M": 0.20}


def test_the_parts_of_a_usual_crossover() -> None:
    # LR4 at 8 ohm and 2 kHz (ladder values 5.275 uF, 10.551 uF, 15.826 uF) against the table above
    assert nearest_preferred(5.275e-6, "E12") == 5.6e-6
    assert nearest_preferred(10.551e-6, "E12") == 1e-5
    assert nearest_preferred(15.826e-6, "E24") == 1.6e-5
    # 10.551: 10 + 0.56 is the nearest sum of two of E12, by hand
    assert two_preferred(10.551e-6, "E12").parts == (1e-5, 5.6e-7)
