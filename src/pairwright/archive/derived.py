"""What is derived from the events, row by row, and built anew from nothing but them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from sqlalchemy import Connection, and_, bindparam, delete, insert, select

from pairwright.archive.keeping import kept_text
from pairwright.archive.tables import DERIVED, EVENT, FILED, LINK, THING, TOUCH
from pairwright.floor.effective import touched_by
from pairwright.floor.event import Entry, from_stored
from pairwright.floor.links import links
from pairwright.floor.standing import standing
from pairwright.floor.state import State, moved
from pairwright.floor.things import Item, Set, Thing, Worked

_PAGE: Final = 2000


def filed_row(entry: Entry) -> dict[str, Any]:
    """An event's row for lists by kind, station, and what it is about."""
    event = entry.event
    about = event.data.get("characteristic") or event.data.get("step") or event.data.get("defect")
    return {
        "sequence": entry.sequence,
        "kind": event.kind,
        "station": event.station,
        "actor": event.actor,
        "event_time": event.event_time,
        "about": about,
    }


def touch_rows(entry: Entry, things: Iterable[str]) -> list[dict[str, Any]]:
    """Rows that file an event under the things it touches."""
    return [{"thing": name, "sequence": entry.sequence} for name in things]


def thing_row(thing: Thing) -> dict[str, Any]:
    """A thing's row for lists."""
    step = thing.under.step if isinstance(thing, Worked) and thing.under is not None else None
    return {
        "id": thing.id,
        "folded": thing.id.upper(),
        "kind": thing.kind,
        "product": getattr(thing, "product", None),
        "option": getattr(thing, "option", None),
        "part": thing.part if isinstance(thing, Item) else None,
        "side": thing.side if isinstance(thing, Item) else None,
        "in_set": thing.set if isinstance(thing, Item) else None,
        "in_order": thing.order if isinstance(thing, Item | Set) else None,
        "material": getattr(thing, "material", None),
        "station": thing.station if isinstance(thing, Worked) else None,
        "step": step,
        "standing": standing(thing),
        "first": thing.first,
        "last": thing.last,
        "kept": kept_text(thing),
    }


def link_rows(name: str, thing: Thing | None) -> list[dict[str, str]]:
    """Rows that say what a thing directly consists of."""
    return [{"part": part, "whole": name, "way": way} for part, way in links(thing).items()]


def write_things(
    connection: Connection, before: Mapping[str, Thing | None], after: Mapping[str, Thing | None]
) -> None:
    """Bring the rows of changed things up to date."""
    gone_links: list[dict[str, str]] = []
    new_links: list[dict[str, str]] = []
    for name, thing in after.items():
        old, new = links(before.get(name)), links(thing)
        if old == new:
            continue
        gone_links += [{"gone_part": part, "gone_whole": name} for part, way in old.items() if new.get(part) != way]
        new_links += [
            {"part": part, "whole": name, "way": way} for part, way in new.items() if old.get(part) != way
        ]
    if gone_links:
        connection.execute(_GONE_LINK, gone_links)
    if new_links:
        connection.execute(insert(LINK), new_links)
    known = [{"gone": name} for name in after if before.get(name) is not None]
    if known:
        connection.execute(_GONE_THING, known)
    rows = [thing_row(thing) for thing in after.values() if thing is not None]
    if rows:
        connection.execute(insert(THING), rows)


_GONE_LINK: Final = delete(LINK).where(
    and_(LINK.c.part == bindparam("gone_part"), LINK.c.whole == bindparam("gone_whole"))
)
_GONE_THING: Final = delete(THING).where(THING.c.id == bindparam("gone"))


def entries(connection: Connection, *, first: int = 1, last: int | None = None) -> Iterator[Entry]:
    """The events of a record in order."""
    at = first
    while True:
        query = select(EVENT).where(EVENT.c.sequence >= at).order_by(EVENT.c.sequence).limit(_PAGE)
        if last is not None:
            query = query.where(EVENT.c.sequence <= last)
        rows = connection.execute(query).all()
        if not rows:
            return
        for row in rows:
            yield Entry(row.sequence, from_stored(json.loads(row.body)), row.record_time, row.hash)
        at = rows[-1].sequence + 1


def folded(found: Iterable[Entry]) -> Iterator[tuple[State, Entry, tuple[str, ...]]]:
    """The state after each event, and what the event is filed under."""
    state = State()
    for entry in found:
        for name, thing in moved(state, entry).items():
            state.put(name, thing)
        filed = touched_by(entry.event, state.past)
        state.push(entry, filed)
        yield state, entry, filed


def rebuild(connection: Connection) -> int:
    """Empty the derived tables and fill them from the events; answers how many events there are."""
    for table in DERIVED:
        connection.execute(delete(table))
    state, count = State(), 0
    touches: list[dict[str, Any]] = []
    files: list[dict[str, Any]] = []
    for state, entry, filed in folded(entries(connection)):
        count += 1
        touches += touch_rows(entry, filed)
        files.append(filed_row(entry))
        if len(files) >= _PAGE:
            _flush(connection, touches, files)
    _flush(connection, touches, files)
    things = list(state.things())
    for place in range(0, len(things), _PAGE):
        page = things[place : place + _PAGE]
        connection.execute(insert(THING), [thing_row(thing) for thing in page])
        rows = [row for thing in page for row in link_rows(thing.id, thing)]
        if rows:
            connection.execute(insert(LINK), rows)
    return count


def _flush(connection: Connection, touches: list[dict[str, Any]], files: list[dict[str, Any]]) -> None:
    if touches:
        connection.execute(insert(TOUCH), touches)
    if files:
        connection.execute(insert(FILED), files)
    touches.clear()
    files.clear()
