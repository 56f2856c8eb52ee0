"""The way in for programs: one event, one thing, acts at a station, how the plan is, whether all is well."""

from __future__ import annotations

from typing import Any, Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse

from pairwright.app.acting_answers import Done
from pairwright.app.acting_case import Act, Begun
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.floor import KINDS, document
from pairwright.web.served import Served, served_of

router = APIRouter()

_ERROR: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["where", "field", "must_be", "got", "do"],
    "properties": {
        **{name: {"type": "string"} for name in ("where", "field", "must_be", "got", "do", "incident")},
        "errors": {"type": "array", "items": {"type": "object"}},
    },
}
_EVENT: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["key", "kind", "event_time", "actor", "data"],
    "additionalProperties": False,
    "properties": {
        "key": {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._:-]{0,79}$"},
        "kind": {"type": "string", "enum": list(KINDS)},
        "event_time": {"type": "string", "format": "date-time"},
        "actor": {"type": "string"},
        "station": {"type": "string"},
        **{name: {"type": "string"} for name in ("item", "lot", "set", "device")},
        "data": {"type": "object"},
        "written": {"type": "boolean"},
        "simulated": {"type": "boolean"},
        "counter": {"type": "integer", "minimum": 0},
    },
}
_ANSWER: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["key", "sequence", "hash"],
    "properties": {"key": {"type": "string"}, "sequence": {"type": "integer"}, "hash": {"type": "string"}},
}


def _told(description: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"description": description, "content": {"application/json": {"schema": schema}}}


_TROUBLES: Final[dict[int | str, dict[str, Any]]] = {
    status: _told(description, _ERROR)
    for status, description in (
        (400, "Something is to be corrected; nothing was recorded."),
        (403, "Sent from another site's page."),
        (404, "There is no such thing."),
        (405, "This address does not take that method."),
        (408, "The body did not come to its end."),
        (409, "Refused by the record, or the key was used for other content."),
        (413, "The body is too large."),
        (415, "The body is no JSON, or it is packed."),
        (503, "Something failed; nothing was recorded."),
        (507, "The disk is full; nothing was recorded."),
    )
}


@router.get("/health", responses={200: _told("How the server is.", {"type": "object"})})
def health(request: Request) -> JSONResponse:
    """Whether the server is well: its works, the end of the record, what is to be known."""
    served = served_of(request)
    head = served.floor.record.head()
    return JSONResponse(
        {
            "ok": True, "works": served.works.factory.name, "revision": served.works.revision,
            "events": head.sequence, "head": head.hash, "warnings": list(served.floor.record.warnings),
        }
    )  # fmt: skip


@router.post(
    "/api/events", status_code=201,
    responses={200: _told("Recorded before, under the same key.", _ANSWER), 201: _told("Recorded.", _ANSWER),
               **{n: _TROUBLES[n] for n in (400, 403, 408, 409, 413, 415, 503, 507)}},
    openapi_extra={"requestBody": {"required": True, "content": {"application/json": {"schema": _EVENT}}}},
)  # fmt: skip
async def post_event(request: Request) -> JSONResponse:
    """Record one event; the same key and content again is answered as before."""
    from starlette.concurrency import run_in_threadpool

    served = served_of(request)
    body = await json_body(request)
    answer = await run_in_threadpool(_append, served, body)
    return JSONResponse(answer.as_json(), 200 if answer.replayed else 201)


def _append(served: Served, body: bytes) -> Any:
    events = served.floor.read(body, path="body")
    if len(events) != 1:
        raise InputError(
            Problem("body", "event", text("one event"), f"{len(events)}", text("send one event at a time"))
        )
    return served.floor.append(events)[0]


async def json_body(request: Request) -> bytes:
    """The body of a request that says it is JSON; raises `InputError`."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        raise InputError(
            Problem("request", "content-type", text("application/json"), kind or "nothing", text("send JSON"))
        )
    return await request.body()


@router.get("/api/items/{id}", responses={200: _told("The thing.", {"type": "object"}), 404: _TROUBLES[404]})
def get_item(request: Request, id: str) -> JSONResponse:
    """What an item, set or lot is made of, where it is used, its history, the holds on it."""
    found = served_of(request).floor.record.trace(id)
    if found is None:
        problem = Problem(
            "request", "id", text("a thing that the record knows"), shown(id), text("scan its label again")
        )
        return JSONResponse({**problem.as_json(), "errors": [problem.as_json()]}, 404)
    return JSONResponse(document(found))


@router.get("/api/plan", responses={200: _told("How far the plan is.", {"type": "object"})})
def get_plan(request: Request) -> JSONResponse:
    """How far the plan of the week is."""
    served = served_of(request)
    found, made = served.weekly.progress(), served.weekly.made()
    return JSONResponse(
        {
            "stand": found.stand, "stage": served.words.say(found.stage), "done": found.done, "of": found.of,
            "seconds": round(found.seconds, 1), "events": None if made is None else made.basis.sequence,
        }
    )  # fmt: skip


_ACT: Final[dict[str, Any]] = {
    "type": "object",
    "required": ["act", "key", "actor"],
    "additionalProperties": False,
    "properties": {
        **{name: {"type": "string"} for name in ("act", "key", "actor", "step", "device")},
        "scanned": {"type": "array", "items": {"type": "string"}, "maxItems": 20},
        "at": {"type": "integer", "description": "When it was done, UTC seconds; left out for now."},
        "data": {"type": "object"},
        "begun": {"type": "object"},
        "counter": {"type": "integer", "minimum": 0},
        "simulated": {"type": "boolean"},
    },
}


@router.post(
    "/api/stations/{id}/acts",
    responses={200: _told("Done, or refused with one sentence.", {"type": "object"}),
               **{n: _TROUBLES[n] for n in (400, 403, 408, 413, 415, 503, 507)}},
    openapi_extra={"requestBody": {"required": True, "content": {"application/json": {"schema": _ACT}}}},
)  # fmt: skip
async def post_act(request: Request, id: str) -> JSONResponse:
    """Do something at a station; a refusal is an answer, not an error."""
    from starlette.concurrency import run_in_threadpool

    served = served_of(request)
    body = await json_body(request)
    found = await run_in_threadpool(_act, served, id, body)
    return JSONResponse(found)


def _act(served: Served, station: str, body: bytes) -> dict[str, Any]:
    from pairwright.app.acting import act

    answer = act(served.floor, read_act(body, station=station), now=served.now())
    return {**answer.as_json(served.words), "done": isinstance(answer, Done)}


def read_act(body: bytes, *, station: str) -> Act:
    """An act from JSON, strictly; raises `InputError`.

    Parameters
    ----------
    body : bytes
        The JSON text.
    station : str
        Where it is done.
    """
    from pairwright.floor.read import read_table

    tree = read_table(body, where="body")
    problems: list[Problem] = []

    def given(name: str, kind: type | tuple[type, ...], *, needed: bool = False) -> Any:
        value = tree.get(name)
        fits = isinstance(value, kind) and not (isinstance(value, bool) and kind is int)
        if (value is None and not needed) or fits:
            return value
        problems.append(
            Problem("body", name, text("{kind}", kind=_KIND_WORDS[name]), shown(value), text("correct it"))
        )
        return None

    scanned = given("scanned", list) or []
    strange = [x for x in tree if x not in _ACT["properties"]]
    problems += [Problem("body", x, text("a known field"), shown(x), text("remove it")) for x in strange]
    if len(scanned) > 20 or any(not isinstance(x, str) or len(x) > 200 for x in scanned):
        problems.append(
            Problem("body", "scanned", text("at most 20 codes"), shown(scanned), text("correct it"))
        )
    begun = given("begun", dict)
    if begun is not None and (set(begun) - _BEGUN or not set(begun) >= _BEGUN_NEEDS
                              or any(not isinstance(x, str) for x in begun.values())):  # fmt: skip
        problems.append(
            Problem("body", "begun", text("product and part as texts"), shown(begun), text("correct it"))
        )
    found = {name: given(name, str, needed=True) for name in ("act", "key", "actor")}
    step, device = given("step", str), given("device", str)
    at, counter = given("at", int), given("counter", int)
    data, simulated = given("data", dict) or {}, given("simulated", bool) or False
    if problems:
        raise InputError(problems)
    return Act(
        found["act"], found["key"], found["actor"], station, tuple(scanned), step, at, data,
        None if begun is None else Begun(**{"option": None, **begun}), device, counter, simulated,
    )  # fmt: skip


_BEGUN: Final = frozenset({"product", "option", "part", "side", "set", "order"})
_BEGUN_NEEDS: Final = frozenset({"product", "part"})
_KIND_WORDS: Final = {
    **dict.fromkeys(("act", "key", "actor", "step", "device"), "a text"), "scanned": "a list of codes",
    "at": "UTC seconds", "data": "a table", "begun": "a table", "counter": "a whole number",
    "simulated": "true or false",
}  # fmt: skip
