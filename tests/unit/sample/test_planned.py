"""The sample works can be planned, and the audit agrees."""

from __future__ import annotations

from pairwright import plan, process
from pairwright.audit import verify
from pairwright.sample import layout
from pairwright.works import load_book, load_works


def test_a_small_book_of_the_sample_is_planned_without_a_violation() -> None:
    texts = layout(pairs=6)
    works = load_works(texts)
    book = load_book(texts, works)
    times = process.durations(works)
    assert works.factory.opening is not None
    now = int(works.factory.opening.timestamp())

    schedule = plan.make_plan(works, book, times=times, now=now, effort=2)

    assert schedule.status in ("feasible", "optimal")
    assert verify(works, book, times=times, document=plan.document(schedule, works)) == ()
    assert {o.order for o in schedule.orders} == {o.id for o in book.orders}


def test_one_order_is_promised_sooner_than_it_can_be_made() -> None:
    """The bound says so: without such an order there would be no gap to speak of."""
    texts = layout(pairs=6)
    works = load_works(texts)
    book = load_book(texts, works)
    assert works.factory.opening is not None
    now = int(works.factory.opening.timestamp())

    schedule = plan.make_plan(works, book, times=process.durations(works), now=now, effort=2)

    assert schedule.lower_bound > 0
    assert any(o.late > 0 for o in schedule.orders)
