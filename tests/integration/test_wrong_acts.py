"""Forty wrong acts at stations: each refused in one sentence, and nothing recorded but the refusal.

The sentences say what is wrong and what to do; what is compared here are the words that must be in them.
"""

from __future__ import annotations

import functools
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.language import words_of
from pairwright.app.stationing import Done, Refusal
from tests.integration.played_floor import Morning, morning

ENOUGH = 0.3  # for a refusal [s]


@dataclass(frozen=True)
class Wrong:
    """An act that must not be done: what it is called here, what refuses it, words of the sentence."""

    name: str
    code: str
    act: str
    scans: tuple[str, ...]
    says: tuple[str, ...]
    at: str | None = None
    person: str = "P1"
    step: str | None = None
    data: dict[str, Any] = field(default_factory=dict)


def wrong(name: str, code: str, act: str, *scans: str, says: tuple[str, ...], **more: Any) -> Wrong:
    known = {key: more.pop(key) for key in ("at", "person", "step") if key in more}
    return Wrong(name, code, act, scans, says, data=more, **known)


ACTS = (
    # sides
    wrong("the programme of the other side", "wrong_side", "start", "SH2-L", "alder-shell-right",
          at="trim-machine", says=("alder-shell-right", "right side", "load alder-shell-left")),
    wrong("the baffle of the other side", "wrong_side", "start", "CAB2-L", "BF2-R", at="glue-bench",
          says=("BF2-R is a right part", "take the left one")),
    wrong("halves mated the wrong way round", "wrong_side", "mate", "CAB2-L", "SH2-L",
          set="A1-2", says=("left half",)),
    # lots
    wrong("a lot of another material", "wrong_lot", "start", "CAB2-L", "BF2-L", "UB-1", at="glue-bench",
          says=("UB-1 is Drive-unit bond", "takes Joint glue")),
    wrong("expired glue", "lot_expired", "start", "CAB2-L", "BF2-L", "JG-OLD", at="glue-bench",
          says=("JG-OLD expired on 2027-04-10", "take another lot")),
    wrong("more than the lot holds", "lot_used_up", "start", "CAB2-L", "BF2-L", "JG-END", at="glue-bench",
          says=("JG-END holds 0.001 kg", "count it")),
    wrong("a lot on hold", "under_hold", "start", "CAB2-L", "BF2-L", "JG-HELD", at="glue-bench",
          says=("JG-HELD is on hold", "lumps in the can")),
    wrong("lacquer past its pot life", "pot_life_over", "start", "CAB-CLR", "CS-MIX", at="spray-booth",
          says=("CS-MIX was mixed", "mix anew")),
    # time
    wrong("open time over", "open_time_over", "start", "CAB-OPEN", at="clamps",
          says=("open time", "10 min", "do not close the joint")),
    wrong("a shell that is still hot and moist", "uncured", "start", "SH-WET", at="trim-machine",
          says=("SH-WET needs", "leave it until")),
    wrong("a film that has not flashed off", "uncured", "start", "CAB-SEAL", at="flow-line",
          says=("needs 10 min", "has had 5 min")),
    wrong("a film that is not hard", "uncured", "start", "CAB-SOFT", "alder-satin", at="polish-cell",
          says=("CAB-SOFT needs", "leave it until")),
    wrong("out of the clamps too soon", "uncured", "finish", "S-clamped", at="clamps",
          says=("takes at least", "has had 15 min")),
    wrong("a part whose bond is green", "part_unfinished", "start", "S-join", "W-green", at="assembly",
          says=("W-green is not finished",)),
    # mates
    wrong("a foreign mate at a step done together", "foreign_mate", "start", "S-a", "S-c",
          at="measuring-room", says=("S-c is not the mate of S-a", "its mate is S-b")),
    wrong("halves of two pairs mated", "item_mated", "mate", "S-a", "S-c", set="B1-7",
          says=("is the mate of", "take that pair apart first")),
    wrong("the mate in another charge", "mate_in_other_batch", "start", "S-f", at="oven", batch="oven-2",
          says=("S-f and its mate S-e share one batch", "oven-1")),
    wrong("a new mate without a reason", "reason_missing", "unmate", "S-a", says=("say why",)),
    wrong("a half of another design as a mate", "wrong_mate", "mate", "S-join", "CAB-OPEN", set="B1-5",
          says=("mates are alike",)),
    wrong("too long after the mate", "mate_out_of_step", "start", "S-j", at="spray-booth",
          says=("may follow its mate S-i", "within 120 min")),
    wrong("a recoat window that is over", "window_over", "start", "CAB-LATE", at="spray-booth",
          says=("within 5 d after", "report it")),
    # people
    wrong("a qualification that has run out", "not_qualified", "start", "CAB-L", at="sanding-cell",
          person="P2", says=("P2 was qualified for sanding until 2027-04-19",)),
    wrong("never qualified", "not_qualified", "start", "CAB-L", at="sanding-cell", person="P7",
          says=("P7 is not qualified for sanding", "let somebody who is")),
    wrong("a qualification withdrawn", "not_qualified", "start", "CAB-R", at="sanding-cell",
          person="P3", says=("P3 is not qualified",)),
    wrong("scrapped by who may not decide", "not_qualified", "scrap", "S-a", says=("P1 may not decide",)),
    # sequence and station
    wrong("a step too early", "out_of_sequence", "start", "CAB-L", at="spray-booth", step="seal",
          says=("CAB-L is not ready for", "Sand comes first, at Sanding cell")),
    wrong("the wrong station", "wrong_station", "start", "CAB-L", at="polish-cell", step="sand",
          says=("is not done at Polishing cell", "take it to Sanding cell")),
    wrong("done already", "step_finished", "start", "CAB-L", at="trim-machine", step="edges",
          says=("step edges of CAB-L is finished already",)),
    wrong("begun already", "step_open", "start", "S-cell", at="sanding-cell",
          says=("S-cell is in step sand already",)),
    wrong("another step finished than begun", "step_open", "finish", "S-cell", at="sanding-cell", step="edges",
          says=("S-cell is in step sand, not in edges",)),
    wrong("a step of another route", "step_unknown", "start", "CAB-L", at="polish-cell", step="polish",
          says=("has no step polish",)),
    wrong("one piece too many in the cell", "station_full", "start", "CAB-L", at="sanding-cell",
          says=("Sanding cell is taken by S-cell", "finish that first")),
    # programmes
    wrong("a programme out of date", "programme_out_of_date", "start", "CAB-L", "alder-sanding.E",
          at="sanding-cell", says=("revision E", "revision F is in force", "load that one")),
    wrong("the programme of another product", "wrong_programme", "start", "CAB-L", "sorrel-sanding",
          at="sanding-cell", says=("with programme alder-sanding here", "load alder-sanding revision F")),
    # holds and what has left
    wrong("an item on hold", "under_hold", "start", "S-held", at="sanding-cell",
          says=("S-held is on hold", "dent under the baffle")),
    wrong("an item that was scrapped", "item_scrapped", "start", "S-scrap", at="spray-booth",
          says=("S-scrap was scrapped", "put it away")),
    wrong("a set that has left", "set_shipped", "start", "B1-9", at="measuring-room", step="measure",
          says=("B1-9 has left the works",)),
    wrong("a pair that has left, taken apart", "set_shipped", "unmate", "S-g", reason="to look inside",
          says=("has left the works",)),
    # parts
    wrong("a part of another product", "wrong_part", "mount", "W-alder", "S-join",
          says=("W-alder is of alder", "S-join is sorrel")),
    wrong("a part of another option", "wrong_part", "start", "S-net", "CX-chalk", at="assembly",
          says=("CX-chalk is of chalk", "is ink")),
    wrong("a part that does not go in here", "wrong_part", "start", "S-net", "W-ink", at="assembly",
          says=("does not go in here", "Crossover board")),
    wrong("finished without the part that goes in", "part_missing", "finish", "S-bare", at="assembly",
          says=("Crossover board", "scan it")),
    wrong("a part that is in another", "item_used", "start", "CAB-front", "BF-USED", at="glue-bench",
          says=("BF-USED was used up by CAB-BF",)),
    wrong("a label that has been used", "label_used", "begin", "SH-L", at="hot-press", says=("take a new label",)),
    wrong("a part made for another set", "foreign_part", "start", "CAB-front", "BF-L", at="glue-bench",
          says=("BF-L was made for set A1-1", "of set A1-2")),
    # carriers, buffers, instruments, codes
    wrong("a carrier that holds another", "carrier_taken", "start", "CAB2-L", "BF2-L", "clamp-1",
          at="glue-bench", says=("clamp-1 holds S-new",)),
    wrong("a full buffer", "buffer_full", "move", "SH2-L", buffer="conditioning",
          says=("Conditioning rack is full", "24 of 24")),
    wrong("an instrument whose calibration ended", "instrument_expired", "measure", "S-a", "mic-2",
          characteristic="level", value=86.0, says=("mic-2 ran out on 2027-04-01", "take another")),
    wrong("an instrument that failed", "instrument_refused", "measure", "S-a", "mic-3",
          characteristic="level", value=86.0, says=("mic-3 failed",)),
    wrong("a code that nobody knows", "code_unknown", "start", "X-404", at="sanding-cell",
          says=("X-404 is not known here", "scan the label again")),
)  # fmt: skip


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Morning]:
    played = morning(Path(tmp_path_factory.mktemp("works")))
    played.act("note", at="hot-press", text="good morning")  # what is computed once is computed now
    yield played
    played.floor.close()


def test_there_are_forty_of_them_and_no_two_alike() -> None:
    assert len({one.name for one in ACTS}) == len(ACTS) >= 40


@pytest.mark.parametrize("one", ACTS, ids=[one.name for one in ACTS])
def test_a_wrong_act_is_refused_and_nothing_else_is_recorded(day: Morning, one: Wrong) -> None:
    things, head = day.things(), day.head()

    began = time.perf_counter()
    act = day.begin if one.act == "begin" else functools.partial(day.act, one.act)
    answer = act(*one.scans, at=one.at, person=one.person, step=one.step, **one.data)
    took = time.perf_counter() - began

    assert isinstance(answer, Refusal), answer
    said = str(answer.says)
    assert answer.code == one.code, said
    assert [words for words in one.says if words not in said] == [], said
    assert ":" in said or "," in said  # what is wrong, and what to do
    added = list(day.floor.record.events(head + 1))
    assert [entry.event.kind for entry in added] == ["refused"]
    assert added[0].event.data["codes"][0] == one.code
    assert added[0].event.data["text"] == words_of(day.works).say(answer.says)
    assert day.things() == things
    assert took < ENOUGH


def test_a_refusal_is_answered_again_to_the_same_key_and_recorded_once(day: Morning) -> None:
    first = day.act("start", "S-held", at="sanding-cell", key="same")
    head = day.head()

    again = day.act("start", "S-held", at="sanding-cell", key="same")

    assert isinstance(first, Refusal)
    assert isinstance(again, Refusal)
    assert (again.code, str(again.says), again.replayed) == (first.code, str(first.says), True)
    assert day.head() == head


def test_the_right_act_is_done_where_the_wrong_one_was_refused(day: Morning) -> None:
    refused = day.act("start", "CAB2-R", "BF2-L", "JG-1", at="glue-bench")

    done = day.act("start", "CAB2-R", "BF2-R", "JG-1", at="glue-bench")

    assert isinstance(refused, Refusal)
    assert isinstance(done, Done), done
    with day.floor.looking() as state:
        cabinet = state.item("CAB2-R")
        assert cabinet is not None
        assert [one.id for one in cabinet.inputs] == ["BF2-R", "JG-1"]
