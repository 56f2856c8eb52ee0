"""200 futures of the sample works at 50 pairs: with compiled code, and a few of them run by run as a check.

Durations scatter, stations break down, pieces are scrapped and reworked. Limit: 10 s for 200 futures in one process,
and the same numbers as the plain way.
"""

from __future__ import annotations

import time

from pairwright.app.opened import open_texts
from pairwright.plan import forecast_chunk, make_plan
from pairwright.sample import layout

RUNS = 200
LIMIT = 10.0  # [s]
CHECKED = 6


def main() -> int:
    opened = open_texts(layout(pairs=50))
    schedule = make_plan(opened.works, opened.book, times=opened.times, now=opened.now(), effort=12)
    told = {"times": opened.times, "schedule": schedule, "seed": 1}
    few = forecast_chunk(opened.works, opened.book, first=0, last=CHECKED, compiled=True, **told)
    wall, begin = time.perf_counter(), time.process_time()
    forecast_chunk(opened.works, opened.book, first=0, last=RUNS, compiled=True, **told)
    processor, wall = time.process_time() - begin, time.perf_counter() - wall
    begin = time.process_time()
    plain = forecast_chunk(opened.works, opened.book, first=0, last=CHECKED, compiled=False, **told)
    each = (time.process_time() - begin) / CHECKED
    print(f"{len(schedule.operations)} operations, {RUNS} futures: {processor:.1f} s of processor time, {wall:.1f} s "
          f"on the clock (limit {LIMIT:.0f} s); {processor / RUNS * 1e3:.0f} ms each, run by run {each * 1e3:.0f} ms; "
          f"same numbers in {CHECKED}: {few == plain}")  # fmt: skip
    return 0 if processor <= LIMIT and few == plain else 1


if __name__ == "__main__":
    raise SystemExit(main())
