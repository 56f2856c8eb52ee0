"""Who may do a kind of work: a skill is recorded for a person until a day, and may be withdrawn.

A works that has recorded nobody for a skill does not ask for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.effective import correction_in_force, person_mark, replaced, skill_mark
from pairwright.floor.event import Entry, Event
from pairwright.floor.routes import Routes
from pairwright.floor.sequence import begins
from pairwright.floor.state import State


@dataclass(frozen=True, slots=True)
class Qualification:
    """A skill of a person; `until` is the last day, None without end."""

    person: str
    skill: str
    until: str | None
    withdrawn: bool
    sequence: int


def qualifications(state: State, person: str) -> dict[str, Qualification]:
    """The last word on each skill of a person.

    Parameters
    ----------
    state : State
        Of the floor.
    person : str
        Their id.
    """
    found: dict[str, Qualification] = {}
    for entry in state.past.touching(person_mark(person)):
        event = _counts(state, entry)
        if event is not None and event.data["person"] == person:
            data = event.data
            found[data["skill"]] = Qualification(
                person, data["skill"], data.get("until"), data.get("withdrawn", False), entry.sequence
            )
    return found


def _counts(state: State, entry: Entry) -> Event | None:
    """The event as it counts, its correction carried out."""
    correction = correction_in_force(state.past, entry.event.key)
    return entry.event if correction is None else replaced(entry.event, correction.event)


def asked_for(state: State, skill: str) -> bool:
    """Whether the works keeps a list for a skill: somebody was ever recorded for it."""
    return bool(state.past.touching(skill_mark(skill)))


def may_do(state: State, person: str, *, skill: str, day: str) -> Finding | None:
    """Why a person may not do a kind of work on a day; None where they may.

    Parameters
    ----------
    state : State
        Of the floor.
    person : str
        Their id.
    skill : str
        As the step names it.
    day : str
        ISO date, local.
    """
    if not asked_for(state, skill):
        return None
    found = qualifications(state, person).get(skill)
    if found is None or found.withdrawn:
        return Finding(
            "not_qualified", "error", person,
            text("{person} is not qualified for {skill}: let somebody who is do it", person=person, skill=skill),
        )  # fmt: skip
    if found.until is not None and day > found.until:
        return Finding(
            "not_qualified", "error", person,
            text("{person} was qualified for {skill} until {day}: renew it first, or let somebody else do it",
                 person=person, skill=skill, day=found.until),
        )  # fmt: skip
    return None


def qualified_for(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why the person may not begin the step.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    event : Event
        What is asked for.
    """
    thing = begins(state, event)
    position = None if thing is None else routes.position(state, thing)
    index = None if position is None else position.index_of(event.data["step"])
    if position is None or index is None:
        return
    skill = position.steps[index].skill
    if skill is None:
        return
    slip = may_do(state, event.actor, skill=skill, day=event.local_time()[:10])
    if slip is not None:
        yield slip
