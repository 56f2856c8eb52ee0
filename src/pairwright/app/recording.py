"""The record of a works, opened for an act: what was recorded, how the floor stands, what may be added.

    with open_floor(folder) as floor:
        floor.append(floor.read(text))

One process at a time may have it open for writing; any number may read.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Self, TypeAlias

from pairwright.archive.record import NAME, Record, open_record
from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.floor import Event, Known, Rule, State, known_of, read_event, read_events

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.archive.writer import Answer

RulesOf: TypeAlias = Callable[["Opened"], Sequence[Rule]]

WORKS: Final = "works"  # who brings the opening book in


class Floor:
    """A works with its record."""

    def __init__(
        self, opened: Opened, record: Record, *, clock: Callable[[], int], rules: Sequence[Rule] = ()
    ) -> None:
        self.opened = opened
        self.record = record
        self.clock = clock
        self.rules = tuple(rules)
        self._state = State()
        self._guard = threading.RLock()

    @property
    def folder(self) -> Path:
        """The works folder."""
        return Path(self.opened.path)

    @cached_property
    def known(self) -> Known:
        """The names that events may use."""
        return known_of(self.opened.works)

    # what people want to record

    def read(
        self, raw: str | bytes | Mapping[str, Any] | Sequence[Mapping[str, Any]], *, path: str = "events"
    ) -> list[Event]:
        """Events from JSON lines, a JSON list, one table or several; all or nothing.

        Parameters
        ----------
        raw : str | bytes | Mapping[str, Any] | Sequence[Mapping[str, Any]]
            What came in.
        path : str
            Where it came from, for messages.

        Raises
        ------
        InputError
            With every problem of every event.
        """
        if isinstance(raw, Mapping):
            return [read_event(raw, known=replace(self.known, where=path))]
        if not isinstance(raw, str | bytes):
            raw = json.dumps(raw, ensure_ascii=True, default=str)
        return read_events(raw, known=self.known, path=path)

    def append(self, events: Sequence[Event]) -> list[Answer]:
        """Append events, all or nothing; answers when they are safe on the disk.

        Raises
        ------
        RefusedError
            When one may not be appended (`EventsRefusedError`: its key and the findings).
        """
        return self.record.append(events)

    # how the floor stands

    def state(self) -> State:
        """Everything that is recorded, folded; brought up to date by what was added since the last time.

        It is one object, used again: take `looking` where another thread may ask for it too.
        """
        from pairwright.floor.effective import touched_by
        from pairwright.floor.state import moved

        with self._guard:
            state = self._state
            for entry in self.record.events(state.next):
                for name, thing in moved(state, entry).items():
                    state.put(name, thing)
                state.push(entry, touched_by(entry.event, state.past))
            return state

    @contextmanager
    def looking(self) -> Iterator[State]:
        """The state for as long as it is looked at; other threads wait."""
        with self._guard:
            yield self.state()

    def opened_now(self) -> Opened:
        """The works with orders, stock and purchases as the record has them, and its moment."""
        from pairwright.app.record_book import book_now

        with self.record.reading() as reading:
            last = reading.last_time()
            if last is None:
                return self.opened
            book = book_now(self.opened.works, reading)
        return replace(self.opened, book=book, recorded=max(last, self.clock()))

    def now(self, stated: str | None = None) -> int:
        """UTC seconds of `--now`, else the last event's or the clock's, whichever is later.

        Before anything is recorded it is the works' opening.
        """
        if stated is not None:
            return self.opened.now(stated)
        with self.record.reading() as reading:
            last = reading.last_time()
        return self.opened.now() if last is None else max(last, self.clock())

    # files that events refer to

    def keep(self, content: bytes) -> str:
        """Keep a file for good; answers the digest by which events name it."""
        from pairwright.archive.attachments import keep

        return keep(self.folder, content)

    def fetch(self, digest: str) -> bytes:
        """A kept file, checked against its digest."""
        from pairwright.archive.attachments import fetch

        return fetch(self.folder, digest)

    def close(self) -> None:
        """Close the record."""
        self.record.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def has_record(folder: Path | str) -> bool:
    """Whether a works has a record."""
    return (Path(folder) / NAME).is_file()


def open_floor(
    folder: Path | str,
    *,
    clock: Callable[[], int] | None = None,
    readonly: bool = False,
    rules: RulesOf | None = None,
) -> Floor:
    """Open the record of a works; the first time it is opened for writing it is begun.

    A record begins with the revision of the works that is in force, its orders, stock and purchases;
    from then on they are events, and `orders.csv` and `stock/` are ways in and out.

    Parameters
    ----------
    folder : Path | str
        The works folder.
    clock : Callable[[], int] | None
        Tells when an event is taken in, in UTC seconds.
    readonly : bool
        Whether it is only looked into; then another process may be writing it.
    rules : RulesOf | None
        Makes the rules of this works; by default `record_rules.works_rules`.

    Raises
    ------
    InputError
        When the folder is no works, or has no record and is only to be looked into.
    RefusedError
        When another process is writing the record.
    """
    from pairwright.app.opened import open_definition
    from pairwright.app.record_rules import works_rules

    folder = Path(folder)
    fresh = not has_record(folder)
    if readonly and fresh:
        raise _no_record(folder)
    opened = open_definition(folder, book=fresh)
    clock = clock or _clock
    made = tuple((rules or works_rules)(opened))
    record = open_record(folder, rules=made, readonly=readonly, clock=clock)
    floor = Floor(opened, record, clock=clock, rules=made)
    try:
        if not readonly and record.writer.head.sequence == 0:
            floor.append(first_events(opened if fresh else open_definition(folder)))
    except BaseException:
        floor.close()
        raise
    return floor


def first_events(opened: Opened) -> list[Event]:
    """What a record begins with: the revision in force, and the book of the files.

    Parameters
    ----------
    opened : Opened
        A works with the orders and the stock of its files.
    """
    from pairwright.base.time import iso
    from pairwright.floor.stock import opening

    works, at = opened.works, opened.now()
    adopted = {
        "key": f"opening-{works.revision[:32]}",
        "kind": "adopted",
        "event_time": iso(at, works.zone),
        "actor": WORKS,
        "data": {"revision": works.revision, "reason": "the record begins: orders and stock from the files"},
    }
    units = {name: material.unit for name, material in works.materials.items()}
    raws = opening(opened.book, units=units, actor=WORKS, at=at, zone=works.zone)
    known = known_of(works)
    return [read_event(one, known=known) for one in (adopted, *raws)]


def _clock() -> int:
    return int(time.time())


def _no_record(folder: Path) -> InputError:
    return InputError(
        Problem(
            str(folder), NAME, text("the record of a works"), "no such file",
            text("record something first: pairwright record {folder}", folder=str(folder)),
        )
    )  # fmt: skip
