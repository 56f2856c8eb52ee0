"""Each constraint on two or three tasks whose best plan is known by hand.

Where a case comes in two halves, a comment says which is OK and which is not.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from pairwright.works.orders import Order, PartStock
from tests.unit.plan.builder import (
    ALWAYS,
    EIGHT_HOURS,
    MONDAY,
    NOW,
    WITH_BREAK,
    book_of,
    minutes_of,
    operation,
    pair,
    part,
    single,
    step,
    works_of,
)  # fmt: skip
from tests.unit.plan.judged import sound_length, sound_plan

BENCH = {"bench": {}}


def two_benches(**second: Any) -> dict[str, dict[str, Any]]:
    return {"one": {}, "two": second}


def test_one_place_takes_one_item_at_a_time() -> None:
    works = works_of(single("s", step("a", "bench", 60)), stations=BENCH)

    assert sound_length(works, book_of(("s", 3))) == 180


def test_three_places_take_three_items() -> None:
    works = works_of(
        single("s", step("a", "bench", 60)), stations={"bench": {"kind": "parallel", "places": 3}}
    )

    assert sound_length(works, book_of(("s", 3))) == 60


def test_the_halves_of_a_pair_are_two_items() -> None:
    works = works_of(pair("p", step("a", "bench", 60)), stations=BENCH)

    assert sound_length(works, book_of("p")) == 120


def test_steps_follow_each_other() -> None:
    works = works_of(single("s", step("a", "one", 60), step("b", "two", 30)), stations=two_benches())

    # a of the first, then b of the first beside a of the second, then b of the second
    assert sound_length(works, book_of(("s", 2))) == 60 + 60 + 30


def test_the_quicker_of_two_stations_is_used_and_the_slower_when_it_helps() -> None:
    slow = {"station": "slow", "duration": "100 min"}
    works = works_of(
        single("s", {**step("a", None, 60), "stations": ["quick", slow]}), stations={"quick": {}, "slow": {}}
    )

    assert sound_length(works, book_of("s")) == 60  # OK: the quick one
    assert sound_length(works, book_of(("s", 2))) == 100  # not OK: both on the quick one, 120


def test_a_step_waits_at_least() -> None:
    works = works_of(
        single("s", step("a", "one", 10, next_min=45), step("b", "two", 10)), stations=two_benches()
    )

    assert sound_length(works, book_of("s")) == 10 + 45 + 10


def test_a_step_waits_at_most() -> None:
    stations = {"one": {}, "two": {"calendar": "late"}}
    late = {"late": {"week": {"mon": ["12:00-18:00"]}}}
    tight = single("s", step("a", "one", 10, next_max=20), step("b", "two", 10))
    loose = single("s", step("a", "one", 10), step("b", "two", 10))

    plan = sound_plan(works_of(tight, stations=stations, calendars=late), book_of("s"), effort=1)
    free = sound_plan(works_of(loose, stations=stations, calendars=late), book_of("s"), effort=1)

    # six hours from 06:00 to 12:00: a at once is OK without the window, not OK with it
    assert minutes_of(free)["A-1.single/a"] == (0, 10)
    assert minutes_of(plan)["A-1.single/a"] == (330, 340)
    assert minutes_of(plan)["A-1.single/b"] == (360, 370)


def test_a_chain_of_windows_is_placed_as_one() -> None:
    stations = {"one": {}, "two": {}, "three": {"calendar": "late"}}
    works = works_of(
        single("s", step("a", "one", 10, next_max=5), step("b", "two", 20, next_max=5), step("c", "three", 10)),
        stations=stations, calendars={"late": {"week": {"mon": ["12:00-18:00"]}}},
    )  # fmt: skip

    at = minutes_of(sound_plan(works, book_of("s"), effort=1))

    # c can't begin before 360, so b ends no earlier than 355 and a no earlier than 330
    assert (at["A-1.single/a"], at["A-1.single/b"], at["A-1.single/c"]) == (
        (320, 330),
        (335, 355),
        (360, 370),
    )


def test_work_that_may_not_pause_waits_for_a_piece_that_is_long_enough() -> None:
    stations = {"bench": {"calendar": "shift"}}
    whole = single("s", step("a", "bench", 300))
    split = single("s", step("a", "bench", 300, pause=True))
    calendars = {"shift": {"week": {"mon": ["06:00-10:00", "10:30-16:00"]}}}

    plan = sound_plan(works_of(whole, stations=stations, calendars=calendars), book_of("s"))
    paused = sound_plan(works_of(split, stations=stations, calendars=calendars), book_of("s"))

    assert minutes_of(plan)["A-1.single/a"] == (270, 570)  # from 10:30 in one piece
    assert minutes_of(paused)["A-1.single/a"] == (0, 330)  # over the break of 30 minutes
    assert [(b - a) // 60 for a, b in operation(paused, "A-1.single/a").pieces] == [240, 60]


def test_a_cure_runs_through_the_night_but_begins_in_hours() -> None:
    stations = {"clamps": {"calendar": "shift", "manned": False}}
    works = works_of(
        single("s", step("a", "clamps", 600)), stations=stations, calendars={"shift": EIGHT_HOURS}
    )

    plan = sound_plan(works, book_of(("s", 2)))

    # first 06:00 to 16:00; the second may not begin at 16:00, so Tuesday 06:00
    assert sorted(minutes_of(plan).values()) == [(0, 600), (1440, 2040)]


def test_nothing_is_worked_during_maintenance() -> None:
    stop = {"maintenance": [{"start": datetime(2027, 3, 1, 7), "length": "60 min"}]}
    works = works_of(single("s", step("a", "bench", 90)), stations={"bench": stop})
    pausing = works_of(single("s", step("a", "bench", 90, pause=True)), stations={"bench": stop})
    unmanned = works_of(single("s", step("a", "bench", 90)), stations={"bench": {**stop, "manned": False}})

    assert sound_length(works, book_of("s")) == 120 + 90
    assert sound_length(pausing, book_of("s")) == 60 + 60 + 30
    assert sound_length(unmanned, book_of("s")) == 120 + 90


def test_unlike_neighbours_need_a_setup_and_like_ones_none() -> None:
    setup = {"bench": {"setup": {"default": "30 min", "first": "5 min"}}}
    works = works_of(
        single("s", step("a", "bench", 60, setup="red")), single("t", step("a", "bench", 60, setup="blue")),
        stations=setup,
    )  # fmt: skip

    assert sound_length(works, book_of(("s", 2))) == 5 + 120  # OK: no setup between
    assert sound_length(works, book_of("s", "t")) == 5 + 60 + 30 + 60
    # red blue red would be 5 + 60 + 30 + 60 + 30 + 60; the two reds belong together
    assert sound_length(works, book_of("s", "t", "s")) == 5 + 60 + 60 + 30 + 60


def test_a_particular_change_has_its_own_time() -> None:
    changes = [{"before": "red", "after": "blue", "time": "10 min"}]
    works = works_of(
        single("s", step("a", "bench", 60, setup="red")), single("t", step("a", "bench", 60, setup="blue")),
        stations={"bench": {"setup": {"default": "45 min", "changes": changes}}},
    )  # fmt: skip

    assert sound_length(works, book_of("t", "s")) == 60 + 10 + 60  # red first, whatever the book says


def test_a_setup_is_made_in_working_hours_and_may_span_a_break() -> None:
    works = works_of(
        single("s", step("a", "bench", 230, setup="red")), single("t", step("a", "bench", 200, setup="blue")),
        stations={"bench": {"calendar": "shift", "setup": {"default": "30 min"}}},
        calendars={"shift": WITH_BREAK},
    )  # fmt: skip

    plan = sound_plan(works, book_of("s", "t"))

    # one before the break (to 10:00 at most), the setup around it, the other after it
    assert (plan.makespan_end - NOW) // 60 <= 270 + 20 + 230
    assert sum(op.setup_start is not None for op in plan.operations) == 1


def test_a_step_without_a_family_leaves_the_state() -> None:
    works = works_of(
        single("s", step("a", "bench", 60, setup="red")), single("t", step("a", "bench", 60)),
        stations={"bench": {"setup": {"default": "30 min"}}},
    )  # fmt: skip

    assert sound_length(works, book_of("s", "t", "s")) == 180


def test_a_crew_is_as_many_as_it_is() -> None:
    crews = {"few": {"people": 2, "calendar": "always"}}
    stations = {"bench": {"kind": "parallel", "places": 3, "crew": "few"}}
    works = works_of(single("s", step("a", "bench", 60)), stations=stations, crews=crews)
    two_each = works_of(single("s", step("a", "bench", 60, people=2)), stations=stations, crews=crews)

    assert sound_length(works, book_of(("s", 2))) == 60  # OK: two people, two items
    assert sound_length(works, book_of(("s", 3))) == 120  # not OK: three at once
    assert sound_length(two_each, book_of(("s", 2))) == 120


def test_a_crew_works_its_own_hours() -> None:
    crews = {"few": {"people": 1, "calendar": "late"}}
    works = works_of(
        single("s", step("a", "bench", 60)), stations={"bench": {"crew": "few"}}, crews=crews,
        calendars={"late": {"week": {"mon": ["09:00-12:00"]}}},
    )  # fmt: skip

    assert sound_length(works, book_of("s")) == 180 + 60


def test_a_setup_asks_the_crew() -> None:
    crews = {"few": {"people": 1, "calendar": "always"}}
    stations = {
        "press": {"crew": "few", "setup": {"default": "0 min", "first": "40 min"}},
        "bench": {"crew": "few"},
    }
    works = works_of(
        single("s", step("a", "press", 60, setup="red")), single("t", step("a", "bench", 30)),
        stations=stations, crews=crews,
    )  # fmt: skip

    assert sound_length(works, book_of("s", "t")) == 40 + 60 + 30  # 100 would need a second person


def test_nobody_is_asked_for_what_runs_unattended() -> None:
    crews = {"few": {"people": 1, "calendar": "always"}}
    stations = {"clamps": {"kind": "parallel", "places": 2, "crew": "few", "manned": False}}
    works = works_of(single("s", step("a", "clamps", 60)), stations=stations, crews=crews)

    assert sound_length(works, book_of(("s", 2))) == 60


def test_a_batch_shares_start_and_end_up_to_its_capacity() -> None:
    stations = {"oven": {"kind": "batch", "capacity": 2, "manned": False}}
    works = works_of(single("s", step("a", "oven", 60)), stations=stations)

    assert sound_length(works, book_of(("s", 2))) == 60  # OK: two share
    assert sound_length(works, book_of(("s", 3))) == 120  # not OK: three share


def test_a_batch_is_of_one_word() -> None:
    stations = {"oven": {"kind": "batch", "capacity": 4, "manned": False}}
    unlike = works_of(
        single("s", step("a", "oven", 60)), single("t", step("a", "oven", 60)), stations=stations
    )
    alike = works_of(
        single("s", step("a", "oven", 60, batch="stove")), single("t", step("a", "oven", 50, batch="stove")),
        stations=stations,
    )  # fmt: skip

    assert sound_length(unlike, book_of("s", "t")) == 120
    assert sound_length(alike, book_of("s", "t")) == 60  # as long as its longest member


def test_loads_are_counted_not_items() -> None:
    stations = {"oven": {"kind": "batch", "capacity": 1, "manned": False}}
    third = works_of(single("s", step("a", "oven", 60, load=1 / 3)), stations=stations)

    assert sound_length(third, book_of(("s", 3))) == 60
    assert sound_length(third, book_of(("s", 4))) == 120


def test_a_part_filled_batch_may_wait_for_more() -> None:
    stations = {"bench": {}, "oven": {"kind": "batch", "capacity": 2, "manned": False, "fill_wait": "20 min"}}
    works = works_of(single("s", step("a", "bench", 20), step("b", "oven", 100)), stations=stations)

    # the first waits 20 minutes for the second: 40 + 100; at once would be 20 + 100 + 100
    assert sound_length(works, book_of(("s", 2))) == 140


def test_mates_share_a_batch() -> None:
    stations = {"bench": {}, "oven": {"kind": "batch", "capacity": 2, "manned": False}}
    works = works_of(
        pair("p", step("a", "bench", 30), step("b", "oven", 60, mates="same batch")), stations=stations
    )

    plan = sound_plan(works, book_of("p"))

    assert minutes_of(plan)["A-1.a/b"] == minutes_of(plan)["A-1.b/b"] == (60, 120)
    assert operation(plan, "A-1.a/b").batch == operation(plan, "A-1.b/b").batch is not None


def test_mates_stay_close() -> None:
    stations = {"slow": {}, "bench": {"kind": "parallel", "places": 2}}
    far = works_of(pair("p", step("a", "slow", 60), step("b", "bench", 30)), stations=stations)
    near = works_of(
        pair("p", step("a", "slow", 60), step("b", "bench", 30, mates_within=10)), stations=stations
    )

    apart = minutes_of(sound_plan(far, book_of("p")))
    close = minutes_of(sound_plan(near, book_of("p")))

    assert abs(apart["A-1.a/b"][0] - apart["A-1.b/b"][0]) == 60  # OK where nothing is said
    assert abs(close["A-1.a/b"][0] - close["A-1.b/b"][0]) <= 10


def test_the_product_keeps_early_bound_halves_close() -> None:
    stations = {"slow": {}, "bench": {"kind": "parallel", "places": 2}}
    steps = (step("a", "slow", 60, mates_within=60), step("b", "bench", 30))
    works = works_of(pair("p", *steps, early=True, mates_within="20 min"), stations=stations)

    at = minutes_of(sound_plan(works, book_of("p")))

    assert abs(at["A-1.left/b"][0] - at["A-1.right/b"][0]) <= 20


def test_a_line_keeps_pitch_and_order() -> None:
    stations = {"line": {"kind": "line", "places": 3, "pitch": "10 min", "manned": False}}
    works = works_of(
        single("s", step("a", "line", 50)), single("t", step("a", "line", 30)), stations=stations
    )

    plan = sound_plan(works, book_of("s", "t"))

    # the long one first; the short one would leave at 40, before it: it enters at 20 and leaves with it
    assert (plan.makespan_end - NOW) // 60 == 50
    assert sound_length(works, book_of(("t", 4))) == 10 + 10 + 10 + 30


def test_a_carrier_is_out_from_taking_to_returning() -> None:
    stations = {"bench": {"kind": "parallel", "places": 2}}
    steps = (step("a", "bench", 30, takes="frame"), step("b", "bench", 40, returns="frame"))
    one = works_of(single("s", *steps), stations=stations, carriers={"frame": {"name": "f", "count": 1}})
    two = works_of(single("s", *steps), stations=stations, carriers={"frame": {"name": "f", "count": 2}})

    assert sound_length(one, book_of(("s", 2))) == 140
    assert sound_length(two, book_of(("s", 2))) == 70
    assert operation(sound_plan(one, book_of("s")), "A-1.single/b").carrier == "frame"


def test_a_kept_place_is_held_until_the_next_step() -> None:
    stations = {"fixture": {}, "bench": {"calendar": "late"}}
    calendars = {"late": {"week": {"mon": ["09:00-18:00"]}}}
    works = works_of(
        single("s", step("a", "fixture", 30, keeps_place=True), step("b", "bench", 60)),
        stations=stations, calendars=calendars,
    )  # fmt: skip

    plan = sound_plan(works, book_of(("s", 2)))

    # nothing can begin in the fixture before the first has left it: at 09:00 or, planned just in
    # time, later; the second then needs the fixture for 30 minutes before its own b
    assert (plan.makespan_end - NOW) // 60 == 180 + 60 + 60
    first, second = sorted((op for op in plan.operations if op.step == "a"), key=lambda op: op.start)
    assert first.held_until is not None
    assert second.start >= first.held_until


def test_a_buffer_has_so_many_places() -> None:
    stations = {"quick": {}, "slow": {}}
    steps = (step("a", "quick", 10, buffer="rack"), step("b", "slow", 60))
    one = works_of(single("s", *steps), stations=stations, buffers={"rack": {"name": "r", "places": 1}})

    plan = sound_plan(one, book_of(("s", 3)), effort=1)

    # the place is kept from the start of a to the start of b, so the third a waits for the second b
    assert [s for s, _ in sorted(v for k, v in minutes_of(plan).items() if k.endswith("/a"))] == [0, 10, 70]
    assert (plan.makespan_end - NOW) // 60 == 190


def test_a_wait_without_a_station_may_fill_a_buffer() -> None:
    steps = (step("a", "bench", 10), step("rest", None, 120, buffer="room"), step("b", "bench", 10))
    works = works_of(single("s", *steps), stations=BENCH, buffers={"room": {"name": "r", "places": 1}})

    plan = sound_plan(works, book_of(("s", 2)))

    # one rests at a time; its place is kept from the start of a to the start of b
    assert (plan.makespan_end - NOW) // 60 == 10 + 120 + 10 + 10 + 120 + 10
    assert operation(plan, "A-1.single/rest").station is None


def test_items_are_brought_between_areas() -> None:
    stations = {"one": {"area": "here"}, "two": {"area": "there"}}
    works = works_of(
        single("s", step("a", "one", 10), step("b", "two", 10)), stations=stations,
        transport={"within": "1 min", "default": "25 min"},
    )  # fmt: skip

    assert sound_length(works, book_of("s")) == 10 + 25 + 10


def test_parts_are_finished_before_they_are_used() -> None:
    parts = {"foot": part(step("turn", "lathe", 40), quantity=2)}
    works = works_of(
        single("s", step("a", "bench", 30), step("b", "bench", 20, uses=["foot"]), parts=parts),
        stations={"bench": {}, "lathe": {}},
    )  # fmt: skip

    plan = sound_plan(works, book_of("s"))

    assert minutes_of(plan)["A-1.single/b"] == (80, 100)
    assert operation(plan, "A-1.single/b").uses == ("A-1.single.foot.1", "A-1.single.foot.2")


def test_each_half_has_its_own_parts_and_the_set_has_parts_too() -> None:
    parts = {"foot": part(step("turn", "lathe", 40)), "box": part(step("fold", "lathe", 10))}
    works = works_of(
        pair("p", step("a", "bench", 30, uses=["foot"]), step("pack", "bench", 5, together=True, uses=["box"]),
             parts=parts),
        stations={"bench": {}, "lathe": {}},
    )  # fmt: skip

    plan = sound_plan(works, book_of("p"))

    assert {op.item for op in plan.operations if op.step in ("turn", "fold")} == {
        "A-1.a.foot", "A-1.b.foot", "A-1.box"
    }  # fmt: skip
    pack = operation(plan, "A-1/pack")
    assert (pack.item, pack.side, pack.uses) == ("A-1", None, ("A-1.box",))


def test_what_is_done_together_waits_for_both_halves() -> None:
    works = works_of(
        pair("p", step("a", "bench", 30), step("both", "table", 10, together=True), step("c", "bench", 5)),
        stations={"bench": {}, "table": {}},
    )  # fmt: skip

    assert sound_length(works, book_of("p")) == 60 + 10 + 10


def test_stock_stands_in_for_parts() -> None:
    parts = {"foot": part(step("turn", "lathe", 400))}
    works = works_of(
        single("s", step("a", "bench", 30, uses=["foot"]), parts=parts), stations={"bench": {}, "lathe": {}}
    )

    plan = sound_plan(works, book_of("s", parts=[PartStock("s", "plain", "foot", 1)]))

    assert [op.id for op in plan.operations] == ["A-1.single/a"]
    assert operation(plan, "A-1.single/a").uses == ("A-1.single.foot",)


def test_a_half_from_stock_leaves_its_mate_and_what_is_done_together() -> None:
    works = works_of(
        pair("p", step("a", "bench", 30), step("pack", "bench", 10, together=True)), stations=BENCH
    )

    plan = sound_plan(works, book_of("p", parts=[PartStock("p", "plain", "body", 1, "a")]))

    assert [op.id for op in plan.operations] == ["A-1.b/a", "A-1/pack"]


def test_an_order_does_not_begin_before_its_release() -> None:
    works = works_of(single("s", step("a", "bench", 30)), stations=BENCH)
    order = Order("A", "s", "plain", 1, date_after(3), released=date_after(1))

    assert sound_length(works, book_of(order)) == 18 * 60 + 30  # Tuesday's midnight


def test_the_heavier_order_is_late_last() -> None:
    works = works_of(single("s", step("a", "bench", 300)), stations={"bench": {"calendar": "shift"}},
                     calendars={"shift": EIGHT_HOURS})  # fmt: skip
    light = Order("A", "s", "plain", 1, MONDAY, weight=1.0)
    heavy = Order("B", "s", "plain", 1, MONDAY, weight=3.0)

    plan = sound_plan(works, book_of(light, heavy), objective="service")

    # one is done Monday 11:00, the other Tuesday 11:00, 21 hours after the end of Monday's hours
    assert plan.objective == 1.0 * 21 * 3600
    assert [o.late for o in plan.orders] == [21 * 3600, 0]
    assert plan.status == "optimal"


def test_time_flows_on_through_the_change_of_clocks() -> None:
    # In Amsterdam clocks go forward on Sunday 28 March 2027 at 02:00.
    works = works_of(
        single("s", step("a", "bench", 600)), stations={"bench": {"calendar": "nights"}},
        calendars={"nights": {"week": {"sat": ["20:00-24:00"], "sun": ["00:00-08:00"]}}}, zone="Europe/Amsterdam",
    )  # fmt: skip
    saturday_evening = NOW + 26 * 86400 + 13 * 3600  # Saturday 27 March 19:00 UTC, 20:00 there

    # 20:00 to 08:00 is eleven hours that night: ten hours of work fit
    assert sound_length(works, book_of("s"), now=saturday_evening) == 600
    longer = works_of(
        single("s", step("a", "bench", 690)), stations={"bench": {"calendar": "nights"}},
        calendars={"nights": {"week": {"sat": ["20:00-24:00"], "sun": ["00:00-08:00"]}}}, zone="Europe/Amsterdam",
    )  # fmt: skip
    # eleven and a half do not; the next weekend's twelve hours take them
    assert sound_length(longer, book_of("s"), now=saturday_evening) > 6 * 1440


def date_after(days: int) -> Any:
    return MONDAY + timedelta(days=days)


def test_an_empty_book_is_an_empty_plan() -> None:
    works = works_of(single("s", step("a", "bench", 30)), stations=BENCH, calendars={"x": ALWAYS})

    plan = sound_plan(works, book_of())

    assert (plan.status, plan.operations, plan.objective) == ("optimal", (), 0.0)


def test_what_goes_on_at_once_has_not_stayed_in_the_buffer() -> None:
    works = works_of(
        single("s", step("a", "one", 10, buffer="rack"), step("b", "two", 10)),
        stations=two_benches(),
        buffers={"rack": {"name": "r", "places": 1}},
    )

    plan = sound_plan(works, book_of("s"), effort=1)

    assert operation(plan, "A-1.single/a").buffer_stays == ()


def test_the_slower_way_is_taken_where_the_quicker_leads_nowhere() -> None:
    near = {"station": "near", "duration": "40 min"}
    works = works_of(
        single("s", {**step("a", None, 10, next_max=5), "stations": ["far", near]}, step("b", "bench", 10)),
        stations={"far": {"area": "away"}, "near": {}, "bench": {}},
        transport={"default": "20 min"},
    )

    # not OK: 10 minutes far away, and then 20 to the bench where 5 are allowed
    assert sound_length(works, book_of("s")) == 40 + 10
