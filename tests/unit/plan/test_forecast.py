"""Futures: the plan comes back without scatter; scrap, rework and breakdown move what they should."""

from __future__ import annotations

from typing import Any

import pytest

from pairwright.plan import (
    Forecast,
    Schedule,
    forecast_chunk,
    forecast_document,
    forecast_runs,
    merge_forecast,
)
from pairwright.plan.build import build_problem
from pairwright.plan.chance import Drawn, triangular
from pairwright.plan.facts import FactTable, StepFacts
from pairwright.plan.forecast import follow, nearest_rank
from pairwright.plan.problem import Problem
from pairwright.plan.shop import build_shop
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order
from tests.unit.plan.builder import (
    EIGHT_HOURS,
    MONDAY,
    NOW,
    book_of,
    pair,
    part,
    plan_of,
    single,
    step,
    times_of,
    works_of,
)

PRESS = {"press": {}, "bench": {"kind": "parallel", "places": 2}}
WIDE = (20, 30, 70)


def forecast(works: Works, book: Book, plan: Schedule, *, runs: int = 20, seed: int = 0) -> Forecast:
    return forecast_runs(works, book, times=times_of(works), schedule=plan, runs=runs, seed=seed)


def shells(scrap: float, *, early: bool = True, **more: Any) -> Works:
    """A pair from pressed shells, beside a single that needs the press too."""
    shell = part(step("press", "press", 60, scrap=scrap), leaf=True)
    return works_of(
        pair("p", step("fit", "bench", 30, uses=["shell"]), parts={"shell": shell}, early=early, **more),
        single("s", step("press", "press", 60)),
        stations=PRESS,
    )  # fmt: skip


def test_without_scatter_every_future_is_the_plan() -> None:
    works = shells(0.0)
    book = book_of("p", "s")
    plan = plan_of(works, book, objective="service")

    found = forecast(works, book, plan, runs=3)

    for order, dates in zip(found.orders, plan.orders, strict=True):
        assert order.p10 == order.p50 == order.p90 == dates.completion


def test_a_scrapped_half_goes_back_to_the_press_with_a_new_leaf_pair_and_moves_other_orders() -> None:
    book = Book(orders=(Order("A", "p", "plain", 1, MONDAY), Order("B", "s", "plain", 1, MONDAY)))
    works = shells(0.3)
    plan = plan_of(works, book, objective="service")
    shop = build_shop(works, NOW, horizon=100_000)
    table = FactTable(shop, times_of(works))
    completion = {o.order: o.completion for o in plan.orders}
    moved = 0
    for run in range(30):
        chance = Drawn(shop, seed=0, run=run, keys={})
        problem = build_problem(shop, book, times=(), chance=chance, table=table)
        presses = [op.item for op in problem.operations if op.facts.step.id == "press"]
        lefts, rights = presses.count("A-1.left.shell"), presses.count("A-1.right.shell")
        assert lefts == rights  # whichever was lost, both leaves of the pair are pressed anew
        chunk = forecast_chunk(
            works, book, times=times_of(works), schedule=plan, seed=0, first=run, last=run + 1
        )
        done = dict(zip(("A", "B"), chunk.completions[0], strict=True))
        if lefts == 1:
            assert done == completion
        else:
            assert done["A"] > completion["A"]
            moved += done["B"] > completion["B"]
    assert moved > 0  # the single waits for the press behind the new pair


def test_a_half_may_be_made_alone_and_mated_again() -> None:
    book = book_of("p")
    works = shells(0.3, lost_half="mate again")
    shop = build_shop(works, NOW, horizon=100_000)
    counts = set()
    for run in range(30):
        problem = build_problem(
            shop, book, times=times_of(works), chance=Drawn(shop, seed=0, run=run, keys={})
        )
        presses = [op.item for op in problem.operations if op.facts.step.id == "press"]
        counts.add((presses.count("A-1.left.shell"), presses.count("A-1.right.shell")))

    assert {(2, 1), (1, 2)} & counts


def test_a_late_bound_half_is_lost_alone() -> None:
    works = shells(0.3, early=False)
    shop = build_shop(works, NOW, horizon=100_000)
    counts = set()
    for run in range(30):
        chance = Drawn(shop, seed=0, run=run, keys={})
        problem = build_problem(shop, book_of("p"), times=times_of(works), chance=chance)
        presses = [op.item for op in problem.operations if op.facts.step.id == "press"]
        counts.add((presses.count("A-1.a.shell"), presses.count("A-1.b.shell")))

    assert (2, 1) in counts or (1, 2) in counts


@pytest.mark.parametrize("early", [True, False])
def test_parts_of_what_is_made_anew_begin_after_the_loss(early: bool) -> None:
    works = works_of(
        pair(
            "p", step("fit", "bench", 30, uses=["foot"]), step("test", "bench", 10, scrap=0.5),
            parts={"foot": part(step("turn", "press", 20))}, early=early,
        ),
        stations=PRESS,
    )  # fmt: skip
    book = book_of("p")
    plan = plan_of(works, book)
    shop = build_shop(works, NOW, horizon=100_000)
    lost = 0
    for run in range(12):
        chance = Drawn(shop, seed=0, run=run, keys={})
        problem = build_problem(shop, book, times=times_of(works), chance=chance)
        state = follow(problem, plan).state
        for side in ("left", "right") if early else ("a", "b"):
            turned = tasks_of(problem, f"A-1.{side}.foot", "turn")
            tested = tasks_of(problem, f"A-1.{side}", "test")
            assert len(turned) == len(tested)
            for before, again in zip(tested, turned[1:], strict=False):
                assert state.start[again] >= state.end[before]
                lost += 1
    assert lost > 0


def tasks_of(problem: Problem, item: str, step_id: str) -> list[int]:
    return [
        task
        for task, numbers in enumerate(problem.task_operations)
        if any(
            (problem.operations[n].item, problem.operations[n].facts.step.id) == (item, step_id)
            for n in numbers
        )
    ]


def test_rework_repeats_the_steps_from_the_one_it_names() -> None:
    works = works_of(
        single("s", step("a", "press", 10), step("b", "press", 20), step("c", "press", 30,
               rework={"chance": 0.5, "to": "b"})),
        stations=PRESS,
    )  # fmt: skip
    shop = build_shop(works, NOW, horizon=100_000)
    seen = set()
    for run in range(20):
        chance = Drawn(shop, seed=0, run=run, keys={})
        problem = build_problem(shop, book_of("s"), times=times_of(works), chance=chance)
        seen.add("".join(op.facts.step.id + ("'" if op.rework else "") for op in problem.operations))

    assert seen == {"abc", "abcb'c'"}


def test_rework_makes_the_order_later() -> None:
    works = works_of(single("s", step("a", "press", 60, rework={"chance": 0.5, "to": "a"})), stations=PRESS)
    plan = plan_of(works, book_of("s"))

    found = forecast(works, book_of("s"), plan, runs=40).orders[0]

    assert (found.p10 - NOW, found.p90 - NOW) == (3600, 7200)


def test_a_breakdown_lengthens_the_work() -> None:
    works = works_of(
        single("s", step("a", "press", 60)),
        stations={"press": {"breakdown": {"every": "2 h", "repair": "3 h"}}},
    )
    plan = plan_of(works, book_of("s"))

    found = forecast(works, book_of("s"), plan, runs=200).orders[0]

    # one hour of running stops with probability 1 - exp(-1/2) = 0.39: P50 is whole, P90 is not
    assert found.p50 == NOW + 3600
    assert found.p90 > NOW + 2 * 3600


def test_scatter_spreads_completions_and_percentiles_are_in_order() -> None:
    works = works_of(single("s", step("a", "press", WIDE)), stations=PRESS)
    book = book_of(("s", 5))
    plan = plan_of(works, book)

    found = forecast(works, book, plan, runs=60).orders[0]

    assert found.p10 < found.p50 < found.p90
    # five draws of mean 40 (rounded up): around 200 minutes, with a spread of 24
    assert 180 < (found.p50 - NOW) / 60 < 225


def test_longer_work_than_a_shift_goes_on_the_next_day() -> None:
    works = works_of(
        single("s", step("a", "press", (400, 470, 700))), stations={"press": {"calendar": "shift"}},
        calendars={"shift": EIGHT_HOURS},
    )  # fmt: skip
    plan = plan_of(works, book_of("s"))

    found = forecast(works, book_of("s"), plan, runs=20)

    assert found.strained == 0
    assert found.orders[0].p90 > NOW + 86400


def test_the_same_seed_is_the_same_forecast_and_another_is_not() -> None:
    works = works_of(single("s", step("a", "press", WIDE)), stations=PRESS)
    book = book_of(("s", 4))
    plan = plan_of(works, book)

    one, two, other = (forecast(works, book, plan, runs=9, seed=seed) for seed in (1, 1, 2))

    assert one == two
    assert one.orders != other.orders


def test_chunks_in_any_cut_make_the_same_forecast() -> None:
    works = shells(0.2)
    book = book_of("p", "s")
    plan = plan_of(works, book)
    times = times_of(works)

    cut = [
        forecast_chunk(works, book, times=times, schedule=plan, seed=4, first=a, last=b)
        for a, b in ((5, 9), (0, 5))
    ]
    merged = merge_forecast(works, book, schedule=plan, chunks=cut, runs=9, seed=4)

    assert merged == forecast(works, book, plan, runs=9, seed=4)


def test_two_variants_meet_the_same_luck() -> None:
    works = works_of(single("s", step("a", "press", WIDE), step("b", "press", WIDE)), stations=PRESS)
    longer = works_of(
        single("s", step("a", "press", WIDE), step("b", "press", (40, 60, 140))), stations=PRESS
    )
    drawn = [Drawn(build_shop(w, NOW, horizon=1000), seed=5, run=3, keys={}) for w in (works, longer)]

    minutes = [minutes_of_step(one, w, 0) for one, w in zip(drawn, (works, longer), strict=True)]

    assert minutes[0] == minutes[1]  # the step that did not change
    assert minutes_of_step(drawn[1], longer, 1) == pytest.approx(
        2 * minutes_of_step(drawn[0], works, 1), abs=2
    )


def minutes_of_step(chance: Drawn, works: Works, index: int) -> int:
    shop = build_shop(works, NOW, horizon=1000)
    facts: StepFacts = FactTable(shop, times_of(works)).route(works.variant("s", "plain"), "body")[index]
    return chance.minutes("A-1.single", facts, facts.ways[0], 0)


def test_utilisation_counts_what_is_worked_in_the_hours_there_are() -> None:
    works = works_of(
        single("s", step("a", "press", 120), step("b", "bench", 120)),
        stations={"press": {"calendar": "shift"}, "bench": {}}, calendars={"shift": EIGHT_HOURS},
    )  # fmt: skip
    plan = plan_of(works, book_of("s"))

    found = {s.station: s for s in forecast(works, book_of("s"), plan, runs=2).stations}

    assert found["press"].utilisation == pytest.approx(0.5)  # 120 of the first 240 minutes
    assert found["bench"].utilisation == pytest.approx(0.5)
    assert found["press"].utilisation + found["press"].blocked + found["press"].starved == pytest.approx(1.0)


def test_a_kept_place_counts_as_blocked_and_a_buffer_by_time() -> None:
    works = works_of(
        single("s", step("a", "press", 60, keeps_place=True, next_min=60), step("w", "bench", 60, buffer="rack"),
               step("z", "press", 60)),
        stations=PRESS, buffers={"rack": {"name": "r", "places": 2}},
    )  # fmt: skip
    book = book_of("s")
    plan = plan_of(works, book)

    found = forecast(works, book, plan, runs=2)

    press = next(s for s in found.stations if s.station == "press")
    assert (press.utilisation, press.blocked) == (pytest.approx(0.5), pytest.approx(0.25))
    assert (found.buffers[0].mean, found.buffers[0].max) == (0.0, 0)


def test_the_fullest_station_is_the_bottleneck() -> None:
    works = works_of(single("s", step("a", "press", 50), step("b", "bench", 20)), stations=PRESS)
    book = book_of(("s", 4))

    found = forecast(works, book, plan_of(works, book), runs=2)

    assert found.bottleneck == "press"
    assert found.throughput_per_week == pytest.approx(4 * 7 * 24 * 60 / 220)


def test_on_time_is_the_share_of_futures_in_time() -> None:
    works = works_of(
        single("s", step("a", "press", 60, rework={"chance": 0.5, "to": "a"})),
        stations={"press": {"calendar": "shift"}},
        calendars={"shift": {"week": {d: ["06:00-07:30"] for d in ("mon", "tue")}}},
    )  # fmt: skip
    book = book_of("s")

    found = forecast(works, book, plan_of(works, book), runs=200).orders[0]

    assert 0.4 < found.on_time < 0.6


def test_the_document_has_the_public_shape() -> None:
    works = shells(0.0)
    book = book_of("p", "s")

    body = forecast_document(forecast(works, book, plan_of(works, book), runs=1), works)

    assert set(body) >= {"runs", "seed", "orders", "stations", "buffers", "bottleneck", "throughput_per_week"}
    assert set(body["orders"][0]) >= {"order", "p10", "p50", "p90", "on_time"}
    assert set(body["stations"][0]) >= {"station", "utilisation", "blocked", "starved"}


@pytest.mark.parametrize(("share", "value"), [(0.1, 1), (0.5, 5), (0.9, 9), (0.91, 10)])
def test_a_percentile_is_a_value_that_was_seen(share: float, value: int) -> None:
    assert nearest_rank(range(1, 11), share) == value


def test_the_triangle_has_its_mean() -> None:
    n = 20_000

    mean = sum(triangular(10.0, 20.0, high=60.0, at=(i + 0.5) / n) for i in range(n)) / n

    # closed form of the triangular distribution: (low + likely + high) / 3
    assert mean == pytest.approx(30.0, rel=1e-4)
