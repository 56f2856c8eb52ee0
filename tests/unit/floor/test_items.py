"""Items and lots: steps in order, exact quantities, nothing done to what is gone."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pairwright.floor import fold_all
from tests.unit.floor.events import Floor, event


@pytest.fixture
def floor() -> Floor:
    return Floor()


def test_a_step_is_begun_and_ended_with_its_facts(floor: Floor) -> None:
    floor.do("started", "item C-1", step="press", programme="p-7", batch="B-1", carrier="K-3")
    begun = floor.state.item("C-1")
    floor.do("finished", "item C-1", step="press", at="2027-03-01T06:20:00+01:00")
    ended = floor.state.item("C-1")

    assert begun is not None
    assert begun.under is not None
    assert (begun.under.step, begun.under.programme) == ("press", "p-7")
    assert ended is not None
    assert ended.under is None
    done = ended.done[0]
    assert (done.end - (done.start or 0), done.programme, done.batch, done.carrier) == (
        1200,
        "p-7",
        "B-1",
        "K-3",
    )


def test_one_step_at_a_time_and_each_once(floor: Floor) -> None:
    floor.do("started", "item C-1", step="press")

    assert floor.codes("started", "item C-1", step="trim") == ["step_open"]
    assert floor.codes("finished", "item C-1", step="trim") == ["step_open"]
    floor.do("finished", "item C-1", step="press")
    assert floor.codes("finished", "item C-1", step="press") == ["step_finished"]
    assert floor.codes("started", "item C-1", step="press") == ["step_finished"]


def test_an_end_without_a_start_is_taken_from_paper(floor: Floor) -> None:
    floor.do("finished", "item C-1", step="press")

    item = floor.state.item("C-1")

    assert item is not None
    assert item.done[0].start is None


def test_rework_goes_back_to_its_step_and_what_came_after_no_longer_counts(floor: Floor) -> None:
    for step in ("press", "trim", "sand", "coat"):
        floor.do("finished", "item C-1", step=step)
    trouble = floor.do("inspected", "item C-1", zone="front", defect="run", size=0.004)
    floor.do(
        "disposed", "item C-1", nonconformance=trouble, disposition="rework", to_step="sand", authority="P9"
    )

    item = floor.state.item("C-1")

    assert item is not None
    assert [(one.step, one.stale) for one in item.done] == [
        ("press", False), ("trim", False), ("sand", True), ("coat", True)
    ]  # fmt: skip
    assert item.to_step == "sand"
    assert floor.codes("started", "item C-1", step="press") == ["step_finished"]
    floor.do("finished", "item C-1", step="sand")
    again = floor.state.item("C-1")
    assert again is not None
    assert again.to_step is None


def test_scrap_and_used_up_end_an_item(floor: Floor) -> None:
    floor.do("finished", "item C-1", step="press")
    floor.do("finished", "item C-2", step="press")
    floor.do("disposed", "item C-1", nonconformance="N1", disposition="scrap", authority="P9")
    floor.do("started", "item BOX", step="join", inputs=[{"item": "C-2"}])

    assert floor.codes("started", "item C-1", step="trim") == ["item_scrapped"]
    assert floor.codes("started", "item C-2", step="trim") == ["item_used"]
    assert floor.codes("mounted", "item C-2", into="BOX2") == ["item_used"]
    assert floor.codes("started", "item BOX2", step="join", inputs=["C-2"]) == ["item_used"]


def test_the_same_item_named_at_start_and_end_went_in_once(floor: Floor) -> None:
    floor.do("finished", "item C-2", step="press")
    floor.do("started", "item BOX", step="join", inputs=[{"item": "C-2"}])
    floor.do("finished", "item BOX", step="join", inputs=[{"item": "C-2"}])

    box = floor.state.item("BOX")

    assert box is not None
    assert [one.id for one in box.inputs] == ["C-2"]


def test_a_part_is_in_one_place_and_never_in_itself(floor: Floor) -> None:
    for name in ("D-1", "C-1", "C-2"):
        floor.do("registered", f"item {name}")
    floor.do("mounted", "item D-1", into="C-1")

    assert floor.codes("mounted", "item D-1", into="C-2") == ["item_mounted"]
    assert floor.codes("removed", "item D-1", into="C-2") == ["item_not_mounted"]
    assert floor.codes("mounted", "item C-1", into="D-1") == ["part_in_itself"]
    floor.do("removed", "item D-1", into="C-1")
    floor.do("mounted", "item D-1", into="C-2")
    whole, other = floor.state.item("C-2"), floor.state.item("C-1")
    assert whole is not None
    assert other is not None
    assert [part.id for part in whole.parts] == ["D-1"]
    assert other.parts == ()


def test_a_part_of_another_set_needs_a_reason(floor: Floor) -> None:
    floor.do("registered", "item D-1", set="S1")
    floor.do("registered", "item C-2", set="S2")

    assert floor.codes("mounted", "item D-1", into="C-2") == ["wrong_set"]
    assert floor.codes("mounted", "item D-1", into="C-2", reason="S1 is delayed") == []


def test_an_identity_stands_for_one_kind_of_thing(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=1.0, unit="kg")

    assert floor.codes("started", "item L-1", step="press") == ["wrong_identity"]
    assert floor.codes("received", None, serials=["L-1"]) == ["wrong_identity"]
    assert floor.codes("received", "lot l-1", quantity=1.0, unit="kg") == ["wrong_identity"]


def test_facts_of_an_item_do_not_change_by_the_way(floor: Floor) -> None:
    floor.do("registered", "item C-1", product="alder", part="shell", side="left", number=17, flitch="F-3")

    assert floor.codes("registered", "item C-1", side="right") == ["identity_differs"]
    assert floor.codes("registered", "item C-1", side="left", order="2211") == []
    item = floor.state.item("C-1")
    assert item is not None
    assert dict(item.values) == {"flitch": "F-3", "number": 17}


@pytest.mark.parametrize(
    ("kind", "subject", "data", "code"),
    [
        ("held", "lot L-9", {"reason": "x"}, "unknown_lot"),
        ("held", "item C-9", {"reason": "x"}, "unknown_item"),
        ("noted", "set S-9", {"text": "x"}, "unknown_set"),
        (
            "started",
            "item C-1",
            {"step": "press", "inputs": [{"lot": "L-9", "quantity": 1.0}]},
            "unknown_lot",
        ),
        ("started", "item C-1", {"step": "press", "inputs": ["L-9"]}, "unknown_item"),
        ("counted", "lot L-9", {"quantity": 1.0, "reason": "x"}, "unknown_lot"),
        ("removed", "item C-9", {"into": "C-8"}, "unknown_item"),
        ("shipped", "set S-9", {}, "unknown_set"),
        ("cancelled", None, {"order": "2211", "reason": "x"}, "unknown_order"),
        ("settled", None, {"action": "A-9"}, "unknown_item"),
    ],
)
def test_nobody_acts_on_what_is_not_known(
    floor: Floor, kind: str, subject: str | None, data: dict[str, object], code: str
) -> None:
    assert code in floor.codes(kind, subject, **data)


def test_a_piece_is_received_once(floor: Floor) -> None:
    floor.do("received", "lot L-1", serials=["D-1", "D-2"], material="basket")

    assert floor.codes("received", "lot L-2", serials=["D-2"]) == ["received_twice"]
    lot, item = floor.state.lot("L-1"), floor.state.item("D-1")
    assert lot is not None
    assert item is not None
    assert (lot.rest, lot.unit, item.lot, item.material) == (Decimal(2), "piece", "L-1", "basket")


def test_a_lot_is_an_exact_account(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=0.3, unit="kg", material="press-resin")
    for n in range(3):
        floor.do(
            "started", f"item C-{n}", step="press", inputs=[{"lot": "L-1", "quantity": 100, "unit": "g"}]
        )

    lot = floor.state.lot("L-1")

    assert lot is not None
    assert (lot.rest, lot.used, lot.uses) == (Decimal(0), Decimal("0.3"), 3)
    assert floor.codes("started", "item C-4", step="press", inputs=[{"lot": "L-1", "quantity": 1e-9}]) == [
        "lot_used_up"
    ]


def test_units_of_a_lot_must_fit(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=2.0, unit="kg")

    assert floor.codes(
        "started", "item C", step="a", inputs=[{"lot": "L-1", "quantity": 1, "unit": "L"}]
    ) == ["unit_differs"]
    assert floor.codes("received", "lot L-1", quantity=1.0, unit="m2") == ["unit_differs"]
    assert floor.codes("counted", "lot L-1", quantity=1.0, unit="piece", reason="x") == ["unit_differs"]
    assert floor.codes("received", "lot L-1", quantity=500, unit="g") == []


def test_counting_sets_the_rest_right_and_scrap_takes_from_it(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=2.0, unit="kg")
    floor.do("counted", "lot L-1", quantity=1.4, reason="stocktaking")
    floor.do("disposed", "lot L-1", nonconformance="N1", disposition="scrap", quantity=0.4, authority="P9")

    lot = floor.state.lot("L-1")

    assert lot is not None
    assert lot.rest == Decimal("1.0")
    assert floor.codes(
        "disposed", "lot L-1", nonconformance="N2", disposition="scrap", quantity=1.1, authority="P9"
    ) == ["lot_used_up"]
    floor.do("disposed", "lot L-1", nonconformance="N3", disposition="scrap", authority="P9")
    assert floor.codes("started", "item C", step="a", inputs=["L-1"]) == ["lot_scrapped"]


def test_an_expired_lot_is_refused_by_the_day_where_it_is_used(floor: Floor) -> None:
    floor.do("received", "lot L-1", quantity=2.0, unit="kg", expiry="2027-03-01")
    use = {"step": "press", "inputs": ["L-1"]}

    assert floor.codes("started", "item C", at="2027-03-01T23:59:00+01:00", **use) == []
    assert floor.codes("started", "item C", at="2027-03-02T00:01:00+01:00", **use) == ["lot_expired"]
    floor.do("received", "lot L-1", quantity=2.0, unit="kg", expiry="2027-09-01")
    assert floor.codes("started", "item C", at="2027-03-02T00:01:00+01:00", **use) == ["lot_expired"]


def test_an_instrument_out_of_calibration_measures_nothing(floor: Floor) -> None:
    measure = {"characteristic": "level", "value": 86.0, "instrument": "M7"}
    floor.do("calibrated", None, instrument="M7", good=True, until="2027-03-31")

    assert floor.codes("measured", "item C", at="2027-03-31T12:00:00Z", **measure) == []
    assert floor.codes("measured", "item C", at="2027-04-01T12:00:00Z", **measure) == ["instrument_expired"]
    floor.do("calibrated", None, instrument="M7", good=False)
    assert floor.codes("measured", "item C", **measure) == ["instrument_refused"]


def test_orders_and_purchases_open_change_and_close(floor: Floor) -> None:
    floor.do("ordered", None, order="2211", product="alder", option="walnut", quantity=2, due="2027-04-09")
    floor.do("ordered", None, order="2211", product="alder", option="walnut", quantity=3, due="2027-04-16")
    floor.do(
        "purchased",
        None,
        purchase="P01",
        material="press-resin",
        quantity=5.0,
        unit="kg",
        arrives="2027-03-09",
    )
    floor.do("received", "lot L-1", quantity=5.0, unit="kg", purchase="P01")

    order, purchase = floor.state.order("2211"), floor.state.order("P01")

    assert order is not None
    assert (order.quantity, order.due, order.closed) == (3, "2027-04-16", False)
    assert purchase is not None
    assert purchase.closed
    floor.do("cancelled", None, order="2211", reason="customer withdrew")
    assert floor.codes("cancelled", None, order="2211", reason="again") == ["closed_order"]


def test_folding_is_total_even_where_an_event_does_not_fit() -> None:
    state = fold_all(
        [event("finished", "item C-1", step="press"), event("finished", "item C-1", step="press")]
    )

    item = state.item("C-1")

    assert item is not None
    assert len(item.done) == 2
