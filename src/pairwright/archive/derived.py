"""What is derived from the events, row by row, and built anew from nothing but them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from sqlalchemy import Connection, select

from pairwright.archive.bulk import delete_rows, insert_rows
from pairwright.archive.keeping import kept_text
from pairwright.archive.tables import EVENT, LINK, THING
from pairwright.floor.composition import links
from pairwright.floor.event import Entry, from_stored
from pairwright.floor.standing import standing
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
    gone_links: list[tuple[str, str]] = []
    new_links: list[dict[str, str]] = []
    for name, thing in after.items():
        old, new = links(before.get(name)), links(thing)
        if old == new:
            continue
        gone_links += [(part, name) for part, way in old.items() if new.get(part) != way]
        new_links += [row for row in link_rows(name, thing) if old.get(row["part"]) != row["way"]]
    delete_rows(connection, LINK, by=("part", "whole"), keys=gone_links)
    insert_rows(connection, LINK, new_links)
    known = [(name,) for name in after if before.get(name) is not None]
    delete_rows(connection, THING, by=("id",), keys=known)
    insert_rows(connection, THING, [thing_row(thing) for thing in after.values() if thing is not None])


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
