"""A carrier holds one thing at a time, from the step that takes it to the step that gives it back."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Event
from pairwright.floor.routes import Routes
from pairwright.floor.state import State
from pairwright.floor.things import Item, Set, Worked


def holder_of(routes: Routes, state: State, carrier: str) -> Worked | None:
    """The thing that a carrier holds now.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    carrier : str
        Its id.
    """
    for entry in reversed(state.past.touching(carrier)):
        subject = entry.event.subject
        thing = None if subject is None else state.thing(subject)
        if not isinstance(thing, Item | Set) or thing.carrier != carrier:
            continue
        return thing if _holds(routes, state, thing) else None
    return None


def _holds(routes: Routes, state: State, thing: Worked) -> bool:
    """Whether a thing is still on its carrier: the step that gives it back has not ended since."""
    if isinstance(thing, Item) and (thing.scrapped or thing.used_in is not None):
        return False
    position = routes.position(state, thing)
    if position is None:
        return False
    returns = {step.id for step in position.steps if step.returns is not None}
    took = max((done.sequence for done in thing.done if done.carrier == thing.carrier), default=0)
    gave = max((done.sequence for done in thing.done if done.step in returns), default=-1)
    at_work = thing.under is not None and thing.under.carrier == thing.carrier
    return at_work or (position.next is not None and gave < took)


def carrier_free(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why a carrier may not be taken: it holds something else.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    event : Event
        What is asked for.
    """
    name = event.data.get("carrier")
    if event.kind not in ("started", "finished") or name is None:
        return
    thing = holder_of(routes, state, name)
    if thing is not None and thing.id != event.subject:
        yield Finding(
            "carrier_taken", "error", name,
            text("carrier {carrier} holds {id}: scan the carrier that you have in hand",
                 carrier=name, id=thing.id),
        )  # fmt: skip
