"""An act at a station: judged before it is recorded, done once however often it is sent, or refused.

What is refused is recorded as a refusal and as nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final, TypeAlias

from pairwright.app.acting_answers import Done, Refusal
from pairwright.app.acting_case import Act, Case, Refused
from pairwright.app.acting_decide import concede, free, hold, rework, scrap, undo
from pairwright.app.acting_pairs import mate, swap, unmate
from pairwright.app.acting_parts import mount, remove
from pairwright.app.acting_room import no_room
from pairwright.app.acting_scans import read_scans, unknown_code
from pairwright.app.acting_steps import finish, inspect, measure, move, problem, start
from pairwright.app.acting_words import acknowledge, assign, note, settle
from pairwright.app.language import words_of
from pairwright.app.stationing_routes import routes_of
from pairwright.archive.writer import EventsRefusedError
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.time import iso
from pairwright.base.words import Text, text
from pairwright.floor import Event, accept, weigh
from pairwright.floor.fields import IDENT, KEY
from pairwright.floor.things import Item, Lot, Set, Worked
from pairwright.floor.works_rules import rules_of

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading

Maker: TypeAlias = Callable[[Case], None]

ACTS: Final[Mapping[str, Maker]] = {
    "start": start,
    "finish": finish,
    "measure": measure,
    "inspect": inspect,
    "problem": problem,
    "rework": rework,
    "repair": rework,
    "concession": concede,
    "scrap": scrap,
    "hold": hold,
    "free": free,
    "mount": mount,
    "remove": remove,
    "mate": mate,
    "unmate": unmate,
    "swap": swap,
    "move": move,
    "note": note,
    "assign": assign,
    "settle": settle,
    "acknowledge": acknowledge,
    "undo": undo,
}
REFUSED: Final = ".refused"  # what is put after the key of an act that was refused


def act(floor: Floor, wanted: Act, *, now: int) -> Done | Refusal:
    """Record what somebody did at a station, or refuse it.

    Parameters
    ----------
    floor : Floor
        The works with its record, open for writing.
    wanted : Act
        What they did. The same key again is answered as before and recorded once.
    now : int
        The moment, UTC seconds. [s]

    Raises
    ------
    InputError
        When the act itself is badly made; nothing is recorded then.
    """
    maker = _maker(wanted)
    routes = routes_of(floor.opened)
    with floor.record.reading() as reading:
        before = _answered(reading, wanted)
        if before is not None:
            return before
        state = reading.state()
        scans = read_scans(wanted.scanned, routes=routes, state=state, people=reading.names())
        case = Case(wanted, now if wanted.at is None else wanted.at, routes, state, scans)
        slips, events = _judge(floor, reading, case=case, maker=maker)
        says = text("") if slips else _says(case, events)
    if not slips:
        try:
            answers = floor.append(events)
        except EventsRefusedError as error:
            slips = error.findings
        else:
            subjects = tuple(dict.fromkeys(one.subject for one in events if one.subject is not None))
            return Done(wanted.name, wanted.key, subjects, tuple(one.key for one in events),
                        answers[-1].sequence, says, answers[-1].replayed)  # fmt: skip
    return _refuse(floor, case, slips=slips)


def _maker(wanted: Act) -> Maker:
    if wanted.name not in ACTS:
        raise InputError(
            Problem("act", "name", text("one of {names}", names=", ".join(ACTS)), shown(wanted.name),
                    text("choose an act"))
        )  # fmt: skip
    if not KEY.fullmatch(wanted.key) or len(wanted.key) > 60:
        raise InputError(
            Problem("act", "key", text("a key of letters, digits, hyphen, point, underscore and colon, at most 60"),
                    shown(wanted.key), text("let the client make one, such as a UUID"))
        )  # fmt: skip
    return ACTS[wanted.name]


def _judge(
    floor: Floor, reading: Reading, *, case: Case, maker: Maker
) -> tuple[Sequence[Finding], list[Event]]:
    """The events of an act and why they may not be recorded; the state is left as after them."""
    try:
        _all_known(case)
        maker(case)
    except Refused as refused:
        return refused.findings, []
    events = floor.read(case.events, path="act")
    rules = rules_of(case.routes)
    for event in events:
        outcome = weigh(case.state, event, rules=rules)
        if outcome.findings:
            return outcome.findings, []
        accept(case.state, outcome)
    return tuple(no_room(floor, reading, case=case)), events


def _all_known(case: Case) -> None:
    """Nothing that was scanned is passed over; a new label is expected only where something is begun."""
    strange = [one for one in case.scans if one.thing is None and one.kind in ("unknown", "item", "lot")]
    expected = 1 if case.act.begun is not None and strange and strange[0].slip is None else 0
    if len(strange) > expected:
        raise Refused(unknown_code(strange[-1]))


def _answered(reading: Reading, wanted: Act) -> Done | Refusal | None:
    """What was answered to this key before."""
    found = reading.event(wanted.key)
    if found is not None:
        subject = found.event.subject
        return Done(wanted.name, wanted.key, () if subject is None else (subject,), (wanted.key,), found.sequence,
                    text("recorded already"), replayed=True)  # fmt: skip
    refused = reading.event(wanted.key + REFUSED)
    if refused is None:
        return None
    data = refused.event.data
    return Refusal(wanted.name, wanted.key + REFUSED, data["codes"][0],
                   text("{said}", said=data.get("text", "")), (), replayed=True)  # fmt: skip


def _refuse(floor: Floor, case: Case, *, slips: Sequence[Finding]) -> Refusal:
    """Record the refusal, and nothing else."""
    wanted = case.act
    first = slips[0]
    raw: dict[str, object] = {
        "key": wanted.key + REFUSED,
        "kind": "refused",
        "event_time": iso(case.at, case.routes.works.zone),
        "actor": case.actor,
        "data": {
            "act": wanted.name,
            "codes": list(dict.fromkeys(one.code for one in slips)),
            "text": words_of(case.routes.works).say(first.text)[:2000],
            **_scanned(case),
        },
    }
    if case.station in case.routes.works.factory.stations:
        raw["station"] = case.station
    subject = next((one.thing for one in case.scans if isinstance(one.thing, Item | Lot | Set)), None)
    if subject is not None:
        raw[subject.kind] = subject.id
    if wanted.at is not None:
        raw["written"] = True
    if wanted.simulated:
        raw["simulated"] = True
    floor.append(floor.read(raw, path="refusal"))
    return Refusal(wanted.name, wanted.key + REFUSED, first.code, first.text, tuple(slips))


def _scanned(case: Case) -> dict[str, object]:
    names = [one.id for one in case.scans if IDENT.fullmatch(one.id)]
    return {"scanned": names} if names else {}


def _says(case: Case, events: Sequence[Event]) -> Text:
    """What the page says when it is done, and where the thing goes next."""
    first = events[0]
    name = first.subject or ""
    if first.kind == "registered" and len(events) > 1:
        first = events[1]
    if first.kind == "started":
        return text("{step} of {id} has begun", step=_step_name(case, name, first.data["step"]), id=name)
    if first.kind == "finished":
        return _goes_on(case, name)
    return text("recorded")


def _step_name(case: Case, name: str, step: str) -> str:
    thing = case.state.thing(name)
    position = case.position(thing) if isinstance(thing, Worked) else None
    index = None if position is None else position.index_of(step)
    return step if position is None or index is None else position.steps[index].name or step


def _goes_on(case: Case, name: str) -> Text:
    thing = case.state.thing(name)
    position = case.position(thing) if isinstance(thing, Worked) else None
    due = None if position is None else position.next
    if due is None:
        return text("{id} is finished here, and its route is done", id=name)
    stations = case.routes.works.factory.stations
    where = " / ".join(stations[one.station].name for one in due.stations)
    return text(
        "{id} is done here; next: {step}, at {station}", id=name, step=due.name or due.id, station=where
    )
