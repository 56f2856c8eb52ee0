"""Trouble in plain data: nonconformances with what can be decided, holds with their reach, actions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pairwright.base.words import Text, text
from pairwright.floor import Entry, State, reached_by
from pairwright.floor.routes import Position, Routes
from pairwright.floor.things import Common, Hold, Item, Lot, Set, Tool, Trouble, Worked
from pairwright.reports.names import variant_name
from pairwright.works.inspection import Repair


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that may be decided: the disposition, the step it leads back to, how long the repair takes."""

    disposition: str
    says: Text
    to_step: str | None = None
    seconds: float | None = None
    usual: bool = False


@dataclass(frozen=True, slots=True)
class TroubleRow:
    """A nonconformance as a list shows it."""

    id: str
    subject: str
    subject_kind: str
    of: Text
    what: str
    step: str | None
    zone: str | None
    size: float | None
    photograph: str | None
    opened: int
    who: str
    station: str | None
    ways: tuple[Way, ...] = ()
    disposition: str | None = None
    authority: str | None = None


@dataclass(frozen=True, slots=True)
class HoldRow:
    """A hold, what it was put on, and everything that it reaches."""

    key: str
    on: str
    kind: str
    reason: str
    since: int
    who: str
    nonconformance: str | None
    reaches: tuple[str, ...]
    sets: tuple[str, ...]
    says: Text


@dataclass(frozen=True, slots=True)
class ActionRow:
    """What somebody is to do by a day."""

    id: str
    text: str
    person: str | None
    by: str | None
    about: str | None
    settled: bool
    late: bool


def trouble_row(routes: Routes, state: State, thing: Common, *, trouble: Trouble) -> TroubleRow:
    """A nonconformance with what may be decided on it.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    thing : Common
        What it is on.
    trouble : Trouble
        The nonconformance.
    """
    entry = next((one for one in state.past.touching(thing.id) if one.sequence == trouble.opened), None)
    defect = routes.works.factory.defects.get(trouble.what)
    ways = tuple(ways_of(routes, state, thing, trouble=trouble)) if trouble.open else ()
    event = None if entry is None else entry.event
    return TroubleRow(
        trouble.id, thing.id, thing.kind, _of(routes, thing), trouble.what if defect is None else defect.name,
        trouble.step, trouble.zone, None if event is None else event.data.get("size"), trouble.photograph,
        0 if event is None else event.event_time, "" if event is None else event.actor,
        None if event is None else event.station, ways, trouble.disposition, trouble.authority,
    )  # fmt: skip


def _of(routes: Routes, thing: Common) -> Text:
    if isinstance(thing, Worked):
        product = routes.variant(thing)
        if product is not None:
            name = variant_name(routes.works, product.id, thing.option or product.option)
            if isinstance(thing, Item) and thing.part in product.parts:
                return text("{part} of {name}", part=product.parts[thing.part].name, name=name)
            return name
    if isinstance(thing, Lot):
        material = routes.works.materials.get(thing.material or "")
        return text(
            "lot of {material}", material=thing.material or "-" if material is None else material.name
        )
    return text("{kind}", kind=thing.kind)


def ways_of(routes: Routes, state: State, thing: Common, *, trouble: Trouble) -> Iterator[Way]:
    """What may be decided, the usual way first.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    thing : Common
        What it is on.
    trouble : Trouble
        The nonconformance.
    """
    if isinstance(thing, Worked):
        position = routes.position(state, thing)
        if position is not None:
            yield from _repairs(routes, position, trouble)
            yield from _reworks(position, trouble)
    yield Way("concession", text("let it stay as it is, with a reason"))
    yield Way("hold", text("hold it until more is known"))
    yield Way("scrap", text("scrap it"))


def _repairs(routes: Routes, position: Position, trouble: Trouble) -> Iterator[Way]:
    defect = routes.works.factory.defects.get(trouble.what)
    if defect is None or defect.repair is None:
        return
    repair = routes.works.factory.repairs[defect.repair]
    back = back_to(position, repair)
    yield Way(
        "repair", text("{name}, then back to {step}", name=repair.name, step=_name(position, back)),
        back, sum(s.duration.likely for s in repair.steps if not isinstance(s.duration, str)), usual=True,
    )  # fmt: skip


def back_to(position: Position, repair: Repair) -> str | None:
    """The step that a spot repair comes back to: the one it names, else the inspection before.

    Parameters
    ----------
    position : Position
        Of the item.
    repair : Repair
        The spot repair.
    """
    named = repair.back_to.get(position.product.id)
    if named is not None and position.index_of(named) is not None:
        return named
    looks = [s.id for n, s in enumerate(position.steps) if s.kind == "inspect" and n <= position.index]
    return looks[-1] if looks else None


def _reworks(position: Position, trouble: Trouble) -> Iterator[Way]:
    """The step that the route names for rework first, then every step that has been done, the last first."""
    usual = None
    index = None if trouble.step is None else position.index_of(trouble.step)
    if index is not None and position.steps[index].rework is not None:
        usual = position.steps[index].rework
    names = [] if usual is None else [usual.to]
    names += [s.id for s in reversed(position.steps) if s.id in position.finished and s.id not in names]
    for name in names:
        yield Way("rework", text("again from {step}", step=_name(position, name)), name,
                  usual=usual is not None and name == usual.to)  # fmt: skip


def _name(position: Position, step: str | None) -> str:
    index = None if step is None else position.index_of(step)
    return step or "-" if index is None else position.steps[index].name or position.steps[index].id


def hold_row(state: State, thing: Common, hold: Hold) -> HoldRow:
    """A hold with its reach.

    Parameters
    ----------
    state : State
        Of the floor.
    thing : Common
        What it is on.
    hold : Hold
        The hold.
    """
    reaches = tuple(name for name in reached_by(state, thing.id) if _still(state, name, hold.key))
    sets = tuple(name for name in reaches if isinstance(state.thing(name), Set))
    says = text("reaches nothing else") if not reaches else text(
        "reaches {count} pieces, {sets} sets among them", count=len(reaches), sets=len(sets)
    )  # fmt: skip
    return HoldRow(hold.key, thing.id, thing.kind, hold.reason, hold.since, hold.actor, hold.nonconformance,
                   reaches, sets, says)  # fmt: skip


def _still(state: State, name: str, key: str) -> bool:
    thing = state.thing(name)
    return thing is not None and key not in thing.cleared


def action_row(tool: Tool, history: Iterable[Entry], *, today: str) -> ActionRow:
    """An action as a list shows it.

    Parameters
    ----------
    tool : Tool
        The action's record.
    history : Iterable[Entry]
        Its events, in order.
    today : str
        ISO date, local.
    """
    first = next((entry.event for entry in history if entry.event.kind == "assigned"), None)
    late = not tool.settled and tool.by is not None and today > tool.by
    return ActionRow(tool.id, "" if first is None else str(first.data["text"]), tool.person, tool.by,
                     None if first is None else first.subject, tool.settled, late)  # fmt: skip
