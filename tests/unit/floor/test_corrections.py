"""A correction is an event too: it names what it corrects, and may not pull the ground away."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pairwright.floor import Item, Lot, trace
from tests.unit.floor.events import DOSSIER, Floor

GONE = {"reason": "did_not_occur"}
WRONG = {"reason": "incorrect_data"}


@pytest.fixture
def floor() -> Floor:
    return Floor()


def lot(floor: Floor, name: str) -> Lot:
    found = floor.state.lot(name)
    assert found is not None
    return found


def item(floor: Floor, name: str) -> Item:
    found = floor.state.item(name)
    assert found is not None
    return found


def test_what_did_not_occur_is_gone_and_still_in_the_record(floor: Floor) -> None:
    floor.do("finished", "item C-1", step="press")
    wrong = floor.do("finished", "item C-1", step="trim")
    floor.do("corrected", None, event=wrong, **GONE)

    assert [one.step for one in item(floor, "C-1").done] == ["press"]
    found = trace(floor.state, "C-1")
    assert found is not None
    assert [entry.event.kind for entry in found.history] == ["finished", "finished", "corrected"]
    assert list(found.void) == [wrong]


def test_what_was_wrong_is_replaced_at_its_place(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=5.0, unit="kg")
    wrong = floor.do("started", "item C-1", step="press", inputs=[{"lot": "L-1", "quantity": 0.3}])
    floor.do("finished", "item C-1", step="press")
    floor.do("corrected", None, event=wrong, **WRONG,
             replacement={"data": {"inputs": [{"lot": "L-1", "quantity": 0.2}]}})  # fmt: skip

    assert lot(floor, "L-1").rest == Decimal("4.8")
    assert item(floor, "C-1").inputs[0].quantity == 0.2


def test_a_wrong_scan_moves_the_event_to_the_right_item(floor: Floor) -> None:
    wrong = floor.do("finished", "item C-1", step="press")
    floor.do("corrected", None, event=wrong, **WRONG, replacement={"item": "C-2"})

    assert floor.state.item("C-1") is None
    assert item(floor, "C-2").done[0].step == "press"


def test_another_event_may_stand_in_its_place(floor: Floor) -> None:
    wrong = floor.do("measured", "item C-1", characteristic="level", value=8.6)
    right = floor.do("measured", "item C-1", characteristic="level", value=86.0)
    floor.do("corrected", None, event=wrong, **WRONG, replacement=right)

    assert item(floor, "C-1").readings[0].value == 86
    assert floor.codes("corrected", None, event=right, **WRONG, replacement="nowhere") == ["unknown_event"]


def test_a_correction_can_be_withdrawn_and_only_withdrawn(floor: Floor) -> None:
    made = floor.do("finished", "item C-1", step="press")
    undone = floor.do("corrected", None, event=made, **GONE)
    assert floor.state.item("C-1") is None

    assert floor.codes("corrected", None, event=made, **GONE) == ["event_corrected"]
    assert floor.codes("corrected", None, event=undone, **WRONG, replacement={"data": {}}) == [
        "correction_corrected"
    ]
    floor.do("corrected", None, event=undone, **GONE)
    assert item(floor, "C-1").done[0].step == "press"
    floor.do("corrected", None, event=made, **GONE)
    assert floor.state.item("C-1") is None


def test_an_event_that_others_stand_on_stays(floor: Floor) -> None:
    first = floor.do("received", "lot L-1", quantity=1.0, unit="kg")
    floor.do("started", "item C-1", step="press", inputs=[{"lot": "L-1", "quantity": 0.8}])
    mated = floor.do("mated", "set S1", left="C-1", right="C-2")
    floor.do("unmated", "set S1", left="C-1", right="C-2", reason="x")

    assert "later_event_needs" in floor.codes("corrected", None, event=first, **GONE)
    assert "later_event_needs" in floor.codes(
        "corrected", None, event=first, **WRONG, replacement={"data": {"quantity": 0.7}}
    )
    assert floor.codes("corrected", None, event=first, **WRONG, replacement={"data": {"quantity": 0.8}}) == []
    assert "later_event_needs" in floor.codes("corrected", None, event=mated, **GONE)


def test_withdrawing_a_separation_can_not_give_a_half_two_mates(floor: Floor) -> None:
    floor.pair("S1", "A", "B")
    apart = floor.do("unmated", "set S1", left="A", right="B", reason="x")
    floor.do("mated", "set S1", left="A", right="C", reason="y")

    assert "later_event_needs" in floor.codes("corrected", None, event=apart, **GONE)


def test_a_corrected_mating_is_weighed_like_a_new_one(floor: Floor) -> None:
    floor.pair("S1", "A", "B")
    floor.pair("S2", "C", "D")
    wrong = floor.state.set("S2")
    assert wrong is not None
    assert wrong.pair is not None

    codes = floor.codes("corrected", None, event=wrong.pair.key, **WRONG, replacement={"data": {"left": "A"}})

    assert "later_event_needs" in codes or "item_mated" in codes


def test_a_corrected_mating_forces_the_tests_again(floor: Floor) -> None:
    floor.ready("S1", "A", "B")
    pair = floor.state.set("S1")
    assert pair is not None
    assert pair.pair is not None
    floor.do("finished", "item C", step="press")
    floor.do("corrected", None, event=pair.pair.key, **WRONG, replacement={"data": {"right": "C"}})

    assert "set_unmeasured" in floor.codes("released", "set S1", dossier=DOSSIER)


def test_a_release_is_withdrawn_by_a_correction_before_anything_changes(floor: Floor) -> None:
    floor.ready()
    made = floor.state.item("A")
    assert made is not None
    released = floor.do("released", "set S1", dossier=DOSSIER)

    assert floor.codes("corrected", None, event=made.done[0].key, **GONE) == ["set_released"]
    floor.do("corrected", None, event=released, **GONE)
    floor.do("unmated", "set S1", left="A", right="B", reason="x")


def test_a_release_can_not_be_withdrawn_under_a_shipment(floor: Floor) -> None:
    floor.ready()
    released = floor.do("released", "set S1", dossier=DOSSIER)
    shipped = floor.do("shipped", "set S1")

    assert "later_event_needs" in floor.codes("corrected", None, event=released, **GONE)
    floor.do("corrected", None, event=shipped, **GONE)
    floor.do("corrected", None, event=released, **GONE)


def test_a_replacement_must_be_an_event(floor: Floor) -> None:
    made = floor.do("measured", "item C-1", characteristic="level", value=8.6)

    for wrong in ({"data": {"value": "86"}}, {"event_time": "noon"}, {"data": {"colour": 3}}):
        assert floor.codes("corrected", None, event=made, **WRONG, replacement=wrong) == ["wrong_replacement"]


def test_an_event_about_nothing_can_be_corrected_once(floor: Floor) -> None:
    made = floor.do("measured", None, characteristic="humidity", value=0.6)
    floor.do("corrected", None, event=made, **GONE)

    assert floor.codes("corrected", None, event=made, **GONE) == ["event_corrected"]


def test_a_withdrawn_release_is_given_anew(floor: Floor) -> None:
    floor.ready()
    released = floor.do("released", "set S1", dossier=DOSSIER)
    withdrawn = floor.do("corrected", None, event=released, **GONE)
    floor.do("disposed", "item A", nonconformance="N", disposition="rework", to_step="press", authority="P9")

    assert floor.codes("corrected", None, event=withdrawn, **GONE) == ["release_ended"]


def test_a_mating_that_comes_back_is_weighed_like_a_new_one(floor: Floor) -> None:
    floor.pair("S1", "L-1", "L-2")
    mated = floor.state.set("S1")
    assert mated is not None
    assert mated.pair is not None
    gone = floor.do("corrected", None, event=mated.pair.key, **GONE)
    floor.do("registered", "item L-1", product="alder")
    floor.do("registered", "item L-2", product="sorrel")

    assert "wrong_mate" in floor.codes("corrected", None, event=gone, **GONE)
