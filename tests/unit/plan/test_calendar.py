"""Working time as intervals, and walking along it."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairwright.plan.calendar import (
    NEVER,
    WorkingTime,
    advance,
    common,
    due_time,
    expand,
    flat,
    merged,
    pieces,
    retreat,
    stops_of,
    without,
)  # fmt: skip
from pairwright.works.factory import Calendar, Maintenance
from tests.unit.plan.builder import DAYS, NOW

UTC = ZoneInfo("UTC")
TWO = flat([(10, 20), (30, 50)])


def calendar(**table: object) -> Calendar:
    return Calendar.model_validate(table)


def test_a_week_is_laid_out_from_now_on() -> None:
    shift = calendar(week={"mon": ["06:00-10:00", "10:30-14:30"], "tue": ["06:00-08:00"]})

    found = expand(shift, UTC, origin=NOW, horizon=8 * 1440)

    # NOW is Monday 06:00
    assert found == [
        (0, 240),
        (270, 510),
        (1440, 1560),
        (7 * 1440, 7 * 1440 + 240),
        (7 * 1440 + 270, 7 * 1440 + 510),
    ]


def test_a_night_that_is_split_at_midnight_is_one_interval() -> None:
    nights = calendar(week={"mon": ["22:00-24:00"], "tue": ["00:00-06:00"]})

    assert expand(nights, UTC, origin=NOW, horizon=3000) == [(960, 1440)]


def test_an_exception_replaces_the_day() -> None:
    shift = calendar(
        week={d: ["06:00-14:00"] for d in DAYS},
        exceptions=[
            {"date": date(2027, 3, 1), "until": date(2027, 3, 2), "hours": []},
            {"date": date(2027, 3, 3), "hours": ["08:00-09:00"]},
        ],
    )

    assert expand(shift, UTC, origin=NOW, horizon=3 * 1440) == [(2 * 1440 + 120, 2 * 1440 + 180)]


def test_working_always_ignores_the_week() -> None:
    assert expand(calendar(always=True), UTC, origin=NOW, horizon=99) == [(0, 99)]


def test_hours_are_local_before_and_after_the_clocks_change() -> None:
    amsterdam = ZoneInfo("Europe/Amsterdam")
    shift = calendar(week={d: ["06:00-07:00"] for d in DAYS})
    origin = int(datetime(2027, 3, 27, tzinfo=UTC).timestamp())

    # 06:00 is 05:00 UTC on the 27th and 04:00 UTC from the 28th on
    assert expand(shift, amsterdam, origin=origin, horizon=2 * 1440) == [(300, 360), (1440 + 240, 1440 + 300)]


def test_maintenance_is_rounded_outwards() -> None:
    stop = Maintenance(start=datetime(2027, 3, 1, 6, 10, 30), length="20 s")  # type: ignore[arg-type]

    assert stops_of([stop], UTC, origin=NOW, horizon=1000) == [(10, 11)]


def test_sets_of_intervals_meet_and_part() -> None:
    assert merged([(5, 7), (1, 3), (3, 4), (6, 9), (2, 2)]) == [(1, 4), (5, 9)]
    assert common([(0, 10), (20, 30)], [(5, 25)]) == [(5, 10), (20, 25)]
    assert without([(0, 10), (20, 30)], [(2, 3), (8, 22)]) == [(0, 2), (3, 8), (22, 30)]


def test_the_due_time_is_the_latest_end_of_hours_on_the_day() -> None:
    early = calendar(week={"mon": ["06:00-14:00"]})
    late = calendar(week={"mon": ["13:00-21:30"]})

    def due(day: int, **calendars: Calendar) -> int:
        return (due_time(calendars, date(2027, 3, day), zone=UTC) - NOW) // 60

    assert due(1, a=early, b=late, c=calendar(always=True)) == 15 * 60 + 30
    assert due(2, a=early, b=late) == 1440 + 18 * 60  # nobody works: the end of the day


@pytest.mark.parametrize(
    ("at", "work", "end"), [(0, 10, 20), (0, 11, 31), (15, 5, 20), (25, 20, 50), (0, 31, NEVER)]
)
def test_work_ends(at: int, work: int, end: int) -> None:
    assert advance(TWO, at, work=work) == end


@pytest.mark.parametrize(
    ("at", "work", "start"), [(50, 20, 30), (50, 21, 19), (25, 10, 10), (31, 1, 30), (15, 6, -1)]
)
def test_work_that_must_be_done_begins(at: int, work: int, start: int) -> None:
    assert retreat(TWO, at, work=work) == start


def test_pieces_between_two_moments() -> None:
    assert pieces(TWO, 15, end=35) == [(15, 20), (30, 35)]


@given(
    st.lists(st.tuples(st.integers(0, 200), st.integers(1, 40)), min_size=1, max_size=8),
    st.integers(0, 250), st.integers(1, 60),
)  # fmt: skip
def test_walking_forth_and_back_agrees_with_counting_minutes(
    spans: list[tuple[int, int]], at: int, work: int
) -> None:
    time: WorkingTime = flat(merged((s, s + n) for s, n in spans))
    minutes = [m for s, e in zip(time.starts, time.ends, strict=True) for m in range(s, e)]
    left = [m for m in minutes if m >= at]

    end = advance(time, at, work=work)

    assert end == (left[work - 1] + 1 if len(left) >= work else NEVER)
    done = [m for m in minutes if m < at]
    assert retreat(time, at, work=work) == (done[-work] if len(done) >= work else -1)
