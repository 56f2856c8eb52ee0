"""The record as the floor asks for it: by key, by thing, by use."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import Connection, bindparam, select

from pairwright.archive.keeping import kept_thing
from pairwright.archive.tables import EVENT, LINK, THING, TOUCH
from pairwright.floor.event import Entry, from_stored
from pairwright.floor.things import Thing

_BY_KEY: Final = select(EVENT).where(EVENT.c.key == bindparam("name"))
_TOUCHING: Final = (
    select(EVENT)
    .join(TOUCH, TOUCH.c.sequence == EVENT.c.sequence)
    .where(TOUCH.c.thing == bindparam("name"))
    .order_by(TOUCH.c.sequence)
)
_USERS: Final = select(LINK.c.whole).where(LINK.c.part == bindparam("name")).order_by(LINK.c.whole)
_KEPT: Final = select(THING.c.kept).where(THING.c.id == bindparam("name"))
_ALIKE: Final = (
    select(THING.c.id)
    .where(THING.c.folded == bindparam("folded"), THING.c.id != bindparam("name"))
    .order_by(THING.c.id)
    .limit(1)
)


def entry_of(row: Any) -> Entry:
    """The entry of a row of events."""
    return Entry(row.sequence, from_stored(json.loads(row.body)), row.record_time, row.hash)


class Rows:
    """What a record holds, seen through one connection."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def entry(self, key: str) -> Entry | None:
        """The event of a key."""
        row = self.connection.execute(_BY_KEY, {"name": key}).first()
        return None if row is None else entry_of(row)

    def touching(self, thing: str) -> Sequence[Entry]:
        """The events that touch a thing, in order."""
        return [entry_of(row) for row in self.connection.execute(_TOUCHING, {"name": thing})]

    def users(self, thing: str) -> tuple[str, ...]:
        """What directly holds or used up a thing."""
        return tuple(self.connection.scalars(_USERS, {"name": thing}))

    def kept(self, thing: str) -> Thing | None:
        """A lot, an order or a tool, without reading its events."""
        body = self.connection.scalar(_KEPT, {"name": thing})
        return None if body is None else kept_thing(body)

    def alike(self, thing: str) -> str | None:
        """A known identity that differs only in capitals."""
        found: str | None = self.connection.scalar(_ALIKE, {"name": thing, "folded": thing.upper()})
        return found
