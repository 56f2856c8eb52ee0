"""A machine works by the programme that the works names, in the revision that is in force."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Event
from pairwright.floor.routes import Position, Routes
from pairwright.floor.state import State
from pairwright.floor.things import Item, Worked
from pairwright.works.factory import Programme
from pairwright.works.product import Step


def programme_of(
    routes: Routes, position: Position, *, step: Step, station: str | None, side: str | None
) -> tuple[str, Programme] | None:
    """The programme for a step at a station: the one it names, else the one for this part and side.

    Parameters
    ----------
    routes : Routes
        Of the works.
    position : Position
        Of the item on its route.
    step : Step
        The step.
    station : str | None
        Where it is to be done; None for any.
    side : str | None
        Of the item.
    """
    programmes = routes.works.factory.programmes
    if step.programme is not None:
        named = programmes[step.programme]
        return (step.programme, named) if station in (None, named.station) else None
    stations = {one.station for one in step.stations} if station is None else {station}
    for name, one in programmes.items():
        of_part = (one.product, one.part) == (position.product.id, position.part)
        if of_part and one.station in stations and one.side in (side, "both") and not _named(position, name):
            return name, one
    return None


def _named(position: Position, programme: str) -> bool:
    """Whether another step of the route names the programme as its own."""
    return any(step.programme == programme for step in position.steps)


def right_programme(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why a step may not begin with the programme that is given.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    event : Event
        What is asked for.
    """
    given = event.data.get("programme")
    thing = state.thing(event.subject) if event.subject is not None else None
    if event.kind not in ("started", "finished") or given is None or not isinstance(thing, Worked):
        return
    position = routes.position(state, thing)
    index = None if position is None else position.index_of(event.data["step"])
    if position is None or index is None:
        return
    step = position.steps[index]
    side = thing.side if isinstance(thing, Item) else None
    found = programme_of(routes, position, step=step, station=event.station, side=side)
    if found is None:
        return
    name, programme = found
    if given != name:
        yield _wrong(routes, thing, given=given, wanted=name, side=side)
        return
    revision = event.data.get("revision")
    if revision is not None and revision != programme.revision:
        yield Finding(
            "programme_out_of_date", "error", thing.id,
            text("programme {name} is loaded in revision {given}, revision {wanted} is in force: load that one",
                 name=name, given=revision, wanted=programme.revision),
        )  # fmt: skip


def _wrong(routes: Routes, thing: Worked, *, given: str, wanted: str, side: str | None) -> Finding:
    programmes = routes.works.factory.programmes
    other = programmes.get(given)
    if other is not None and side is not None and other.side not in (side, "both"):
        return Finding(
            "wrong_side", "error", thing.id,
            text("programme {given} is for the {other} side and {id} is {side}: load {wanted}",
                 given=given, other=other.side, id=thing.id, side=side, wanted=wanted),
        )  # fmt: skip
    return Finding(
        "wrong_programme", "error", thing.id,
        text("{id} is made with programme {wanted} here, not with {given}: load {wanted} revision {revision}",
             id=thing.id, wanted=wanted, given=given, revision=programmes[wanted].revision),
    )  # fmt: skip
