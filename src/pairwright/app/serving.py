"""What a server of pages needs beside the acts: a clock that runs on, and the week's plan made in the background.

The plan is made in a process of its own, so that pages stay quick; it can be cancelled, and it is kept for as
long as the works and the record are what it was made from.
"""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from multiprocessing import get_context
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

from pairwright.base.errors import InputError, PairwrightError, Problem
from pairwright.base.words import Text, text

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from pairwright.reports.book import BookData

Stand: TypeAlias = Literal["none", "working", "ready", "failed", "cancelled"]
RUNS: Final = 20  # drawn futures of the forecast


@dataclass(frozen=True, slots=True)
class Basis:
    """What a plan is made from: the revision of the works and the end of the record."""

    revision: str
    sequence: int


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the plan is."""

    stand: Stand = "none"
    stage: Text = text("no plan yet")  # noqa: RUF009 - frozen
    done: int = 0
    of: int = 0
    basis: Basis | None = None
    seconds: float = 0.0

    @property
    def share(self) -> float:
        """Part of the stage that is done. [-]"""
        return self.done / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class Made:
    """A finished plan with its forecast, as the book has it, and what it was made from."""

    data: BookData
    basis: Basis


class Clock:
    """UTC seconds that begin at a moment and run on.

    Parameters
    ----------
    begin : int
        The first moment. [s]
    tick : Callable[[], float]
        Seconds that only rise.
    """

    def __init__(self, begin: int, tick: Callable[[], float] = time.monotonic) -> None:
        self._begin = begin
        self._tick = tick
        self._from = tick()

    def __call__(self) -> int:
        """UTC seconds. [s]"""
        return self._begin + int(self._tick() - self._from)


class Weekly:
    """The plan behind the page of the week, made in the background."""

    def __init__(self, folder: str, *, runs: int = RUNS, effort: int | None = None) -> None:
        self._order = (folder, runs, effort)
        self._guard = threading.Lock()
        self._progress = Progress()
        self._made: Made | None = None
        self._process: BaseProcess | None = None

    def progress(self) -> Progress:
        """How far it is."""
        with self._guard:
            return self._progress

    def made(self) -> Made | None:
        """The last plan that was finished."""
        with self._guard:
            return self._made

    def start(self, basis: Basis, *, now: int) -> bool:
        """Begin a plan, unless one is being made or there is one of the same basis.

        Parameters
        ----------
        basis : Basis
            What it is made from.
        now : int
            The moment from which it plans, UTC seconds. [s]
        """
        context = get_context("spawn")
        with self._guard:
            if self._progress.stand == "working" or (self._made is not None and self._made.basis == basis):
                return False
            receive, send = context.Pipe(duplex=False)
            process = context.Process(target=_work, args=(send, *self._order, now), daemon=True)
            self._progress = Progress("working", text("opening the works"), basis=basis)
            self._process = process
        process.start()
        send.close()
        threading.Thread(target=self._follow, args=(receive, process, basis), daemon=True).start()
        return True

    def cancel(self) -> bool:
        """Stop what is being made; the plan before it stays."""
        with self._guard:
            process = self._process
            if process is None or self._progress.stand != "working":
                return False
            self._progress = replace(self._progress, stand="cancelled", stage=text("cancelled"))
            self._process = None
        process.terminate()
        return True

    def close(self) -> None:
        """Stop whatever is still running."""
        self.cancel()

    def _follow(self, receive: Connection, process: BaseProcess, basis: Basis) -> None:
        begun = time.monotonic()
        ended = False
        try:
            while not ended:
                ended = self._take(receive.recv(), process, basis=basis, seconds=time.monotonic() - begun)
        except (EOFError, OSError):
            self._take(
                ("failed", text("planning stopped without an answer")), process, basis=basis, seconds=0.0
            )
        finally:
            receive.close()
            process.join()

    def _take(self, message: tuple[str, Any], process: BaseProcess, *, basis: Basis, seconds: float) -> bool:
        """One message of the process; whether it was the last."""
        kind, content = message
        with self._guard:
            if self._process is not process:
                return True  # cancelled meanwhile
            if kind == "stage":
                self._progress = Progress("working", content, basis=basis, seconds=seconds)
                return False
            if kind == "step":
                done, of = content
                self._progress = replace(self._progress, done=done, of=of, seconds=seconds)
                return False
            self._process = None
            if kind == "made":
                self._made = Made(content, basis)
                self._progress = Progress("ready", text("the plan is ready"), basis=basis, seconds=seconds)
            else:
                self._progress = Progress("failed", content, basis=basis, seconds=seconds)
            return True


def _work(send: Connection, folder: str, runs: int, effort: int | None, now: int) -> None:
    """Make the book's data and send it; runs in a process of its own."""
    try:
        send.send(("made", week_of(folder, now=now, runs=runs, effort=effort, tell=send.send)))
    except InputError as error:
        first = error.problems[0]
        said = text(
            "{where}: {field} must be {must_be}", where=first.where, field=first.field, must_be=first.must_be
        )
        send.send(("failed", said))
    except PairwrightError as error:
        send.send(("failed", text("{why}", why=str(error))))
    except BrokenPipeError:  # the server is gone: nobody waits for the plan
        return
    finally:
        send.close()


def week_of(
    folder: str, *, now: int, runs: int, effort: int | None, tell: Callable[[tuple[str, Any]], None]
) -> BookData:
    """Plan, audit and forecast the works as it stands, as the book has it.

    Parameters
    ----------
    folder : str
        The works folder.
    now : int
        UTC seconds. [s]
    runs : int
        Drawn futures of the forecast. [-]
    effort : int | None
        How many plans to try. [-]
    tell : Callable
        Takes ("stage", Text) and ("step", (done, of)).
    """
    from pairwright import reports
    from pairwright.app.forecasting import forecast_works
    from pairwright.app.opened import open_works
    from pairwright.app.planning import plan_works

    opened = open_works(folder)
    tell(("stage", text("checking every recipe")))
    findings = opened.findings
    tell(("stage", text("planning {n} orders", n=len(opened.book.orders))))
    planned = plan_works(
        opened, actor="serve", now=now, effort=effort,
        progress=lambda _value, _bound, _gap, done, of: tell(("step", (done, of))),
    )  # fmt: skip
    foreseen = None
    if planned.found:
        tell(("stage", text("forecasting {n} futures", n=runs)))
        foreseen = forecast_works(
            opened, planned.schedule, actor="serve", runs=runs, seed=0, workers=1,
            progress=lambda done, of: tell(("step", (done, of))),
        )  # fmt: skip
    return reports.make_book(
        opened.works, opened.book, findings=findings, times=opened.times, schedule=planned.schedule,
        violations=planned.violations, forecast=foreseen, now=now, comparison=None,
    )  # fmt: skip


def free_socket(host: str, port: int) -> socket.socket:
    """A socket that listens; raises `InputError` where the port is taken.

    Parameters
    ----------
    host : str
        An address of this machine.
    port : int
        The port; 0 takes a free one.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
        made.listen(128)  # who comes before the server is quite ready waits, and is not turned away
    except OSError as error:
        made.close()
        raise InputError(
            Problem("pairwright serve", "--port", text("a free port ({why})", why=error.strerror or "taken"), f"{port}",
                    text("choose another, or --port 0 for a free one"))
        ) from None  # fmt: skip
    return made
