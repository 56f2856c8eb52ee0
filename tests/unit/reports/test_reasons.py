"""Why an order ends when it ends."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pairwright.base.words import ENGLISH
from pairwright.plan.supply import Supply, Wait
from pairwright.reports.planned import Planned, planned
from pairwright.reports.reasons import causes, chain_of
from tests.unit.audit.small import loaded
from tests.unit.reports.hand import NOW, at, schedule


@pytest.fixture
def plan() -> Planned:
    works, _, _ = loaded()
    return planned(works, schedule(works))


def seconds(plan: Planned, order: str) -> dict[tuple[str, str], float]:
    return {(s.cause, s.subject): s.seconds for s in causes(chain_of(plan, order), plan)}


@pytest.mark.parametrize(("order", "end"), [("T1", 1470), ("W1", 1500)])
def test_every_second_from_now_to_the_end_has_one_cause(plan: Planned, order: str, end: int) -> None:
    assert sum(seconds(plan, order).values()) == at(end) - NOW


def test_the_chain_runs_through_the_half_that_came_last(plan: Planned) -> None:
    chain = [link.operation for link in chain_of(plan, "T1")]

    assert chain[0] == "T1-1.right.shell#0" or chain[0] == "T1-1.left.shell#0"
    assert chain[-1] == "T1-1#5"
    assert [link.start for link in chain_of(plan, "T1")] == sorted(
        link.start for link in chain_of(plan, "T1")
    )


def test_a_rest_is_named_by_its_step(plan: Planned) -> None:
    assert seconds(plan, "T1")["cure", "harden"] == 600 * 60


def test_the_single_queues_for_the_press_while_the_pair_is_on_it(plan: Planned) -> None:
    found = seconds(plan, "W1")

    assert found["queue", "press"] == 150 * 60  # the pair's setup and both its shells
    assert found["setup", "press"] == 30 * 60


def test_the_night_is_nobody_s_queue(plan: Planned) -> None:
    # from 240 to 1470: a break of 15 min is before 255; closed from 480 to 1440
    assert seconds(plan, "W1")["hours", ""] == (15 + 960) * 60


def test_a_night_spent_in_a_queue_counts_as_queue() -> None:
    # the press is taken from the break's end to the break of Tuesday: the night between is queue too
    works, _, _ = loaded()
    made = schedule(works)
    long = [replace(o, end=at(1500), pieces=((at(180), at(240)), (at(255), at(480)), (at(1440), at(1500))))
            if o.id == "W1-1.single#0" else o for o in made.operations]  # fmt: skip
    last = replace(made.operations[0], id="x", order="X1", set="X1-1", item="X1-1.left.shell",
                   start=at(1500), end=at(1560), setup_start=None)  # fmt: skip

    found = seconds(planned(works, replace(made, operations=(*long, last))), "X1")

    assert found["queue", "press"] == 1500 * 60
    assert ("hours", "") not in found


def test_a_wait_that_the_recipe_asks_for_counts_as_cure() -> None:
    works, _, _ = loaded()
    plan = planned(works, schedule(works))

    assert seconds(plan, "T1")["cure", "coat"] == 10 * 60


def test_a_reason_is_said_in_words(plan: Planned) -> None:
    said = [ENGLISH.say(s.text) for s in causes(chain_of(plan, "W1"), plan)]

    assert "queue for Press 150 min" in said
    assert "setting up Press 30 min" in said


def test_an_order_without_operations_has_no_chain(plan: Planned) -> None:
    assert chain_of(plan, "X9") == ()


def test_material_that_comes_late_is_told_before_the_queue(plan: Planned) -> None:
    first = chain_of(plan, "W1")[0].operation
    waits = (Wait("W1", first, "thin", at(60), False), Wait("W1", "another", "thin", at(90), False))
    late = replace(plan, schedule=replace(plan.schedule, supply=Supply(waits=waits)))

    found = seconds(late, "W1")

    assert found["material", "thin"] == 60 * 60
    assert found["queue", "press"] == 90 * 60
    assert sum(found.values()) == sum(seconds(plan, "W1").values())
    said = [ENGLISH.say(s.text) for s in causes(chain_of(late, "W1"), late)]
    assert "Thin birch not there 60 min" in said
