"""Due dates against plan and forecast."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pairwright.base.words import text
from pairwright.reports.figures import PromiseFan, PromiseRow, State
from pairwright.reports.names import variant_name
from pairwright.works import Works
from pairwright.works.orders import Book

if TYPE_CHECKING:
    from pairwright.plan import Forecast, Schedule


def promise_state(*, late: float, due: int, p90: float | None) -> State:
    """Broken where the plan itself is late; watch where nine in ten futures are not in time."""
    if late > 0:
        return "broken"
    return "watch" if p90 is not None and p90 > due else "fine"


def promises(works: Works, book: Book, *, schedule: Schedule, forecast: Forecast | None) -> PromiseFan:
    """Every order with due date, plan and forecast, by due date."""
    by_id = {o.id: o for o in book.orders}
    seen = {o.order: o for o in forecast.orders} if forecast is not None else {}
    rows = []
    for entry in schedule.orders:
        order, future = by_id.get(entry.order), seen.get(entry.order)
        if order is None or entry.completion is None:
            continue
        p90 = float(future.p90) if future is not None else None
        rows.append(
            PromiseRow(
                entry.order, variant_name(works, order.product, order.option), entry.due, entry.completion,
                float(future.p10) if future is not None else None,
                float(future.p50) if future is not None else None,
                p90,
                float(future.on_time) if future is not None else None,
                promise_state(late=entry.late, due=entry.due, p90=p90),
            )
        )  # fmt: skip
    rows.sort(key=lambda r: (r.due, r.order))
    late = sum(r.state == "broken" for r in rows)
    risk = sum(r.state == "watch" for r in rows)
    if forecast is None:
        sentence = text("{late} of {n} orders are planned late.", late=late, n=len(rows))
    else:
        sentence = text(
            "{late} of {n} orders are planned late; {risk} more end after their due date in one future of ten or more.",
            late=late, n=len(rows), risk=risk,
        )  # fmt: skip
    return PromiseFan(tuple(rows), sentence)
