"""The record as the floor asks for it: by key, by thing, by use."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import Connection, bindparam, func, select

from pairwright.archive.keeping import kept_thing
from pairwright.archive.tables import EVENT, LINK, THING, TOUCH
from pairwright.floor.event import Entry, from_stored
from pairwright.floor.past import Use
from pairwright.floor.things import Thing

_MANY: Final = 500  # names of one question
_BY_KEY: Final = select(EVENT).where(EVENT.c.key == bindparam("name"))
_TOUCHING: Final = (
    select(EVENT)
    .join(TOUCH, TOUCH.c.sequence == EVENT.c.sequence)
    .where(TOUCH.c.thing == bindparam("name"))
    .order_by(TOUCH.c.sequence)
)
_USERS: Final = (
    select(
        LINK.c.part,
        LINK.c.whole,
        LINK.c.way,
        THING.c.kind,
        func.coalesce(THING.c.part, THING.c.product, THING.c.material),
    )
    .join(THING, THING.c.id == LINK.c.whole)
    .where(LINK.c.part.in_(bindparam("names", expanding=True)))
    .order_by(LINK.c.part, LINK.c.whole)
)
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

    def users(self, things: Sequence[str]) -> Sequence[Use]:
        """What directly holds or used up things."""
        names, found = sorted(set(things)), []
        for place in range(0, len(names), _MANY):
            rows = self.connection.execute(_USERS, {"names": names[place : place + _MANY]})
            found += [Use(*row) for row in rows]
        return found

    def kept(self, thing: str) -> Thing | None:
        """A lot, an order or a tool, without reading its events."""
        body = self.connection.scalar(_KEPT, {"name": thing})
        return None if body is None else kept_thing(body)

    def alike(self, thing: str) -> str | None:
        """A known identity that differs only in capitals."""
        found: str | None = self.connection.scalar(_ALIKE, {"name": thing, "folded": thing.upper()})
        return found
