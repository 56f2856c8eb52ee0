"""What has begun lies where it lies; what can stay stays; the rest goes around it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from pairwright.base.errors import InputError
from pairwright.base.time import iso
from pairwright.plan import Schedule
from pairwright.plan.freeze import freezer
from pairwright.plan.freezing import SHARE, Asked
from pairwright.plan.live import Frozen, Live
from pairwright.plan.news import read_news
from pairwright.plan.trouble import Floor, Troubled, troubled
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from tests.unit.plan.builder import NOW, book_of, plan_of, single, step, times_of, works_of


def bench_works() -> Works:
    """One bench, one press; product s is cut and then pressed."""
    return works_of(
        single("s", step("cut", "bench", 60), step("press", "press", 30)),
        stations={"bench": {"manned": False}, "press": {"manned": False}},
    )


def at(minutes: int) -> str:
    return iso(NOW + 60 * minutes, bench_works().zone)


def went_on(
    rows: list[dict[str, Any]], minutes: int, *, sets: int = 3, asked: Asked | None = None
) -> tuple[Schedule, Troubled, Frozen]:
    """The plan of some sets, carried on so many minutes later."""
    works, book = bench_works(), book_of(("s", sets))
    plan = plan_of(works, book, objective="service")
    told = [{"news": "now", "at": at(minutes)}, *rows]
    news = read_news([("row", row) for row in told], works, operations={o.id for o in plan.operations})
    case = troubled(works, book, like=plan, news=news, floor=Floor(plan.now))
    carry = freezer(case.works, case.book, like=case.like, times=times_of(works), live=case.live)
    return plan, case, carry.plan({}, asked=asked or Asked(share=SHARE))


def starts(schedule: Schedule) -> dict[str, int]:
    return {op.id: (op.start - NOW) // 60 for op in schedule.operations}


def test_without_news_nothing_moves() -> None:
    plan, _, frozen = went_on([], 70)

    assert starts(frozen.schedule) == starts(plan)
    assert frozen.moved == ()


def test_a_step_that_takes_longer_pushes_only_what_waits_for_it() -> None:
    _, _, frozen = went_on([{"news": "late", "operation": "A-1.single/cut", "end": at(75)}], 30)

    found = starts(frozen.schedule)
    assert found["A-1.single/press"] == 75  # behind it
    assert found["A-3.single/cut"] == 120  # is in time where it is, so it stays
    assert found["A-2.single/cut"] == 180  # hit, and goes behind


def test_delays_pass_on_in_the_plan_s_own_order_where_time_counts() -> None:
    works, book = bench_works(), book_of(("s", 3))
    plan = plan_of(works, book, objective="makespan")
    row = {"news": "late", "operation": "A-1.single/cut", "end": at(75)}
    told = [("row", {"news": "now", "at": at(30)}), ("row", row)]
    news = read_news(told, works, operations={o.id for o in plan.operations})
    case = troubled(works, book, like=plan, news=news, floor=Floor(plan.now))

    carry = freezer(case.works, case.book, like=case.like, times=times_of(works), live=case.live)
    frozen = carry.plan({}, asked=Asked(share=1.0))

    found = starts(frozen.schedule)
    assert sorted(found[f"A-{n}.single/cut"] for n in (2, 3)) == [75, 135]


def test_a_station_that_stands_still_is_not_used_until_it_goes_on() -> None:
    _, _, frozen = went_on([{"news": "stopped", "station": "press", "from": at(100), "to": at(300)}], 90)

    found = starts(frozen.schedule)
    assert found["A-1.single/press"] == 60  # has begun
    assert min(found[f"A-{n}.single/press"] for n in (2, 3)) == 300
    assert found["A-2.single/cut"] == 60  # nothing to do with it
    assert all(move.affected for move in frozen.moved)


def test_what_stopped_under_way_goes_on_for_as_long_as_is_left() -> None:
    _, case, _ = went_on([{"news": "stopped", "station": "bench", "from": at(20), "to": at(50)}], 30)

    assert case.live.begun["A-1.single/cut"] == (NOW, NOW + 90 * 60)


def test_a_scrapped_piece_is_made_again_and_what_was_lost_is_kept_in_the_plan() -> None:
    _, _, frozen = went_on([{"news": "scrapped", "operation": "A-1.single/cut"}], 61)

    found = starts(frozen.schedule)
    assert found["A-1.single/cut/lost-1"] == 0
    assert found["A-1.single/cut"] >= 61
    assert found["A-1.single/press"] == found["A-1.single/cut"] + 60
    lost = next(op for op in frozen.schedule.operations if op.id.endswith("/lost-1"))
    assert lost.rework


def test_a_new_order_goes_behind_what_stays() -> None:
    row = {"news": "ordered", "order": "U", "product": "s", "quantity": 1, "due": "2027-03-01"}

    plan, _, frozen = went_on([row], 10)

    assert starts(frozen.schedule)["U-1.single/cut"] == 180
    assert {k: v for k, v in starts(frozen.schedule).items() if k[0] == "A"} == starts(plan)


def test_with_everything_free_a_heavy_order_goes_first() -> None:
    row = {"news": "ordered", "order": "U", "product": "s", "quantity": 1, "due": "2027-03-01", "weight": 9}

    _, _, frozen = went_on([row], 10, asked=Asked(soonest="U", free=True))

    assert starts(frozen.schedule)["U-1.single/cut"] == 60
    assert starts(frozen.schedule)["A-1.single/cut"] == 0  # has begun


def test_an_order_that_fell_through_leaves_the_plan() -> None:
    _, case, frozen = went_on([{"news": "cancelled", "order": "A"}], 10)

    assert case.book.orders == ()
    assert frozen.schedule.operations == ()


def test_a_pin_holds_what_would_move() -> None:
    works, book = bench_works(), book_of(("s", 3))
    plan = plan_of(works, book, objective="service")
    live = Live(NOW, pinned=frozenset({"A-2.single/cut"}), loose=frozenset({"A"}))

    frozen = freezer(works, book, like=plan, times=times_of(works), live=live).plan({})

    assert starts(frozen.schedule)["A-2.single/cut"] == starts(plan)["A-2.single/cut"]


def test_a_pin_that_cannot_be_kept_is_named() -> None:
    rows: list[dict[str, Any]] = [
        {"news": "stopped", "station": "bench", "from": at(50), "to": at(200)},
        {"news": "pinned", "operation": "A-2.single/cut"},
    ]

    _, _, frozen = went_on(rows, 55)

    assert frozen.schedule.status == "infeasible"
    assert "A-2.single/cut is pinned" in str(frozen.schedule.reasons[0])


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"news": "lost"}, "news"),
        ({"news": "late", "operation": "A-1.single/cut"}, "end"),
        ({"news": "late", "operation": "A-9.single/cut", "end": "2027-03-01T08:00:00Z"}, "operation"),
        ({"news": "stopped", "station": "bench", "from": "soon", "to": "2027-03-01T08:00:00Z"}, "from"),
        ({"news": "stopped", "station": "bench", "from": "2027-03-02T08:00:00Z", "to": "2027-03-01T08:00:00Z"}, "to"),
        ({"news": "absent", "crew": "few", "people": 1, "first": "2027-03-01", "last": "2027-03-02"}, "crew"),
        ({"news": "ordered", "order": "U", "product": "s", "quantity": 1.5, "due": "2027-03-09"}, "quantity"),
        ({"news": "cancelled", "order": "A", "purchase": "P"}, "order"),
        ({"news": "scrapped", "item": "A-1.single", "why": "dropped"}, "why"),
        ("scrapped", "row"),
    ],
)  # fmt: skip
def test_a_row_that_makes_no_sense_is_refused_with_its_place(row: object, field: str) -> None:
    works, book = bench_works(), book_of(("s", 3))
    names = {op.id for op in plan_of(works, book, effort=1).operations}

    with pytest.raises(InputError) as caught:
        read_news([("file: line 3", row)], works, operations=names)

    problem = caught.value.problems[0]
    assert (problem.where, problem.field) == ("file: line 3", field)


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ({"news": "cancelled", "order": "Z"}, "order"),
        ({"news": "batch lost", "batch": "oven-9"}, "batch"),
        ({"news": "scrapped", "operation": "A-3.single/press"}, "operation"),
        ({"news": "begun", "operation": "A-3.single/press", "start": "2027-03-09T08:00:00Z"}, "start"),
        ({"news": "finished", "operation": "A-1.single/cut", "end": "2027-03-01T06:30:00Z", "station": "press"},
         "station"),
    ],
)  # fmt: skip
def test_news_that_contradicts_the_plan_is_refused(row: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as caught:
        went_on([row], 70)

    assert caught.value.problems[0].field == field


def test_now_is_never_before_the_plan() -> None:
    with pytest.raises(InputError):
        went_on([], -10)


def test_finished_parts_given_to_an_order_stay_with_it() -> None:
    works, book = bench_works(), book_of(("s", 1))
    plan = plan_of(works, book, objective="service")
    row = {"news": "ordered", "order": "U", "product": "s", "quantity": 1, "due": "2027-02-01"}
    news = read_news([("row", row)], works, operations={o.id for o in plan.operations})

    case = troubled(
        works,
        Book(orders=book.orders),
        like=plan,
        news=news,
        floor=Floor(plan.now, covered=("A-1.x",)),
        now=NOW,
    )

    assert case.book.covered == ()  # no such part is left
    assert replace(case.book, covered=None).orders[0].id == "A"
