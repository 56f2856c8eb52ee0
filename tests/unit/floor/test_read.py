"""Events are read strictly: what is odd is refused, by where, field, what, got, what to do."""

from __future__ import annotations

import json
from typing import Any

import pytest

from pairwright.base.errors import InputError, Problem
from pairwright.floor import KINDS, Known, read_event, read_events
from tests.unit.floor.events import DOSSIER, event, raw


def problems(given: Any, known: Known | None = None) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        read_event(given, known=known or Known())
    for problem in caught.value.problems:
        assert problem.where
        assert problem.field
        assert str(problem.must_be)
        assert problem.got
        assert str(problem.do)
    return caught.value.problems


def fields(given: Any, known: Known | None = None) -> list[str]:
    return [problem.field for problem in problems(given, known)]


def test_an_event_keeps_its_offset_and_its_whole_second() -> None:
    one = event("noted", "item C-1", text="a scratch", at="2027-03-28T02:30:15.987+01:00")

    assert (one.local_time(), one.offset) == ("2027-03-28T02:30:15+01:00", 3600)
    assert one.event_time == 1_806_197_415


def test_reading_what_was_written_gives_the_same_event() -> None:
    one = event(
        "started", "item C-1", step="press", inputs=["L-1", {"lot": "L-2", "quantity": 0.3, "unit": "kg"}]
    )

    assert read_event(json.dumps(one.as_json())) == one


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"key": None}, "key"),
        ({"key": ""}, "key"),
        ({"key": "with space"}, "key"),
        ({"key": 7}, "key"),
        ({"kind": "polished"}, "kind"),
        ({"kind": ["noted"]}, "kind"),
        ({"event_time": "2027-03-01T06:00:00"}, "event_time"),
        ({"event_time": "2027-02-30T06:00:00Z"}, "event_time"),
        ({"event_time": "1990-01-01T06:00:00Z"}, "event_time"),
        ({"event_time": 1803877200}, "event_time"),
        ({"event_time": "٢٠٢٧-03-01T06:00:00Z"}, "event_time"),
        ({"actor": None}, "actor"),
        ({"actor": "Ann Other"}, "actor"),
        ({"item": "С-0231L"}, "item"),  # a Cyrillic letter
        ({"item": "C-0231\u200bL"}, "item"),
        ({"item": " C-1"}, "item"),
        ({"item": "C" * 81}, "item"),
        ({"item": 231}, "item"),
        ({"lot": "L-1"}, "lot"),
        ({"data": None}, "data"),
        ({"data": []}, "data"),
        ({"data": {}}, "data.text"),
        ({"data": {"text": "  "}}, "data.text"),
        ({"data": {"text": "a\ud800"}}, "data.text"),
        ({"data": {"text": "a\x00b"}}, "data.text"),
        ({"data": {"text": "a\u202eb"}}, "data.text"),
        ({"data": {"text": "x" * 2001}}, "data.text"),
        ({"data": {"text": "x", "photograph": "0a"}}, "data.photograph"),
        ({"data": {"text": "x", "colour": "red"}}, "data.colour"),
        ({"colour": "red"}, "colour"),
        ({"written": 1}, "written"),
        ({"counter": -1}, "counter"),
        ({"counter": True}, "counter"),
    ],
)  # fmt: skip
def test_what_is_odd_is_told_by_its_field(change: dict[str, Any], field: str) -> None:
    assert field in fields({**raw("noted", "item C-1", text="a scratch"), **change})


def test_all_problems_come_at_once() -> None:
    given = {**raw("noted", "item C-1", text=""), "key": "", "actor": None, "event_time": "noon"}

    assert set(fields(given)) == {"key", "actor", "event_time", "data.text"}


@pytest.mark.parametrize("value", [True, "86.4", float("nan"), float("inf"), 2**60, [1], None])
def test_a_measured_value_is_a_finite_number(value: Any) -> None:
    given = raw("measured", "item C-1", characteristic="level", value=value)

    assert fields(given) == ["data.value"]


@pytest.mark.parametrize(
    ("body", "word"),
    [
        ('{"key": "a", "key": "b"}', "twice"),
        ('{"data": {"left": "A", "left": "B"}}', "twice"),
        ('{"value": NaN}', "NaN"),
        ('{"value": -Infinity}', "-Infinity"),
        ('{"value": 1e999}', "1e999"),
        ('{"value": ' + "9" * 5000 + "}", "5000 figures"),
        ("[" * 100_000 + "]" * 100_000, "more"),
        ('{"key": "a"', "character"),
        ("", "character"),
        ("\x00", "character"),
        ('{"a": 1} trailing', "character"),
    ],
)
def test_json_is_read_strictly(body: str, word: str) -> None:
    found = problems(body)

    assert word in " ".join(problem.got for problem in found)


@pytest.mark.parametrize("body", [b"\xff\xfe{\x00}\x00", "é".encode("latin-1"), b"\xed\xa0\x80"])
def test_text_must_be_utf_8(body: bytes) -> None:
    assert "UTF-8" in str(problems(body)[0].must_be)


def test_a_byte_order_mark_is_passed_over() -> None:
    body = "\ufeff" + json.dumps(raw("noted", "item C-1", text="x"))

    assert read_event(body.encode()).subject == "C-1"


def test_the_two_ways_to_write_a_letter_are_one() -> None:
    composed, apart = (
        event("noted", "item C-1", text="caf\u00e9"),
        event("noted", "item C-1", text="cafe\u0301"),
    )

    assert composed.data == apart.data


def test_names_are_those_of_the_works() -> None:
    known = Known(stations=frozenset(("hot-press",)), steps=frozenset(("press", "trim")))
    given = raw("started", "item C-1", step="pres", station="hot-pres")

    found = problems(given, known)

    assert [problem.field for problem in found] == ["station", "data.step"]
    assert "hot-press" in str(found[0].must_be)
    assert "press" in str(found[1].must_be)


@pytest.mark.parametrize(
    ("kind", "subject", "data", "field"),
    [
        ("received", "lot L-1", {"quantity": 0.0, "unit": "kg"}, "data.quantity"),
        ("received", "lot L-1", {"quantity": -1.0, "unit": "kg"}, "data.quantity"),
        ("received", "lot L-1", {"quantity": 1.0}, "data.unit"),
        ("received", "lot L-1", {"quantity": 1.0, "unit": "furlong"}, "data.unit"),
        ("received", "lot L-1", {"quantity": 1.0, "unit": "kg", "expiry": "2027-02-30"}, "data.expiry"),
        ("received", "lot L-1", {"lot": "L-2", "quantity": 1.0, "unit": "kg"}, "data.lot"),
        ("received", None, {"serials": ["D-1", "D-1"]}, "data.serials"),
        ("received", None, {"quantity": 1.0, "unit": "kg"}, "lot"),
        ("started", "item C-1", {}, "data.step"),
        ("started", "item C-1", {"step": "press", "inputs": [{"lot": "L-1", "quantity": True}]},
         "data.inputs[0].quantity"),
        ("started", "item C-1", {"step": "press", "inputs": [{"lot": "L-1", "item": "D-1"}]}, "data.inputs[0]"),
        ("started", None, {"step": "press"}, "item"),
        ("mated", "set S-1", {"left": "A", "right": "A"}, "data.right"),
        ("mated", "set S-1", {"left": "A", "b": "B"}, "data"),
        ("mated", "set S-1", {"left": "A"}, "data"),
        ("mated", "item A", {"left": "A", "right": "B"}, "item"),
        ("unmated", "set S-1", {"left": "A", "right": "B"}, "data.reason"),
        ("mounted", "item D-1", {"into": "D-1"}, "data.into"),
        ("inspected", "item C-1", {"zone": "front"}, "data.defect"),
        ("inspected", "item C-1", {"clear": True, "defect": "run"}, "data.defect"),
        ("disposed", "item C-1", {"nonconformance": "N1", "disposition": "burn", "authority": "P1"},
         "data.disposition"),
        ("disposed", "item C-1", {"nonconformance": "N1", "disposition": "rework", "authority": "P1"},
         "data.to_step"),
        ("disposed", "item C-1", {"nonconformance": "N1", "disposition": "concession", "authority": "P1"},
         "data.reason"),
        ("disposed", "item C-1", {"disposition": "scrap"}, "data.nonconformance"),
        ("released", "set S-1", {}, "data.dossier"),
        ("released", "set S-1", {"dossier": DOSSIER.upper()}, "data.dossier"),
        ("corrected", None, {"event": "k", "reason": "was wrong"}, "data.reason"),
        ("corrected", None, {"event": "k", "reason": "incorrect_data"}, "data.replacement"),
        ("corrected", None, {"event": "k", "reason": "did_not_occur", "replacement": "k2"}, "data.replacement"),
        ("corrected", None, {"event": "k", "reason": "incorrect_data", "replacement": {"kind": "noted"}},
         "data.replacement"),
        ("corrected", None,
         {"event": "k", "reason": "incorrect_data", "replacement": {"data": {"value": float("nan")}}},
         "data.replacement.data.value"),
        ("ordered", None, {"order": "2211", "product": "alder", "quantity": 1.5, "due": "2027-04-01"},
         "data.quantity"),
        ("logged", None, {"source": "oven", "from": "2027-03-01T06:00:00Z", "to": "2027-03-01T05:00:00Z",
                          "attachment": DOSSIER}, "data.to"),
        ("cancelled", None, {"reason": "x"}, "data"),
    ],
)  # fmt: skip
def test_each_kind_asks_for_its_own(kind: str, subject: str | None, data: dict[str, Any], field: str) -> None:
    assert field in fields(raw(kind, subject, **data))


def test_longer_names_of_a_field_are_taken() -> None:
    one = event("measured", "item C-1", characteristic="level", attachment_digest=DOSSIER)

    assert one.data["attachment"] == DOSSIER


def test_a_lot_named_in_the_data_is_the_subject() -> None:
    one = event("received", lot="L-1", quantity=2.0, unit="kg")

    assert (one.subject_kind, one.subject) == ("lot", "L-1")


def test_a_file_of_lines_is_all_or_nothing_with_the_lines_named() -> None:
    good, bad = raw("noted", "item C-1", text="x"), raw("noted", "item C-2", text="")
    body = "\n".join(json.dumps(one) for one in (good, bad, good))

    with pytest.raises(InputError) as caught:
        read_events(body, path="day.jsonl")

    assert [(p.where, p.field) for p in caught.value.problems] == [
        ("day.jsonl line 2", "data.text"),
        ("day.jsonl line 3", "key"),
    ]


@pytest.mark.parametrize("indent", [None, 2])
def test_one_event_or_a_list_is_read_too(indent: int | None) -> None:
    one, other = raw("noted", "item C-1", text="x"), raw("noted", "item C-2", text="y")

    assert [e.subject for e in read_events(json.dumps(one, indent=indent))] == ["C-1"]
    assert [e.subject for e in read_events(json.dumps([one, other], indent=indent))] == ["C-1", "C-2"]


@pytest.mark.parametrize("body", ["", " \n ", "[]", "{}", "3", "[3]", '"x"', "null"])
def test_a_file_without_events_is_refused(body: str) -> None:
    with pytest.raises(InputError):
        read_events(body)


def test_every_kind_of_the_public_table_is_there() -> None:
    public = (
        "received started finished measured inspected mated unmated mounted removed held freed disposed released "
        "shipped noted corrected"
    ).split()

    assert set(public) <= set(KINDS)
    assert all(str(kind.means) for kind in KINDS.values())
