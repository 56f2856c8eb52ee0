"""A tool is changed before its life is over, and the works waits for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from pairwright import audit
from pairwright.base.time import HOUR
from pairwright.plan import (
    Schedule,
    ToolPlanner,
    document,
    forecast_runs,
    from_document,
    make_plan,
    plan_like,
)
from pairwright.plan.tools import tooled_plan
from pairwright.works.definition import Works
from tests.unit.plan.builder import EIGHT_HOURS, NOW, book_of, single, step, times_of, works_of

BOOK = book_of(("s", 5))


def works(minutes: int = 60, calendar: str = "always", **tool: str) -> Works:
    """One router with a tool that lasts two hours and is changed in thirty minutes."""
    table: dict[str, Any] = {"tool": {"life": "2 h", "change": "30 min", **tool}, "calendar": calendar}
    return works_of(
        single("s", step("cut", "router", minutes)),
        stations={"router": table},
        calendars={"shift": EIGHT_HOURS},
    )


def tooled(made: Works) -> Schedule:
    times = times_of(made)
    planner = ToolPlanner(
        full=lambda w: make_plan(w, BOOK, times=times, now=NOW, effort=6),
        again=lambda w, like: plan_like(w, BOOK, like=like, times=times, now=NOW),
    )
    return tooled_plan(made, planner)


def faults(made: Works, schedule: Schedule) -> list[str]:
    body = document(schedule, made)
    return [v.rule for v in audit.verify(made, BOOK, times=times_of(made), document=body)]


def starts(schedule: Schedule) -> list[int]:
    return sorted((op.start - NOW) // 60 for op in schedule.operations)


def test_a_tool_is_changed_when_the_next_piece_would_outlast_it() -> None:
    made = works()

    schedule = tooled(made)

    assert starts(schedule) == [0, 60, 150, 210, 300]
    assert [(c.start - NOW, c.end - NOW) for c in schedule.tool_changes] == [(7200, 9000), (16200, 18000)]
    assert faults(made, schedule) == []
    assert [str(note) for note in schedule.notes] == ["router: its tool is changed 2 times"]


def test_what_a_tool_has_been_used_before_counts() -> None:
    made = works(used="90 min")

    schedule = tooled(made)

    assert starts(schedule) == [30, 90, 180, 240, 330]
    assert faults(made, schedule) == []


def test_a_change_is_worked_in_the_hours_of_the_station() -> None:
    """Eight hours a day, 210 min pieces, four hours of life: changed before each piece but the first."""
    made = works(minutes=210, calendar="shift", life="4 h", change="45 min")

    schedule = tooled(made)

    assert starts(schedule) == [0, 255, 1485, 2880, 2880 + 255]
    assert faults(made, schedule) == []


def test_an_operation_longer_than_a_tools_life_begins_with_a_fresh_one() -> None:
    made = works(minutes=150)

    schedule = tooled(made)

    assert len(schedule.tool_changes) == 4
    assert faults(made, schedule) == []


def test_a_works_without_tools_is_planned_as_ever() -> None:
    made = works_of(single("s", step("cut", "router", 60)), stations={"router": {}})

    schedule = tooled(made)

    assert schedule.tool_changes == ()
    assert schedule == make_plan(made, BOOK, times=times_of(made), now=NOW, effort=6)


@pytest.mark.parametrize("change", ["left out", "too short", "elsewhere", "unreadable"])
def test_the_audit_tells_a_tool_that_is_used_too_long(change: str) -> None:
    made = works()
    body = document(tooled(made), made)
    rows = body["tool_changes"]
    if change == "left out":
        rows.pop()
    elif change == "too short":
        rows[0]["end"] = rows[0]["start"][:-11] + "10" + rows[0]["start"][-9:]
    elif change == "elsewhere":
        rows[0]["station"] = "bench"
    else:
        rows[0] = {"station": "router"}

    found = {v.rule for v in audit.verify(made, BOOK, times=times_of(made), document=body)}

    assert found >= ({"tool", "unreadable"} if change == "unreadable" else {"tool"})


def test_the_audit_tells_what_is_worked_during_a_change() -> None:
    made = works()
    schedule = tooled(made)
    moved = tuple(
        replace(op, start=op.start - HOUR // 2, end=op.end - HOUR // 2) if op.start == NOW + 9000 else op
        for op in schedule.operations
    )

    assert "maintenance" in faults(made, replace(schedule, operations=moved))


def test_plan_and_forecast_keep_the_changes() -> None:
    made = works()
    schedule = tooled(made)

    assert from_document(document(schedule, made)).tool_changes == schedule.tool_changes
    found = forecast_runs(made, BOOK, times=times_of(made), schedule=schedule, runs=2, seed=0)
    assert found.orders[0].p50 == NOW + 360 * 60
