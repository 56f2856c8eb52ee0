"""Lower bounds by hand; that they hold on anything is a property test."""

from __future__ import annotations

from datetime import timedelta

from pairwright.works.orders import Order
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
    works_of,
)
from tests.unit.plan.judged import sound_plan

SHIFT = {"shift": EIGHT_HOURS}


def bound_minutes(*args: object, **more: object) -> int:
    schedule = plan_of(*args, effort=1, **more)  # type: ignore[arg-type]
    return int(schedule.lower_bound) // 60


def test_the_way_counts_calendars_and_waits() -> None:
    works = works_of(
        single("s", step("a", "one", 60, next_min=600), step("b", "two", 30)),
        stations={"one": {}, "two": {"calendar": "shift"}}, calendars=SHIFT,
    )  # fmt: skip

    assert bound_minutes(works, book_of("s")) == 1440 + 30  # a ends 07:00, b not before Tuesday 06:00


def test_a_window_pushes_what_goes_before_it() -> None:
    works = works_of(
        single("s", step("x", "one", 60, next_max=30), step("b", "two", 30), parts={}),
        single("t", step("x", "one", 60), step("b", "two", 30)),
        stations={"one": {}, "two": {"calendar": "shift"}}, calendars={"shift": {"week": {"mon": ["12:00-20:00"]}}},
    )  # fmt: skip

    assert bound_minutes(works, book_of("s")) == 360 + 30


def test_the_load_of_a_station_counts_with_head_and_tail() -> None:
    works = works_of(
        single("s", step("a", "free", 20), step("b", "one", 50), step("c", "free", 40)),
        stations={"free": {"kind": "parallel", "places": 9}, "one": {}},
    )  # fmt: skip

    assert bound_minutes(works, book_of(("s", 4))) == 20 + 4 * 50 + 40


def test_places_and_people_share_the_load() -> None:
    stations = {"bench": {"kind": "parallel", "places": 3, "crew": "few"}}
    works = works_of(
        single("s", step("a", "bench", 60)),
        stations=stations,
        crews={"few": {"people": 2, "calendar": "always"}},
    )

    assert bound_minutes(works, book_of(("s", 6))) == 180  # six hours of work, two people


def test_a_batch_counts_by_load() -> None:
    stations = {"oven": {"kind": "batch", "capacity": 4, "manned": False}}
    works = works_of(single("s", step("a", "oven", 60)), stations=stations)

    assert bound_minutes(works, book_of(("s", 8))) == 120


def test_changes_of_family_that_must_come_are_counted() -> None:
    works = works_of(
        single("s", step("a", "bench", 60, setup="red")), single("t", step("a", "bench", 60, setup="blue")),
        stations={"bench": {"setup": {"default": "30 min"}}},
    )  # fmt: skip

    assert bound_minutes(works, book_of("s", "t", "s")) == 180 + 30


def test_what_does_not_fill_a_shift_is_not_counted_on() -> None:
    works = works_of(
        single("s", step("a", "bench", 150)), stations={"bench": {"calendar": "shift"}}, calendars=SHIFT
    )

    # three of 150 minutes fill 450 of 480: the fourth is Tuesday's
    plan = sound_plan(works, book_of(("s", 4)))

    assert plan.lower_bound == plan.objective == (1440 + 150) * 60
    assert plan.status == "optimal"


def test_the_next_step_must_be_reached_in_time() -> None:
    works = works_of(
        single("s", step("a", "booth", 30, next_max=10), step("b", "oven", 60)),
        stations={
            "booth": {"calendar": "shift"},
            "oven": {"kind": "parallel", "places": 99, "manned": False, "calendar": "short"},
        },
        calendars={**SHIFT, "short": {"week": {d: ["06:00-07:10"] for d in ("mon", "tue", "wed", "thu", "fri")}}},
    )  # fmt: skip

    # an oven start lies before 07:10, so the booth makes two a day, not sixteen
    plan = sound_plan(works, book_of(("s", 4)))

    assert plan.lower_bound == (1440 + 120) * 60


def test_lateness_of_one_order_follows_from_its_way() -> None:
    works = works_of(single("s", step("a", "bench", 900, pause=True)), stations={"bench": {"calendar": "shift"}},
                     calendars=SHIFT)  # fmt: skip

    plan = sound_plan(works, book_of("s"), objective="service")

    # 480 minutes on Monday and 420 on Tuesday; due Monday 14:00
    assert plan.lower_bound == plan.objective == (1440 + 420 - 480) * 60


def test_orders_that_share_a_station_can_not_all_be_on_time() -> None:
    works = works_of(
        single("s", step("a", "bench", 480)), stations={"bench": {"calendar": "shift"}}, calendars=SHIFT
    )
    orders = [
        Order(name, "s", "plain", 1, MONDAY, weight) for name, weight in (("A", 1.0), ("B", 2.0), ("C", 3.0))
    ]

    plan = sound_plan(works, book_of(*orders), objective="service")

    # the heaviest Monday, then the next, then the lightest: 2 x 1 day + 1 x 2 days
    assert plan.lower_bound == plan.objective == (2 * 1 + 1 * 2) * 86400
    assert plan.status == "optimal"


def test_an_early_bound_pair_with_a_part_is_bounded_too() -> None:
    works = works_of(
        pair("p", step("a", "bench", 30, uses=["foot"]), parts={"foot": part(step("turn", "lathe", 50))}, early=True),
        stations={"bench": {}, "lathe": {}},
    )  # fmt: skip

    assert bound_minutes(works, book_of("p")) == 50 + 50 + 30
    assert plan_of(works, book_of("p")).makespan_end == NOW + 130 * 60


def test_a_station_met_twice_is_left_for_good_the_second_time() -> None:
    works = works_of(
        single("s", step("a", "bench", 10), step("w", None, 1000), step("b", "bench", 10)),
        stations={"bench": {}},
    )
    orders = [Order(name, "s", "plain", 1, MONDAY - timedelta(days=3)) for name in ("A", "B")]

    plan = sound_plan(works, book_of(*orders), objective="service")

    # The second order leaves the bench ten minutes after the first; it would be 30 if its first
    # visit were taken for its last.
    late = [order.late for order in plan.orders]
    assert abs(late[1] - late[0]) == 600


def test_work_that_a_window_pushes_late_loads_its_station_late() -> None:
    works = works_of(
        single("s", step("x", "one", 60, next_max=30), step("b", "many", 30)),
        stations={"one": {}, "many": {"kind": "parallel", "places": 9, "calendar": "noon"}},
        calendars={"noon": {"week": {"mon": ["12:00-20:00"]}}},
    )

    # b begins at 12:00 at the earliest, so x ends at 11:30 at the earliest and begins at 10:30:
    # four of them end at 14:30, and b follows
    plan = sound_plan(works, book_of(("s", 4)))

    assert plan.lower_bound == plan.objective == (270 + 4 * 60 + 30) * 60
