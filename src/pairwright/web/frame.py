"""The application: its pages, its way in for programs, and what is said when something is wrong."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Final

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.staticfiles import StaticFiles

from pairwright import __version__
from pairwright.archive.writer import EventsRefusedError
from pairwright.base.errors import InputError, MachineryError, PairwrightError, Problem, RefusedError
from pairwright.base.words import Text, text
from pairwright.web import api, habits, inspecting, papers, scanning, stations, things, troubles, wall, week
from pairwright.web.answers import problems_json
from pairwright.web.guard import Guard
from pairwright.web.looks import page
from pairwright.web.served import Served, served_of

LOG: Final = logging.getLogger("pairwright.web")

PAGES: Final = tuple(
    part.router for part in (habits, week, stations, things, scanning, inspecting, papers, troubles, wall)
)


@dataclass(frozen=True, slots=True)
class Trouble:
    """The page of a request that was not taken."""

    head: str
    problems: Sequence[Problem]
    incident: str = ""


def make_app(served: Served) -> FastAPI:
    """The application that serves one works.

    Parameters
    ----------
    served : Served
        The works, open for writing.
    """
    app = FastAPI(
        title="pairwright", version=__version__, openapi_url="/api/openapi.json", docs_url=None, redoc_url=None,
        middleware=[Middleware(Guard, hosts=served.hosts)], redirect_slashes=False,
    )  # fmt: skip
    app.state.served = served
    app.include_router(api.router)
    for router in PAGES:
        app.include_router(router, include_in_schema=False)
    folder = str(resources.files("pairwright.web").joinpath("static"))
    app.mount("/static", StaticFiles(directory=folder), name="static")
    app.add_exception_handler(InputError, _wrong)
    app.add_exception_handler(RefusedError, _refused)
    app.add_exception_handler(MachineryError, _failed)
    app.add_exception_handler(PairwrightError, _failed)
    app.add_exception_handler(RequestValidationError, _not_valid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _unexpected)
    return app


def _answer(
    request: Request, problems: Sequence[Problem], *, status: int, head: Text, incident: str = ""
) -> Response:
    words = served_of(request).words
    if request.url.path.startswith("/api") or "application/json" in request.headers.get("accept", ""):
        found = problems_json(problems, words)
        return JSONResponse({**found, "incident": incident} if incident else found, status)
    return page(
        request,
        "trouble-page.html.j2",
        Trouble(words.say(head), tuple(problems), incident),
        title=head,
        status=status,
    )


def _wrong(request: Request, error: Exception) -> Response:
    problems = error.problems if isinstance(error, InputError) else ()
    return _answer(request, problems, status=400, head=text("Not taken: something is to be corrected"))


def _refused(request: Request, error: Exception) -> Response:
    if isinstance(error, EventsRefusedError):
        problems = [
            Problem(f"event {error.key}", one.code, text("allowed by the record"), one.subject, one.text)
            for one in error.findings
        ]
    else:
        reason = error.reason if isinstance(error, RefusedError) else text("refused")
        problems = [Problem("request", "act", text("allowed here and now"), "refused", reason)]
    return _answer(request, problems, status=409, head=text("Refused"))


def _failed(request: Request, error: Exception) -> Response:
    reason = error.reason if isinstance(error, MachineryError) else text("{why}", why=str(error))
    status = 507 if "disk is full" in str(error) else 503
    LOG.error("machinery: %s", str(error))
    problem = Problem("server", "machinery", text("in order"), type(error).__name__, reason)
    return _answer(request, [problem], status=status, head=text("Nothing was recorded: something failed"))


def _not_valid(request: Request, error: Exception) -> Response:
    rows = error.errors() if isinstance(error, RequestValidationError) else []
    problems = [
        Problem("request", ".".join(str(x) for x in row["loc"][1:]) or "body", text("{what}", what=str(row["msg"])),
                str(row.get("input", ""))[:60], text("correct it"))
        for row in rows[:20]
    ]  # fmt: skip
    return _answer(request, problems, status=422, head=text("Not taken: something is to be corrected"))


def _http(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    if status == 404:
        must_be, do = text("an address of this server"), text("go back, or begin at the first page")
    elif status == 405:
        must_be, do = text("asked for as its page does"), text("open its page")
    else:
        must_be, do = text("a request that can be read"), text("send it again")
    problem = Problem("request", "address", must_be, request.url.path[:80], do)
    answer = _answer(request, [problem], status=status, head=text("There is nothing at this address"))
    if isinstance(error, HTTPException) and error.headers:
        answer.headers.update(error.headers)
    return answer


def _unexpected(request: Request, error: Exception) -> Response:
    """The last door: a number for whoever looks into the log, and nothing of what went wrong inside."""
    incident = secrets.token_hex(4)
    LOG.error(
        "incident %s: %s", incident, where(error), exc_info=error if LOG.isEnabledFor(logging.DEBUG) else None
    )
    problem = Problem(
        "server", "machinery", text("in order"), f"incident {incident}",
        text("try again; if it stays, give this number to whoever looks after the server"),
    )  # fmt: skip
    return _answer(request, [problem], status=500, head=text("Something failed inside"), incident=incident)


def where(error: BaseException) -> str:
    """An exception in one line: what it says, and where it came up."""
    found = error.__traceback__
    while found is not None and found.tb_next is not None:
        found = found.tb_next
    place = "" if found is None else f" at {found.tb_frame.f_code.co_filename}:{found.tb_lineno}"
    return f"{type(error).__name__}: {' '.join(str(error).split())[:200]}{place}"
