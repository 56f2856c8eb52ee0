"""Cosmetic inspection: zones, what may stay, repair and look again, left against right, what happens most."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairwright.app.inspecting import inspection, judged, pareto
from pairwright.app.stationing import Done, Refusal, board, instructions
from pairwright.app.troubles import open_troubles
from pairwright.base.errors import InputError
from pairwright.base.time import DAY
from tests.integration.played_floor import Morning, morning


@pytest.fixture
def day(tmp_path: Path) -> Morning:
    found = morning(tmp_path)
    found.made("S-look", "sorrel ink cabinet", upto="edges-by-hand", ago=DAY)
    return found


def look(day: Morning, **seen: object) -> Done:
    done = day.act("inspect", "S-look", at="inspection", **seen)
    assert isinstance(done, Done), done
    return done


def test_zones_lie_on_their_faces_and_nobody_has_looked_yet(day: Morning) -> None:
    page = inspection(day.floor, "S-look")

    assert [face.name for face in page.faces] == ["Front", "Shell, laid flat", "Top"]
    assert page.left == sum(len(face.zones) for face in page.faces) == 5
    assert len(page.defects) <= 12
    day.floor.close()


@pytest.mark.parametrize(
    ("zone", "defect", "size", "stays"),
    [
        ("front", "inclusion", 0.0003, True),
        ("front", "inclusion", 0.00031, False),
        ("back", "inclusion", 0.0005, True),
        ("front", "run", 0.0001, False),
        ("front", "inclusion", None, False),
        ("nowhere", "inclusion", 0.0001, False),
    ],
)
def test_the_limit_depends_on_how_the_zone_is_seen(
    day: Morning, zone: str, defect: str, size: float | None, stays: bool
) -> None:
    found = judged(day.floor, "S-look", zone=zone, defect=defect, size=size)

    assert found is not None
    assert found.may_stay is stays
    day.floor.close()


def test_what_may_stay_leaves_its_zone_clear_and_what_may_not_waits_for_a_decision(day: Morning) -> None:
    look(day, zone="top", defect="inclusion", size=0.0002)
    look(day, zone="front", defect="run", size=0.004)
    page = inspection(day.floor, "S-look")

    states = {zone.id: zone.state for face in page.faces for zone in face.zones}
    assert (states["top"], states["front"], states["back"]) == ("clear", "to be decided", "not looked at")
    assert [row.what for row in open_troubles(day.floor)] == ["Run"]
    day.floor.close()


def test_a_spot_repair_comes_back_to_its_step_and_is_looked_at_again(day: Morning) -> None:
    look(day, zone="top", clear=True)
    look(day, zone="front", defect="run", size=0.004)

    ways = open_troubles(day.floor)[0].ways
    done = day.act("repair", "S-look", at="inspection", person="P9")
    task = next(t for t in board(day.floor, "hand-finish", now=day.now).next if t.subject == "S-look")
    told = instructions(day.floor, "S-look")
    too_soon = day.act("start", "S-look", at="polish-cell", person="P4", step="polish")

    assert (ways[0].disposition, ways[0].to_step, ways[0].usual) == ("repair", "polish", True)
    assert isinstance(done, Done), done
    assert (task.step, task.step_name[:18], task.state) == ("rub-out.1", "Rub the spot level", "sent back")
    assert isinstance(too_soon, Refusal)
    assert (too_soon.code, "Rub the spot level" in str(too_soon.says)) == ("out_of_sequence", True)
    assert told is not None
    assert told.repair is not None
    assert told.step == "rub-out.1"
    assert "Film gauge first" in told.handling
    assert told.repair.lines[0].station == "Hand finishing"
    assert inspection(day.floor, "S-look").left == 5  # every zone is looked at again
    for station in ("hand-finish", "inspection", "polish-cell", "hand-finish", "inspection"):
        assert isinstance(day.act("start", "S-look", at=station, person="P4"), Done), station
        assert isinstance(day.act("finish", "S-look", at=station, person="P4"), Done), station
    with day.floor.looking() as state:
        item = state.item("S-look")
        assert item is not None
        assert item.to_step is None
        assert [done.step for done in item.done if done.stale] == ["polish", "edges-by-hand"]
        again = [done.step for done in item.done][-5:]
        assert again == ["rub-out.1", "rub-out.2", "polish", "edges-by-hand", "inspect"]
    day.floor.close()


def test_the_same_repair_may_be_done_twice_and_its_rest_is_kept(day: Morning) -> None:
    def once(*stations: str) -> None:
        for station in stations:
            assert isinstance(day.act("start", "S-look", at=station, person="P4"), Done), station
            assert isinstance(day.act("finish", "S-look", at=station, person="P4"), Done), station

    for _ in range(2):
        look(day, zone="front", defect="dent", size=0.004)
        assert isinstance(day.act("repair", "S-look", at="inspection", person="P9"), Done)
        once("hand-finish")
        soft = day.act("start", "S-look", at="hand-finish", person="P4")
        day.now += DAY
        assert isinstance(soft, Refusal)
        assert soft.code == "uncured"
        once("hand-finish", "polish-cell", "hand-finish", "inspection")
    day.floor.close()


def test_left_and_right_are_compared_and_nothing_is_good_that_was_not_measured(day: Morning) -> None:
    before = inspection(day.floor, "B1-1").alike
    for half, light, gloss in (("S-a", 30.0, 90.0), ("S-b", 30.5, 84.0)):
        for name, value in (("colour-l", light), ("colour-a", 2.0), ("colour-b", -3.0), ("gloss", gloss)):
            done = day.act("measure", half, at="inspection", characteristic=f"{name}.front", value=value)
            assert isinstance(done, Done), done
    after = [one for one in inspection(day.floor, "S-a").alike if one.zone == "front"]

    assert {one.verdict for one in before} == {"not proven"}
    found = {(str(one.what), one.first): (one.value, one.verdict) for one in after}
    colour, word = found["colour difference, CIEDE2000", "S-a"]
    assert colour is not None
    assert 0.3 < colour < 0.5  # half a step of lightness in a dark colour
    assert word == "good"
    assert found["gloss difference", "S-a"] == (6.0, "bad")
    assert found["least gloss", "S-a"] == (90.0, "good")
    assert found["least gloss", "S-b"] == (84.0, "good")
    day.floor.close()


def test_what_happens_most_often_stands_first_and_a_withdrawn_entry_does_not_count(day: Morning) -> None:
    for zone in ("front", "top", "side-one"):
        look(day, zone=zone, defect="run", size=0.01)
    look(day, zone="front", defect="scratch", size=0.02)
    mistaken = look(day, zone="front", defect="haze", size=0.03)
    undone = day.act("undo", event=mistaken.key)

    by_kind, by_face = pareto(day.floor, "kind"), pareto(day.floor, "face")

    assert isinstance(undone, Done), undone
    assert [(bar.id, bar.count, bar.together) for bar in by_kind.bars] == [
        ("run", 3, 0.75),
        ("scratch", 1, 1.0),
    ]
    assert [(bar.id, bar.count) for bar in by_face.bars] == [("front", 2), ("shell", 1), ("top", 1)]
    assert pareto(day.floor, "kind", product="alder").total == 0
    assert pareto(day.floor, "batch").total == pareto(day.floor, "station").total == 4
    day.floor.close()


def test_a_thing_without_zones_is_told(day: Morning) -> None:
    with pytest.raises(InputError, match="zones"):
        inspection(day.floor, "X-1")
    with pytest.raises(InputError, match="choose one"):
        pareto(day.floor, "weather")  # type: ignore[arg-type]
    day.floor.close()
