"""Orders and stock go into the record as events, and come out of it as the plan wants them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from pairwright.floor import fold_all, in_doubt, read_event
from pairwright.floor.stock import book_of, opening
from pairwright.works import Book, Lot, Order, PartStock, Purchase
from tests.unit.floor.events import DOSSIER, Floor

ZONE = ZoneInfo("Europe/Amsterdam")
UNITS = {"press-resin": "kg", "basket-170": "piece"}
BOOK = Book(
    orders=(
        Order("2211", "alder", "walnut", 2, date(2027, 4, 9), customer="A shop"),
        Order("2212", "sorrel", "ink", 1, date(2027, 4, 16), weight=2.0, released=date(2027, 3, 8)),
    ),
    lots=(
        Lot("L001", "press-resin", 5.4, date(2027, 2, 1), date(2027, 5, 2), (("viscosity", "24 s"),)),
        Lot("L002", "basket-170", 40.0),
    ),
    parts=(PartStock("alder", "walnut", "woofer", 3), PartStock("alder", "walnut", "shell", 1, "left")),
    purchases=(Purchase("P01", "press-resin", 10.0, date(2027, 3, 9)),),
)


def events(book: Book = BOOK) -> list[dict[str, object]]:
    return opening(book, units=UNITS, actor="P1", at=1_803_877_200, zone=ZONE)


def test_what_goes_in_comes_out() -> None:
    state = fold_all(read_event(raw) for raw in events())

    found = book_of(state.things(), zone=ZONE)

    assert found.orders == BOOK.orders
    assert found.purchases == BOOK.purchases
    assert set(found.parts) == set(BOOK.parts)
    assert found.lots == (BOOK.lots[0], replace(BOOK.lots[1], received=date(2027, 3, 1)))


def test_the_same_book_has_the_same_keys() -> None:
    assert events() == events()
    assert len({raw["key"] for raw in events()}) == len(events()) == 9


def test_what_is_not_at_hand_is_left_out() -> None:
    floor = Floor()
    for raw in events():
        floor.state = fold_all([read_event(raw)], floor.state)
    floor.do("held", "lot L001", reason="viscosity")
    floor.do("finished", "item C-1", step="set", inputs=[{"lot": "L002", "quantity": 40}])
    floor.do("mounted", "item stock.alder.walnut.woofer.1", into="C-1")
    floor.do("held", "item stock.alder.walnut.woofer.2", reason="a scratch")
    floor.do("received", "lot L003", quantity=10.0, unit="kg", material="press-resin", purchase="P01")

    found = book_of(floor.state.things(), zone=ZONE)

    assert [lot.id for lot in found.lots] == ["L003"]
    assert [(part.part, part.quantity) for part in found.parts] == [("shell", 1), ("woofer", 1)]
    assert found.purchases == ()


def test_shipped_sets_are_off_the_order() -> None:
    floor = Floor()
    for raw in events():
        floor.state = fold_all([read_event(raw)], floor.state)
    floor.do("registered", "set 2211-1", order="2211", product="alder")
    floor.ready("2211-1", "A", "B")
    floor.do("released", "set 2211-1", dossier=DOSSIER)
    assert [order.quantity for order in book_of(floor.state.things(), zone=ZONE).orders] == [2, 1]

    floor.do("shipped", "set 2211-1")

    assert [order.quantity for order in book_of(floor.state.things(), zone=ZONE).orders] == [1, 1]
    floor.do("cancelled", None, order="2211", reason="withdrawn")
    assert [order.id for order in book_of(floor.state.things(), zone=ZONE).orders] == ["2212"]


def test_what_a_bad_instrument_measured_since_it_was_good_is_one_exact_list() -> None:
    floor = Floor()
    floor.do("measured", "item A", characteristic="level", value=1.0, instrument="M7")
    floor.do("calibrated", None, instrument="M7", good=True)
    keys = [
        floor.do("measured", "item A", characteristic="level", value=2.0, instrument="M7"),
        floor.do("measured", "item B", characteristic="level", value=3.0, instrument="M7"),
    ]
    floor.do("measured", "item B", characteristic="level", value=3.0, instrument="M8")
    wrong = floor.do("measured", "item C", characteristic="level", value=4.0, instrument="M7")
    floor.do("corrected", None, event=wrong, reason="did_not_occur")
    floor.do("calibrated", None, instrument="M7", good=False)

    assert [entry.event.key for entry in in_doubt(floor.state, "M7")] == keys
    assert in_doubt(floor.state, "M9") == ()
