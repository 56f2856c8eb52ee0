"""Who is away can't be asked for; everybody else goes on."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from pairwright.base.time import DAY, HOUR
from pairwright.plan import document
from pairwright.works.definition import Works
from tests.unit.plan.builder import EIGHT_HOURS, NOW, book_of, minutes_of, operation, single, step, works_of
from tests.unit.plan.judged import faults_of, sound_plan

MIDNIGHT = NOW - 6 * HOUR


def works(people: int, *absences: dict[str, Any], asked: int = 1, places: int = 2) -> Works:
    """One bench of two places, a crew, one product of an hour."""
    return works_of(
        single("s", step("make", "bench", 60, people=asked)),
        stations={"bench": {"kind": "parallel", "places": places, "crew": "hands"}},
        calendars={"shift": EIGHT_HOURS},
        crews={"hands": {"people": people, "calendar": "always", "absences": list(absences)}},
    )


def away(first: int, last: int, people: int) -> dict[str, Any]:
    return {"from": date(2027, 3, first), "to": date(2027, 3, last), "people": people}


def test_nothing_is_worked_while_the_only_person_is_away() -> None:
    made = works(1, away(1, 3, 1))

    schedule = sound_plan(made, book_of("s"))

    assert operation(schedule, "A-1.single/make").start == MIDNIGHT + 3 * DAY


def test_who_is_left_goes_on_alone() -> None:
    made = works(2, away(1, 3, 1))

    schedule = sound_plan(made, book_of(("s", 2)))

    assert sorted(minutes_of(schedule).values()) == [(0, 60), (60, 120)]


def test_a_step_for_two_waits_until_both_are_there() -> None:
    made = works(2, away(1, 1, 1), asked=2)

    schedule = sound_plan(made, book_of("s"))

    assert operation(schedule, "A-1.single/make").start == MIDNIGHT + DAY


def test_absences_that_overlap_add_up() -> None:
    made = works(3, away(1, 4, 1), away(2, 2, 2), places=3)
    later = works(3, away(1, 1, 2), away(1, 2, 1), places=3)

    assert sorted(minutes_of(sound_plan(made, book_of(("s", 3)))).values()) == [(0, 60), (0, 60), (60, 120)]
    assert min(op.start for op in sound_plan(later, book_of("s")).operations) == MIDNIGHT + DAY


def test_an_absence_that_is_over_asks_nobody() -> None:
    made = works(1, {"from": date(2027, 2, 1), "to": date(2027, 2, 28), "people": 1})

    assert minutes_of(sound_plan(made, book_of("s")))["A-1.single/make"] == (0, 60)


@pytest.mark.parametrize("people", [1, 2])
def test_the_audit_tells_who_works_while_away(people: int) -> None:
    made = works(people)
    schedule = sound_plan(made, book_of(("s", people)))
    absent = works(people, away(1, 1, 1))

    found = faults_of(absent, book_of(("s", people)), schedule)

    assert any(fault.startswith("crew ") for fault in found)
    assert document(schedule, made)["operations"]
