"""`pairwright serve`: the works in the browser, on this machine."""

from __future__ import annotations

import logging
import sys
import threading
from typing import TYPE_CHECKING, Annotated, Final

import typer

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.cli.options import Language, Lengths, Now, WorksFolder
from pairwright.cli.tongue import tr

if TYPE_CHECKING:
    import socket

    from fastapi import FastAPI

    from pairwright.web import Served

WARM_AFTER: Final = 1.0  # the first page comes first [s]
LOOPBACK: Final = ("127.0.0.1", "localhost", "::1")


def serve(
    works: WorksFolder,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help=tr("Port; 0 takes a free one."))
    ] = 8350,
    host: Annotated[str, typer.Option("--host", help=tr("Address; only this machine's own."))] = "127.0.0.1",
    effort: Annotated[
        int | None, typer.Option("--effort", min=1, help=tr("How many plans to try; default: 48."))
    ] = None,
    runs: Annotated[
        int, typer.Option("--runs", min=1, max=100_000, help=tr("Drawn futures of the forecast."))
    ] = 20,
    now: Now = None,
    language: Language = None,
    lengths: Lengths = None,
) -> int:
    """Serve the works as pages: the week, its stations, every thing; and the way in for programs under /api.

    Reachable from this machine only. Ends with Ctrl-C.
    """
    if host not in LOOPBACK:
        raise InputError(
            Problem(
                "pairwright serve",
                "--host",
                text("this machine's own address: {names}", names=", ".join(LOOPBACK)),
                shown(host),
                text("leave it out; other machines are let in only where people have accounts"),
            )
        )  # fmt: skip
    from pairwright.app.language import words_of
    from pairwright.app.recording import open_floor
    from pairwright.app.serving import Clock, Weekly, free_socket
    from pairwright.web import Served, make_app

    given = None
    if now is not None:
        from pairwright.app.opened import open_definition

        given = Clock(open_definition(works, book=False).now(now))
    listening = free_socket(host, port)
    with listening, open_floor(works, clock=given) as floor:
        weekly = Weekly(str(works), runs=runs, effort=effort)
        words = words_of(floor.opened.works, language=language, lengths=lengths)
        served = Served(floor, words, weekly, given or Clock(floor.now()))
        address = f"http://{'[::1]' if host == '::1' else host}:{listening.getsockname()[1]}/"
        typer.echo(
            words.say(
                text("{works} is served at {address}", works=floor.opened.works.factory.name, address=address)
            )
        )
        later = threading.Timer(WARM_AFTER, _warm, (served,))
        later.daemon = True
        later.start()
        try:
            _run(make_app(served), listening, debug="--debug" in sys.argv)
        finally:
            weekly.close()
    return 0


def _warm(served: Served) -> None:
    """Make ready what the first page waits for; what goes wrong there is told to whoever asks first."""
    try:
        served.warm()
    except Exception:  # noqa: BLE001 - nobody waits for this; the page that needs it says what is wrong
        return


def _once(record: logging.LogRecord) -> bool:
    """Whether a line is logged: what a page answered with an incident number is in the log already."""
    return "Exception in ASGI application" not in record.getMessage()


def _run(app: FastAPI, listening: socket.socket, *, debug: bool) -> None:
    """Answer until somebody ends it."""
    import uvicorn

    logging.basicConfig(format="%(levelname)s %(name)s: %(message)s")
    logging.getLogger("pairwright.web").setLevel(logging.DEBUG if debug else logging.INFO)
    config = uvicorn.Config(
        app, log_level="warning", log_config=None, access_log=False, server_header=False, date_header=True,
        timeout_keep_alive=20, timeout_graceful_shutdown=5, h11_max_incomplete_event_size=32 << 10,
        limit_concurrency=400,
    )  # fmt: skip
    logging.getLogger("uvicorn.error").addFilter(_once)
    uvicorn.Server(config).run(sockets=[listening])
