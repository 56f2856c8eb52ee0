"""Nothing begins before what it uses up is there; what waits, waits for a day that is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from pairwright import audit
from pairwright.base.time import DAY, HOUR
from pairwright.plan import Planner, Schedule, document, forecast_runs, from_document, make_plan, plan_like
from pairwright.plan.materials import supplied_plan
from pairwright.plan.reserve import FOREVER, Source, needs_by_step, reserve
from pairwright.plan.schedule import Operation
from pairwright.works.definition import Works
from pairwright.works.material import AnyMaterial, Article, Coating
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book, Lot, Order, Purchase
from tests.unit.plan.builder import (
    MONDAY,
    NOW,
    book_of,
    minutes_of,
    operation,
    single,
    step,
    times_of,
    works_of,
)

MIDNIGHT = NOW - 6 * HOUR
LACQUER = Coating.model_validate(
    {"kind": "coating", "name": "Lacquer", "source": "works", "unit": "L", "solids": 0.4,
     "density": "1000 kg/m3", "pot_life": "2 h"}
)  # fmt: skip


def article(**days: float | None) -> Article:
    lasting = {name: f"{days[name] / DAY} d" for name in days if days[name]}
    return Article.model_validate({"kind": "article", "name": "Magnet", "source": "works", **lasting})


def stocked(works: Works, **materials: AnyMaterial) -> Works:
    return replace(works, materials=materials)


def small(minutes: int = 60, places: int = 1, **materials: AnyMaterial) -> Works:
    """One bench; product s is made in one step on it."""
    bench = {"kind": "parallel", "places": places, "manned": False}
    return stocked(
        works_of(single("s", step("make", "bench", minutes)), stations={"bench": bench}), **materials
    )


def need(material: str = "magnet", amount: float = 1.0) -> MaterialNeed:
    return MaterialNeed("s", "plain", "body", "make", material, amount)


def supplied(works: Works, book: Book, needs: Sequence[MaterialNeed], effort: int = 10) -> Schedule:
    """A plan that counts material, and that the audit agrees with."""
    times = times_of(works)

    def made(ready: Any, some: int = effort) -> Schedule:
        return make_plan(works, book, times=times, now=NOW, effort=some, ready=ready)

    planner = Planner(
        first=lambda ready: made(ready, 1),
        full=made,
        again=lambda like, ready: plan_like(works, book, like=like, times=times, now=NOW, ready=ready),
    )
    schedule = supplied_plan(works, book, needs=needs, now=NOW, planner=planner)
    found = audit.verify(works, book, times=times, document=document(schedule, works), needs=needs)
    assert [f"{v.rule} {v.subject}: {v.text}" for v in found] == []
    return schedule


def with_stock(book: Book, *lots: Lot, coming: Sequence[Purchase] = ()) -> Book:
    return replace(book, lots=lots, purchases=tuple(coming))


def test_a_step_waits_for_the_purchase_that_brings_its_material() -> None:
    works = small(magnet=article(lead_time=30 * DAY))
    book = with_stock(book_of("s"), coming=[Purchase("P1", "magnet", 1.0, MONDAY + timedelta(days=3))])

    schedule = supplied(works, book, [need()])

    assert operation(schedule, "A-1.single/make").start == MIDNIGHT + 3 * DAY
    assert [str(note) for note in schedule.notes] == ["A waits for Magnet until 4 Mar 2027"]


def test_where_nothing_is_on_the_way_a_step_waits_for_what_is_ordered_now() -> None:
    works = small(magnet=article(lead_time=5 * DAY))

    schedule = supplied(works, book_of("s"), [need()])

    assert operation(schedule, "A-1.single/make").start == NOW + 5 * DAY
    assert schedule.supply is not None
    assert [(d.need, d.short) for d in schedule.supply.days] == [(1.0, 1.0)]
    assert "must be ordered now" in str(schedule.notes[0])


def test_an_arrival_is_waited_for_before_anything_is_ordered() -> None:
    works = small(magnet=article(lead_time=2 * DAY))
    late = Purchase("P1", "magnet", 1.0, MONDAY + timedelta(days=9))

    schedule = supplied(works, with_stock(book_of(("s", 2)), coming=[late]), [need()])

    assert sorted(op.start for op in schedule.operations) == [NOW + 2 * DAY, MIDNIGHT + 9 * DAY]


def test_what_expires_first_is_used_first() -> None:
    works = small(places=1, magnet=article())
    fresh = Lot("old-stock", "magnet", 1.0)
    going = Lot("going-off", "magnet", 1.0, expiry=MONDAY)

    schedule = supplied(works, with_stock(book_of(("s", 2)), fresh, going), [need()])

    assert schedule.supply is not None
    (day,) = schedule.supply.days
    assert {d.id: d.amount for d in day.drawn} == {"going-off": 1.0, "old-stock": 1.0}
    assert not day.short


def test_a_lot_is_of_no_use_after_its_expiry_day() -> None:
    """Two pieces of 20 h each on one bench: the second begins on Tuesday, when the lot is over."""
    works = small(minutes=1200, magnet=article(lead_time=4 * DAY))
    lot = Lot("L1", "magnet", 2.0, expiry=MONDAY)

    schedule = supplied(works, with_stock(book_of(("s", 2)), lot), [need()])

    assert sorted(op.start for op in schedule.operations) == [NOW, NOW + 4 * DAY]


def test_shelf_life_counts_from_receipt_where_no_expiry_is_stated() -> None:
    works = small(magnet=article(shelf_life=10 * DAY, lead_time=DAY))
    over = Lot("L1", "magnet", 1.0, received=MONDAY - timedelta(days=11))
    good = Lot("L1", "magnet", 1.0, received=MONDAY - timedelta(days=10))

    waits = supplied(works, with_stock(book_of("s"), over), [need()])
    begins = supplied(works, with_stock(book_of("s"), good), [need()])

    assert waits.operations[0].start == NOW + DAY
    assert begins.operations[0].start == NOW


def test_who_needs_it_first_has_it_and_the_other_waits() -> None:
    works = small(magnet=article(lead_time=20 * DAY))
    late = Order("A", "s", "plain", 1, MONDAY + timedelta(days=30))
    soon = Order("B", "s", "plain", 1, MONDAY)

    schedule = supplied(works, with_stock(book_of(late, soon), Lot("L1", "magnet", 1.0)), [need()])

    assert operation(schedule, "B-1.single/make").start == NOW
    assert operation(schedule, "A-1.single/make").start == NOW + 20 * DAY


def test_who_waits_does_not_hold_up_the_others() -> None:
    product = single("t", step("make", "bench", 60))
    works = stocked(
        works_of(
            single("s", step("make", "bench", 60)), product,
            stations={"bench": {"kind": "single", "manned": False}},
        ),
        magnet=article(lead_time=7 * DAY),
    )  # fmt: skip

    schedule = supplied(works, book_of("s", "t"), [need()])

    assert operation(schedule, "B-1.single/make").start == NOW
    assert operation(schedule, "A-1.single/make").start == NOW + 7 * DAY


def test_the_step_before_ends_late_enough_for_the_longest_wait() -> None:
    """Glue may stand open for ten minutes: the gluing waits too when the clamp's part is missing."""
    works = stocked(
        works_of(
            single("s", step("glue", "bench", 30, next_max=10), step("make", "bench", 60)),
            stations={"bench": {"kind": "single", "manned": False}},
        ),
        magnet=article(lead_time=3 * DAY),
    )

    schedule = supplied(works, book_of("s"), [need()])
    start = operation(schedule, "A-1.single/make").start

    assert start == NOW + 3 * DAY
    assert operation(schedule, "A-1.single/glue").end >= start - 600


def test_a_pot_is_mixed_anew_when_its_life_is_over() -> None:
    """Five pieces an hour each, two hours of pot life: begun at 0, 1 | 2, 3 | 4 hours."""
    works = small(lacquer=LACQUER)
    book = with_stock(book_of(("s", 5)), Lot("L1", "lacquer", 10.0))

    schedule = supplied(works, book, [need("lacquer", 0.5)])

    assert schedule.supply is not None
    assert [(p.mixed - NOW, p.amount) for p in schedule.supply.pots] == [
        (0, 1.0), (2 * HOUR, 1.0), (4 * HOUR, 0.5),
    ]  # fmt: skip


def test_a_plan_and_its_document_say_the_same_of_materials() -> None:
    works = small(lacquer=LACQUER, magnet=article(lead_time=2 * DAY))
    book = with_stock(book_of(("s", 3)), Lot("L1", "lacquer", 10.0), Lot("L2", "magnet", 2.0))

    schedule = supplied(works, book, [need("lacquer", 0.5), need()])

    assert from_document(document(schedule, works)).supply == schedule.supply


def test_a_plan_that_does_not_count_material_says_so_and_is_not_judged_by_it() -> None:
    works = small(magnet=article(lead_time=20 * DAY))
    schedule = make_plan(works, book_of("s"), times=times_of(works), now=NOW, effort=1)

    body = document(schedule, works)

    assert body["materials"] is None
    assert audit.verify(works, book_of("s"), times=times_of(works), document=body, needs=[need()]) == ()


def test_no_drawn_future_begins_before_its_material_is_there() -> None:
    works = small(minutes=60, magnet=article(lead_time=5 * DAY))
    book = book_of("s")
    schedule = supplied(works, book, [need()])

    found = forecast_runs(works, book, times=times_of(works), schedule=schedule, runs=5, seed=1)

    assert found.orders[0].p10 == NOW + 5 * DAY + HOUR


def test_material_without_a_lead_time_is_taken_to_come_at_once_and_is_listed_short() -> None:
    schedule = supplied(small(magnet=article()), book_of("s"), [need()])

    assert schedule.supply is not None
    assert minutes_of(schedule)["A-1.single/make"][0] == 0
    assert schedule.supply.days[0].short == 1.0


@pytest.mark.parametrize("overdue", [1, 40])
def test_an_overdue_purchase_is_taken_to_come_at_once(overdue: int) -> None:
    works = small(magnet=article(lead_time=9 * DAY))
    coming = [Purchase("P1", "magnet", 1.0, MONDAY - timedelta(days=overdue))]

    schedule = supplied(works, with_stock(book_of("s"), coming=coming), [need()])

    assert schedule.operations[0].start == NOW


def _operation(n: int, start: int) -> Operation:
    return Operation(f"o{n}", "A", "A-1", f"i{n}", None, "s", "plain", "body", "make", 0, start, start + 1)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(1, 9), st.integers(1, 6)), min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(0, 12), st.integers(1, 6)), min_size=1, max_size=5),
)
def test_first_to_expire_first_serves_everybody_whenever_that_is_possible(
    stocks: list[tuple[int, int, int]], points: list[tuple[int, int]]
) -> None:
    """Against linear programming: amounts from sources to needs within their times, or none such."""
    shelf = {"m": [*(Source("lot", str(n), s, s + long, float(q)) for n, (s, long, q) in enumerate(stocks)),
                   Source("to order", "", FOREVER, FOREVER, float("inf"))]}  # fmt: skip
    shelf["m"].sort(key=lambda s: (s.until, s.since))
    found = [
        reserve(shelf, {("s", "plain", "body", "make"): (("m", float(a)),)}, [_operation(n, t)])[0]
        for n, (t, a) in sorted(enumerate(points), key=lambda p: (p[1][0], p[0]))
    ]
    served = all(one.ready == one.at for one in found)

    ways = [
        (i, j)
        for i, (s, long, _) in enumerate(stocks)
        for j, (t, _) in enumerate(points)
        if s <= t < s + long
    ]
    drawn = np.array([[float(i == k) for i, _ in ways] for k in range(len(stocks))])
    met = np.array([[float(j == k) for _, j in ways] for k in range(len(points))])
    possible = (
        bool(ways)
        and linprog(
            np.zeros(len(ways)),
            A_ub=drawn,
            b_ub=[q for *_, q in stocks],
            A_eq=met,
            b_eq=[a for _, a in points],
        ).success
    )
    assert served == possible


@settings(max_examples=12, deadline=None)
@given(st.data())
def test_whatever_the_stock_the_audit_finds_no_operation_without_its_material(data: st.DataObject) -> None:
    day = st.integers(0, 12).map(lambda n: MONDAY + timedelta(days=n))
    amount = st.integers(1, 4).map(float)
    works = small(
        minutes=data.draw(st.sampled_from([60, 500, 1500])),
        magnet=article(
            lead_time=data.draw(st.sampled_from([None, 2 * DAY, 9 * DAY])),
            shelf_life=data.draw(st.sampled_from([None, 3 * DAY])),
        ),
        lacquer=LACQUER,
    )
    lots = data.draw(st.lists(st.tuples(amount, st.one_of(st.none(), day)), max_size=3))
    coming = data.draw(st.lists(st.tuples(amount, day), max_size=3))
    book = with_stock(
        book_of(("s", data.draw(st.integers(1, 5))), ("s", data.draw(st.integers(1, 3)))),
        *(Lot(f"L{n}", "magnet", q, expiry=e) for n, (q, e) in enumerate(lots)),
        coming=[Purchase(f"P{n}", "magnet", q, d) for n, (q, d) in enumerate(coming)],
    )

    supplied(works, book, [need(), need("lacquer", 0.3)], effort=2)


def test_needs_are_looked_up_by_step() -> None:
    assert needs_by_step([need(), need("lacquer", 2.0)]) == {
        ("s", "plain", "body", "make"): (("magnet", 1.0), ("lacquer", 2.0))
    }


def test_the_day_of_a_need_is_the_works_own() -> None:
    """Half past midnight in Amsterdam is still the day before in Greenwich."""
    works = stocked(
        works_of(single("s", step("make", "bench", 60)), stations={"bench": {"manned": False}},
                 zone="Europe/Amsterdam"),
        magnet=article(),
    )  # fmt: skip
    now = int(datetime(2027, 3, 2, 0, 30, tzinfo=ZoneInfo("Europe/Amsterdam")).timestamp())
    times = times_of(works)
    book = with_stock(book_of("s"), Lot("L1", "magnet", 1.0))

    def made(ready: Any) -> Schedule:
        return make_plan(works, book, times=times, now=now, effort=1, ready=ready)

    schedule = supplied_plan(
        works, book, needs=[need()], now=now, planner=Planner(made, made, lambda _, ready: made(ready))
    )

    assert schedule.supply is not None
    assert schedule.supply.days[0].day == date(2027, 3, 2)
