"""The whole book of the small works: it says what plan and forecast say, and says it again the same."""

from __future__ import annotations

import json
from typing import Any

import pytest

from pairwright.base.findings import Finding
from pairwright.base.words import ENGLISH, text
from pairwright.process import check
from pairwright.reports import BookData, Comparison, Moved, make_book
from tests.unit.audit.small import loaded
from tests.unit.reports.hand import NOW, at, schedule
from tests.unit.reports.test_parts import forecast_of


def book(**more: Any) -> BookData:
    works, orders, times = loaded()
    given: dict[str, Any] = {
        "findings": check(works), "times": times, "schedule": schedule(works), "violations": (),
        "forecast": forecast_of(T1=at(2000), W1=at(1600)), "now": NOW, "version": "1.0",
    }  # fmt: skip
    return make_book(works, orders, **{**given, **more})


def test_the_first_page_says_what_the_plan_says() -> None:
    found = book()
    week = found.week

    assert {s.order: s.completion for s in week.ships} == {"T1": at(1470), "W1": at(1500)}
    assert [r.order for r in week.risks] == ["W1", "T1"]
    assert week.bottleneck is not None
    assert week.bottleneck.station == "press"
    assert found.plan.verified
    assert found.plan.sets == 2


def test_a_book_without_a_forecast_still_promises_by_the_plan() -> None:
    found = book(forecast=None)

    assert all(r.p90 is None for r in found.promises.rows)
    assert [r.order for r in found.week.risks] == ["W1"]


def test_a_book_without_a_plan_says_why() -> None:
    works, _, _ = loaded()
    empty = schedule(works, status="infeasible", operations=(), orders=(), reasons=(text("no crew"),))

    found = book(schedule=empty, forecast=None)

    assert "no crew" in [ENGLISH.say(d.text) for d in found.week.decisions]
    assert found.stations.rows == ()
    assert found.week.bottleneck is None


def test_the_book_is_one_json_document() -> None:
    said = json.loads(json.dumps(book().as_json(ENGLISH), allow_nan=False))

    assert said["now"] == "2027-03-01T06:00:00+01:00"
    assert said["week"]["risks"][0]["order"] == "W1"
    assert said["promises"]["rows"][0]["due"] == at(480)
    assert said["plan"]["gap"] == "at most 100 % from the best possible"


def test_the_same_data_makes_the_same_book() -> None:
    assert book() == book()


def test_every_kind_of_number_has_an_origin() -> None:
    found = {o.id for o in book().origins.numbers}

    assert found == {"durations", "plan", "forecast", "stations", "reasons", "purchases", "costs"}


@pytest.mark.parametrize("severity", ["error", "warning"])
def test_what_was_found_needs_a_decision_told_once(severity: Any) -> None:
    findings = [Finding("cold", severity, f"tern.{p}.glue", text("too cold")) for p in ("ash", "oak")]

    found = book(findings=findings).week.decisions

    assert [(d.subject, d.also) for d in found] == [("tern.ash.glue", ("tern.oak.glue",))]


def test_a_note_needs_no_decision() -> None:
    assert book(findings=[Finding("cold", "note", "tern", text("a little cold"))]).week.decisions == ()


def test_a_comparison_is_carried_as_it_is() -> None:
    change = Comparison(
        (("products/tern.shell.layup.plies", "5"),), (text("thicker"),),
        (Moved(text("press"), 600.0, 700.0),), (), (), (), (), 10.0, 11.0,
    )  # fmt: skip

    assert book(comparison=change).comparison is change
