"""Reality against plan: early, late, overrun, running, not begun, not planned."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from pairwright.base.time import MINUTE
from pairwright.plan.schedule import Operation
from pairwright.reports.reality import Reality, Span, reality_of

NOW = 100 * MINUTE


def op(name: str, start: int, end: int, station: str | None = "press") -> Operation:
    return Operation(
        f"I/{name}",
        "O",
        "S",
        "I",
        None,
        "p",
        "",
        "part",
        name,
        0,
        start * MINUTE,
        end * MINUTE,
        station=station,
    )


def compared(
    ops: list[Operation], planned: dict[str, Span], begun: dict[str, Span], running: tuple[str, ...] = ()
) -> Reality:
    minutes = {f"I/{n}": (a * MINUTE, b * MINUTE) for n, (a, b) in begun.items()}
    return reality_of(
        ops, planned={f"I/{n}": (a * MINUTE, b * MINUTE) for n, (a, b) in planned.items()}, begun=minutes,
        running={f"I/{n}" for n in running}, recorded=minutes.keys(), now=NOW,
    )  # fmt: skip


def test_each_operation_says_how_it_stands() -> None:
    found = compared(
        [op("late", 0, 10), op("runs", 0, 10), op("extra", 0, 10), op("waits", 90, 120), op("later", 100, 110),
         op("rest", 0, 5, None)],
        {"late": (0, 10), "runs": (20, 30)},
        {"late": (30, 45), "runs": (15, 100), "extra": (5, 6)},
        ("runs",),
    )  # fmt: skip

    rows = {row.step: row for row in found.rows}
    assert {name: row.standing for name, row in rows.items()} == {
        "late": "ended", "runs": "running", "extra": "not planned", "waits": "not begun",
    }  # fmt: skip
    assert (rows["late"].by, rows["late"].overrun) == (30 * MINUTE, 5 * MINUTE)
    assert (rows["runs"].by, rows["runs"].end, rows["runs"].overrun) == (-5 * MINUTE, None, None)
    assert rows["waits"].by == 10 * MINUTE


def test_groups_have_median_ninetieth_percentile_and_the_longest_overrun() -> None:
    """Ten latenesses of 1 to 10 minutes: the median lies between 5 and 6, nine in ten are at most 9."""
    names = [f"s{n}" for n in range(1, 11)]
    found = compared(
        [op(name, 0, 10) for name in names], dict.fromkeys(names, (0, 10)),
        {name: (n, 10 + 2 * n) for n, name in enumerate(names, 1)},
    )  # fmt: skip

    (station,) = found.stations
    assert (station.count, station.median, station.p90) == (10, 330.0, 540.0)
    assert (station.longest, station.operation) == (600, "I/s10")
    assert [group.id for group in found.steps][:2] == ["s10", "s9"]
    assert found.as_json(ZoneInfo("UTC"))["orders"][0]["p90_late"] == 540.0


def test_nothing_begun_is_said_plainly() -> None:
    assert "nothing that was planned has begun; 1 " in str(compared([op("a", 0, 5)], {}, {}).says)


@given(st.lists(st.integers(-50, 50), min_size=1, max_size=30))
def test_nine_in_ten_are_not_later_than_said(late: list[int]) -> None:
    names = [f"s{n}" for n in range(len(late))]
    found = compared(
        [op(n, 0, 9) for n in names], dict.fromkeys(names, (60, 70)),
        {n: (60 + by, 70 + by) for n, by in zip(names, late, strict=True)},
    )  # fmt: skip

    p90 = found.orders[0].p90 / MINUTE
    assert sum(by <= p90 for by in late) >= 0.9 * len(late)
    assert sum(by >= p90 for by in late) >= 0.1 * len(late)
