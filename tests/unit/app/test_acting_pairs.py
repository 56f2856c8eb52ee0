"""Acts on pairs at a station: a reason is left, and the tests are due again."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairwright.app.stationing import Done, Refusal, board
from pairwright.base.time import DAY, HOUR
from tests.integration.played_floor import Morning, morning


@pytest.fixture
def day(tmp_path: Path) -> Morning:
    return morning(tmp_path)


def measured(day: Morning, name: str = "B1-1") -> None:
    for station in ("measuring-room", "inspection"):
        day.act("start", name, at=station, person="P4")
        day.now += 2 * HOUR
        done = day.act("finish", name, at=station, person="P4")
        assert isinstance(done, Done), done


def test_a_swap_needs_a_reason_and_sends_the_pair_back_to_be_measured(day: Morning) -> None:
    measured(day)
    day.made("S-k", "sorrel ink cabinet", upto="units", ago=DAY)

    refused = day.act("swap", "B1-1", "S-b", "S-k")
    done = day.act("swap", "B1-1", "S-b", "S-k", reason="dent in S-b")

    assert isinstance(refused, Refusal)
    assert refused.code == "reason_missing"
    assert isinstance(done, Done), done
    with day.floor.looking() as state:
        one = state.set("B1-1")
        assert one is not None
        assert one.pair is not None
        assert one.pair.halves == ("S-a", "S-k")
        orphan = state.item("S-b")
        assert orphan is not None
        assert orphan.pair is None
    task = next(t for t in board(day.floor, "measuring-room", now=day.now).next if t.subject == "B1-1")
    assert task.step == "measure"
    day.floor.close()


def test_a_pair_that_was_taken_apart_is_mated_anew_only_with_a_reason(day: Morning) -> None:
    day.act("unmate", "S-a", reason="to compare")

    refused = day.act("mate", "S-a", "S-b", set="B1-1")
    done = day.act("mate", "S-a", "S-b", set="B1-1", reason="as before")

    assert isinstance(refused, Refusal)
    assert refused.code == "reason_missing"
    assert isinstance(done, Done), done
    day.floor.close()


def test_halves_go_under_their_sides_in_whatever_order_they_were_scanned(day: Morning) -> None:
    done = day.act("mate", "CAB2-R", "CAB2-L", set="A1-2")

    assert isinstance(done, Done), done
    with day.floor.looking() as state:
        one = state.set("A1-2")
        assert one is not None
        assert one.pair is not None
        assert dict(zip(one.pair.sides, one.pair.halves, strict=True)) == {
            "left": "CAB2-L",
            "right": "CAB2-R",
        }
    day.floor.close()


def test_a_step_done_together_begins_with_either_half_in_hand(day: Morning) -> None:
    done = day.act("start", "S-b", "S-a", at="measuring-room")

    assert isinstance(done, Done), done
    assert done.subjects == ("B1-1",)
    day.floor.close()


def test_mates_join_one_charge_of_the_oven(day: Morning) -> None:
    done = day.act("start", "S-f", at="oven")

    assert isinstance(done, Done), done
    with day.floor.looking() as state:
        half = state.item("S-f")
        assert half is not None
        assert half.under is not None
        assert half.under.batch == "oven-1"
    day.floor.close()


def test_a_part_is_mounted_and_taken_out_in_two_scans_and_the_pair_is_measured_again(day: Morning) -> None:
    mounted = day.act("mount", "S-join", "W-ink")
    removed = day.act("remove", "W-ink", reason="rubs")

    assert isinstance(mounted, Done), mounted
    assert isinstance(removed, Done), removed
    with day.floor.looking() as state:
        part, whole = state.item("W-ink"), state.item("S-join")
        assert part is not None
        assert whole is not None
        assert (part.into, whole.parts) == (None, ())
        assert whole.changed > 0
    day.floor.close()
