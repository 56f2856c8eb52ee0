"""What an act at a station is about: the subjects, what goes in, and by which means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from pairwright.app.acting_scans import Scan, unknown_code
from pairwright.base.findings import Finding
from pairwright.base.time import iso
from pairwright.base.words import text
from pairwright.floor import State
from pairwright.floor.programme_rules import programme_of
from pairwright.floor.routes import Position, Routes
from pairwright.floor.things import Item, Lot, Set, Worked
from pairwright.works.product import Step


@dataclass(frozen=True, slots=True)
class Begun:
    """What a new item is, where the act begins it: as a row of the board says."""

    product: str
    option: str | None
    part: str
    side: str | None = None
    set: str | None = None
    order: str | None = None


@dataclass(frozen=True, slots=True)
class Act:
    """What somebody wants to record at a station.

    `name` is one of `acting.ACTS`; `key` is made by the client, names the act for ever and makes a
    repeat harmless. `scanned` are codes in the order of scanning; `at` is the moment written on paper (UTC
    seconds), None for now. `data` are further fields of the event, by its names.
    """

    name: str
    key: str
    actor: str
    station: str | None = None
    scanned: tuple[str, ...] = ()
    step: str | None = None
    at: int | None = None
    data: Mapping[str, Any] = field(default_factory=dict)
    begun: Begun | None = None
    device: str | None = None
    counter: int | None = None
    simulated: bool = False


class Refused(Exception):
    """The act is refused before anything is weighed."""

    def __init__(self, *findings: Finding) -> None:
        self.findings = findings
        super().__init__(str(findings[0].text))


@dataclass(slots=True)
class Case:
    """An act with what it refers to, while its events are made."""

    act: Act
    at: int
    routes: Routes
    state: State
    scans: Sequence[Scan]
    events: list[dict[str, Any]] = field(default_factory=list)

    @property
    def actor(self) -> str:
        """Whose badge was scanned, else who is signed in."""
        return next((one.id for one in self.scans if one.kind == "person"), self.act.actor)

    @property
    def station(self) -> str | None:
        """Whose label was scanned, else where the page is."""
        return next((one.id for one in self.scans if one.kind == "station"), self.act.station)

    def of_kind(self, *kinds: str) -> list[Scan]:
        """The scans of some kinds."""
        return [one for one in self.scans if one.kind in kinds]

    def worked(self) -> list[Worked]:
        """The items and sets that were scanned."""
        return [one.thing for one in self.scans if isinstance(one.thing, Item | Set)]

    def one(self) -> Worked:
        """The one item or set that the act is about."""
        found = self.worked()
        if not found:
            raise Refused(self.nothing())
        return found[0]

    def nothing(self) -> Finding:
        """Why there is nothing to act upon."""
        strange = self.of_kind("unknown")
        if strange:
            return unknown_code(strange[0])
        return Finding(
            "nothing_scanned", "error", self.act.station or "station",
            text("nothing was scanned that this can be done to: scan the item or its set"),
        )  # fmt: skip

    def position(self, thing: Worked) -> Position | None:
        """Where a thing stands on its route."""
        return self.routes.position(self.state, thing)

    def add(self, kind: str, subject: tuple[str, str] | None, **data: Any) -> None:
        """One more event of this act."""
        number = len(self.events)
        act = self.act
        found: dict[str, Any] = {
            "key": act.key if number == 0 else f"{act.key}.{number}",
            "kind": kind,
            "event_time": iso(self.at, self.routes.works.zone),
            "actor": self.actor,
            "data": {name: value for name, value in data.items() if value is not None},
        }
        if self.station is not None:
            found["station"] = self.station
        if subject is not None:
            found[subject[0]] = subject[1]
        if act.at is not None:
            found["written"] = True
        if act.simulated:
            found["simulated"] = True
        if number == 0 and act.device is not None:
            found["device"] = act.device
        if number == 0 and act.counter is not None:
            found["counter"] = act.counter
        self.events.append(found)


ITEM_STEPS: Final = ("start", "finish")


def subjects_and_inputs(case: Case) -> tuple[list[Worked], list[Item]]:
    """Which of the scanned things the step is done to, and which go into it."""
    things = case.worked()
    if not things:
        raise Refused(case.nothing())
    here = [one for one in things if _is_due(case, one)]
    subjects = here or things[:1]
    inputs = [one for one in things if one not in subjects]
    together = _together(case, subjects, others=inputs)
    if together is not None:
        return [together], [one for one in inputs if isinstance(one, Item) and one.set != together.id]
    return subjects, [one for one in inputs if isinstance(one, Item)]


def _is_due(case: Case, thing: Worked) -> bool:
    """Whether a thing is in work here, or comes here next."""
    if thing.under is not None:
        return thing.under.station in (None, case.station)
    position = case.position(thing)
    due = None if position is None else position.next
    return due is not None and any(one.station == case.station for one in due.stations)


def _together(case: Case, subjects: Sequence[Worked], *, others: Sequence[Worked]) -> Set | None:
    """The set, where the step is done to both halves at once; a foreign half is refused."""
    first = subjects[0]
    step = step_of(case, first)
    if isinstance(first, Set) or not isinstance(first, Item):
        return first if isinstance(first, Set) else None
    if step is None or not step.together or first.set is None or first.pair is None:
        return None
    for other in (*subjects[1:], *others):
        if isinstance(other, Item) and other.part == first.part and other.id not in first.pair.halves:
            raise Refused(
                Finding(
                    "foreign_mate", "error", other.id,
                    text("{id} is not the mate of {first}: its mate is {mate}; scan that one",
                         id=other.id, first=first.id, mate=first.pair.other(first.id)),
                )
            )  # fmt: skip
    return case.state.set(first.set)


def step_of(case: Case, thing: Worked) -> Step | None:
    """The step that an act means: the one it names, the one in work, or the one that is next."""
    position = case.position(thing)
    if position is None:
        return None
    wanted = case.act.step or (thing.under.step if thing.under is not None else None)
    if wanted is None:
        return position.next
    index = position.index_of(wanted)
    return None if index is None else position.steps[index]


def step_data(case: Case, thing: Worked, *, inputs: Sequence[Item]) -> dict[str, Any]:
    """The fields of a start or an end: step, programme, carrier, batch, what goes in."""
    step = step_of(case, thing)
    wanted = case.act.step or (step.id if step is not None else None)
    if wanted is None and thing.under is not None:
        wanted = thing.under.step
    if wanted is None:
        raise Refused(_no_step(thing))
    given = list(_inputs(case, thing, step=step, items=inputs))
    data = {name: value for name, value in case.act.data.items() if name in ("batch", "carrier", "values")}
    data.update(_tools(case))
    data.update(_programme(case, thing, step=step))
    return {"step": wanted, **data, **({"inputs": given} if given else {})}


def _no_step(thing: Worked) -> Finding:
    if isinstance(thing, Item) and (thing.product is None or thing.part is None):
        return Finding(
            "route_unknown", "error", thing.id,
            text("nobody has recorded what {id} is: name its product and part first", id=thing.id),
        )  # fmt: skip
    return Finding(
        "step_finished", "error", thing.id,
        text("the route of {id} is finished: nothing more is done to it, unless rework is decided", id=thing.id),
    )  # fmt: skip


def _tools(case: Case) -> Iterator[tuple[str, str]]:
    for one in case.of_kind("carrier", "mould"):
        yield "carrier", one.id
    for one in case.of_kind("batch"):
        yield "batch", one.id


def _programme(case: Case, thing: Worked, *, step: Step | None) -> Iterator[tuple[str, str]]:
    """The programme that was scanned; else the one that the page names, in the revision in force."""
    scanned = case.of_kind("programme")
    if scanned:
        yield "programme", scanned[0].id
        revision = scanned[0].revision or case.act.data.get("revision")
        if revision is not None:
            yield "revision", str(revision)
        return
    if "programme" in case.act.data:
        yield "programme", str(case.act.data["programme"])
        if "revision" in case.act.data:
            yield "revision", str(case.act.data["revision"])
        return
    position = case.position(thing)
    if step is None or position is None or case.act.name != "start":
        return
    side = thing.side if isinstance(thing, Item) else None
    found = programme_of(case.routes, position, step=step, station=case.station, side=side)
    if found is not None:
        yield "programme", found[0]
        yield "revision", found[1].revision


def _inputs(
    case: Case, thing: Worked, *, step: Step | None, items: Sequence[Item]
) -> Iterator[dict[str, Any]]:
    for item in items:
        yield {"item": item.id}
    position = case.position(thing)
    needs = {} if step is None or position is None else case.routes.needs.get(position.place(step.id), {})
    for scan in case.scans:
        if not isinstance(scan.thing, Lot):
            continue
        lot = scan.thing
        stated = case.act.data.get("quantity")
        amount = stated if stated is not None else needs.get(lot.material or "")
        unit = case.act.data.get("unit") if stated is not None else _unit(case, lot)
        if amount is None:
            yield {"lot": lot.id}
        else:
            yield {"lot": lot.id, "quantity": round(float(amount), 6), **({"unit": unit} if unit else {})}


def _unit(case: Case, lot: Lot) -> str | None:
    material = case.routes.works.materials.get(lot.material or "")
    return lot.unit if material is None else material.unit
