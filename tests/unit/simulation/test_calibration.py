"""What a forecast made at the beginning is worth on floors that it knows nothing of.

The floors' paces, chances, absences and repairs are drawn from their seeds and are not those of the
forecast; the orders are those of the book. An order of a floor counts as met when it is done by its P90.
"""

from __future__ import annotations

from datetime import date
from statistics import mean

import pytest

from pairwright.app.forecasting import forecast_works
from pairwright.app.opened import open_texts
from pairwright.app.planning import plan_works
from pairwright.sample import layout
from pairwright.simulation.course import course_of
from pairwright.simulation.hidden import draw_hidden


def met(*, pairs: int, runs: int, floors: int) -> float:
    """The share of orders, over so many floors, that are done by their P90."""
    opened = open_texts(layout(pairs=pairs, start=date(2027, 3, 1), seed=1))
    planned = plan_works(opened, actor="test", now=opened.now(), effort=4, materials=False)
    found = forecast_works(opened, planned.schedule, actor="test", runs=runs, seed=1, workers=1)
    p90 = {order.order: order.p90 for order in found.orders}
    shares = []
    for seed in range(floors):
        course = course_of(
            opened, planned.schedule, book=opened.book, hidden=draw_hidden(opened.works, seed=seed)
        )
        shares += [float(done <= p90[order]) for order, done in course.completions]
    return mean(shares)


def test_p90_is_met_about_as_often_as_it_says_on_a_few_floors() -> None:
    """8 floors of 8 pairs; orders of a floor share their luck, so the margin is wide: 75-100 %."""
    assert 0.75 <= met(pairs=8, runs=60, floors=8) <= 1.0


@pytest.mark.slow
def test_p90_is_met_in_85_to_95_of_a_hundred_orders_on_twenty_and_more_floors() -> None:
    """24 floors that follow a plan of 12 pairs and their singles; 200 futures."""
    assert 0.85 <= met(pairs=12, runs=200, floors=24) <= 0.95
