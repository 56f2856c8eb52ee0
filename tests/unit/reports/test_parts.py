"""Promises, tracks, stations, buffers, purchases: each against a plan small enough to check by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from types import SimpleNamespace
from typing import Any

import pytest

from pairwright.base.words import ENGLISH
from pairwright.reports.planned import planned, working_time
from pairwright.reports.promises import promise_state, promises
from pairwright.reports.purchases import Purchase, purchases
from pairwright.reports.stations import available, buffer_levels, station_load, used, weekly_load
from pairwright.reports.tracks import opening_sentence, telling, tracks
from pairwright.reports.week import decisions, duties, risks, week_days
from pairwright.works import load_works
from pairwright.works.orders import Book, Lot
from pairwright.works.orders import Purchase as Coming
from tests.unit.audit.small import TERN, TEXTS, loaded
from tests.unit.reports.hand import NOW, at, schedule

DAY = 86400


def forecast_of(**p90: int) -> Any:
    orders = [
        SimpleNamespace(order=o, p10=at(1000), p50=at(1400), p90=v, on_time=0.5) for o, v in p90.items()
    ]
    return SimpleNamespace(orders=orders, stations=[], buffers=[], bottleneck="press", runs=10, seed=1)


# --- promises


@pytest.mark.parametrize(
    ("late", "p90", "state"), [(1, None, "broken"), (0, 11, "watch"), (0, 10, "fine"), (0, None, "fine")]
)
def test_a_promise_is_judged_by_plan_then_by_the_ninth_future_of_ten(
    late: float, p90: float | None, state: str
) -> None:
    assert promise_state(late=late, due=10, p90=p90) == state


def test_risks_come_late_orders_first_with_their_reasons() -> None:
    works, book, _ = loaded()
    made = schedule(works)
    fan = promises(works, book, schedule=made, forecast=forecast_of(T1=at(2000), W1=at(1600)))

    found = risks(planned(works, made), fan)

    assert [(r.order, r.state) for r in found] == [("W1", "broken"), ("T1", "watch")]
    assert found[0].late == at(1500) - at(480)
    # packing was free from the end of the break to the end of Monday, and nobody came
    assert (found[0].reasons[0].cause, found[0].reasons[0].seconds) == ("fit", 225 * 60)
    assert "1 of 2 orders are planned late; 1 more" in ENGLISH.say(fan.sentence)


# --- tracks


def test_a_pair_in_step_stays_closed() -> None:
    works, _, _ = loaded()

    found = tracks(planned(works, schedule(works)), {"T1": at(1920), "W1": at(480)})

    pair = next(t for t in found if t.set == "T1-1")
    assert (pair.state, ENGLISH.say(pair.word)) == ("fine", "in step")
    assert [b.word for b in pair.upper] == ["form", "glue", "cure", "coat", "warm", "harden"]
    assert [b.word for b in pair.both] == ["pack"]
    assert pair.joins == ()  # the shell is the body of the half, not something that joins it


def test_a_half_too_far_behind_opens_the_figure() -> None:
    works, _, _ = loaded()

    pair = tracks(planned(works, schedule(works, lag=135)), {})[0]

    assert pair.state == "broken"
    assert pair.widest is not None
    assert (pair.widest.word, pair.widest.apart, pair.widest.beyond) == ("glue", 135 * 60, 15 * 60)
    assert "135 min apart at glue, 120 min are allowed" in ENGLISH.say(pair.sentence)


def test_a_single_lies_astride_and_its_lateness_is_said() -> None:
    works, _, _ = loaded()

    single = tracks(planned(works, schedule(works)), {"W1": at(480)})[1]

    assert single.sides == ()
    assert [b.word for b in single.both] == ["form", "pack"]
    assert ENGLISH.say(single.word) == "late"


def test_one_track_of_each_product_is_drawn_large() -> None:
    works, _, _ = loaded()
    found = tracks(planned(works, schedule(works)), {})

    assert [t.product for t in telling(found)] == ["tern", "wren"]
    assert ENGLISH.say(opening_sentence(found)).startswith("All 1 pairs keep step")


# --- stations and waiting areas


def test_a_station_is_used_for_what_is_worked_and_set_up() -> None:
    works, _, _ = loaded()
    plan = planned(works, schedule(works))

    assert used(plan, "press", begin=NOW, end=at(480)) == (180 * 60, 60 * 60)
    assert available(plan, "press", begin=NOW, end=at(480)) == (480 - 15) * 60
    assert available(plan, "clamps", begin=NOW, end=at(480)) == 2 * 480 * 60


def test_working_time_leaves_breaks_nights_and_maintenance_out() -> None:
    works, _, _ = loaded()

    open_ = working_time(works, "press", begin=NOW, end=NOW + 2 * DAY)

    assert [(a - NOW, b - NOW) for a, b in open_] == [
        (0, 240 * 60), (255 * 60, 480 * 60), (1440 * 60, 1680 * 60), (1755 * 60, 1920 * 60),
    ]  # fmt: skip


def test_the_forecast_names_the_bottleneck_and_its_weeks_are_counted() -> None:
    works, _, _ = loaded()
    plan = planned(works, schedule(works))

    load = station_load(plan, forecast_of(T1=at(2000)))
    week = weekly_load(plan, "press").weeks[0]

    assert ENGLISH.say(load.sentence).startswith("Press is the bottleneck")
    assert week.available == (5 * 465 - 60) * 60
    assert week.worked == pytest.approx(180 / (5 * 465 - 60))


def test_a_waiting_area_is_as_full_as_the_stays_in_it() -> None:
    works, _, _ = loaded()

    rack = buffer_levels(planned(works, schedule(works)), None).rows[0]

    assert (rack.most, rack.places, rack.state) == (2.0, 2, "watch")
    assert rack.levels[-1] == (at(1440), 0.0)


# --- the week


def test_a_crew_s_week_names_what_it_does_on_which_day() -> None:
    works, _, _ = loaded()
    plan = planned(works, schedule(works))

    crew = duties(plan, week_days(works, NOW))[0]

    assert crew.crew == "makers"
    assert [(a.station, a.count) for a in crew.days[0]] == [("press", 3), ("bench", 2)]
    assert [(a.station, a.count) for a in crew.days[1]] == [("packing", 2)]
    assert crew.days[2] == ()


def test_what_the_audit_says_needs_a_decision_before_any_warning() -> None:
    works, _, _ = loaded()
    violation = SimpleNamespace(rule="unit", subject="press", text=works.factory.name)

    found = decisions((), (violation,), schedule=schedule(works))  # type: ignore[arg-type]

    assert [(d.code, d.state) for d in found] == [("unit", "broken")]


def test_without_a_plan_its_reasons_are_on_the_first_page() -> None:
    works, _, _ = loaded()
    empty = replace(schedule(works), status="infeasible", operations=(), orders=())

    found = decisions((), (), schedule=empty)

    assert "there is no plan" in ENGLISH.say(found[0].text)


# --- purchases


def buying(*, lots: tuple[Lot, ...] = (), coming: tuple[Coming, ...] = (), lead: str = "") -> Purchase:
    """Three square metres for each half's glue step, at minute 155 of Monday."""
    uses = 'id = "glue"\nconsumes = [{ material = "thin", amount = 3 }]'
    texts = {**TEXTS, "products/tern.toml": TERN.replace('id = "glue"', uses)}
    unit = f'face = true\nunit = "m2"\nprice = "2 EUR"\n{lead}'
    texts["materials/woods.toml"] = texts["materials/woods.toml"].replace("face = true", unit)
    works = load_works(texts)
    book = Book(lots=lots, purchases=coming)
    found = purchases(planned(works, schedule(works)), book, week_end=NOW + 7 * DAY)
    return next(p for p in found if p.material == "thin")


def test_what_is_not_on_hand_must_be_bought() -> None:
    need = buying()

    assert (need.needed, need.missing, need.money) == (6.0, 6.0, 12.0)
    assert need.short_from == at(155)


def test_stock_covers_the_need_until_it_expires() -> None:
    fresh = buying(lots=(Lot("a", "thin", 10.0, expiry=date(2027, 3, 1)),))
    stale = buying(lots=(Lot("a", "thin", 10.0, expiry=date(2027, 2, 28)),))

    assert fresh.missing == 0.0
    assert fresh.wasted == 4.0
    assert stale.missing == 6.0


def test_the_lot_that_expires_first_is_used_first() -> None:
    need = buying(
        lots=(
            Lot("late", "thin", 6.0, expiry=date(2027, 6, 1)),
            Lot("soon", "thin", 6.0, expiry=date(2027, 3, 1)),
        )
    )

    assert need.missing == 0.0
    assert need.wasted == 0.0  # the one that would expire is the one that was used


def test_an_arrival_counts_from_its_day_on() -> None:
    in_time = buying(coming=(Coming("p", "thin", 6.0, date(2027, 3, 1)),))
    too_late = buying(coming=(Coming("p", "thin", 6.0, date(2027, 3, 2)),))

    assert in_time.missing == 0.0
    assert (too_late.missing, too_late.late) == (6.0, 6.0)


@pytest.mark.parametrize(("lead", "state"), [('lead_time = "1 h"', "watch"), ('lead_time = "2 d"', "broken")])
def test_the_lead_time_decides_by_when_to_order(lead: str, state: str) -> None:
    need = buying(lead=lead)

    assert need.state == state
    assert need.order_by == at(155) - round(need.lead_time or 0)
