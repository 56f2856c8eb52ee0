"""How long a plan takes to go on from trouble, and how much of what has nothing to do with it moves.

    python bench/replan_speed.py [PAIRS] [EFFORT]

Prints one row for each kind of trouble on the sample works: seconds with material counted and the
audit, operations moved, share of the unaffected ones, violations, days of weighted lateness before
and after, and the first sentence of the difference. Definition and durations are computed before.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from datetime import date
from typing import Any, Final

from pairwright import sample
from pairwright.app.memory import collect_seldom
from pairwright.app.opened import Opened, open_texts
from pairwright.app.planning import plan_works
from pairwright.app.replanning import KeptPlan, plan_from, replan_works
from pairwright.app.replanning_news import read_text
from pairwright.base.time import DAY, HOUR, iso
from pairwright.plan.schedule import Operation, Schedule

LIMIT: Final = 2.0  # [s]
SHARE: Final = 0.05  # of the operations that had no reason to move
AFTER: Final = 10 * DAY + 5 * HOUR  # so long after the plan was made trouble comes


def troubles(opened: Opened, like: Schedule, at: int) -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """A name and rows of news for each kind of trouble, from what goes on at a moment.

    Parameters
    ----------
    opened, like
        The works and the plan that runs.
    at : int
        UTC. [s]
    """
    zone = opened.works.zone
    ops = sorted(like.operations, key=lambda o: (o.start, o.id))

    def when(moment: int) -> str:
        return iso(moment, zone)

    def last(*, step: str | None = None, station: str | None = None, halves: bool = False) -> Operation:
        return [
            o
            for o in ops
            if o.end <= at and (step is None or o.step == step) and (station is None or o.station == station)
            and (not halves or o.item.count(".") == 1)
        ][-1]  # fmt: skip

    running = min(
        (o for o in ops if o.start < at < o.end and o.station), key=lambda o: o.station != "hot-press"
    )
    tomorrow, next_week = (date.fromisoformat(when(at + n * DAY)[:10]).isoformat() for n in (1, 5))
    busiest = max(opened.works.factory.crews, key=lambda c: sum(o.crew == c for o in ops))
    waiting = min(opened.book.orders, key=lambda o: (o.quantity, -o.due.toordinal(), o.id)).id
    coming = min(opened.book.purchases, key=lambda p: (p.arrives.isoformat() <= when(at)[:10], p.id))
    supply = like.supply.days if like.supply is not None else ()
    used = {
        d.drawn[0].id for d in supply if d.drawn and d.drawn[0].kind == "lot" and d.day.isoformat() > tomorrow
    }
    stopped = {"news": "stopped", "from": when(at - HOUR)}
    yield "nothing", []
    yield "late", [{"news": "late", "operation": running.id, "end": when(running.end + 3 * HOUR)}]
    yield "press stopped", [{**stopped, "station": "hot-press", "to": when(at + 2 * DAY)}]
    yield "booth stopped", [{**stopped, "station": "spray-booth", "to": when(at + DAY)}]
    yield "shell scrapped", [{"news": "scrapped", "operation": last(step="press").id}]
    yield "half scrapped", [{"news": "scrapped", "operation": last(halves=True).id}]
    yield "rework", [{"news": "rework", "operation": last(halves=True).id}]
    yield (
        "person absent",
        [{"news": "absent", "crew": busiest, "people": 1, "first": tomorrow, "last": next_week}],
    )
    yield "urgent order", [{"news": "ordered", "order": "U1", "product": "sorrel", "option": "ink", "quantity": 1,
                            "due": when(at + 21 * DAY)[:10], "weight": 10}]  # fmt: skip
    yield "material late", [{"news": "purchased", "purchase": coming.id, "arrives": when(at + 21 * DAY)[:10]}]
    yield (
        "lot missing",
        [{"news": "lot", "lot": min(used or {x.id for x in opened.book.lots}), "quantity": 0}],
    )
    yield "order cancelled", [{"news": "cancelled", "order": waiting}]
    yield (
        "mould away",
        [{"news": "away", "setup": "mould-sorrel", "from": when(at), "to": when(at + 4 * DAY)}],
    )
    carriers = {"news": "away", "carrier": "paint-carrier", "count": 8}
    yield "carriers away", [{**carriers, "from": when(at), "to": when(at + 4 * DAY)}]
    yield "oven batch lost", [{"news": "batch lost", "batch": str(last(station="oven").batch)}]


def main(pairs: int = 50, effort: int = 6) -> int:
    """Print the table; 1 where a plan breaks a rule or moves more than it may."""
    collect_seldom()
    import json

    opened = open_texts(sample.layout(pairs=pairs, start=date(2027, 3, 1), seed=1), "")
    now = opened.now()
    result = plan_works(opened, actor="bench", now=now, effort=effort)
    kept: KeptPlan = plan_from(result.document, "plan")
    at = now + AFTER
    broken = False
    print(f"{pairs} pairs, {len(result.schedule.operations)} operations")
    print(
        f"{'trouble':16} {'s':>5} {'begun':>6} {'moved':>6} {'share':>6} {'viol':>4} {'before':>7} {'after':>7}"
    )
    for name, rows in troubles(opened, result.schedule, at):
        begun = time.perf_counter()
        body = json.dumps({"now": iso(at, opened.works.zone), "news": rows})
        news = read_text(body, "news", opened, like=kept.schedule)
        found = replan_works(opened, news, actor="bench", kept=kept)
        took = time.perf_counter() - begun
        frozen = found.frozen
        broken = broken or took > LIMIT or not found.found or frozen.moved_share > SHARE
        late = [s.objective / DAY for s in (result.schedule, frozen.schedule)]
        print(
            f"{name:16} {took:5.2f} {len(found.trouble.live.begun):6} {len(frozen.moved):6}"
            f" {frozen.moved_share:6.3f} {len(found.result.violations):4} {late[0]:7.1f} {late[1]:7.1f}"
            f"  {found.says[0] if found.says else ''}"
        )
        for violation in found.result.violations[:3]:
            print("   ", violation.rule, violation.subject, violation.text)
    print(f"limits {LIMIT} s, {SHARE:.0%}, no violation: {'BROKEN' if broken else 'kept'}")
    return int(broken)


if __name__ == "__main__":
    sys.exit(main(*(int(a) for a in sys.argv[1:3])))
