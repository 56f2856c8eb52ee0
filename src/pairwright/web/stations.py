"""The pages of a station: what to do now, what is next, and the sheets on which an act is written."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.app.acting_case import Begun
from pairwright.app.stationing import Scanned, board, scanned
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.reports.board import Board, Task
from pairwright.web.acts import BEGUN, Answered, act_of, answered, do
from pairwright.web.forms import Form, read_form
from pairwright.web.how import How, how_of
from pairwright.web.looks import PERSON, SHIFT, address, page, person_of
from pairwright.web.partners import WITH_ANOTHER, acts_between, halves_of
from pairwright.web.served import Served, served_of
from pairwright.web.wording import ACT_WORDS

if TYPE_CHECKING:
    from pairwright.works.factory import Station

router = APIRouter()

MOST_SHEET: Final = 12  # steps or kinds of defect to choose from
STATE_OF: Final = {
    "in work": "fine", "ready": "fine", "sent back": "watch", "to begin": "fine", "curing": "waiting",
    "waiting": "waiting", "too late": "broken", "on hold": "broken",
}  # fmt: skip
SHEETS: Final = (
    "measure", "problem", "rework", "repair", "concession", "scrap", "hold", "free", "note", "mate", "unmate", "swap",
    "mount", "remove",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hand:
    """What is in hand: what it is, how it stands, and the act that comes next.

    `subject` is what an act is done to, `also` what was scanned with it; `begun` what a new label stands for.
    """

    subject: str
    also: tuple[str, ...]
    says: Text
    state: str
    word: Text
    task: Task | None
    first: str
    others: tuple[str, ...]
    missing: tuple[Text, ...]
    begun: Begun | None = None
    unknown: bool = False
    whole: bool = False
    side: str | None = None
    elsewhere: bool = False

    @property
    def codes(self) -> tuple[str, ...]:
        """Everything that was scanned, in order."""
        return (*([self.subject] if self.subject else []), *self.also)


@dataclass(frozen=True, slots=True)
class Row:
    """A station in the list."""

    id: str
    name: str
    area: str
    board: Board
    state: str
    word: Text


@dataclass(frozen=True, slots=True)
class StationsPage:
    """All stations by area."""

    areas: tuple[tuple[str, tuple[Row, ...]], ...]


@dataclass(frozen=True, slots=True)
class StationPage:
    """One station."""

    id: str
    station: Station
    board: Board
    states: dict[str, str]
    hand: Hand | None
    how: How | None
    answered: Answered | None
    key: str
    words_of_acts: dict[str, Text]
    here: str


@dataclass(frozen=True, slots=True)
class SheetPage:
    """The sheet of one act: what must be written before it is done."""

    id: str
    station_name: str
    act: str
    word: Text
    subject: str
    says: Text
    task: Task | None
    steps: tuple[tuple[str, str], ...]
    defects: tuple[tuple[str, str], ...]
    known: tuple[str, ...]
    key: str
    also: tuple[str, ...]
    another: bool
    halves: tuple[str, ...]


@router.get("/stations")
def stations_page(request: Request) -> Response:
    """All stations: what is in work there, what is ready."""
    served = served_of(request)
    now = served.now()
    rows: dict[str, list[Row]] = {}
    for name, station in served.works.factory.stations.items():
        found = board(served.floor, name, now=now)
        rows.setdefault(station.area, []).append(Row(name, station.name, station.area, found, *_stand(found)))
    areas = tuple((area, tuple(found)) for area, found in rows.items())
    return page(request, "stations.html.j2", StationsPage(areas), title=text("Stations"), here="stations")


def _stand(found: Board) -> tuple[str, Text]:
    """How a station stands, in a state and a word."""
    words = [one.state for one in (*found.now, *found.next)]
    if "too late" in words or "on hold" in words:
        return "broken", text("needs a decision")
    if found.now:
        return "fine", text("in work: {n}", n=len(found.now))
    if any(word in ("ready", "sent back", "to begin") for word in words):
        return "fine", text("ready: {n}", n=sum(w in ("ready", "sent back", "to begin") for w in words))
    return ("waiting", text("waits")) if words else ("", text("nothing to do"))


@router.get("/stations/{id}")
def station_page(request: Request, id: str) -> Response:
    """What to do now, what is next, and what was answered to the last act."""
    served = served_of(request)
    station = served.works.factory.stations.get(id)
    if station is None:
        raise _no_station(served, id)
    now = served.now()
    found = board(served.floor, id, now=now, person=person_of(request) or None)
    asked = request.query_params
    hand = hand_of(served, id, subject=asked.get("subject", ""), also=tuple(asked.getlist("also")[:8]),
                   begun=begun_of(asked), now=now, board=found)  # fmt: skip
    answer = answered(served, asked.get("done"), asked.get("refused")) or _slip(asked.get("slip"))
    how = None if hand is None or hand.task is None else how_of(served, hand.task)
    content = StationPage(
        id, station, found, STATE_OF, hand, how, answer, new_key(), ACT_WORDS,
        address(f"/stations/{id}", subject=hand.subject if hand is not None else None),
    )  # fmt: skip
    return page(request, "station.html.j2", content, title=text("{name}", name=station.name), here="stations",
                station=id, modules=("station.js",), refresh=0 if asked else 30)  # fmt: skip


def _slip(code: str | None) -> Answered | None:
    """Why a code was not taken; nothing is recorded of it."""
    from pairwright.base.codes import CodeError, read_code

    if code is None:
        return None
    try:
        read_code(code[:200])
    except CodeError as error:
        return Answered(False, "", error.reason, error.code, "scan", None, 0)
    return None


def new_key() -> str:
    """A key for an act that this page may send."""
    return secrets.token_hex(16)


def _no_station(served: Served, id: str) -> InputError:
    names = ", ".join(served.works.factory.stations)[:300]
    return InputError(
        Problem(
            "request",
            "station",
            text("one of {names}", names=names),
            shown(id),
            text("choose a station of the list"),
        )
    )


def begun_of(asked: Any) -> Begun | None:
    """What a new label is to stand for, where the address says so."""
    found = {name: asked.get(f"b_{name}") or None for name in BEGUN}
    product, part = found.pop("product"), found.pop("part")
    return Begun(product, found.pop("option"), part, **found) if product and part else None


def hand_of(
    served: Served,
    station: str,
    *,
    subject: str,
    also: tuple[str, ...],
    begun: Begun | None,
    now: int,
    board: Board,
) -> Hand | None:
    """What is in hand: what was scanned, else the one thing that is in work."""
    if begun is not None:
        return _new(served, begun, subject=subject, also=also)
    if not subject:
        if len(board.now) != 1 or board.now[0].subject is None:
            return None
        subject = board.now[0].subject
    found = scanned(served.floor, subject, now=now, station=station)
    return _hand(found, station, also=also, served=served)


def _hand(found: Scanned, station: str, *, also: tuple[str, ...], served: Served) -> Hand:
    task = found.task
    if found.unknown is not None:
        return Hand(found.id, also, found.says, "broken", text("not known"), None, "", (), (), unknown=True)
    if task is None:
        acts = tuple(one for one in found.acts if one in SHEETS)
        word = text("on hold") if found.holds else text("not on a route")
        return Hand(found.id, also, found.says, "broken" if found.holds else "waiting", word, None, "", acts,
                    tuple(text("{reason}", reason=one) for one in found.holds))  # fmt: skip
    elsewhere = not _due_here(served, task, station)
    state, word, missing = STATE_OF[task.state], task.state_word, task.missing
    if elsewhere:
        state, word = "broken", text("not here")
        missing = (
            text("next is {step}, at {station}", step=task.step_name, station=_places(served, task)),
            *missing,
        )
    first = "finish" if task.state == "in work" else "start"
    freeing = ("free",) if found.holds else ()
    between = acts_between(served, found.id)
    others = ("measure", "inspect", "problem", *freeing, *between, "rework", "scrap", "note")
    return Hand(found.id, also, found.says, state, word, task, first, others, missing, whole=found.kind == "set",
                side=task.side, elsewhere=elsewhere)  # fmt: skip


def _due_here(served: Served, task: Task, station: str) -> bool:
    step = _step(served, task)
    return step is None or station in (one.station for one in step.stations)


def _places(served: Served, task: Task) -> str:
    step = _step(served, task)
    stations = served.works.factory.stations
    names = [] if step is None else [stations[one.station].name for one in step.stations]
    return " / ".join(names) or "-"


def _step(served: Served, task: Task) -> Any:
    from pairwright.reports.names import step_of

    return step_of(served.works, task.product, option=task.option, part=task.part, step=task.step)


def _new(served: Served, begun: Begun, *, subject: str, also: tuple[str, ...]) -> Hand:
    """A piece that is to begin: its label is scanned first."""
    from pairwright.reports.names import part_name, variant_name

    name = part_name(served.works, begun.product, option=begun.option or "", part=begun.part)
    says = text("{part} of {product}, for set {set}", part=name, set=begun.set or "-",
                product=variant_name(served.works, begun.product, begun.option or ""))  # fmt: skip
    word = text("new piece") if subject else text("scan its label")
    return Hand(subject, also, says, "fine" if subject else "waiting", word, None, "start" if subject else "", (), (),
                begun=begun, side=begun.side)  # fmt: skip


# acts


@router.post("/stations/{id}/acts")
async def post_act(request: Request, id: str) -> Response:
    """Do what was pressed; the answer is a page of its own, so that back and reload do nothing twice."""
    form = await read_form(request, many=("also",))
    served = served_of(request)
    if id not in served.works.factory.stations:
        raise _no_station(served, id)
    person = form.get("person") or person_of(request)
    where, stay = await run_in_threadpool(_done, served, form, station=id, person=person)
    if "application/json" in request.headers.get("accept", ""):
        from starlette.responses import JSONResponse

        answer: Response = JSONResponse({"address": where, **stay})
    else:
        answer = RedirectResponse(where, 303)
    if person:
        remember(answer, person)
    return answer


def _done(served: Served, form: Form, *, station: str, person: str) -> tuple[str, dict[str, Any]]:
    wanted = act_of(form, station=station, actor=person, keep=served.floor.keep)
    answer = do(served, wanted)
    back = form.get("back") or f"/stations/{station}"
    name = "done" if answer["done"] else "refused"
    subject = wanted.scanned[0] if wanted.scanned else None
    keep = subject if wanted.name in ("start", "measure", "note", "undo") or not answer["done"] else None
    return address(back, subject=keep, **{name: wanted.key}), answer


def remember(answer: Response, person: str) -> None:
    """Keep whose badge was scanned, for this tablet and this shift."""
    answer.set_cookie(PERSON, person, max_age=SHIFT, samesite="strict", httponly=True, path="/")


@router.get("/stations/{id}/acts/{name}")
def sheet_page(request: Request, id: str, name: str) -> Response:
    """The sheet of an act: why, which step it goes back to, what was measured."""
    served = served_of(request)
    station = served.works.factory.stations.get(id)
    if station is None:
        raise _no_station(served, id)
    if name not in SHEETS:
        raise InputError(
            Problem(
                "request",
                "act",
                text("one of {names}", names=", ".join(SHEETS)),
                shown(name),
                text("go back"),
            )
        )
    asked = request.query_params
    found = scanned(served.floor, asked.get("subject", ""), now=served.now(), station=id)
    content = SheetPage(
        id, station.name, name, ACT_WORDS[name], found.id, found.says, found.task, _steps(served, found.task),
        defects_of(served), characteristics_of(served), new_key(), tuple(asked.getlist("also")[:8]),
        name in WITH_ANOTHER, halves_of(served, found.id) if name == "swap" else (),
    )  # fmt: skip
    return page(request, "sheet.html.j2", content, title=ACT_WORDS[name], here="stations", station=id,
                modules=("station.js",))  # fmt: skip


def _steps(served: Served, task: Task | None) -> tuple[tuple[str, str], ...]:
    """Steps of the route up to the one at hand: where rework can go back to."""
    if task is None:
        return ()
    variant = served.works.variants.get((task.product, task.option))
    steps = () if variant is None else variant.parts[task.part].steps
    names = [one.id for one in steps]
    last = names.index(task.step) + 1 if task.step in names else len(names)
    return tuple((one.id, one.name or one.id) for one in steps[max(0, last - MOST_SHEET) : last])


def defects_of(served: Served) -> tuple[tuple[str, str], ...]:
    """Kinds of defect that the works names, at most twelve."""
    found = getattr(served.works.factory, "defects", {}) or {}
    return tuple((name, getattr(one, "name", name)) for name, one in list(found.items())[:MOST_SHEET])


def characteristics_of(served: Served) -> tuple[str, ...]:
    """Characteristics that were measured before."""
    with served.floor.record.reading() as reading:
        rows = reading.find("measured", newest=True, limit=300)
    return tuple(dict.fromkeys(row.event.data["characteristic"] for row in rows))[:MOST_SHEET]
