"""Looking into a record: one consistent state of it, for as long as it is looked at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from pairwright.archive.derived import entries
from pairwright.archive.stored import Rows, entry_of
from pairwright.archive.tables import EVENT, FILED, PERSON, THING
from pairwright.archive.writer import Head
from pairwright.floor.chain import BEGINNING
from pairwright.floor.event import Entry
from pairwright.floor.state import State
from pairwright.floor.tracing import Trace, trace


@dataclass(frozen=True, slots=True)
class Listed:
    """A thing as lists show it."""

    id: str
    kind: str
    product: str | None
    option: str | None
    part: str | None
    side: str | None
    in_set: str | None
    in_order: str | None
    material: str | None
    station: str | None
    step: str | None
    standing: str
    first: int
    last: int


_LISTED = tuple(column for column in THING.c if column.name not in ("folded", "kept"))


class Reading:
    """One state of a record."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def state(self) -> State:
        """The floor as it is in this reading; things are looked up when asked for."""
        return State(Rows(self._connection), first=self.head().sequence + 1)

    def head(self) -> Head:
        """Where the record ends."""
        row = self._connection.execute(
            select(EVENT.c.sequence, EVENT.c.hash).order_by(EVENT.c.sequence.desc()).limit(1)
        ).first()
        return Head(0, BEGINNING) if row is None else Head(row.sequence, row.hash)

    def last_time(self) -> int | None:
        """The latest event time of the record, UTC seconds."""
        found: int | None = self._connection.scalar(select(func.max(FILED.c.event_time)))
        return found

    def events(self, first: int = 1, *, last: int | None = None) -> Iterator[Entry]:
        """Events in order of the record, from a sequence on."""
        return entries(self._connection, first=max(1, first), last=last)

    def event(self, key: str) -> Entry | None:
        """The event of a key."""
        return Rows(self._connection).entry(key)

    def find(
        self, kind: str | None = None, *, station: str | None = None, about: str | None = None, after: int = 0,
        limit: int = 100, newest: bool = False,
    ) -> list[Entry]:  # fmt: skip
        """Events of a kind, at a station, about a step, characteristic or defect; a page of them.

        `after` is the sequence of the last one of the page before (0 at the beginning).
        """
        query = select(EVENT).join(FILED, FILED.c.sequence == EVENT.c.sequence)
        for column, wanted in ((FILED.c.kind, kind), (FILED.c.station, station), (FILED.c.about, about)):
            if wanted is not None:
                query = query.where(column == wanted)
        if newest:
            query = query.order_by(FILED.c.sequence.desc())
            query = query.where(FILED.c.sequence < after) if after else query
        else:
            query = query.where(FILED.c.sequence > after).order_by(FILED.c.sequence)
        return [entry_of(row) for row in self._connection.execute(query.limit(limit))]

    def things(
        self, kind: str | None = None, *, after: str = "", limit: int = 100, **wanted: str | None
    ) -> list[Listed]:
        """Things in order of id, a page of them; `wanted` narrows by part, product, standing and the like.

        Wanted as None is what is empty.
        """
        query = select(*_LISTED).where(THING.c.id > after).order_by(THING.c.id).limit(limit)
        for name, value in {**({} if kind is None else {"kind": kind}), **wanted}.items():
            query = query.where(THING.c[name] == value)
        return [Listed(**row._mapping) for row in self._connection.execute(query)]

    def counts(self, by: str = "standing", *, kind: str | None = None) -> Mapping[str, int]:
        """How many things there are by kind, standing, part, station or product."""
        query = select(THING.c[by], func.count()).group_by(THING.c[by]).order_by(THING.c[by])
        if kind is not None:
            query = query.where(THING.c.kind == kind)
        return {str(name): count for name, count in self._connection.execute(query) if name is not None}

    def trace(self, name: str) -> Trace | None:
        """What a thing is made of, where it is used, its history, the holds on it."""
        return trace(self.state(), name)

    def names(self) -> dict[str, str]:
        """People's names by id, as far as they are kept."""
        rows = self._connection.execute(select(PERSON).order_by(PERSON.c.id))
        return {row.id: row.name for row in rows}

    def every(self, kind: str, **wanted: str | None) -> Iterator[Listed]:
        """All things of a kind in order of id, narrowed as `things` does."""
        after = ""
        while page := self.things(kind, after=after, limit=1000, **wanted):
            yield from page
            after = page[-1].id

    def actors(self) -> dict[str, tuple[int, int]]:
        """For everybody who recorded something how many events, and the latest event time, UTC seconds."""
        query = select(FILED.c.actor, func.count(), func.max(FILED.c.event_time)).group_by(FILED.c.actor)
        return {actor: (count, last) for actor, count, last in self._connection.execute(query)}

    def plan_of(self, statement: str, values: Mapping[str, Any] | None = None) -> list[str]:
        """How the data base would answer a query, step by step."""
        rows = self._connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", dict(values or {}))
        return [str(row[-1]) for row in rows]
