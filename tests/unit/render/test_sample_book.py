"""The book of the sample works, from a real plan and forecast: its first page repeats what they say."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache

from pairwright import audit, process, sample
from pairwright.base.time import local_midnight
from pairwright.base.words import Words
from pairwright.plan import Forecast, Schedule, document, forecast_runs, make_plan
from pairwright.render import book_html, book_pdf
from pairwright.reports import BookData, make_book
from pairwright.works import Book, Works, load_book, load_works
from pairwright.works.steptime import StepTime


@dataclass(frozen=True)
class Whole:
    works: Works
    book: Book
    times: tuple[StepTime, ...]
    schedule: Schedule
    forecast: Forecast
    data: BookData


@cache
def whole() -> Whole:
    texts = sample.layout(pairs=6, start=date(2027, 3, 1), seed=1)
    works = load_works(texts)
    book, times = load_book(texts, works), process.durations(works)
    opening = works.factory.opening
    assert isinstance(opening, datetime)
    now = int(opening.timestamp())
    schedule = make_plan(works, book, times=times, now=now, effort=1)
    violations = audit.verify(works, book, times=times, document=document(schedule, works))
    forecast = forecast_runs(works, book, times=times, schedule=schedule, runs=3, seed=1)
    data = make_book(
        works, book, findings=process.check(works), times=times, schedule=schedule, violations=violations,
        forecast=forecast, now=now,
    )  # fmt: skip
    return Whole(works, book, times, schedule, forecast, data)


@cache
def first_page() -> str:
    """What the first section says, without tags."""
    page = book_html(whole().data, Words(zone=whole().works.zone))
    section = page.partition('<section id="week"')[2].partition('<section id="promises"')[0]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", section))


def test_late_orders_of_the_plan_and_orders_at_risk_of_the_forecast_are_on_it() -> None:
    w = whole()
    late = {o.order for o in w.schedule.orders if o.late > 0}
    due = {o.order: o.due for o in w.schedule.orders}
    risky = {o.order for o in w.forecast.orders if o.p90 > due[o.order]} - late

    found = {r.order: r.state for r in w.data.week.risks}

    assert found == {**dict.fromkeys(late, "broken"), **dict.fromkeys(risky, "watch")}
    assert all(f"{r.order} ·" in first_page() for r in w.data.week.risks[:5])


def test_every_order_at_risk_says_where_all_its_time_goes() -> None:
    w = whole()

    for risk in w.data.week.risks:
        assert risk.reasons
        assert sum(s.seconds for s in risk.reasons) <= risk.plan - w.schedule.now


def test_what_ships_is_what_the_plan_ends_within_seven_days() -> None:
    w = whole()
    end = local_midnight(date(2027, 3, 1) + timedelta(days=7), w.works.zone)

    assert {s.order for s in w.data.week.ships} == {o.order for o in w.schedule.orders if o.completion < end}


def test_the_bottleneck_is_the_forecast_s() -> None:
    w = whole()

    assert w.data.week.bottleneck is not None
    assert w.data.week.bottleneck.station == w.forecast.bottleneck
    assert w.works.factory.stations[w.forecast.bottleneck].name in first_page()


def test_crews_do_what_the_plan_gives_them() -> None:
    w = whole()
    end = local_midnight(date(2027, 3, 8), w.works.zone)
    given = sum(1 for o in w.schedule.operations if o.crew is not None and o.start < end)

    told = sum(a.count for duty in w.data.week.duties for day in duty.days for a in day)

    assert given > 0
    assert told == given


def test_what_is_needed_is_what_the_operations_use_up() -> None:
    w = whole()
    needed: dict[str, float] = defaultdict(float)
    for o in w.schedule.operations:
        for material, amount in process.consumption(
            w.works, o.product, option=o.option, part=o.part, step=o.step
        ):
            needed[material] += amount

    found = {p.material: p.needed for p in w.data.purchases}

    assert found.keys() == needed.keys()
    assert all(abs(found[m] - needed[m]) <= 1e-9 * needed[m] for m in needed)
    for p in w.data.purchases:
        assert p.missing >= p.needed - p.on_hand - p.coming - 1e-9
        assert p.missing <= p.needed + 1e-9
        assert (p.order_by is None) == (p.missing == 0)


def test_every_promise_is_the_plan_s_and_the_forecast_s() -> None:
    w = whole()
    plan = {o.order: (o.due, o.completion) for o in w.schedule.orders}
    futures = {o.order: (o.p10, o.p50, o.p90) for o in w.forecast.orders}

    assert {r.order: (r.due, r.plan) for r in w.data.promises.rows} == plan
    assert {r.order: (r.p10, r.p50, r.p90) for r in w.data.promises.rows} == futures


def test_every_operation_of_a_set_is_in_its_track() -> None:
    w = whole()

    for track in w.data.tracks:
        drawn = len(track.upper) + len(track.lower) + len(track.both)
        joined = {j.word for j in track.joins}
        mine = [o for o in w.schedule.operations if o.set == track.set]
        assert drawn <= len(mine)
        assert drawn + len(joined) > 0
        assert track.completion == max(o.end for o in mine)


def test_a_plan_that_the_audit_accepts_is_called_verified() -> None:
    assert whole().data.plan.verified
    assert whole().data.plan.operations == len(whole().schedule.operations)


def test_the_press_of_every_veneered_shell_is_drawn_with_its_coldest_line() -> None:
    from pairwright.reports.figures import PressTrace

    presses = [
        f for v in whole().data.verdicts if v.kind == "press" for f in v.figures if isinstance(f, PressTrace)
    ]

    assert presses
    for trace in presses:
        assert len(trace.lines) == len(trace.plies) - 1
        assert trace.cure[-1] >= trace.target - 1e-6
        heat = [sum(line) for line in trace.lines]
        assert heat[trace.coldest] <= min(heat) * 1.001


def test_page_and_paper_of_the_sample_are_the_same_every_time() -> None:
    w = whole()
    words = Words(zone=w.works.zone)

    assert book_html(w.data, words) == book_html(w.data, words)
    assert book_pdf(w.data, words) == book_pdf(w.data, words)
