"""A works with its record: how it begins, what it takes, what the plan draws from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.opened import open_changed, open_definition, open_works
from pairwright.app.record_book import book_now
from pairwright.app.recording import Floor, has_record, open_floor
from pairwright.archive import write_folder
from pairwright.archive.writer import EventsRefusedError
from pairwright.base.errors import InputError, RefusedError
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import Item
from pairwright.floor.stock import book_of
from pairwright.sample import layout

START = 1_803_877_200  # the sample's opening
LATER = START + 3600


def raw(key: str, kind: str, data: dict[str, Any], **more: Any) -> dict[str, Any]:
    found = {"key": key, "kind": kind, "event_time": "2027-03-01T08:00:00+01:00", "actor": "P1", **more}
    return {**found, "data": data}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_folder(tmp_path / "works", layout(pairs=4, seed=3))
    return tmp_path / "works"


@pytest.fixture
def floor(folder: Path) -> Iterator[Floor]:
    with open_floor(folder, clock=lambda: LATER) as opened:
        yield opened


def test_a_record_begins_with_the_book_of_the_files(folder: Path) -> None:
    files = open_definition(folder)

    with open_floor(folder, clock=lambda: LATER) as floor:
        now = floor.opened_now().book
        events = list(floor.record.events())

    assert sorted(now.orders, key=lambda o: o.id) == sorted(files.book.orders, key=lambda o: o.id)
    assert sorted(now.lots, key=lambda o: o.id) == sorted(files.book.lots, key=lambda o: o.id)
    assert sorted(now.purchases, key=lambda o: o.id) == sorted(files.book.purchases, key=lambda o: o.id)
    assert sum(p.quantity for p in now.parts) == sum(p.quantity for p in files.book.parts)
    assert events[0].event.kind == "adopted"
    assert events[0].event.data["revision"] == files.works.revision
    assert {e.event.actor for e in events} == {"works"}
    assert all(e.event.key.startswith("opening-") for e in events)


def test_it_begins_once(folder: Path) -> None:
    with open_floor(folder, clock=lambda: LATER) as floor:
        first = floor.record.head()
    (folder / "orders.csv").write_text("order,product,option,quantity,due\nZ,tansy,satin,1,2027-05-05\n")

    with open_floor(folder, clock=lambda: LATER) as floor:
        second, orders = floor.record.head(), floor.opened_now().book.orders

    assert first == second
    assert "Z" not in {o.id for o in orders}


def test_to_look_needs_a_record_and_makes_none(folder: Path) -> None:
    with pytest.raises(InputError) as caught:
        open_floor(folder, readonly=True)

    assert "pairwright record" in str(caught.value)
    assert not has_record(folder)
    assert open_works(folder).recorded is None


def test_broken_texts_make_no_record(folder: Path) -> None:
    (folder / "orders.csv").write_text("order,product\nA,b\n")

    with pytest.raises(InputError):
        open_floor(folder)

    assert not has_record(folder)


def test_one_process_writes_and_others_may_look(floor: Floor, folder: Path) -> None:
    with pytest.raises(RefusedError):
        open_floor(folder)

    with open_floor(folder, readonly=True) as other:
        assert other.record.head() == floor.record.head()


def test_the_state_follows_what_is_appended(floor: Floor) -> None:
    before = floor.state()
    assert before.item("C-1") is None

    floor.append(floor.read(raw("a", "registered", {"product": "sorrel"}, item="C-1")))

    with floor.looking() as state:
        found = state.item("C-1")
    assert found is not None
    assert found.product == "sorrel"
    entry = floor.state().past.entry("a")
    assert entry is not None
    assert (entry.record_time, len(entry.hash)) == (LATER, 64)


def test_events_are_read_from_lines_lists_and_tables_alike(floor: Floor) -> None:
    one, two = (raw(k, "noted", {"text": "x"}) for k in "ab")

    lines = floor.read(json.dumps(one) + "\n" + json.dumps(two))
    listed = floor.read([one, two])

    assert lines == listed
    assert floor.read(one) == lines[:1]


def test_what_is_wrong_is_told_for_every_event(floor: Floor) -> None:
    wrong = [raw("a", "noted", {}), raw("b", "finished", {"step": "no-such"}, item="X")]

    with pytest.raises(InputError) as caught:
        floor.read(wrong, path="sent")

    assert [p.where for p in caught.value.problems] == ["sent entry 1", "sent entry 2"]
    assert all(p.field.startswith("data.") for p in caught.value.problems)


def test_a_number_that_is_none_is_refused(floor: Floor) -> None:
    wrong = raw("a", "measured", {"characteristic": "level", "value": float("nan")}, item="X")

    with pytest.raises(InputError):
        floor.read(wrong)
    with pytest.raises(InputError):
        floor.read([wrong])


def test_an_order_of_an_unknown_option_is_refused(floor: Floor) -> None:
    order = {"order": "N1", "product": "sorrel", "option": "beige", "quantity": 1, "due": "2027-06-01"}

    with pytest.raises(EventsRefusedError) as caught:
        floor.append(floor.read(raw("a", "ordered", order)))

    assert [f.code for f in caught.value.findings] == ["unknown_option"]


def test_a_lot_in_a_unit_of_another_kind_is_refused_and_one_in_grams_is_told_in_kilograms(
    floor: Floor,
) -> None:
    def receipt(key: str, unit: str) -> dict[str, Any]:
        return raw(
            key, "received", {"quantity": 2500, "unit": unit, "material": "joint-glue"}, lot=f"L-{key}"
        )

    with pytest.raises(EventsRefusedError) as caught:
        floor.append(floor.read(receipt("a", "m2")))
    floor.append(floor.read(receipt("b", "g")))

    assert [f.code for f in caught.value.findings] == ["unit_differs"]
    lot = next(one for one in floor.opened_now().book.lots if one.id == "L-b")
    assert lot.quantity == pytest.approx(2.5)


def test_a_new_order_is_in_the_book_and_a_cancelled_one_is_not(floor: Floor, folder: Path) -> None:
    first = floor.opened_now().book.orders[0].id
    order = {"order": "N1", "product": "sorrel", "option": "chalk", "quantity": 2, "due": "2027-06-01"}

    floor.append(
        floor.read([raw("a", "ordered", order), raw("b", "cancelled", {"order": first, "reason": "x"})])
    )

    found = {o.id for o in open_works(folder).book.orders}
    assert "N1" in found
    assert first not in found


def test_now_is_the_last_event_or_the_clock_whichever_is_later(floor: Floor, folder: Path) -> None:
    assert floor.now() == LATER
    assert floor.now("2027-03-01T07:00:00+01:00") == 1_803_880_800

    late = raw("a", "noted", {"text": "x"}) | {"event_time": "2030-01-01T00:00:00+00:00"}
    floor.append(floor.read(late))

    assert floor.now() == 1_893_456_000
    assert open_works(folder).now() == 1_893_456_000
    assert open_works(folder).now("2027-03-02T00:00:00+00:00") == 1_803_945_600


def test_a_change_of_the_text_keeps_the_book_of_the_record(floor: Floor, folder: Path) -> None:
    order = {"order": "N1", "product": "sorrel", "option": "chalk", "quantity": 2, "due": "2027-06-01"}
    floor.append(floor.read(raw("a", "ordered", order)))
    opened = open_works(folder)

    changed = open_changed(opened, [("works.name", "Marlhouse the second")])

    assert changed.works.factory.name == "Marlhouse the second"
    assert changed.book == opened.book


def test_an_open_order_that_the_works_no_longer_makes_is_told(floor: Floor) -> None:
    works = floor.opened.works
    orders = [o for o in floor.opened_now().book.orders if o.product == "tansy"]
    fewer = replace(works, variants={k: v for k, v in works.variants.items() if k[0] != "tansy"})

    with floor.record.reading() as reading, pytest.raises(InputError) as caught:
        book_now(fewer, reading)

    assert orders
    assert {p.where for p in caught.value.problems} == {f"order {o.id}" for o in orders}


def test_the_book_is_that_of_the_whole_fold(floor: Floor) -> None:
    lot = floor.opened_now().book.lots[0].id
    part = next(t.id for t in floor.state().things() if isinstance(t, Item))
    order = {"order": "N1", "product": "sorrel", "option": "chalk", "quantity": 2, "due": "2027-06-01"}
    floor.append(
        floor.read(
            [
                raw("a", "ordered", order),
                raw("b", "held", {"reason": "x"}, lot=lot),
                raw("c", "held", {"reason": "x"}, item=part),
                raw("d", "registered", {"order": "N1"}, set="N1-1"),
                raw("e", "registered", {"product": "sorrel", "part": "cabinet", "set": "N1-1"}, item="C-1"),
                raw("m", "measured", {"characteristic": "level", "value": 1.0}, item="C-1"),
                raw("f", "released", {"dossier": "0" * 64}, set="N1-1"),
                raw("g", "shipped", {}, set="N1-1"),
            ]
        )
    )

    book = floor.opened_now().book

    works = floor.opened.works
    units = {name: material.unit for name, material in works.materials.items()}
    whole = book_of(floor.state().things(), zone=works.zone, units=units)
    assert [replace(o, kind="order") for o in book.orders] == list(whole.orders)
    assert (book.lots, book.parts, book.purchases) == (whole.lots, whole.parts, whole.purchases)
    assert next(o.quantity for o in book.orders if o.id == "N1") == 1
    assert lot not in {one.id for one in book.lots}


def test_the_rules_of_a_works_can_be_given(folder: Path) -> None:
    never = Finding("not_today", "error", "x", text("nothing today"))

    with open_floor(
        folder, rules=lambda opened: (lambda state, event: (never,) if event.kind == "noted" else (),)
    ) as f:
        with pytest.raises(EventsRefusedError):
            f.append(f.read(raw("a", "noted", {"text": "x"})))
        f.append(f.read(raw("b", "registered", {}, item="C-1")))


def test_a_kept_file_comes_back_by_its_digest(floor: Floor) -> None:
    digest = floor.keep(b"a curve")

    assert floor.fetch(digest) == b"a curve"
