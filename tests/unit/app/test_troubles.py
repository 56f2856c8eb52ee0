"""Trouble: what can be decided, who may, how far a hold reaches, what the next shift is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairwright.app.stationing import Done, Refusal, board
from pairwright.app.troubles import actions, decided_troubles, handover, holds, open_troubles
from pairwright.base.errors import InputError
from pairwright.base.time import DAY, HOUR
from tests.integration.played_floor import Morning, morning


@pytest.fixture
def day(tmp_path: Path) -> Morning:
    return morning(tmp_path)


def test_rework_returns_to_the_usual_step_and_what_came_after_is_done_again(day: Morning) -> None:
    day.made("S-x", "sorrel ink cabinet", upto="clear-flat", ago=DAY)

    told = day.act("problem", "S-x", at="flat-bench", step="clear-flat", text="cut into the colour")
    ways = open_troubles(day.floor)[0].ways
    done = day.act("rework", "S-x", at="flat-bench", person="P9")

    assert isinstance(told, Done), told
    assert [(w.disposition, w.to_step) for w in ways if w.usual] == [("rework", "clear-2")]
    assert isinstance(done, Done), done
    task = next(t for t in board(day.floor, "spray-booth", now=day.now).next if t.subject == "S-x")
    assert (task.step, task.state) == ("clear-2", "sent back")
    assert open_troubles(day.floor) == ()
    newest = decided_troubles(day.floor)[0]
    assert (newest.subject, newest.disposition) == ("S-x", "rework")
    day.floor.close()


def test_rework_without_a_usual_step_asks_for_one(day: Morning) -> None:
    refused = day.act("rework", "S-held", person="P9")

    assert isinstance(refused, Refusal)
    assert refused.code == "step_missing"
    day.floor.close()


def test_a_concession_needs_a_reason_and_opens_the_way_that_time_had_closed(day: Morning) -> None:
    late = day.act("start", "CAB-OPEN", at="clamps")
    with pytest.raises(InputError, match="reason"):
        day.act("concession", "CAB-OPEN", person="P9")
    conceded = day.act(
        "concession", "CAB-OPEN", person="P9", reason="joint opened and closed with fresh glue"
    )
    now = day.act("start", "CAB-OPEN", at="clamps")

    assert isinstance(late, Refusal)
    assert isinstance(conceded, Done), conceded
    assert isinstance(now, Done), now
    day.floor.close()


def test_a_hold_on_a_lot_reaches_every_descendant_and_stops_it(day: Morning) -> None:
    assert isinstance(day.act("start", "CAB2-L", "BF2-L", "JG-1", at="glue-bench"), Done)
    day.now += HOUR // 4
    assert isinstance(day.act("finish", "CAB2-L", at="glue-bench"), Done)
    day.act("mate", "CAB2-L", "CAB2-R", set="A1-2")

    held = day.act("hold", "JG-1", at="glue-bench", reason="viscosity out of limits")
    row = next(one for one in holds(day.floor) if one.on == "JG-1")
    stopped = day.act("start", "CAB2-L", at="clamps")
    freed = day.act("free", "JG-1", reason="measured again, within limits")
    goes_on = day.act("start", "CAB2-L", at="clamps")

    assert isinstance(held, Done), held
    assert row.reaches == ("CAB2-L", "A1-2")
    assert row.sets == ("A1-2",)
    assert isinstance(stopped, Refusal)
    assert stopped.code == "under_hold"
    assert "JG-1" in str(stopped.says)
    assert isinstance(freed, Done), freed
    assert isinstance(goes_on, Done), goes_on
    day.floor.close()


def test_who_may_decide_is_who_the_works_has_recorded_for_it(day: Morning) -> None:
    refused = day.act("scrap", "S-net", person="P1", reason="cracked")
    named = day.act("scrap", "S-net", person="P1", reason="cracked", authority="P9")

    assert isinstance(refused, Refusal)
    assert "ask somebody who may" in str(refused.says)
    assert isinstance(named, Done), named
    assert list(named.events) == [named.key, f"{named.key}.1"]  # reported, then decided
    day.floor.close()


def test_the_week_s_actions_say_who_by_when_and_which_are_late(day: Morning) -> None:
    for name, by in (("A-1", "2027-04-19"), ("A-2", "2027-04-30")):
        day.act("assign", at="oven", action=name, whom="P1", by=by, text="fan of the oven")
    before = actions(day.floor, now=day.now)
    day.act("settle", at="oven", action="A-1", text="bearing changed")

    assert [(one.id, one.late) for one in before] == [("A-1", True), ("A-2", False)]
    assert [one.id for one in actions(day.floor, now=day.now, person="P1")] == ["A-2"]
    assert len(actions(day.floor, now=day.now, settled=True)) == 2
    day.floor.close()


def test_the_next_shift_is_told_what_was_done_what_is_in_work_and_what_to_know(day: Morning) -> None:
    since = day.now - HOUR
    day.act("note", at="oven", text="fan is loud", topic="handover")
    day.act("start", "CAB-L", at="sanding-cell")
    day.act("problem", "S-net", at="assembly", text="terminal does not fit")
    day.now += 60

    told = handover(day.floor, since=since, now=day.now)

    assert [(note.station, note.text) for note in told.notes] == [("oven", "fan is loud")]
    assert [(one.id, one.count) for one in told.refused] == [("station_full", 1)]
    assert [row.subject for row in told.troubles] == ["S-net"]
    assert {"S-cell", "S-clamped"} <= {task.subject for task in told.working}
    assert handover(day.floor, since=since, now=day.now, station="oven").refused == ()
    with pytest.raises(InputError, match="beginning of the shift"):
        handover(day.floor, since=day.now, now=day.now)
    day.floor.close()
