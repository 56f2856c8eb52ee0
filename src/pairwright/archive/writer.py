"""The one writer of a record: group commit, keys that make repeats harmless, all or nothing.

Whoever wants to append hands in events and waits. The writer's thread takes all that wait, weighs
them one after the other, and commits what is accepted in one durable transaction. Only then it answers.
"""

from __future__ import annotations

import queue
import sqlite3
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError

from pairwright.archive.bulk import insert_rows
from pairwright.archive.derived import filed_row, touch_rows, write_things
from pairwright.archive.stored import Rows
from pairwright.archive.tables import EVENT, FILED, TOUCH
from pairwright.base.errors import MachineryError, RefusedError
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.chain import BEGINNING, canonical, seal
from pairwright.floor.event import Event
from pairwright.floor.state import State
from pairwright.floor.weighing import Rule, accept, weigh

T = TypeVar("T")
MOST_TOGETHER: Final = 500  # events of one transaction
TURN: Final = 0.001  # how long a reading thread may keep the interpreter while the writer waits [s]


@dataclass(frozen=True, slots=True)
class Head:
    """Where the record ends: how many events, and the hash of the last."""

    sequence: int
    hash: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What an append answers for each event; `replayed` where it had been recorded before."""

    key: str
    sequence: int
    hash: str
    replayed: bool = field(default=False, compare=False)

    def as_json(self) -> dict[str, str | int]:
        """The public shape."""
        return {"key": self.key, "sequence": self.sequence, "hash": self.hash}


class EventsRefusedError(RefusedError):
    """An event may not be appended; nothing of what came with it was."""

    def __init__(self, key: str, findings: Sequence[Finding]) -> None:
        self.key = key
        self.findings = tuple(findings)
        super().__init__(self.findings[0].text)


@dataclass(slots=True)
class _Request:
    events: Sequence[tuple[Event, str]]
    future: Future[list[Answer]]


@dataclass(slots=True)
class _Group:
    """What one transaction will add."""

    answers: dict[str, tuple[Answer, str]] = field(default_factory=dict)
    rows: list[dict[str, Any]] = field(default_factory=list)


class Writer:
    """Appends to a record through one connection, in one thread."""

    def __init__(self, connection: Connection, *, rules: Sequence[Rule], clock: Callable[[], int]) -> None:
        self._connection = connection
        sys.setswitchinterval(min(sys.getswitchinterval(), TURN))
        self._rules = rules
        self._clock = clock
        self._waiting: queue.SimpleQueue[_Request] = queue.SimpleQueue()
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="record-writer")
        self.head = self._thread.submit(self._read_head).result()
        self._state = State(Rows(connection), first=self.head.sequence + 1)

    def submit(self, events: Sequence[Event]) -> Future[list[Answer]]:
        """Hand events in; the answer comes when they are safe, or refused."""
        request = _Request([(event, canonical(event)) for event in events], Future())
        self._waiting.put(request)
        self._do(self._turn)
        return request.future

    def call(self, act: Callable[[Connection], T]) -> T:
        """Do something else with the writing connection, between two transactions."""
        return self._do(lambda: self._guarded(act)).result()

    def close(self) -> None:
        """Finish what waits, then stop."""
        self._thread.shutdown(wait=True)

    def _do(self, act: Callable[[], T]) -> Future[T]:
        try:
            return self._thread.submit(act)
        except RuntimeError as error:
            raise MachineryError(text("the record is closed")) from error

    def _guarded(self, act: Callable[[Connection], T]) -> T:
        try:
            return act(self._connection)
        except DBAPIError as error:
            raise failure(error) from error

    def _read_head(self) -> Head:
        with self._connection.begin():
            row = self._connection.execute(
                select(EVENT.c.sequence, EVENT.c.hash).order_by(EVENT.c.sequence.desc()).limit(1)
            ).first()
        return Head(0, BEGINNING) if row is None else Head(row.sequence, row.hash)

    def _turn(self) -> None:
        """Take what waits and commit it together."""
        requests: list[_Request] = []
        count = 0
        while count < MOST_TOGETHER:
            try:
                requests.append(self._waiting.get_nowait())
            except queue.Empty:
                break
            count += len(requests[-1].events)
        if not requests:
            return
        mark = self._state.mark()
        try:
            settled = self._commit(requests)
        except DBAPIError as error:
            self._state.back_to(mark)
            for request in requests:
                request.future.set_exception(failure(error))
            return
        except BaseException as error:
            self._state.back_to(mark)
            for request in requests:
                request.future.set_exception(error)
            raise
        self._state.settle()
        for request, outcome in zip(requests, settled, strict=True):
            if isinstance(outcome, EventsRefusedError):
                request.future.set_exception(outcome)
            else:
                request.future.set_result(outcome)

    def _commit(self, requests: Sequence[_Request]) -> list[list[Answer] | EventsRefusedError]:
        head = self.head
        group = _Group()
        with self._connection.begin() as transaction:
            known = self._known([event.key for request in requests for event, _ in request.events])
            settled: list[list[Answer] | EventsRefusedError] = []
            for request in requests:
                try:
                    found, head = self._take(request, group, known=known, head=head)
                except EventsRefusedError as refused:
                    settled.append(refused)
                else:
                    settled.append(found)
            if group.rows:
                self._write(group)
                transaction.commit()
            else:
                transaction.rollback()
        self.head = head
        return settled

    def _known(self, keys: Sequence[str]) -> dict[str, tuple[Answer, str]]:
        """What is recorded under keys already."""
        found: dict[str, tuple[Answer, str]] = {}
        columns = select(EVENT.c.key, EVENT.c.sequence, EVENT.c.hash, EVENT.c.body)
        for place in range(0, len(keys), 500):
            for row in self._connection.execute(columns.where(EVENT.c.key.in_(keys[place : place + 500]))):
                found[row.key] = Answer(row.key, row.sequence, row.hash, replayed=True), row.body
        return found

    def _take(
        self, request: _Request, group: _Group, *, known: dict[str, tuple[Answer, str]], head: Head
    ) -> tuple[list[Answer], Head]:
        """Weigh the events of one request; on a refusal all is as it was before them."""
        mark, rows, added = self._state.mark(), len(group.rows), []
        answers: list[Answer] = []
        try:
            for event, body in request.events:
                before = known.get(event.key) or group.answers.get(event.key)
                if before is not None:
                    answers.append(_repeated(event, body, before))
                    continue
                answer, row = self._append(event, body, head)
                head = Head(answer.sequence, answer.hash)
                group.answers[event.key] = answer, body
                group.rows.append(row)
                added.append(event.key)
                answers.append(answer)
        except EventsRefusedError:
            self._state.back_to(mark)
            del group.rows[rows:]
            for key in added:
                del group.answers[key]
            raise
        return answers, head

    def _append(self, event: Event, body: str, head: Head) -> tuple[Answer, dict[str, Any]]:
        outcome = weigh(self._state, event, rules=self._rules)
        if outcome.findings:
            raise EventsRefusedError(event.key, outcome.findings)
        sequence, now = outcome.entry.sequence, self._clock()
        hashed = seal(body, sequence=sequence, record_time=now, previous=head.hash)
        accept(self._state, replace(outcome, entry=replace(outcome.entry, record_time=now, hash=hashed)))
        row = {"sequence": sequence, "key": event.key, "record_time": now, "body": body, "hash": hashed}
        return Answer(event.key, sequence, hashed), row

    def _write(self, group: _Group) -> None:
        pending = self._state.past.pending()
        insert_rows(self._connection, EVENT, group.rows)
        insert_rows(self._connection, FILED, [filed_row(entry) for entry, _ in pending])
        touches = [row for entry, things in pending for row in touch_rows(entry, things)]
        insert_rows(self._connection, TOUCH, touches)
        before = self._state.changed()
        write_things(self._connection, before, {name: self._state.thing(name) for name in before})


def _repeated(event: Event, body: str, before: tuple[Answer, str]) -> Answer:
    answer, recorded = before
    if recorded == body:
        return replace(answer, replayed=True)
    raise EventsRefusedError(
        event.key,
        [
            Finding(
                "key_used", "error", event.key,
                text("key {key} is event {sequence} with other content: make a new key for what is new",
                     key=event.key, sequence=answer.sequence),
            )
        ],
    )  # fmt: skip


def failure(error: DBAPIError) -> MachineryError:
    """What a failing data base means to whoever wrote."""
    origin = error.orig
    name = getattr(origin, "sqlite_errorname", "") if isinstance(origin, sqlite3.Error) else ""
    if name.startswith("SQLITE_FULL"):
        return MachineryError(
            text("the disk is full: nothing was recorded; make room, then send it again, nothing is lost")
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_IOERR")):
        return MachineryError(
            text(
                "the disk does not take the record ({why}): nothing was recorded; check the disk",
                why=str(origin),
            )
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return MachineryError(
            text("the record is damaged ({why}): stop writing, verify it, restore the last good backup",
                 why=str(origin))
        )  # fmt: skip
    return MachineryError(text("the record can't be written ({why}): nothing was recorded", why=str(origin)))
