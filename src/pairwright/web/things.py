"""The page of a thing: what it is, what it is made of, what happened to it; two halves about their axis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from pairwright.app.matching import Mates
from pairwright.app.stationing import Scanned, making_of, scanned
from pairwright.base.words import Text, Words, text
from pairwright.floor import Entry, Item, Set, State, Trace
from pairwright.floor.routes import Routes
from pairwright.floor.things import Common, Done
from pairwright.floor.tracing import Piece
from pairwright.web.looks import page
from pairwright.web.partners import mates_offered
from pairwright.web.served import served_of

router = APIRouter()

MOST_HISTORY: Final = 400


@dataclass(frozen=True, slots=True)
class Half:
    """One half of a pair: its steps by name, what it is made of."""

    id: str
    side: str | None
    made_of: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of both halves: done apart on their own sides, or together astride the axis.

    `open` says that the second is further from the first than it may be.
    """

    step: str
    name: str
    kind: str
    left: Done | None
    right: Done | None
    together: Done | None
    apart: float | None
    open: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a history."""

    sequence: int
    at: int
    recorded: int
    kind: Text
    station: str
    actor: str
    what: tuple[str, ...]
    photograph: str
    void: bool
    written: bool
    simulated: bool


@dataclass(frozen=True, slots=True)
class ThingPage:
    """A thing."""

    scan: Scanned
    trace: Trace
    left: Half | None
    right: Half | None
    rungs: tuple[Rung, ...]
    lines: tuple[Line, ...]
    more: int
    readings: tuple[tuple[str, str, str, int], ...]
    thing: Common
    is_simulated: bool
    names: dict[str, str]
    offers: tuple[Mates, ...]


@dataclass(frozen=True, slots=True)
class UnknownPage:
    """A code that nobody knows here."""

    code: str
    says: Text
    alike: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PersonPage:
    """A person whose badge was scanned."""

    id: str
    name: str
    taken: bool


@router.get("/things/{id}")
def thing_page(request: Request, id: str) -> Response:
    """What a thing is made of, where it went, what happened to it, what stops it."""
    served = served_of(request)
    with served.floor.record.reading() as reading:
        found, names = reading.trace(id), reading.names()
    if found is None:
        return unknown(request, id)
    scan = scanned(served.floor, id, now=served.now())
    routes = making_of(served.floor).routes
    with served.floor.looking() as state:
        left, right = _halves(state, found.thing)
        rungs = tuple(_rungs(routes, state, left, right)) if left is not None and right is not None else ()
    lines = tuple(_line(one, found, served.words, names) for one in reversed(found.history[-MOST_HISTORY:]))
    content = ThingPage(
        scan, found, left, right, rungs, lines, max(0, len(found.history) - MOST_HISTORY),
        _readings(found.thing, served.words, state_of=found.history), found.thing,
        any(one.event.simulated for one in found.history), names, mates_offered(served, id),
    )  # fmt: skip
    return page(request, "thing.html.j2", content, title=text("{id}", id=id), here="")


def unknown(request: Request, code: str) -> Response:
    """The page of a code that nobody knows: what is written much alike is offered."""
    import difflib

    served = served_of(request)
    with served.floor.record.reading() as reading:
        same = reading.state().alike(code) if len(code) <= 80 else None
        near = [one.id for one in reading.things(after=code[:2], limit=500)] if len(code) <= 80 else []
    alike = (same,) if same is not None else tuple(difflib.get_close_matches(code, near, n=4, cutoff=0.6))
    says = text(
        "{code} is not known here: scan the label again, or look whether it is of this works", code=code[:80]
    )
    return page(
        request,
        "unknown.html.j2",
        UnknownPage(code[:80], says, alike),
        title=text("Not known here"),
        status=404,
    )


@router.get("/people/{id}")
def person_page(request: Request, id: str) -> Response:
    """Whose badge it is, and signing off at this tablet."""
    from pairwright.web.looks import person_of

    served = served_of(request)
    with served.floor.record.reading() as reading:
        name = reading.names().get(id, "")
    return page(
        request, "person.html.j2", PersonPage(id, name, person_of(request) == id), title=text("{id}", id=id)
    )


# two halves


def _halves(state: State, thing: Common) -> tuple[Half | None, Half | None]:
    """The two halves of a set, or an item and its mate; None where there is only one."""
    if (isinstance(thing, Item) and thing.pair is not None) or (
        isinstance(thing, Set) and thing.pair is not None
    ):
        names = thing.pair.halves
    elif isinstance(thing, Set):
        items = [x for x in (state.item(n) for n in thing.members) if x is not None and not x.scrapped]
        sides = {x.side: x.id for x in items if x.part == _root(items)}
        first = sides.get("left") or sides.get("a")
        second = sides.get("right") or sides.get("b")
        if first is None or second is None:
            return None, None
        names = (first, second)
    else:
        return None, None
    return _half(state, names[0]), _half(state, names[1])


def _root(items: list[Item]) -> str | None:
    """The part that most of a set's own items are pieces of."""
    parts = [x.part for x in items if x.part is not None and x.side is not None]
    return max(dict.fromkeys(parts), key=parts.count, default=None)


def _half(state: State, name: str) -> Half | None:
    from pairwright.floor import made_of

    item = state.item(name)
    if item is None:
        return None
    return Half(name, item.side, tuple(p for p in made_of(state, name) if p.depth <= 2)[:24])


def _rungs(routes: Routes, state: State, left: Half, right: Half) -> Any:
    first, second = state.item(left.id), state.item(right.id)
    if first is None or second is None:
        return
    whole = None if first.set is None else state.set(first.set)
    done = [{d.step: d for d in one.done if not d.stale} for one in (first, second)]
    both = {} if whole is None else {d.step: d for d in whole.done if not d.stale}
    position = routes.position(state, first)
    steps = [] if position is None else [s.id for s in position.steps]
    steps += [name for name in (*done[0], *done[1], *both) if name not in steps]
    for name in dict.fromkeys(steps):
        one, other, astride = done[0].get(name), done[1].get(name), both.get(name)
        if one is None and other is None and astride is None:
            continue
        step = None if position is None else next((s for s in position.steps if s.id == name), None)
        apart = None if one is None or other is None else float(abs(_begin(one) - _begin(other)))
        allowed = None if step is None else step.mates_within
        yield Rung(name, name if step is None else step.name or name, "" if step is None else step.kind, one, other,
                   astride, apart, allowed is not None and apart is not None and apart > allowed)  # fmt: skip


def _begin(one: Done) -> int:
    return one.end if one.start is None else one.start


# what happened

KIND_WORDS: Final[dict[str, Text]] = {
    "received": text("came in"), "started": text("began"), "finished": text("ended"), "measured": text("measured"),
    "inspected": text("looked over"), "mated": text("became a pair"), "unmated": text("taken apart"),
    "mounted": text("put in"), "removed": text("taken out"), "held": text("held"), "freed": text("free again"),
    "reported": text("does not conform"), "disposed": text("decided"), "released": text("may leave"),
    "shipped": text("left"), "noted": text("noted"), "corrected": text("correction"),
    "registered": text("got its identity"), "ordered": text("ordered"), "refused": text("refused"),
    "logged": text("machine log"), "moved": text("put into"), "counted": text("counted"), "adopted": text("adopted"),
    "assigned": text("to do"), "settled": text("settled"), "acknowledged": text("known"), "told": text("told"),
    "cancelled": text("cancelled"), "purchased": text("bought"), "calibrated": text("checked"),
    "qualified": text("qualified"),
}  # fmt: skip
SHOWN: Final = (
    "step", "characteristic", "value", "unit", "zone", "defect", "size", "left", "right", "a", "b", "into", "buffer",
    "disposition", "to_step", "text", "reason", "programme", "revision", "batch", "carrier", "quantity", "material",
    "codes", "act", "person", "action", "by",
)  # fmt: skip


def _line(entry: Entry, found: Trace, words: Words, names: dict[str, str]) -> Line:
    event = entry.event
    what = []
    for name in SHOWN:
        value = event.data.get(name)
        if value is None or isinstance(value, dict):
            continue
        said = ", ".join(str(x) for x in value) if isinstance(value, list | tuple) else str(value)
        if isinstance(value, float):
            said = words.number(value, 5)
        what.append(said)
    kind = KIND_WORDS.get(event.kind, text("{kind}", kind=event.kind))
    return Line(
        entry.sequence, event.event_time, entry.record_time, kind,
        event.station or "", names.get(event.actor, event.actor), tuple(what), str(event.data.get("photograph") or ""),
        event.key in found.void, event.written, event.simulated,
    )  # fmt: skip


def _readings(
    thing: Common, words: Words, *, state_of: tuple[Entry, ...]
) -> tuple[tuple[str, str, str, int], ...]:
    """The last measurement of each characteristic."""
    units = {e.event.key: str(e.event.data.get("unit") or "") for e in state_of if e.event.kind == "measured"}
    return tuple(
        (r.characteristic, "" if r.value is None else words.number(r.value, 5), units.get(r.key, ""), r.time)
        for r in getattr(thing, "readings", ())
    )
