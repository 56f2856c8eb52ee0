"""Plans with the audit's opinion; tests may ask what the plan itself may not."""

from __future__ import annotations

from typing import Any

from pairwright import audit
from pairwright.plan import Schedule, document
from pairwright.plan.bound import lower_bound
from pairwright.plan.build import build_problem
from pairwright.plan.shop import build_shop
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from tests.unit.plan.builder import length_of, plan_of, times_of


def faults_of(works: Works, book: Book, schedule: Schedule) -> list[str]:
    """Every violation that the audit finds, as text."""
    body = document(schedule, works)
    found = audit.verify(works, book, times=times_of(works), document=body)
    return [f"{v.rule} {v.subject}: {v.text}" for v in found]


def sound_plan(works: Works, book: Book, **more: Any) -> Schedule:
    """A plan that the audit agrees with."""
    schedule = plan_of(works, book, **more)
    assert schedule.status in ("optimal", "feasible"), [str(r) for r in schedule.reasons]
    assert faults_of(works, book, schedule) == []
    assert raw_bound(works, book, schedule) <= schedule.objective + 1e-6
    return schedule


def raw_bound(works: Works, book: Book, schedule: Schedule) -> float:
    """The lower bound as it is computed, before it is laid beside the plan's value."""
    horizon = 4 * (26 * 7 * 1440) + (schedule.makespan_end - schedule.now) // 60
    problem = build_problem(build_shop(works, schedule.now, horizon=horizon), book, times=times_of(works))
    return lower_bound(problem, objective=schedule.objective_kind, now=schedule.now)


def sound_length(works: Works, book: Book, **more: Any) -> int:
    """Minutes that the best plan found takes, after the audit agreed with it."""
    return length_of(sound_plan(works, book, **more))
