"""What a station's page says: what is in work, what is next, what each waits for, how it is done."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from pairwright.app.stationing import (
    Begun,
    Done,
    Refusal,
    board,
    instructions,
    instructions_for,
    planned_starts,
    scanned,
)
from pairwright.base.codes import make_code
from pairwright.base.errors import InputError
from pairwright.base.time import HOUR
from tests.integration.played_floor import Morning, morning


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Morning]:
    day = morning(Path(tmp_path_factory.mktemp("works")))
    yield day
    day.floor.close()


def rows(day: Morning, station: str, **more: str) -> dict[str, str]:
    page = board(day.floor, station, now=day.now, **more)  # type: ignore[arg-type]
    return {one.subject or f"new {one.part}": one.state for one in (*page.now, *page.next)}


def test_what_is_in_work_comes_first_and_what_is_ready_next(played: Morning) -> None:
    page = board(played.floor, "sanding-cell", now=played.now)

    assert [one.subject for one in page.now] == ["S-cell"]
    assert [(one.subject, one.state) for one in page.next] == [
        ("CAB-L", "ready"),
        ("CAB-R", "ready"),
        ("S-held", "on hold"),
    ]
    assert "S-cell" in str(page.says)


def test_a_page_has_at_most_seven_rows_and_counts_the_others(played: Morning) -> None:
    page = board(played.floor, "trim-machine", now=played.now)

    assert len(page.now) + len(page.next) == 7
    assert page.more > 0


def test_a_row_names_side_mate_programme_and_due_day(played: Morning) -> None:
    page = board(played.floor, "trim-machine", now=played.now)
    left = next(one for one in page.next if one.subject == "SH2-L")

    assert (left.side, left.set, left.due) == ("left", "A1-2", "2027-05-28")
    assert (left.programme, left.revision) == ("alder-shell-left", "D")
    assert left.mate is not None
    assert left.mate.id == "SH2-R"


def test_what_cures_says_from_when_and_what_is_too_late_that_somebody_decides(played: Morning) -> None:
    curing = next(
        one for one in board(played.floor, "unit-test", now=played.now).next if one.subject == "W-green"
    )
    late = next(
        one for one in board(played.floor, "clamps", now=played.now).next if one.subject == "CAB-OPEN"
    )

    assert curing.state == "curing"
    assert curing.ready == played.now - 2 * HOUR + 16 * HOUR
    assert "20 Apr 2027" in str(curing.missing[0])
    assert late.state == "too late"
    assert "decided" in str(late.missing[0])


def test_a_step_without_its_parts_waits_and_names_them(played: Morning) -> None:
    task = next(
        one for one in board(played.floor, "assembly", now=played.now).next if one.subject == "S-join"
    )

    assert task.state == "waiting"
    assert "Woofer ring" in " ".join(map(str, task.missing))


def test_what_is_done_together_is_one_row_for_the_set(played: Morning) -> None:
    found = rows(played, "measuring-room")

    assert found["B1-1"] == "ready"
    assert not {"S-a", "S-b"} & set(found)


def test_orders_ask_for_items_that_nobody_has_begun(played: Morning) -> None:
    page = board(played.floor, "board-bench", now=played.now)
    fresh = [one for one in page.next if one.subject is None]

    assert fresh
    assert {one.part for one in fresh} == {"crossover"}
    assert all(one.order is not None for one in fresh)
    # an early-bound half is made for its set; a late-bound one for nobody yet
    assert all((one.set is not None) == (one.product == "alder") for one in fresh)
    assert all(one.side is None for one in fresh if one.product == "sorrel")


def test_a_person_sees_what_they_are_not_qualified_for(played: Morning) -> None:
    able = board(played.floor, "sanding-cell", now=played.now, person="P1")
    unable = board(played.floor, "sanding-cell", now=played.now, person="P2")

    assert all(one.may for one in able.next)
    assert not any(one.may for one in unable.next)


def test_an_unknown_station_is_told_with_those_there_are(played: Morning) -> None:
    with pytest.raises(InputError, match="hot-press"):
        board(played.floor, "moon", now=played.now)


def test_instructions_give_values_with_units_materials_cautions_and_the_programme(played: Morning) -> None:
    told = instructions(played.floor, "CAB-L")
    assert told is not None
    press = instructions_for(played.floor, Begun("alder", "walnut", "shell", "left"))

    assert (told.step, told.programme, told.revision) == ("sand", "alder-sanding", "F")
    assert told.cautions
    assert told.stages[0].name.startswith("Sanding disc")
    values = {str(one.name): str(one.value) for one in press.values}
    assert values["Platen temperature"] == "106 °C"
    assert values["Pressure"] == "1.6 MPa"
    assert {"walnut-leaf", "press-resin"} <= {one.id for one in press.takes_in}


def test_instructions_of_a_step_that_the_route_does_not_have_are_refused(played: Morning) -> None:
    with pytest.raises(InputError, match="brace"):
        instructions(played.floor, "CAB-L", step="colour-1")
    with pytest.raises(InputError, match="scan it again"):
        instructions(played.floor, "X-1")


def test_whatever_is_scanned_says_what_it_is_and_what_can_be_done(played: Morning) -> None:
    at = played.now
    cabinet = scanned(played.floor, "CAB-L", now=at, station="sanding-cell")
    busy = scanned(played.floor, make_code("item", "S-cell").text, now=at)
    lot = scanned(played.floor, "JG-HELD", now=at)

    assert "Cabinet CAB-L (left) of Alder, Walnut" in str(cabinet.says)
    assert cabinet.acts[0] == "start"
    assert busy.acts[0] == "finish"
    assert (lot.kind, "free" in lot.acts, lot.holds) == ("lot", True, ("lumps in the can",))
    assert scanned(played.floor, "hot-press", now=at).address == "/stations/hot-press"
    assert scanned(played.floor, "alder-sanding.E", now=at).kind == "programme"
    assert scanned(played.floor, "mic-1", now=at).kind == "instrument"


def test_a_thing_is_not_offered_to_a_station_that_does_not_do_its_step(played: Morning) -> None:
    found = scanned(played.floor, "CAB-L", now=played.now, station="oven")

    assert "start" not in found.acts


def test_an_unknown_or_damaged_code_says_what_to_do(played: Morning) -> None:
    nobody = scanned(played.floor, "X-99", now=played.now)
    damaged = scanned(played.floor, "PW1:CAB-L:T0", now=played.now)

    assert nobody.kind == damaged.kind == "unknown"
    assert "scan the label again" in str(nobody.says)
    assert "check character" in str(damaged.says)


def test_a_step_is_begun_and_ended_in_one_scan_and_one_touch_each(tmp_path: Path) -> None:
    day = morning(tmp_path)

    begun = day.act("start", "CAB-CLR", at="spray-booth")
    running = rows(day, "spray-booth")
    day.now += HOUR
    ended = day.act("finish", "CAB-CLR", at="spray-booth")
    after = rows(day, "oven")
    day.floor.close()

    assert isinstance(begun, Done), begun
    assert isinstance(ended, Done), ended
    assert running["CAB-CLR"] == "in work"
    assert "Oven" in str(ended.says)
    assert after["CAB-CLR"] == "curing"  # it flashes off first


def test_a_new_piece_gets_its_identity_from_a_new_label(played: Morning) -> None:
    refused = played.begin("SH-L", at="hot-press")
    done = played.begin("NEW-1", at="hot-press")

    assert isinstance(refused, Refusal)
    assert isinstance(done, Done), done
    with played.floor.looking() as state:
        item = state.item("NEW-1")
        assert item is not None
        assert (item.product, item.part, item.order) == ("sorrel", "shell", "B1")
        assert item.under is not None
        assert item.under.step == "press"


def test_an_act_of_paper_keeps_the_time_that_was_written(played: Morning) -> None:
    key = "paper-1"
    written = played.now - 3 * HOUR
    from pairwright.app.stationing import Act, act

    done = act(
        played.floor,
        Act("note", key, "P4", "oven", (), at=written, data={"text": "restarted"}),
        now=played.now,
    )

    assert isinstance(done, Done)
    with played.floor.record.reading() as reading:
        entry = reading.event(key)
        assert entry is not None
        assert (entry.event.event_time, entry.event.written) == (written, True)


def test_a_badly_made_act_is_told_in_five_parts_and_nothing_is_recorded(played: Morning) -> None:
    head = played.head()

    with pytest.raises(InputError, match="choose an act"):
        played.act("dance", "CAB-L")
    with pytest.raises(InputError, match="let the client make one"):
        played.act("note", key="no blanks please", text="x")
    with pytest.raises(InputError):
        played.act("measure", "CAB-L", characteristic="level")

    assert played.head() == head


def test_the_lot_that_the_mate_had_is_pointed_out(played: Morning) -> None:
    played.made("H-L", "alder walnut cabinet", upto="denib", side="left", set="A9-1")
    played.made("H-R", "alder walnut cabinet", upto="denib", side="right", set="A9-1")
    played.tell("finished", "item H-L", step="clear-1", ago=HOUR, inputs=[{"lot": "CS-1", "quantity": 0.2}])

    page = board(played.floor, "spray-booth", now=played.now, most=50)

    hints = {one.subject: [str(hint) for hint in one.hints] for one in page.next}
    assert hints["H-R"] == ["its mate had lot CS-1 of Clear coat, satin, two components: take the same"]


def test_rows_follow_the_plan_where_there_is_one(played: Morning) -> None:
    late, soon = ("B1-1", "cabinet", None, "measure"), ("B1-2", "cabinet", None, "measure")

    by_id = board(played.floor, "measuring-room", now=played.now)
    planned = board(played.floor, "measuring-room", now=played.now, planned={late: 2000, soon: 1000})

    assert [one.subject for one in by_id.next][:2] == ["B1-1", "B1-2"]
    assert [one.subject for one in planned.next][:2] == ["B1-2", "B1-1"]


def test_a_plan_is_read_by_set_part_side_and_step(played: Morning) -> None:
    from pairwright.app.planning import plan_works

    opened = played.floor.opened_now()
    found = planned_starts(plan_works(opened, actor="P1", now=played.now, effort=1).schedule)

    assert found
    assert {place[1] for place in found} >= {"cabinet", "shell"}
    assert min(found.values()) >= played.now


def test_an_orphan_is_offered_a_mate_before_anything_else(tmp_path: Path) -> None:
    from pairwright.app.matching import offers_for

    day = morning(tmp_path)
    for name, level in (("S-a", 86.0), ("S-b", 86.1), ("S-join", 86.4), ("S-net", 85.1)):
        day.act("measure", name, characteristic="level", value=level)
    before = scanned(day.floor, "S-a", now=day.now)
    day.act("unmate", "S-a", reason="S-b was dropped")
    day.act("scrap", "S-b", person="P9", reason="dropped")
    after = scanned(day.floor, "S-a", now=day.now)
    offers = offers_for(day.floor, "S-a", actor="P1")
    day.floor.close()

    assert (before.orphan, after.orphan) == (False, True)
    assert after.acts[0] == "mate"
    assert [{one.left, one.right} - {"S-a"} for one in offers] == [{"S-join"}, {"S-net"}]


def test_of_tablets_that_begin_the_same_piece_at_once_one_does(tmp_path: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    day = morning(tmp_path)
    with ThreadPoolExecutor(8) as tablets:
        answers = list(tablets.map(lambda _: day.act("start", "CAB2-L", "BF2-L", at="glue-bench"), range(8)))
        pages = list(tablets.map(lambda _: rows(day, "glue-bench")["CAB2-L"], range(8)))
    day.floor.close()

    assert sum(isinstance(one, Done) for one in answers) == 1
    assert {one.code for one in answers if isinstance(one, Refusal)} <= {
        "step_open",
        "item_used",
        "station_full",
    }
    assert set(pages) == {"in work"}


def test_a_set_is_begun_as_the_revision_that_is_in_force_for_it(tmp_path: Path) -> None:
    from pairwright.app.recording import open_floor
    from pairwright.archive import write_folder
    from tests.unit.works.test_effectivity import texts

    write_folder(tmp_path, texts())
    with open_floor(tmp_path, clock=lambda: 1_803_900_000) as floor:
        fresh = {
            (one.set or one.order, one.product)
            for station in floor.opened.works.factory.stations
            for one in board(floor, station, now=1_803_900_000, most=200).next
            if one.subject is None
        }

    assert {product for name, product in fresh if str(name).startswith("W1")} == {"wren"}
    assert {product for name, product in fresh if str(name).startswith("W3")} == {"wren-b"}
