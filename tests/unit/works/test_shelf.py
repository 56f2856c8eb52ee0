"""How long a lot is good: stated expiry first, then receipt and shelf life."""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

from pairwright.works.material import Article
from pairwright.works.orders import Lot, Purchase
from pairwright.works.shelf import lot_until, purchase_until

ZONE = ZoneInfo("Europe/Amsterdam")


def article(**more: str) -> Article:
    return Article.model_validate({"kind": "article", "name": "Glue", "source": "works", **more})


def midnight(year: int, month: int, day: int) -> int:
    return int(datetime(year, month, day, tzinfo=ZONE).timestamp())


def test_a_lot_is_good_to_the_end_of_its_expiry_day_even_when_the_clocks_change() -> None:
    lot = Lot("L1", "glue", 1.0, received=date(2027, 1, 4), expiry=date(2027, 3, 28))

    assert lot_until(lot, article(shelf_life="10 d"), zone=ZONE) == midnight(2027, 3, 29)


def test_without_an_expiry_the_shelf_life_counts_from_receipt() -> None:
    lot = Lot("L1", "glue", 1.0, received=date(2027, 3, 1))

    assert lot_until(lot, article(shelf_life="10 d"), zone=ZONE) == midnight(2027, 3, 12)
    assert lot_until(lot, article(), zone=ZONE) is None


def test_an_arrival_is_fresh_when_it_comes() -> None:
    coming = Purchase("P1", "glue", 1.0, date(2027, 3, 10))

    assert purchase_until(coming, article(shelf_life="1 d"), zone=ZONE) == midnight(2027, 3, 12)
