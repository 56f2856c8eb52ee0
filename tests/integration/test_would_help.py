"""What `would_help` says is true: each change is made by hand, planned and audited anew.

The change is written into the text of works.toml by this file's own few lines; the texts are read again,
durations computed again, the decisions of the plan carried out again with what lies below `app`, and the
audit reads the resulting document. The gain is the difference of the two completions in the documents; the
cost is worked out from the rates as the works' text states them.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import pytest

from bench.plant_works import layout
from pairwright import audit, plan, process
from pairwright.app.explaining import TRIED, candidates, explain_order
from pairwright.app.opened import Opened, open_texts
from pairwright.app.planning import PlanResult, plan_works
from pairwright.app.promising import Wanted, place_order, promise_order
from pairwright.app.replanning import plan_from
from pairwright.base.words import ENGLISH
from pairwright.works import load_book, load_works

WORK_WEEK = 40  # hours for which a person or a place is paid
SATURDAY = 6  # hours
EUR_PER_HOUR = re.compile(r"([0-9.]+) EUR/h")


def edited(body: str, path: str, value: str) -> str:
    """The text of works.toml with one value written in by hand: tables end at the next headline."""
    _, section, name, *key = path.split(".")
    head = f"[{section}.{name}]"
    lines = body.splitlines()
    first = next(n for n, line in enumerate(lines) if line.split("#")[0].strip() == head) + 1
    beyond = next((n for n in range(first, len(lines)) if lines[n].startswith("[")), len(lines))
    wanted = ".".join(key)
    for n in range(first, beyond):
        if lines[n].split("=")[0].strip() == wanted:
            lines[n] = f"{wanted} = {value}"
            return "\n".join(lines) + "\n"
    return "\n".join([*lines[:first], f"{wanted} = {value}", *lines[first:]]) + "\n"


@dataclass(frozen=True)
class Again:
    """A works planned anew by the same decisions."""

    document: Mapping[str, Any]
    violations: int


def planned_again(texts: Mapping[str, str], like: PlanResult, now: int) -> Again:
    """Load, compute, plan and audit, without `app`."""
    works = load_works(texts)
    book = load_book(texts, works)
    times = process.durations(works)
    needs = process.requirements(works)

    def again(earlier: plan.Schedule, ready: Mapping[str, int]) -> plan.Schedule:
        return plan.plan_like(works, book, like=earlier, times=times, now=now, ready=ready)

    schedule = like.schedule
    if schedule.supply is None:
        found = again(schedule, {})
    else:
        planner = plan.Planner(
            first=lambda ready: again(schedule, ready), full=lambda ready: again(schedule, ready), again=again
        )
        found = plan.supplied_plan(works, book, needs=needs, now=now, planner=planner, known=schedule.ready)
    assert not any(station.tool for station in works.factory.stations.values())  # no changes to place
    document = plan.document(found, works)
    broken = audit.verify(works, book, times=times, document=document, needs=needs)
    return Again(document, len(broken))


def completion(document: Mapping[str, Any], order: str) -> float:
    """When an order is done. [s]"""
    at = next(o["completion"] for o in document["orders"] if o["order"] == order)
    return datetime.fromisoformat(at).timestamp()


def price(tree: Mapping[str, Any], path: str, weeks: float) -> float | None:
    """What a change costs over so many weeks, from the works' own words; None without a rate."""
    labour = rate_of(tree.get("costs", {}).get("labour"))
    _, section, name, *_ = path.split(".")
    if section == "calendars":
        crews = [c for c in tree.get("crews", {}).values() if c["calendar"] == name]
        paid = sum(c["people"] * (rate_of(c.get("rate")) or labour) for c in crews)
        return paid * SATURDAY * weeks or None
    rate = rate_of(tree[section][name].get("rate")) or (labour if section == "crews" else 0.0)
    return rate * WORK_WEEK * weeks or None


def rate_of(words: str | None) -> float:
    """Money per hour."""
    found = EUR_PER_HOUR.fullmatch(words) if words else None
    return float(found[1]) if found else 0.0


def sound(opened: Opened, planned: PlanResult, orders: int) -> list[str]:
    """Check every help of so many orders, the latest first; answers the changes that were checked."""
    now = opened.now()
    tree = tomllib.loads(opened.texts["works.toml"])
    before = planned.document
    end = datetime.fromisoformat(before["makespan_end"]).timestamp()
    late = sorted(before["orders"], key=lambda o: (-o["late"], o["order"]))
    checked: list[str] = []
    for order in [o["order"] for o in late[:orders]]:
        why = explain_order(opened, order, actor="test", now=now, planned=planned).as_json(ENGLISH)
        for told in json.loads(json.dumps(why))["would_help"]:
            path, _, value = told["change"].partition("=")
            texts = {**opened.texts, "works.toml": edited(opened.texts["works.toml"], path, value)}
            assert texts != dict(opened.texts)
            again = planned_again(texts, planned, now)
            gain = completion(before, order) - completion(again.document, order)
            assert told["verified"] is True
            assert again.violations == 0
            assert gain > 0
            assert told["gain_days"] == pytest.approx(gain / 86400, abs=1e-9)
            cost = price(tree, path, (end - now) / (7 * 86400))
            assert told["cost"] == (None if cost is None else pytest.approx(cost, rel=1e-9))
            checked.append(told["change"])
    return checked


@pytest.fixture(scope="module")
def plant() -> Opened:
    return open_texts(layout(pairs=8), "plant")


@pytest.fixture(scope="module")
def plant_plan(plant: Opened) -> PlanResult:
    return plan_works(plant, actor="test", now=plant.now(), effort=12)


def test_what_would_help_in_the_sample_works_does(opened: Opened, planned: PlanResult) -> None:
    checked = sound(opened, planned, orders=4)

    assert len(checked) >= 2


def test_what_would_help_in_the_plant_does(plant: Opened, plant_plan: PlanResult) -> None:
    checked = sound(plant, plant_plan, orders=3)

    assert plant_plan.violations == ()
    assert len(checked) >= 2


def test_a_change_that_does_not_help_is_not_offered(plant: Opened, plant_plan: PlanResult) -> None:
    left_out = 0
    for order in [o.order for o in plant_plan.schedule.orders][:2]:
        why = explain_order(plant, order, actor="test", now=plant.now(), planned=plant_plan)
        offered = [one.change for one in why.would_help]
        for (path, value), _ in list(candidates(plant, why.causes, why.chain))[:TRIED]:
            if (path, value) in offered:
                continue
            texts = {**plant.texts, "works.toml": edited(plant.texts["works.toml"], path, value)}
            again = planned_again(texts, plant_plan, plant.now())
            assert completion(again.document, order) >= completion(plant_plan.document, order)
            left_out += 1

    assert left_out > 0


def test_what_would_help_a_promise_does(opened: Opened, planned: PlanResult) -> None:
    """The order is put in anew beside the same plan, in a works that was changed by hand."""
    kept = plan_from(planned.document, "plan")
    wanted = Wanted("alder", 1, "oak")
    told = promise_order(opened, kept, wanted, actor="test", runs=2, workers=1)
    tree = tomllib.loads(opened.texts["works.toml"])
    end = datetime.fromisoformat(planned.document["makespan_end"]).timestamp()
    date = completion(told.placed.result.document, told.placed.order)
    # Starts only: with longer hours a step that pauses over a break ends sooner.
    stays = {(op["id"], op["start"]) for op in planned.document["operations"]}

    helps = told.as_json(ENGLISH)["would_help"]
    for one in helps:
        path, _, value = one["change"].partition("=")
        texts = {**opened.texts, "works.toml": edited(opened.texts["works.toml"], path, value)}
        again = place_order(open_texts(texts), kept, replace(wanted, order=told.placed.order))
        document = again.result.document
        assert again.result.violations == ()
        assert stays <= {(op["id"], op["start"]) for op in document["operations"]}
        gain = date - completion(document, told.placed.order)
        assert one["verified"] is True
        assert gain > 0
        assert one["gain_days"] == pytest.approx(gain / 86400, abs=1e-9)
        cost = price(tree, path, (end - opened.now()) / (7 * 86400))
        assert one["cost"] == (None if cost is None else pytest.approx(cost, rel=1e-9))

    assert helps


def test_a_hand_written_change_says_the_same_as_the_works_own(opened: Opened) -> None:
    """The few lines above, against the editor that keeps comments."""
    from pairwright.works import apply_changes

    for path, value in (
        ("works.stations.clamps.places", "7"),
        ("works.crews.lacquer.people", "2"),
        ("works.calendars.day.week.sat", '["07:00-13:00"]'),
    ):
        ours = edited(opened.texts["works.toml"], path, value)
        theirs = apply_changes(opened.texts, [(path, value)])["works.toml"]
        assert tomllib.loads(ours) == tomllib.loads(theirs)
