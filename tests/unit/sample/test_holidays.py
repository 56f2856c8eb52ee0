"""Holidays of the sample works."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import pytest

from pairwright.sample.holidays import between, closings, easter, is_open


@pytest.mark.parametrize(
    "sunday",
    [date(2000, 4, 23), date(2008, 3, 23), date(2011, 4, 24), date(2019, 4, 21), date(2024, 3, 31),
     date(2025, 4, 20), date(2026, 4, 5), date(2027, 3, 28), date(2038, 4, 25)],
)  # fmt: skip
def test_easter_falls_where_calendars_print_it(sunday: date) -> None:
    assert easter(sunday.year) == sunday


@pytest.mark.parametrize("year", range(2025, 2100))
def test_closings_are_in_order_and_never_meet(year: int) -> None:
    found = closings(year)

    assert all(a.last < b.first for a, b in itertools.pairwise(found))
    assert all(c.first.year == c.last.year == year for c in found)


def test_closings_between_leave_out_what_is_over() -> None:
    found = list(between(date(2027, 5, 1), date(2027, 6, 1)))

    assert all(c.last >= date(2027, 5, 1) for c in found)
    assert "Whit Monday" in {c.reason for c in found}


def test_a_weekend_and_a_holiday_are_not_open() -> None:
    shut = closings(2027)

    assert not is_open(date(2027, 3, 26), shut)
    assert not is_open(date(2027, 3, 6), shut)
    assert is_open(date(2027, 3, 30), shut)
    assert sum(is_open(date(2027, 1, 1) + timedelta(days=n), shut) for n in range(365)) > 220
