"""A step is begun at its station, in its place on the route, and with the mate where that is asked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.floor.common import finished_already
from pairwright.floor.event import Event
from pairwright.floor.routes import Position, Routes, halves, mate_of
from pairwright.floor.state import State
from pairwright.floor.things import Done, Item, Set, Worked
from pairwright.works.product import Step

OPENING: Final = ("concession", "rework", "repair")  # decisions that take the time passed into account


def begins(state: State, event: Event) -> Worked | None:
    """The thing that an event begins a step of: a start, or an end without one, as paper has it."""
    if event.kind not in ("started", "finished") or event.subject is None:
        return None
    thing = state.thing(event.subject)
    if not isinstance(thing, Item | Set):
        return None
    return None if event.kind == "finished" and thing.under is not None else thing


def in_sequence(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why a step may not begin now: another comes first, or it is no step of this thing.

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
    if thing is None or position is None:
        return
    wanted = event.data["step"]
    index = position.index_of(wanted)
    if index is None:
        yield Finding(
            "step_unknown", "error", thing.id,
            text("{id} has no step {step} on its route: scan what is in front of you",
                 id=thing.id, step=wanted),
        )  # fmt: skip
        return
    if wanted in position.finished and index < position.index:
        yield finished_already(thing, wanted)
        return
    step = position.steps[index]
    yield from _place(routes, event, thing=thing, step=step)
    if not step.stations or index == position.index:
        yield from _with_mate(state, event, thing=thing, step=step)
        return
    due = position.next
    if due is None:
        yield Finding(
            "step_finished", "error", thing.id,
            text("the route of {id} is finished: nothing more is done to it, unless rework is decided",
                 id=thing.id),
        )  # fmt: skip
        return
    yield Finding(
        "out_of_sequence", "error", thing.id,
        text("{id} is not ready for {step}: {due} comes first, at {stations}",
             id=thing.id, step=step.name or step.id, due=due.name or due.id,
             stations=_names(routes, due)),
    )  # fmt: skip


def _names(routes: Routes, step: Step) -> str:
    stations = routes.works.factory.stations
    return " / ".join(stations[one.station].name for one in step.stations)


def _place(routes: Routes, event: Event, *, thing: Worked, step: Step) -> Iterator[Finding]:
    """The step is done at a station of its own."""
    if event.station not in routes.works.factory.stations or not step.stations:
        return
    if event.station in (one.station for one in step.stations):
        return
    yield Finding(
        "wrong_station", "error", thing.id,
        text("{step} of {id} is not done at {station}: take it to {stations}",
             id=thing.id, step=step.name or step.id, stations=_names(routes, step),
             station=routes.works.factory.stations[event.station].name),
    )  # fmt: skip


def _with_mate(state: State, event: Event, *, thing: Worked, step: Step) -> Iterator[Finding]:
    if isinstance(thing, Set):
        yield from _both_here(state, thing, step=step)
        return
    if not isinstance(thing, Item):
        return
    mate = mate_of(state, thing)
    if mate is None:
        return
    other = _did(mate, step.id)
    if other is None or _set_apart(thing, mate, other=other):
        return
    if step.mates == "same batch" and "batch" in event.data and other.batch != event.data["batch"]:
        yield Finding(
            "mate_in_other_batch", "error", thing.id,
            text("{id} and its mate {mate} share one batch here: the mate is in {batch}; put both into one, "
                 "or ask who decides",
                 id=thing.id, mate=mate.id, batch=other.batch or "-"),
        )  # fmt: skip


def _both_here(state: State, one: Set, *, step: Step) -> Iterator[Finding]:
    """A step that is done together waits for both halves."""
    for half in halves(state, one):
        if half.under is not None:
            yield Finding(
                "mate_not_ready", "error", one.id,
                text("{id} of set {set} is still in step {step}: finish that first",
                     id=half.id, set=one.id, step=half.under.step),
            )  # fmt: skip
    if step.together and one.pair is None and one.was_paired:
        yield Finding(
            "set_without_mate", "error", one.id,
            text("set {id} has lost its pair: mate two halves first", id=one.id),
        )  # fmt: skip


def in_step(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why a half may not begin a step: its mate did so too long ago.

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
    if not isinstance(thing, Item):
        return
    position = routes.position(state, thing)
    index = None if position is None else position.index_of(event.data["step"])
    if position is None or index is None:
        return
    step = position.steps[index]
    root = position.product.root == position.part
    within = step.mates_within if step.mates_within is not None else position.product.mates_within
    mate = mate_of(state, thing)
    if within is None or mate is None or (step.mates_within is None and not root):
        return
    other = _did(mate, step.id)
    since = None if other is None else (other.start if other.start is not None else other.end)
    if since is None or abs(event.event_time - since) <= within or _set_apart(thing, mate, other=other):
        return
    yield Finding(
        "mate_out_of_step", "error", thing.id,
        text("{id} may follow its mate {mate} in {step} within {limit} and is later: report it, somebody "
             "decides what becomes of the pair",
             id=thing.id, mate=mate.id, step=step.name or step.id, limit=Amount(within, "duration")),
    )  # fmt: skip


def _set_apart(thing: Item, mate: Item, *, other: Done | None) -> bool:
    """Whether somebody's decision put the halves out of step: rework or repair, or a concession since."""
    back = any(one.disposition in ("rework", "repair") for one in (*thing.troubles, *mate.troubles))
    since = 0 if other is None else other.sequence
    return back or any(
        one.disposition == "concession" and (one.decided or 0) > since for one in thing.troubles
    )


def _did(mate: Item, step: str) -> Done | None:
    """The step as the mate has done it, or is doing it."""
    if mate.under is not None and mate.under.step == step:
        now = mate.under
        return Done(step, now.since, now.since, now.station, now.actor, now.programme, now.batch,
                    now.carrier, now.key, 0)  # fmt: skip
    return next((one for one in reversed(mate.done) if one.step == step and not one.stale), None)


def waived(thing: Worked, position: Position) -> bool:
    """Whether somebody has decided since the last step, by a concession or by sending it back.

    Then time is no reason to refuse the step: whoever decided has taken it into account.
    """
    since = 0 if position.last is None else position.last[1].sequence
    return any(one.disposition in OPENING and (one.decided or 0) > since for one in thing.troubles)
