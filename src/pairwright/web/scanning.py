"""Whatever is scanned or typed opens: a thing, a station, a person; at a station it comes to hand."""

from __future__ import annotations

from typing import Final
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pairwright.app.stationing import Scanned, scanned
from pairwright.base.codes import CodeError, read_code
from pairwright.base.words import text
from pairwright.floor.fields import NAME
from pairwright.web.forms import read_form, wrong
from pairwright.web.habits import own_address
from pairwright.web.looks import PERSON, address
from pairwright.web.served import Served, served_of
from pairwright.web.stations import begun_of, remember
from pairwright.web.things import unknown

router = APIRouter()

BESIDE: Final = (
    "lot",
    "carrier",
    "mould",
    "programme",
    "instrument",
    "batch",
)  # what is scanned with a thing


@router.get("/scan")
def scan(request: Request) -> Response:
    """Where a code leads; at a station it becomes what is in hand, or goes with what is."""
    served = served_of(request)
    asked = request.query_params
    code = asked.get("code", "").strip()
    if not code:
        return RedirectResponse("/stations", 303)
    if len(code) > 200:
        raise wrong("code", text("at most 200 characters"), f"{len(code)}", text("scan one label at a time"))
    station = asked.get("station", "")
    at_station = station in served.works.factory.stations
    try:
        code, kind = identity(code, strict=at_station)
    except CodeError as error:
        if at_station:
            return RedirectResponse(address(f"/stations/{quote(station)}", **_kept(request), slip=code), 303)
        raise wrong("code", text("a code of this works"), code, error.reason) from None
    if kind == "person":
        return _signed_on(request, code, station=station if at_station else "")
    found = scanned(served.floor, code, now=served.now(), station=station if at_station else None)
    if found.kind == "person":
        return _signed_on(request, found.id, station=station if at_station else "")
    if found.kind == "station":
        return RedirectResponse(f"/stations/{quote(found.id)}", 303)
    if at_station:
        return RedirectResponse(_to_hand(served, request, found, station=station), 303)
    if found.kind == "unknown":
        return unknown(request, code)
    return RedirectResponse(f"/things/{quote(found.id)}", 303)


def identity(code: str, *, strict: bool) -> tuple[str, str | None]:
    """The identity in a code, and the kind that the code states; raises `CodeError`.

    Parameters
    ----------
    code : str
        As it was scanned or typed.
    strict : bool
        Whether what is typed needs its check character: at a station it does.
    """
    try:
        found = read_code(code)
    except CodeError as error:
        if not strict and error.code == "check_missing":
            return code, None
        raise
    return found.id, found.kind


def _kept(request: Request) -> dict[str, str | None]:
    """What is in hand stays there."""
    asked = request.query_params
    begun = {name: value for name, value in asked.items() if name.startswith("b_")}
    return {"subject": asked.get("subject"), **begun}


def _to_hand(served: Served, request: Request, found: Scanned, *, station: str) -> str:
    """The station's page with what was scanned: as what is in hand, or beside it."""
    asked = request.query_params
    subject, also = asked.get("subject", ""), list(asked.getlist("also"))
    begun = {name: value for name, value in asked.items() if name.startswith("b_")}
    if begun_of(asked) is not None and not subject:
        subject = found.id
    elif (found.kind in BESIDE and subject and found.id not in also) or (
        found.kind in ("item", "set") and subject and found.id != subject and _goes_in(served, subject, found)
    ):
        also.append(found.id)
    else:
        subject, also, begun = found.id, [], {}
    place = address(f"/stations/{quote(station)}", subject=subject, **begun)
    return place + "".join(f"&also={quote(one, safe='')}" for one in also[:8])


def _goes_in(served: Served, subject: str, found: Scanned) -> bool:
    """Whether what was scanned is a part that the step in hand takes in."""
    from pairwright.reports.names import step_of

    task = scanned(served.floor, subject, now=served.now()).task
    if task is None or found.kind != "item":
        return False
    step = step_of(served.works, task.product, option=task.option, part=task.part, step=task.step)
    with served.floor.looking() as state:
        item = state.item(found.id)
    return step is not None and item is not None and item.part in step.uses


def _signed_on(request: Request, person: str, *, station: str) -> Response:
    """A badge: what is recorded at this tablet carries it from now on."""
    asked = request.query_params
    place = f"/people/{quote(person)}"
    if station:
        place = address(f"/stations/{quote(station)}", **_kept(request))
        place += "".join(
            f"{'&' if '?' in place else '?'}also={quote(one, safe='')}"
            if n == 0
            else f"&also={quote(one, safe='')}"
            for n, one in enumerate(asked.getlist("also")[:8])
        )
    answer = RedirectResponse(place, 303)
    if request.headers.get("sec-fetch-site", "none") in (
        "same-origin",
        "none",
    ):  # no other site signs anybody on
        remember(answer, person)
    return answer


@router.post("/people/on")
async def sign_on(request: Request) -> Response:
    """Somebody types their id, where there is no badge to scan."""
    form = await read_form(request)
    person = form.need("actor", text("your id"))
    if not NAME.fullmatch(person):
        raise wrong(
            "actor",
            text("letters, digits, hyphen, point and underscore"),
            person,
            text("type your id as on your badge"),
        )
    answer = RedirectResponse(own_address(form.get("back", "/stations")), 303)
    remember(answer, person)
    return answer


@router.post("/people/off")
async def sign_off(request: Request) -> Response:
    """Nobody is signed on at this tablet any more."""
    form = await read_form(request)
    answer = RedirectResponse("/stations" if not form.get("back") else "/", 303)
    answer.delete_cookie(PERSON, path="/")
    return answer
