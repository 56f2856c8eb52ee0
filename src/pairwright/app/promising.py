"""The act of promising a date: a new order put into what a plan leaves free, and what that costs."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.explaining import Help, candidates, change_cost, help_json
from pairwright.app.opened import Opened, open_changed
from pairwright.app.replanning import KEPT, KeptPlan, go_on, judged_live
from pairwright.app.writing import write_bytes, write_json
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import iso, local_date
from pairwright.base.words import Text, Words

if TYPE_CHECKING:
    from pairwright.app.planning import PlanResult
    from pairwright.plan.freezing import Asked
    from pairwright.plan.live import Frozen
    from pairwright.plan.news import News
    from pairwright.plan.trouble import Troubled
    from pairwright.reports.reasons import Link, Share
    from pairwright.works import Works

TRIED: Final = 4  # changes that are planned for what would help
RUNS: Final = 100  # of the forecast
WHERE: Final = "pairwright promise"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked for."""

    product: str
    quantity: int
    option: str | None = None
    wish: str | None = None  # an ISO day
    order: str | None = None
    customer: str | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """The order in the plan: its end, the plan around it, and the audit's opinion. [s]"""

    order: str
    date: int
    case: Troubled
    works: Works
    frozen: Frozen
    result: PlanResult


@dataclass(frozen=True, slots=True)
class Promise:
    """A date, how sure it is, what limits it, what would help, and what it would cost others to be sooner."""

    placed: Placed
    wish: int | None
    p50: int | None
    p90: int | None
    causes: tuple[Share, ...]
    would_help: tuple[Help, ...]
    sooner: int | None  # the order's end when others make way
    moves: tuple[tuple[str, int, int], ...]  # orders whose end then moves: before, after

    @property
    def limited_by(self) -> tuple[Text, ...]:
        """What the order waits for and must take its time for, the largest first."""
        return tuple(c.text for c in self.causes if c.cause != "work")

    def as_json(self, words: Words) -> dict[str, Any]:
        """The public shape."""
        zone = self.placed.works.zone

        def when(moment: int | None) -> str | None:
            return None if moment is None else iso(moment, zone)

        return {
            "order": self.placed.order,
            "date": when(self.placed.date),
            "p50": when(self.p50),
            "p90": when(self.p90),
            "wish_met": None if self.wish is None else self.placed.date <= self.wish,
            "limited_by": [words.say(one) for one in self.limited_by],
            "causes": [{"reason": words.say(c.text), "seconds": c.seconds} for c in self.causes],
            "would_help": [help_json(one, words) for one in self.would_help],
            "sooner": when(self.sooner),
            "moves": [{"order": o, "before": when(a), "after": when(b)} for o, a, b in self.moves],
            "verified": not self.placed.result.violations,
        }  # fmt: skip


def place_order(
    opened: Opened, kept: KeptPlan, wanted: Wanted, *, now: int | None = None, due: str | None = None,
    free: bool = False,
) -> Placed:  # fmt: skip
    """Put a new order into a plan so that it ends as soon as it can.

    Parameters
    ----------
    opened : Opened
        The works.
    kept : KeptPlan
        The plan; nothing in it moves, unless `free`.
    wanted : Wanted
        The order.
    now : int
        The moment that counts as now; the plan's else. [s]
    due : str
        The order's due day, where it is no wish.
    free : bool
        Whether others make way.
    """
    from pairwright.plan.freezing import Asked

    order = wanted.order or new_id(opened)
    news = _news(opened, kept, wanted, order, due)
    return _placed(opened, kept, order, news, now, asked=Asked(soonest=order, free=free))


def _news(opened: Opened, kept: KeptPlan, wanted: Wanted, order: str, due: str | None) -> News:
    from pairwright.base.words import text
    from pairwright.plan.news import read_news

    if order in {o.id for o in opened.book.orders}:
        raise InputError(
            Problem(WHERE, "--order", text("an id that no order has"), shown(order), text("choose another"))
        )
    last = local_date(kept.schedule.makespan_end, opened.works.zone).isoformat()
    row: dict[str, object] = {
        "news": "ordered", "order": order, "product": wanted.product, "quantity": wanted.quantity,
        "due": wanted.wish or due or last,
    }  # fmt: skip
    if wanted.option is not None:
        row["option"] = wanted.option
    if wanted.customer:
        row["customer"] = wanted.customer
    return read_news([(WHERE, row)], opened.works, operations=())


def _placed(
    opened: Opened, kept: KeptPlan, order: str, news: News, now: int | None, *, asked: Asked
) -> Placed:
    from pairwright.plan.trouble import troubled

    counted = kept.schedule.supply is not None
    case = troubled(
        opened.works, opened.book, like=kept.schedule, news=news, floor=kept.floor,
        needs=opened.needs if counted else (), now=kept.schedule.now if now is None else now,
    )  # fmt: skip
    frozen, works = go_on(opened, case, asked=asked, counted=counted)
    result = judged_live(opened, case, frozen, counted=counted)
    date = next((o.completion for o in frozen.schedule.orders if o.order == order), case.live.now)
    return Placed(order, date, case, works, frozen, result)


def new_id(opened: Opened) -> str:
    """The first id of the form P001 that no order has."""
    taken = {order.id for order in opened.book.orders}
    return next(name for n in range(1, 100_000) if (name := f"P{n:03d}") not in taken)


def promise_order(
    opened: Opened, kept: KeptPlan, wanted: Wanted, *, actor: str, now: int | None = None, runs: int = RUNS,
    seed: int = 0, workers: int = 2, quick: bool = False, stage: Callable[[str], None] | None = None,
) -> Promise:  # fmt: skip
    """A date for a new order that disturbs no promise given, how sure it is, and the price of an earlier one.

    Parameters
    ----------
    opened, kept
        The works, and the plan that runs.
    wanted : Wanted
        The order.
    actor : str
        Who asks, by id.
    now : int
        The moment that counts as now. [s]
    runs, seed, workers
        Of the forecast.
    quick : bool
        The date alone.
    stage : Callable[[str], None]
        Told what is done next.
    """
    from pairwright import reports

    placed = place_order(opened, kept, wanted, now=now)
    wish = _due(placed) if wanted.wish else None
    if quick or placed.frozen.schedule.status not in ("optimal", "feasible"):
        return Promise(placed, wish, None, None, (), (), None, ())
    lookup = reports.planned(placed.works, placed.frozen.schedule)
    chain = reports.chain_of(lookup, placed.order)
    found = reports.causes(chain, lookup)
    tell = stage or (lambda _name: None)
    tell("forecast")
    p50, p90 = _forecast(opened, placed, actor=actor, runs=runs, seed=seed, workers=workers)
    tell("what would help")
    helps = tuple(_helps(opened, kept, wanted, placed, now, found, chain))
    tell("what an earlier date would cost")
    sooner, moves = _price(opened, kept, wanted, placed, now)
    return Promise(placed, wish, p50, p90, found, helps, sooner, moves)


def _due(placed: Placed) -> int:
    return next(o.due for o in placed.frozen.schedule.orders if o.order == placed.order)


def _forecast(
    opened: Opened, placed: Placed, *, actor: str, runs: int, seed: int, workers: int
) -> tuple[int | None, int | None]:
    """P50 and P90 of the new order in the plan around it."""
    from pairwright.app.forecasting import forecast_works

    if not runs:
        return None, None
    over = seen_as(opened, placed.case.works, placed.case.book)
    found = forecast_works(over, placed.frozen.schedule, actor=actor, runs=runs, seed=seed, workers=workers)
    row = next(o for o in found.orders if o.order == placed.order)
    return row.p50, row.p90


def seen_as(opened: Opened, works: Works, book: Any) -> Opened:
    """The same works with its dated facts and orders as they are now; durations are not computed again."""
    other = replace(opened, works=works, book=book)
    vars(other).update(times=opened.times, needs=opened.needs)
    return other


def _helps(
    opened: Opened, kept: KeptPlan, wanted: Wanted, placed: Placed, now: int | None,
    causes: tuple[Share, ...], chain: tuple[Link, ...],
) -> Iterator[Help]:  # fmt: skip
    """Changes that would bring the date forward: each placed anew and audited."""
    named = replace(wanted, order=placed.order)
    found: list[Help] = []
    for change, says in list(candidates(opened, causes, chain))[:TRIED]:
        try:
            other = place_order(open_changed(opened, [change]), kept, named, now=now)
        except InputError:
            continue  # the works' own checks refuse this change
        gain = placed.date - other.date
        if other.result.found and gain > 0:
            seconds = kept.schedule.makespan_end - placed.case.live.now
            found.append(Help(change, says, gain, change_cost(opened, change, seconds=seconds), True))
    yield from sorted(found, key=lambda h: (-h.gain, h.change))


def _price(
    opened: Opened, kept: KeptPlan, wanted: Wanted, placed: Placed, now: int | None
) -> tuple[int | None, tuple[tuple[str, int, int], ...]]:
    """How early the order could end if all others made way, and what that does to them."""
    free = place_order(opened, kept, replace(wanted, order=placed.order), now=now, free=True)
    if not free.result.found or free.date >= placed.date:
        return None, ()
    before = {o.order: o.completion for o in kept.schedule.orders}
    moves = [
        (o.order, before[o.order], o.completion)
        for o in free.frozen.schedule.orders
        if o.order in before and before[o.order] != o.completion
    ]
    return free.date, tuple(sorted(moves, key=lambda m: (m[1] - m[2], m[0])))


# keeping


def keep_promise(
    opened: Opened, kept: KeptPlan, wanted: Wanted, promise: Promise, *, actor: str, plan: Path | None = None
) -> Placed:
    """Take the order in and keep the plan around it; answers the order as it was kept.

    Without a wish it is due on the day of its P90, or of its date where there is no forecast.

    Parameters
    ----------
    opened, kept, wanted, promise
        As for `promise_order`, and what it answered.
    actor : str
        Who takes the order, by id.
    plan : Path
        Where the plan is kept; the works' own kept plan else.
    """
    zone = opened.works.zone
    day = wanted.wish or local_date(max(promise.placed.date, promise.p90 or 0), zone).isoformat()
    named = replace(wanted, order=promise.placed.order)
    placed = place_order(opened, kept, named, now=promise.placed.case.live.now, due=day)
    order = next(o for o in placed.case.book.orders if o.id == placed.order)
    row = {
        "order": order.id, "product": order.product, "option": order.option, "quantity": str(order.quantity),
        "due": day, "customer": order.customer,
    }  # fmt: skip
    folder = Path(opened.path)
    if (folder / "record.db").is_file():
        _into_record(folder, row, actor=actor, at=iso(placed.case.live.now, zone))
    else:
        _into_sheet(opened, folder, row)
    write_json(plan or folder / KEPT, placed.result.document)
    return placed


def _into_record(folder: Path, row: Mapping[str, str], *, actor: str, at: str) -> None:
    """An order as an event of the record."""
    from pairwright.app.recording import open_floor

    data = {**{k: v for k, v in row.items() if v}, "quantity": int(row["quantity"])}
    with open_floor(folder) as floor:
        event = {
            "key": f"promise-{row['order']}",
            "kind": "ordered",
            "event_time": at,
            "actor": actor,
            "data": data,
        }
        floor.append(floor.read(event))


def _into_sheet(opened: Opened, folder: Path, row: Mapping[str, str]) -> None:
    """An order as a line more in orders.csv, of which nothing else changes; read before it is written."""
    from pairwright.works import load_book

    body = opened.texts.get("orders.csv", "order,product,option,quantity,due\n")
    head = next(csv.reader(io.StringIO(body)))
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([row.get(name.strip(), "") for name in head])
    text = body + ("" if body.endswith("\n") else "\n") + out.getvalue()
    load_book({**opened.texts, "orders.csv": text}, opened.works)
    write_bytes(folder / "orders.csv", text.encode())
