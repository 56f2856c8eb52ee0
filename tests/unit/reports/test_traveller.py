"""The traveller: the whole route in order, cautions that rows refer to, what is done already."""

from __future__ import annotations

from pairwright.floor.things import Item
from pairwright.process import cautions_of
from pairwright.reports.traveller import Traveller, traveller_of
from tests.unit.reports.paper import opened, pair, routes


def sheet(name: str = "C-0231L") -> Traveller:
    floor = pair()
    item = floor.state.item(name)
    assert item is not None
    made = traveller_of(routes(), floor.state, item)
    assert made is not None
    return made


def test_the_route_is_there_step_by_step() -> None:
    steps = opened().works.variants["alder", "walnut"].parts["cabinet"].steps

    rows = sheet().rows

    assert [row.step for row in rows] == [step.id for step in steps]
    assert [row.number for row in rows] == list(range(1, len(steps) + 1))
    assert [row.wait for row in rows] == [not step.stations for step in steps]


def test_it_names_side_mate_set_order_and_day() -> None:
    made = sheet("C-0231R")

    assert (made.side, made.code.id) == ("right", "C-0231R")
    assert made.mate is not None
    assert made.mate.readable == "C-0231L TD"
    assert [(str(name), value) for name, value in made.facts] == [
        ("set", "A1-1 ST"), ("order", "A1"), ("due", "2027-05-28"),
    ]  # fmt: skip


def test_each_row_refers_to_all_the_cautions_of_its_step_and_none_is_left_out() -> None:
    works = opened().works
    steps = {step.id: step for step in works.variants["alder", "walnut"].parts["cabinet"].steps}
    made = sheet()

    for row in made.rows:
        if not row.wait:
            told = [made.cautions[n - 1] for n in row.cautions]
            wanted = cautions_of(works, steps[row.step])
            assert len(told) == len(wanted)
            assert all(text.startswith(one.text) for text, one in zip(told, wanted, strict=True))
    assert {n for row in made.rows for n in row.cautions} == set(range(1, len(made.cautions) + 1))


def test_handling_notes_of_the_recipe_are_on_it() -> None:
    steps = [
        (product, part, step)
        for product, variant in opened().works.variants.items()
        for part, record in variant.parts.items()
        for step in record.steps
        if step.handling and step.stations
    ]
    assert steps
    (product, option), part, step = steps[0]

    made = traveller_of(
        routes(), pair().state, Item("X-1", "item", 0, 0, product=product, option=option, part=part)
    )

    assert made is not None
    assert step.handling in [row.handling for row in made.rows]


def test_what_is_recorded_as_done_stands_in_its_boxes() -> None:
    floor = pair()
    first = sheet().rows[0].step
    floor.tell("started", "item C-0231L", step=first, station="opening-fixture")
    floor.tell("finished", "item C-0231L", step=first, station="opening-fixture")
    item = floor.state.item("C-0231L")
    assert item is not None

    made = traveller_of(routes(), floor.state, item)

    assert made is not None
    assert made.rows[0].done is not None
    assert [row.done for row in made.rows[1:]] == [None] * (len(made.rows) - 1)


def test_steps_of_the_whole_set_say_so_and_limits_in_time_are_told() -> None:
    rows = sheet().rows

    assert any(row.together for row in rows)
    assert any("go on within" in str(limit) for row in rows for limit in row.limits)
    assert any(str(limit).startswith("at least") for row in rows if row.wait for limit in row.limits)


def test_the_right_programme_of_the_side_is_named() -> None:
    floor = pair()
    for side in ("left", "right"):
        shell = Item("S-1", "item", 0, 0, product="alder", option="walnut", part="shell", side=side)
        made = traveller_of(routes(), floor.state, shell)
        assert made is not None
        named = [str(row.programme) for row in made.rows if row.programme is not None]
        assert any(f"alder-shell-{side}" in one for one in named)


def test_what_has_no_route_has_no_traveller() -> None:
    floor = pair()

    assert traveller_of(routes(), floor.state, Item("X-1", "item", 0, 0)) is None
