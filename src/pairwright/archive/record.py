"""The record of a works: one writer, many readers."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final, Self

from sqlalchemy import Connection, delete, insert
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from pairwright.archive.engine import Lock, cannot_open, read_engine, refuse_network, write_engine
from pairwright.archive.reading import Reading
from pairwright.archive.refolding import rebuild
from pairwright.archive.schema import create, migrate, steps_from, version_of
from pairwright.archive.tables import PERSON
from pairwright.archive.verify import Verdict, recent, verify
from pairwright.archive.writer import Answer, Head, Writer
from pairwright.base.errors import MachineryError, RefusedError
from pairwright.base.words import text
from pairwright.floor.event import Entry, Event
from pairwright.floor.tracing import Trace
from pairwright.floor.weighing import Rule

if TYPE_CHECKING:
    from pairwright.archive.backup import Manifest

NAME: Final = "record.db"
AT_ONCE: Final = 3  # readings at work at one time


class Slots:
    """So many at once, first come first served; whoever is in may enter again."""

    def __init__(self, count: int) -> None:
        self._free = count
        self._guard = threading.Lock()
        self._queue: deque[threading.Event] = deque()
        self._inside = threading.local()

    def __enter__(self) -> None:
        depth: int = getattr(self._inside, "depth", 0)
        if depth == 0:
            turn = threading.Event()
            with self._guard:
                if self._free > 0:
                    self._free -= 1
                    turn.set()
                else:
                    self._queue.append(turn)
            self._wait(turn)
        self._inside.depth = depth + 1

    def _wait(self, turn: threading.Event) -> None:
        try:
            turn.wait()
        except BaseException:  # interrupted: the place must not be lost
            with self._guard:
                if turn in self._queue:
                    self._queue.remove(turn)
                else:
                    self._pass_on()
            raise

    def _pass_on(self) -> None:
        if self._queue:
            self._queue.popleft().set()  # the place goes straight to who has waited longest
        else:
            self._free += 1

    def __exit__(self, *_: object) -> None:
        self._inside.depth -= 1
        if self._inside.depth:
            return
        with self._guard:
            self._pass_on()


def _clock() -> int:
    return int(time.time())


class Record:
    """A record that is open; `append` only where it was opened for writing."""

    def __init__(self, path: Path, *, writer: Writer | None, closing: Sequence[Callable[[], None]]) -> None:
        self.path = path
        self.warnings: tuple[str, ...] = ()
        self._writer = writer
        self._closing = tuple(closing)
        self._readers = read_engine(path)
        self._slots = Slots(AT_ONCE)
        self._open = True

    # writing

    def append(self, events: Sequence[Event]) -> list[Answer]:
        """Append events, all or nothing; answers when they are safe on the disk.

        An event whose key and content are recorded already is answered as then, and not appended again.

        Parameters
        ----------
        events : Sequence[Event]
            What happened, in order.

        Raises
        ------
        RefusedError
            When an event may not be appended, or its key was used for other content.
        MachineryError
            When the disk does not take it.
        """
        return self.writer.submit(events).result()

    @property
    def writer(self) -> Writer:
        """The writer; raises `RefusedError` where the record is open for reading only."""
        if self._writer is None or not self._open:
            raise RefusedError(text("the record is open for reading only: open it for writing"))
        return self._writer

    def set_names(self, names: dict[str, str]) -> None:
        """Keep people's names, by id, apart from the events."""

        def act(connection: Connection) -> None:
            with connection.begin():
                connection.execute(delete(PERSON).where(PERSON.c.id.in_(list(names))))
                if names:
                    connection.execute(insert(PERSON), [{"id": i, "name": name} for i, name in names.items()])

        self.writer.call(act)

    def forget_names(self, people: Sequence[str] | None = None) -> None:
        """Empty the table of names, or take some out, and leave no trace of them in the file."""

        def act(connection: Connection) -> None:
            with connection.begin():
                query = delete(PERSON)
                connection.execute(query if people is None else query.where(PERSON.c.id.in_(list(people))))
            if connection.dialect.name == "sqlite":
                raw = connection.connection.driver_connection
                if isinstance(raw, sqlite3.Connection):
                    raw.execute("VACUUM")
                    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
            connection.rollback()

        self.writer.call(act)

    def rebuild(self) -> int:
        """Build the derived tables anew from the events; answers how many events there are."""

        def act(connection: Connection) -> int:
            with connection.begin():
                return rebuild(connection)

        return self.writer.call(act)

    # reading

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """One consistent state of the record; only so many at once, or the writer would starve."""
        with self._slots, self.connection() as connection:
            yield Reading(connection)

    @contextmanager
    def connection(self) -> Iterator[Connection]:
        """A connection that can only read, in a transaction."""
        try:
            opened = self._readers.connect()
        except SQLAlchemyError as error:
            raise cannot_open(self.path, str(getattr(error, "orig", error))) from error
        with opened, opened.begin():
            yield opened

    def events(self, first: int = 0) -> Iterator[Entry]:
        """Events in order, from a sequence on."""
        with self.connection() as connection:
            yield from Reading(connection).events(first)

    def head(self) -> Head:
        """Where the record ends."""
        with self.reading() as reading:
            return reading.head()

    def trace(self, name: str) -> Trace | None:
        """What a thing is made of, where it is used, its history, the holds on it."""
        with self.reading() as reading:
            return reading.trace(name)

    def verify(self, *, expected: str | None = None, derived: bool = True) -> Verdict:
        """Whether the record is what was recorded: chain, pages, and what is derived."""
        with self.connection() as connection:
            return verify(connection, expected=expected, derived=derived)

    def backup(self, folder: Path | str, *, now: int | None = None) -> Manifest:
        """Copy the record and its attachments into a new folder, and verify the copy.

        Parameters
        ----------
        folder : Path | str
            The folder to make.
        now : int | None
            The time for the manifest, UTC seconds; by default the clock's.
        """
        from pairwright.archive.backup import backup

        return backup(self.path, folder, now=_clock() if now is None else now)

    def close(self) -> None:
        """Close the readers, then the writer."""
        if not self._open:
            return
        self._open = False
        self._readers.dispose()
        if self._writer is not None:
            self._writer.close()
        for act in self._closing:
            act()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def record_path(path: Path | str) -> Path:
    """The file of a record: the path itself, or the record of a works folder."""
    path = Path(path)
    return path / NAME if path.is_dir() else path


def open_record(
    path: Path | str, *, rules: Sequence[Rule] = (), clock: Callable[[], int] = _clock, readonly: bool = False
) -> Record:
    """Open a record; one that is to be written and is not there is made.

    Parameters
    ----------
    path : Path | str
        The file, or the works folder that holds it.
    rules : Sequence[Rule]
        The rules of this works, beside those of every works.
    clock : Callable[[], int]
        Tells when an event is taken in, in UTC seconds.
    readonly : bool
        Whether it is only looked into; then another process may be writing it.

    Raises
    ------
    RefusedError
        When another process writes it, it lies on a network share, or a newer program made it.
    MachineryError
        When it can't be opened, or its end is damaged.
    """
    where = record_path(path)
    if readonly:
        return _open_for_reading(where)
    refuse_network(where)
    lock = Lock(where)
    try:
        return _open_for_writing(where, lock, rules=rules, clock=clock)
    except BaseException:
        lock.release()
        raise


def _open_for_reading(where: Path) -> Record:
    if not where.exists():
        raise cannot_open(where, "no such file")
    record = Record(where, writer=None, closing=())
    try:
        with record.connection() as connection:
            version = version_of(connection)
            behind = bool(steps_from(version))
    except (DBAPIError, RefusedError) as error:
        record.close()
        if isinstance(error, RefusedError):
            raise
        raise cannot_open(where, str(error.orig)) from error
    if version == 0 or behind:
        record.close()
        raise cannot_open(where, "not a record of this version")
    return record


def _open_for_writing(where: Path, lock: Lock, *, rules: Sequence[Rule], clock: Callable[[], int]) -> Record:
    engine = write_engine(where)
    try:
        connection = engine.connect()
    except SQLAlchemyError as error:
        raise cannot_open(where, str(getattr(error, "orig", error))) from error
    try:
        _make_ready(connection, where)
        with connection.begin():
            damage = recent(connection)
        if damage:
            raise MachineryError(damage[0].text)
        writer = Writer(connection, rules=rules, clock=clock)
    except DBAPIError as error:
        connection.close()
        raise cannot_open(where, str(error.orig)) from error
    except BaseException:
        connection.close()
        raise
    return Record(where, writer=writer, closing=(connection.close, engine.dispose, lock.release))


def _make_ready(connection: Connection, where: Path) -> None:
    """Make the tables of a new record; bring those of an older one up to date, after a backup."""
    with connection.begin():
        version = version_of(connection)
        if version == 0:
            create(connection)
            return
    steps = steps_from(version)
    if not steps:
        return
    from pairwright.archive.backup import copy_file

    copy_file(where, where.with_name(f"{where.name}.version-{version}"))
    with connection.begin():
        migrate(connection, steps)
