"""The derived tables built anew from nothing but the events, or compared with what is there.

Events are read one after the other and let go again, so that a record of any length fits in memory.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Final

from sqlalchemy import Connection, Table, delete, select

from pairwright.archive.bulk import insert_rows
from pairwright.archive.derived import entries, filed_row, link_rows, thing_row, touch_rows
from pairwright.archive.stored import Rows, entry_of
from pairwright.archive.tables import DERIVED, EVENT, FILED, LINK, THING, TOUCH
from pairwright.floor.effective import touched_by
from pairwright.floor.event import Entry
from pairwright.floor.past import Use
from pairwright.floor.state import State, moved
from pairwright.floor.things import Thing

_PAGE: Final = 2000
_MANY: Final = 500


class Indexed:
    """Events of a record by thing, from an index that is made while they are read."""

    def __init__(self, connection: Connection) -> None:
        self._rows = Rows(connection)
        self.index: dict[str, array[int]] = {}

    def note(self, entry: Entry, things: Iterable[str]) -> None:
        """File an event."""
        for name in things:
            self.index.setdefault(name, array("q")).append(entry.sequence)

    def entry(self, key: str) -> Entry | None:
        """The event of a key."""
        return self._rows.entry(key)

    def touching(self, thing: str) -> Sequence[Entry]:
        """The events noted so far that touch a thing."""
        wanted = list(self.index.get(thing, ()))
        found: list[Entry] = []
        for place in range(0, len(wanted), _MANY):
            query = (
                select(EVENT)
                .where(EVENT.c.sequence.in_(wanted[place : place + _MANY]))
                .order_by(EVENT.c.sequence)
            )
            found += [entry_of(row) for row in self._rows.connection.execute(query)]
        return found

    def users(self, things: Sequence[str]) -> Sequence[Use]:
        """Not asked for while events are folded."""
        return ()

    def kept(self, thing: str) -> Thing | None:
        """Nothing is taken from what is to be checked."""
        return None

    def alike(self, thing: str) -> str | None:
        """Not asked for while events are folded."""
        return None


def refold(connection: Connection, each: Callable[[Entry, tuple[str, ...]], None]) -> tuple[State, Indexed]:
    """Fold every event of a record; `each` is told of it and of what it is filed under."""
    indexed = Indexed(connection)
    state = State(indexed)
    for entry in entries(connection):
        for name, thing in moved(state, entry).items():
            state.put(name, thing)
        filed = touched_by(entry.event, state.past)
        state.push(entry, filed)
        state.settle()
        indexed.note(entry, filed)
        each(entry, filed)
    return state, indexed


def things_of(state: State, indexed: Indexed) -> Iterator[Thing]:
    """Everything that the events name, in order of id."""
    for name in sorted(indexed.index):
        thing = state.thing(name) if not name.startswith("@") else None
        if thing is not None:
            yield thing


def rebuild(connection: Connection) -> int:
    """Empty the derived tables and fill them from the events; answers how many events there are."""
    for table in DERIVED:
        connection.execute(delete(table))
    touches: list[dict[str, Any]] = []
    files: list[dict[str, Any]] = []

    def flush() -> None:
        insert_rows(connection, TOUCH, touches)
        insert_rows(connection, FILED, files)
        touches.clear()
        files.clear()

    def each(entry: Entry, filed: tuple[str, ...]) -> None:
        touches.extend(touch_rows(entry, filed))
        files.append(filed_row(entry))
        if len(files) >= _PAGE:
            flush()

    state, indexed = refold(connection, each)
    flush()
    for page in _paged(things_of(state, indexed)):
        insert_rows(connection, THING, [thing_row(thing) for thing in page])
        insert_rows(connection, LINK, [row for thing in page for row in link_rows(thing.id, thing)])
    return state.next - 1


def _paged(things: Iterator[Thing]) -> Iterator[list[Thing]]:
    page: list[Thing] = []
    for thing in things:
        page.append(thing)
        if len(page) >= _PAGE:
            yield page
            page = []
    yield page


def differences(connection: Connection) -> dict[str, int]:
    """Derived tables that do not agree with the events, and in how many rows."""
    wanted_files: list[tuple[Any, ...]] = []
    found = {FILED.name: 0}
    stored_files = _stored(connection, FILED, "sequence")

    def each(entry: Entry, _: tuple[str, ...]) -> None:
        wanted_files.append(tuple(filed_row(entry).values()))

    state, indexed = refold(connection, each)
    found[FILED.name] = unlike(stored_files, iter(wanted_files), key=1)
    touches = ((name, sequence) for name in sorted(indexed.index) for sequence in indexed.index[name])
    found[TOUCH.name] = unlike(_stored(connection, TOUCH, "thing", "sequence"), touches, key=2)
    things = (tuple(thing_row(thing).values()) for thing in things_of(state, indexed))
    found[THING.name] = unlike(_stored(connection, THING, "id"), things, key=1)
    links = (
        (row["whole"], row["part"], row["way"])
        for thing in things_of(state, indexed)
        for row in sorted(link_rows(thing.id, thing), key=lambda row: row["part"])
    )
    stored = ((whole, part, way) for part, whole, way in _stored(connection, LINK, "whole", "part"))
    found[LINK.name] = unlike(stored, links, key=2)
    return {name: count for name, count in found.items() if count}


def _stored(connection: Connection, table: Table, *order: str) -> Iterator[tuple[Any, ...]]:
    query = select(table).order_by(*(table.c[name] for name in order))
    return (tuple(row) for row in connection.execution_options(yield_per=_PAGE).execute(query))


def unlike(rows: Iterator[tuple[Any, ...]], wanted: Iterator[tuple[Any, ...]], *, key: int) -> int:
    """How many rows of two tables in order of their key have no equal in the other.

    Parameters
    ----------
    rows : Iterator[tuple[Any, ...]]
        One table.
    wanted : Iterator[tuple[Any, ...]]
        The other.
    key : int
        How many of the first columns are the key.
    """
    count = 0
    one, other = next(rows, None), next(wanted, None)
    while one is not None or other is not None:
        if one is not None and (other is None or one[:key] < other[:key]):
            count, one = count + 1, next(rows, None)
        elif other is not None and (one is None or other[:key] < one[:key]):
            count, other = count + 1, next(wanted, None)
        else:
            count += 2 if one != other else 0
            one, other = next(rows, None), next(wanted, None)
    return count
