"""What the order book costs."""

from __future__ import annotations

from collections.abc import Iterable

from pairwright.costing.standard import set_costs
from pairwright.works import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime


def order_book_cost(works: Works, book: Book, *, times: Iterable[StepTime]) -> float:
    """Standard cost of every set on order, in the works' currency. [-]

    Parameters
    ----------
    works : Works
        Rates and prices.
    book : Book
        The orders.
    times : iterable of StepTime
        Durations. [s]
    """
    each = {(c.product, c.option): c.total for c in set_costs(works, times)}
    return sum(each.get((o.product, o.option), 0.0) * o.quantity for o in book.orders)
