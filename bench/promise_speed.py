"""How long a date takes at 50 pairs, and its P50 and P90. Limits: 1 s and 10 s.

    python bench/promise_speed.py [PAIRS] [EFFORT]

The plan, the definition and the durations are there before, as in a running server.
"""

from __future__ import annotations

import sys
import time
from datetime import date
from typing import Final

from pairwright import sample
from pairwright.app.forecasting import forecast_works
from pairwright.app.memory import collect_seldom
from pairwright.app.opened import open_texts
from pairwright.app.planning import plan_works
from pairwright.app.promising import RUNS, Wanted, place_order, seen_as
from pairwright.app.replanning import plan_from
from pairwright.base.time import iso

DATE_LIMIT: Final = 1.0  # [s]
FORECAST_LIMIT: Final = 10.0  # [s]


def main(pairs: int = 50, effort: int = 6) -> int:
    """Print the times; 1 where a limit is broken."""
    collect_seldom()
    opened = open_texts(sample.layout(pairs=pairs, start=date(2027, 3, 1), seed=1), "")
    result = plan_works(opened, actor="bench", now=opened.now(), effort=effort)
    kept = plan_from(result.document, "plan")
    broken = False
    print(f"{pairs} pairs, {len(result.schedule.operations)} operations")
    for product, option in (("alder", "walnut"), ("sorrel", "ink"), ("tansy", "slate")):
        begun = time.perf_counter()
        placed = place_order(opened, kept, Wanted(product, 1, option))
        dated = time.perf_counter()
        over = seen_as(opened, placed.case.works, placed.case.book)
        found = forecast_works(over, placed.frozen.schedule, actor="bench", runs=RUNS, seed=0)
        row = next(o for o in found.orders if o.order == placed.order)
        done = time.perf_counter()
        zone = opened.works.zone
        print(
            f"{product} {option}: {iso(placed.date, zone)} in {dated - begun:.2f} s with its audit"
            f" ({len(placed.result.violations)} violations); P50 {iso(row.p50, zone)[:10]},"
            f" P90 {iso(row.p90, zone)[:10]} of {RUNS} runs in {done - dated:.1f} s"
        )
        late = dated - begun > DATE_LIMIT or done - dated > FORECAST_LIMIT
        broken = broken or late or bool(placed.result.violations)
    print(f"limits {DATE_LIMIT} s, {FORECAST_LIMIT} s: {'BROKEN' if broken else 'kept'}")
    return int(broken)


if __name__ == "__main__":
    sys.exit(main(*(int(a) for a in sys.argv[1:3])))
