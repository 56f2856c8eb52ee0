"""Time between steps: nothing goes on before it has cured, nor after its open time is over."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.floor.event import Event
from pairwright.floor.routes import Position, Routes
from pairwright.floor.sequence import begins, waived
from pairwright.floor.state import State
from pairwright.floor.things import Item, Set, Worked


def in_time(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why a step may not begin, or end, at this moment.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    event : Event
        What is asked for.
    """
    if event.kind == "finished" and event.subject is not None:
        yield from _too_soon_out(routes, state, event)
    thing = begins(state, event)
    position = None if thing is None else routes.position(state, thing)
    if thing is None or position is None or position.last is None:
        return
    if position.next is None or position.next.id != event.data["step"] or waived(thing, position):
        return
    yield from _between(routes, event, thing=thing, position=position)


def _between(routes: Routes, event: Event, *, thing: Worked, position: Position) -> Iterator[Finding]:
    """The least and the longest time since the step before."""
    if position.last is None:
        return
    step, done = position.last
    passed = event.event_time - done.end
    least, longest = routes.least_wait(position), routes.longest_wait(position)
    if passed < least:
        yield Finding(
            "uncured", "error", thing.id,
            text("{id} needs {wait} after {step} and has had {passed}: leave it until {until}",
                 id=thing.id, wait=Amount(least, "duration"), step=step.name or step.id,
                 passed=Amount(max(0, passed), "duration"), until=Amount(done.end + least, "instant")),
        )  # fmt: skip
    if longest is not None and passed > longest and event.kind == "started":
        yield _too_late(thing.id, kind=step.kind, step=step.name or step.id, longest=longest, passed=passed)


def _too_late(subject: str, *, kind: str, step: str, longest: float, passed: float) -> Finding:
    """Open time for glue, a window for everything else."""
    if kind == "glue-up":
        return Finding(
            "open_time_over", "error", subject,
            text("the open time of {step} on {id} was {limit} and {passed} have passed: do not close the joint, "
                 "report it",
                 id=subject, step=step, limit=Amount(longest, "duration"), passed=Amount(passed, "duration")),
        )  # fmt: skip
    return Finding(
        "window_over", "error", subject,
        text("{id} was to go on within {limit} after {step} and {passed} have passed: report it, somebody "
             "decides what becomes of it",
             id=subject, step=step, limit=Amount(longest, "duration"), passed=Amount(passed, "duration")),
    )  # fmt: skip


def _too_soon_out(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """A cure is not cut short."""
    thing = state.thing(str(event.subject))
    if not isinstance(thing, Item | Set) or thing.under is None or thing.under.step != event.data["step"]:
        return
    position = routes.position(state, thing)
    index = None if position is None else position.index_of(event.data["step"])
    if position is None or index is None:
        return
    least = routes.least.get(position.place(event.data["step"]))
    passed = event.event_time - thing.under.since
    if least is None or passed >= least:
        return
    step = position.steps[index]
    yield Finding(
        "uncured", "error", thing.id,
        text("{step} of {id} takes at least {wait} and has had {passed}: leave it until {until}",
             id=thing.id, wait=Amount(least, "duration"), step=step.name or step.id,
             passed=Amount(max(0, passed), "duration"), until=Amount(thing.under.since + least, "instant")),
    )  # fmt: skip
