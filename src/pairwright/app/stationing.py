"""Stations: what to do now, what is next, how it is done; what a scanned code is and allows."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, TypeAlias
from weakref import WeakKeyDictionary

from pairwright.app.acting import act
from pairwright.app.acting_answers import Done, Refusal
from pairwright.app.acting_case import Act, Begun
from pairwright.app.acting_scans import Scan, read_scan, unknown_code
from pairwright.app.matching import is_orphan
from pairwright.app.stationing_list import Fresh, Index, Making, lacking, to_begin, worked_at
from pairwright.app.stationing_routes import routes_of
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.time import local_date
from pairwright.base.words import Text, text
from pairwright.floor import State, holds_on
from pairwright.floor.qualification import may_do
from pairwright.floor.routes import Position, Routes
from pairwright.floor.things import Item, Set, Worked
from pairwright.reports.board import MOST, Board, Task, Wanted, board_of, task_of
from pairwright.reports.instructions import Instructions, instructions_of, spot_repair_of
from pairwright.reports.names import part_name, variant_name

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.plan import Schedule

Planned: TypeAlias = dict[tuple[str, str, str | None, str], int]

__all__ = [
    "Act",
    "Begun",
    "Done",
    "Planned",
    "Refusal",
    "Scanned",
    "act",
    "board",
    "instructions",
    "instructions_for",
    "making_of",
    "planned_starts",
    "scanned",
    "task_for",
]

_MAKING: Final[WeakKeyDictionary[Floor, Making]] = WeakKeyDictionary()
_GUARD: Final = threading.Lock()


def making_of(floor: Floor) -> Making:
    """The list of all that is in the making on a floor, kept from call to call."""
    with _GUARD:
        found = _MAKING.get(floor)
        if found is None:
            found = _MAKING[floor] = Making(routes_of(floor.opened))
        return found


def board(
    floor: Floor, station: str, *, now: int, person: str | None = None, most: int = MOST,
    planned: Planned | None = None,
) -> Board:  # fmt: skip
    """What to do now at a station and what is next, at most seven rows in all.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    station : str
        Id of the station.
    now : int
        The moment, UTC seconds. [s]
    person : str | None
        Who asks: tasks that they are not qualified for are marked.
    most : int
        Rows. [-]
    planned : Planned | None
        When the plan has each step of each set begin (see `planned_starts`): rows follow it. [s]

    Raises
    ------
    InputError
        When there is no such station.
    """
    _known_station(floor, station)
    making = making_of(floor)
    with making.looking(floor) as look:
        state, index = look.state, look.index
        tasks = list(_tasks(making.routes, index, state, station=station, now=now, most=most))
        if person is not None:
            day = _day(making.routes, now)
            tasks = [replace(one, may=_may(state, one, person=person, day=day)) for one in tasks]
        tasks = [_as_planned(one, planned) for one in tasks] if planned else tasks
        return board_of(making.routes, station, at=now, tasks=tasks, most=most)


def planned_starts(schedule: Schedule) -> Planned:
    """When a plan has each step of each set begin, by set, part, side and step. [s]

    Parameters
    ----------
    schedule : Schedule
        The plan.
    """
    found: Planned = {}
    for one in schedule.operations:
        for side in {one.side, None}:  # what is one piece for the whole set has no side on the floor
            place = (one.set, one.part, side, one.step)
            found[place] = min(found.get(place, one.start), one.start)
    return found


def _as_planned(task: Task, planned: Planned) -> Task:
    start = planned.get((task.set or "", task.part, task.side, task.step))
    return task if start is None else replace(task, planned=start)


def _known_station(floor: Floor, station: str) -> None:
    stations = floor.opened.works.factory.stations
    if station not in stations:
        raise InputError(
            Problem("station", "station", text("one of {names}", names=", ".join(stations)[:300]),
                    shown(station), text("choose a station of the works"))
        )  # fmt: skip


def _day(routes: Routes, now: int) -> str:
    return local_date(now, routes.works.zone).isoformat()


def _tasks(
    routes: Routes, index: Index, state: State, *, station: str, now: int, most: int
) -> Iterator[Task]:
    day = _day(routes, now)
    for thing in worked_at(index, state, station):
        position = routes.position(state, thing)
        if position is None:
            continue
        task = _task(routes, index, state, thing=thing, position=position, now=now, day=day)
        if task is not None:
            yield task
    for one in to_begin(index, state, routes=routes, station=station, most=most):
        yield _fresh_task(routes, index, state, fresh=one, day=day)


def _task(
    routes: Routes, index: Index, state: State, *, thing: Worked, position: Position, now: int, day: str
) -> Task | None:
    return task_of(
        routes, state, thing, position=position, at=now, wanted=lambda order: _wanted(state, order),
        lacks=lambda where, step: lacking(index, state, position=where, step=step, routes=routes, day=day),
    )  # fmt: skip


def _wanted(state: State, order: str | None) -> Wanted:
    found = None if order is None else state.order(order)
    return Wanted(None if found is None else found.due)


def _fresh_task(routes: Routes, index: Index, state: State, *, fresh: Fresh, day: str) -> Task:
    product = routes.works.variants[fresh.product, fresh.option]
    step = next(one for one in product.parts[fresh.part].steps if one.id == fresh.step)
    position = Position(product, fresh.part, 0, (), None, frozenset())
    missing = lacking(index, state, position=position, step=step, routes=routes, day=day)
    order = state.order(fresh.order)
    return Task(
        None, "item", product.id, product.option, variant_name(routes.works, product.id, product.option),
        fresh.part, part_name(routes.works, product.id, option=product.option, part=fresh.part), fresh.side,
        fresh.set, fresh.order, None if order is None else order.due, step.id, step.name or step.id, step.kind,
        "waiting" if missing else "to begin", None, tuple(missing), carrier=step.takes,
        skill=step.skill, stations=tuple(one.station for one in step.stations),
    )  # fmt: skip


def _may(state: State, task: Task, *, person: str, day: str) -> bool:
    return task.skill is None or may_do(state, person, skill=task.skill, day=day) is None


def task_for(floor: Floor, subject: str, *, now: int) -> Task | None:
    """The task that an item or set asks for now; None where it has none.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    subject : str
        Id of the item or set.
    now : int
        The moment, UTC seconds. [s]
    """
    making = making_of(floor)
    with making.looking(floor) as look:
        state, index = look.state, look.index
        thing = state.thing(subject)
        if not isinstance(thing, Item | Set):
            return None
        position = making.routes.position(state, thing)
        if position is None:
            return None
        return _task(making.routes, index, state, thing=thing, position=position, now=now,
                     day=_day(making.routes, now))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a code is, in a sentence, where its page is, and what can be done with it here.

    `acts` are names of acts, the likeliest first; `holds` the reasons that stop it. An orphan had a mate
    and has none now: `matching.offers_for` knows the best ones.
    """

    code: str
    id: str
    kind: str
    says: Text
    address: str
    acts: tuple[str, ...] = ()
    task: Task | None = None
    holds: tuple[str, ...] = ()
    orphan: bool = False
    unknown: Finding | None = None


def scanned(floor: Floor, code: str, *, now: int, station: str | None = None) -> Scanned:
    """What a scanned code is and what can be done with it.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    code : str
        As it was scanned or typed.
    now : int
        The moment, UTC seconds. [s]
    station : str | None
        Where it was scanned: then nothing is offered that is done elsewhere.
    """
    making = making_of(floor)
    routes = making.routes
    with making.looking(floor) as look:
        state = look.state
        scan = read_scan(code, routes=routes, state=state)
        says = _what(routes, state, scan)
        orphan = scan.item is not None and is_orphan(state, scan.item)
        holds = (
            tuple(reach.hold.reason for reach in holds_on(state, scan.id)) if scan.thing is not None else ()
        )
    if scan.kind == "unknown":
        slip = unknown_code(scan)
        return Scanned(code, scan.id, scan.kind, slip.text, "/scan", unknown=slip)
    task = task_for(floor, scan.id, now=now) if scan.kind in ("item", "set") else None
    acts = (
        *(["mate"] if orphan else []),
        *_acts(scan, task, holds, here=task is None or station in (None, *task.stations)),
    )
    return Scanned(code, scan.id, scan.kind, says, _address(scan), acts, task, holds, orphan)


def _what(routes: Routes, state: State, scan: Scan) -> Text:
    thing = scan.thing
    if isinstance(thing, Item):
        variant = routes.variant(thing)
        if variant is not None and thing.part in variant.parts:
            name = variant_name(routes.works, variant.id, thing.option or variant.option)
            part = variant.parts[thing.part].name
            if thing.side is not None:
                return text(
                    "{part} {id} ({side}) of {name}", part=part, id=thing.id, side=thing.side, name=name
                )
            return text("{part} {id} of {name}", part=part, id=thing.id, name=name)
        return text("item {id}", id=scan.id)
    if scan.kind == "lot":
        lot = state.lot(scan.id)
        stated = "-" if lot is None or lot.material is None else lot.material
        known = routes.works.materials.get(stated)
        return text("lot {id} of {material}", id=scan.id, material=stated if known is None else known.name)
    if scan.kind == "station":
        return text("station {name}", name=routes.works.factory.stations[scan.id].name)
    if scan.kind == "programme":
        return text("programme {id}, revision {revision} in force", id=scan.id,
                    revision=routes.works.factory.programmes[scan.id].revision)  # fmt: skip
    return text("{kind} {id}", kind=scan.kind, id=scan.id)


def _address(scan: Scan) -> str:
    if scan.kind == "station":
        return f"/stations/{scan.id}"
    if scan.kind == "person":
        return f"/people/{scan.id}"
    return f"/things/{scan.id}"


def _acts(scan: Scan, task: Task | None, holds: tuple[str, ...], *, here: bool) -> Iterator[str]:
    """Acts that make sense with a thing, the likeliest first."""
    if scan.kind == "lot":
        yield from ("problem", "free", "scrap", "note") if holds else ("problem", "hold", "scrap", "note")
        return
    if scan.kind not in ("item", "set"):
        return
    if task is not None and here and task.state == "in work":
        yield "finish"
    elif task is not None and here and task.state in ("ready", "sent back"):
        yield "start"
    yield from ("measure", "inspect", "problem")
    if holds:
        yield "free"
    else:
        yield "hold"
    yield from ("rework", "repair", "concession", "scrap")
    if scan.kind == "set":
        yield from ("unmate", "swap")
    yield "note"


def instructions(floor: Floor, subject: str, *, step: str | None = None) -> Instructions | None:
    """How the step of an item or set is done, by default the one that is next; None at its route's end.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    subject : str
        Id of the item or set.
    step : str | None
        Another step of its route.

    Raises
    ------
    InputError
        When the thing is not known, has no route, or its route has no such step.
    """
    making = making_of(floor)
    routes = making.routes
    with making.looking(floor) as look:
        state = look.state
        thing = state.thing(subject)
        position = routes.position(state, thing) if isinstance(thing, Item | Set) else None
    if not isinstance(thing, Item | Set) or position is None:
        raise _no_route(subject)
    wanted = step or (thing.under.step if thing.under is not None else None)
    if wanted is None and position.next is None:
        return None
    found = position.next if wanted is None else next((s for s in position.steps if s.id == wanted), None)
    if found is None:
        raise InputError(
            Problem(subject, "step", text("one of {names}", names=", ".join(s.id for s in position.steps)),
                    shown(wanted), text("choose a step of its route"))
        )  # fmt: skip
    side = thing.side if isinstance(thing, Item) else None
    told = instructions_of(routes, position, step=found, side=side)
    if position.repair is None:
        return told
    return replace(told, repair=spot_repair_of(routes, position.repair))


def instructions_for(floor: Floor, begun: Begun, *, step: str | None = None) -> Instructions:
    """How the first step, or another one, of an item that is not yet begun is done.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    begun : Begun
        What is to be begun, as the board says.
    step : str | None
        Another step of its route.

    Raises
    ------
    InputError
        When the works has no such product, option, part or step.
    """
    routes = making_of(floor).routes
    product = routes.works.variants.get((begun.product, begun.option or ""))
    part = None if product is None else product.parts.get(begun.part)
    if product is None or part is None or not part.steps:
        raise _no_route(f"{begun.product} {begun.option or ''} {begun.part}")
    position = Position(product, begun.part, 0, (), None, frozenset())
    found = next((one for one in part.steps if one.id == step), part.steps[0])
    return instructions_of(routes, position, step=found, side=begun.side)


def _no_route(subject: str) -> InputError:
    return InputError(
        Problem("instructions", "subject", text("an item or set with a route in the works"), shown(subject),
                text("scan it again, or record what it is"))
    )  # fmt: skip
