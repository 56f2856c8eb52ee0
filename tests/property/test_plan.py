"""Whatever the works: a plan keeps every rule, its bound holds, and it is made the same way twice."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.plan import document, from_document
from tests.property.random_works import Drawn, drawn_works
from tests.unit.plan.builder import plan_of
from tests.unit.plan.judged import faults_of, raw_bound


@settings(max_examples=60)
@given(drawn_works(), st.sampled_from(("service", "makespan")))
def test_a_plan_keeps_every_rule_and_its_bound_holds(drawn: Drawn, objective: str) -> None:
    schedule = plan_of(drawn.works, drawn.book, objective=objective, effort=14)

    if schedule.status in ("optimal", "feasible"):
        assert faults_of(drawn.works, drawn.book, schedule) == []
        assert raw_bound(drawn.works, drawn.book, schedule) <= schedule.objective + 1e-6
    else:
        assert schedule.operations == ()
        assert schedule.status == "unknown" or schedule.reasons


@pytest.mark.slow
@settings(max_examples=2000)
@given(drawn_works(), st.sampled_from(("service", "makespan")))
def test_a_plan_keeps_every_rule_at_length(drawn: Drawn, objective: str) -> None:
    schedule = plan_of(drawn.works, drawn.book, objective=objective, effort=10)

    if schedule.status in ("optimal", "feasible"):
        assert faults_of(drawn.works, drawn.book, schedule) == []
        assert raw_bound(drawn.works, drawn.book, schedule) <= schedule.objective + 1e-6


@settings(max_examples=15)
@given(drawn_works(), st.integers(0, 5))
def test_the_same_arguments_make_the_same_plan(drawn: Drawn, seed: int) -> None:
    once = plan_of(drawn.works, drawn.book, objective="service", effort=12, seed=seed)
    again = plan_of(drawn.works, drawn.book, objective="service", effort=12, seed=seed)

    assert document(once, drawn.works) == document(again, drawn.works)


@settings(max_examples=20)
@given(drawn_works())
def test_a_plan_survives_its_document(drawn: Drawn) -> None:
    schedule = plan_of(drawn.works, drawn.book, effort=2)
    body = document(schedule, drawn.works)

    assert document(from_document(body), drawn.works) == body
