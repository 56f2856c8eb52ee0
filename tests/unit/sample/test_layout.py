"""The sample works laid out: reproducible, loadable, scalable."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from pairwright.sample import layout
from pairwright.sample.holidays import between, is_open
from pairwright.sample.layout import OPENING, definition
from pairwright.works import load_book, load_works, recipe_digest


def test_the_same_arguments_give_the_same_texts() -> None:
    assert layout(pairs=12, seed=3) == layout(pairs=12, seed=3)


def test_another_seed_draws_other_orders_and_stock_but_the_same_definition() -> None:
    one, other = layout(seed=1), layout(seed=2)

    changed = {path for path in one if one[path] != other[path]}

    assert changed == {"orders.csv", "stock/lots.csv", "stock/purchases.csv"}


@pytest.mark.parametrize("pairs", [1, 7, 40, 200])
def test_the_book_holds_as_many_pairs_as_asked_for(pairs: int) -> None:
    texts = layout(pairs=pairs)
    works = load_works(texts)

    book = load_book(texts, works)

    assert sum(o.quantity for o in book.orders if works.products[o.product].kind == "pair") == pairs
    assert any(works.products[o.product].kind == "single" for o in book.orders)
    assert all(1 <= o.quantity <= 4 for o in book.orders)


def test_forty_pairs_and_some_singles_are_due_within_ten_weeks() -> None:
    texts = layout()
    book = load_book(texts, load_works(texts))

    dues = [o.due for o in book.orders]

    assert 15 <= len(dues) <= 25
    assert OPENING + timedelta(weeks=2) < min(dues) < max(dues) <= OPENING + timedelta(weeks=10)


def test_due_days_stretch_with_the_book_and_are_working_days() -> None:
    texts = layout(pairs=120)
    book = load_book(texts, load_works(texts))
    shut = tuple(between(OPENING, OPENING + timedelta(days=400)))

    assert max(o.due for o in book.orders) > OPENING + timedelta(weeks=26)
    assert all(is_open(o.due, shut) for o in book.orders)


def test_every_option_is_ordered() -> None:
    texts = layout()
    works = load_works(texts)

    ordered = {(o.product, o.option) for o in load_book(texts, works).orders}

    assert ordered == set(works.variants)


def test_the_holidays_in_the_data_are_those_that_are_computed() -> None:
    in_data = dict(definition())["works.toml"]

    assert layout()["works.toml"] == in_data.replace(
        "DIGEST", recipe_digest(layout()["restricted/gloss-clear.toml"])
    )


def test_another_start_moves_opening_maintenance_and_holidays() -> None:
    texts = layout(start=date(2028, 1, 3), pairs=10)
    works = load_works(texts)

    assert works.factory.opening is not None
    assert works.factory.opening.isoformat() == "2028-01-03T06:00:00+01:00"
    stops = [m.start.date() for s in works.factory.stations.values() for m in s.maintenance]
    assert min(stops) > date(2028, 1, 3)
    closed = {e.date for e in works.factory.calendars["day"].exceptions}
    assert date(2028, 4, 14) in closed  # Good Friday; Easter 2028 is 16 April
    assert not any(day.year == 2027 for day in closed)


def test_a_long_book_knows_the_holidays_of_all_its_years() -> None:
    body = layout(pairs=400)["works.toml"]

    years = {int(y) for y in re.findall(r'date = (\d{4})-\d\d-\d\d.*"Easter"', body)}

    assert {2027, 2028} <= years


def test_the_largest_book_still_loads() -> None:
    texts = layout(pairs=5000)

    book = load_book(texts, load_works(texts))

    assert sum(o.quantity for o in book.orders if o.product != "tansy") == 5000


def test_the_works_loads_without_its_restricted_recipe() -> None:
    texts = layout()
    whole = load_works(texts)

    sealed = load_works({p: t for p, t in texts.items() if not p.startswith("restricted/")})

    assert sealed.sealed == {"restricted/gloss-clear.toml"}
    assert sealed.revision == whole.revision
    coats = [s for s in sealed.variant("sorrel", "ink").route("cabinet") if s.restricted]
    assert len(coats) == 3
    assert all(s.sealed is not None and s.recipe is None for s in coats)


def test_texts_speak_of_the_sample_alone() -> None:
    for path, body in layout().items():
        assert body.isascii(), path
        assert not re.search(r"/work|/tmp|shared/", body), path
