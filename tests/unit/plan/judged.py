"""Plans with the audit's opinion; tests may ask what the plan itself may not."""

from __future__ import annotations

from typing import Any

from pairwright import audit
from pairwright.plan import Schedule, document
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
    assert schedule.lower_bound <= schedule.objective
    return schedule


def sound_length(works: Works, book: Book, **more: Any) -> int:
    """Minutes that the best plan found takes, after the audit agreed with it."""
    return length_of(sound_plan(works, book, **more))
