"""A machine's log: what is usable, where nothing was logged."""

from __future__ import annotations

import math

import pytest

from pairwright.archive.machine_log import read_machine_log
from pairwright.base.errors import InputError
from pairwright.measure.machine_log import MachineLog, Series, course, gaps

GOOD = b"""time,platen [degC],force [kN],status
2027-03-01T07:00:00+01:00,118.2,40,good
2027-03-01T07:00:10+01:00,,41,good
2027-03-01T07:00:20+01:00,90.0,41,bad
2027-03-01T07:00:30+01:00,118.4,41,
"""


def test_a_log_is_read_with_its_units_and_its_doubts() -> None:
    log = read_machine_log(GOOD, "press.csv")

    platen, force = log.series
    assert (log.end - log.start, platen.name, force.unit) == (30.0, "platen", "kN")
    assert platen.values[0] == pytest.approx(391.35)
    assert math.isnan(platen.values[1])
    assert force.values == (40e3, 41e3, 41e3, 41e3)
    assert platen.good == (True, True, False, True)


def test_a_doubtful_or_missing_sample_is_not_used() -> None:
    log = read_machine_log(GOOD, "press.csv")

    points = course(log, "platen", start=log.start, end=log.end)

    assert [t for t, _ in points] == [0.0, 30.0]
    assert course(log, "air", start=log.start, end=log.end) == ()


def test_a_gap_is_where_nothing_usable_was_logged_too_long() -> None:
    log = MachineLog((0.0, 50.0, 115.0), (Series("air", "K", (1.0, 1.0, 1.0), (True,) * 3),))
    points = course(log, "air", start=0.0, end=200.0)

    assert [(g.start, g.end) for g in gaps(points, length=200.0)] == [(50.0, 115.0), (115.0, 200.0)]
    assert gaps(points, length=120.0, longest=70.0) == ()
    assert [(g.start, g.end) for g in gaps((), length=90.0)] == [(0.0, 90.0)]


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        (b"118.2", b"118,2", "row"),
        (b"118.2", b"nan", "platen"),
        (b"118.2", b"1_18", "platen"),
        (b"2027-03-01T07:00:10+01:00", b"2027-03-01T07:00:10", "time"),
        (b"2027-03-01T07:00:10+01:00", b"2027-03-01T06:59:10+01:00", "time"),
        (b"platen [degC]", b"platen", "header"),
        (b"platen [degC]", b"platen [florins]", "header"),
        (b"force [kN]", b"platen [degC]", "header"),
        (b"time,", b"when,", "header"),
        (b"118.2", b'"118.2', "row"),
        (b"118.2", b"118.2\0", "file"),
        (b"118.2", b"118.2\xe9", "file"),
    ],
)
def test_a_damaged_log_is_refused_with_its_row(old: bytes, new: bytes, field: str) -> None:
    with pytest.raises(InputError) as refused:
        read_machine_log(GOOD.replace(old, new, 1), "press.csv")

    problem = refused.value.problems[0]
    assert problem.field == field
    assert problem.where.startswith("press.csv")


@pytest.mark.parametrize("content", [b"", b"time,air [degC]\n", b"x"])
def test_a_log_without_samples_is_refused(content: bytes) -> None:
    with pytest.raises(InputError):
        read_machine_log(content, "oven.csv")
