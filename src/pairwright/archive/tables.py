"""The tables of the record.

`event` is the record itself: appended to, never changed. `touch`, `link`, `thing` and `filed` are
derived from it and can be built anew at any time. `person` holds names, apart from the events, so that
it can be emptied. Nothing here is particular to one data base.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import Column, Index, Integer, MetaData, String, Table, Text

META: Final = MetaData()

EVENT: Final = Table(
    "event",
    META,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("key", String(80), nullable=False, unique=True),
    Column("record_time", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("hash", String(64), nullable=False),
)

TOUCH: Final = Table(
    "touch",
    META,
    Column("thing", String(81), primary_key=True),
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

LINK: Final = Table(
    "link",
    META,
    Column("part", String(80), primary_key=True),
    Column("whole", String(80), primary_key=True),
    Column("way", String(10), nullable=False),
    sqlite_with_rowid=False,
)

THING: Final = Table(
    "thing",
    META,
    Column("id", String(80), primary_key=True),
    Column("folded", String(80), nullable=False),
    Column("kind", String(12), nullable=False),
    Column("product", String(60)),
    Column("option", String(60)),
    Column("part", String(60)),
    Column("side", String(5)),
    Column("in_set", String(80)),
    Column("in_order", String(80)),
    Column("material", String(60)),
    Column("station", String(60)),
    Column("step", String(60)),
    Column("standing", String(12), nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("kept", Text),
    sqlite_with_rowid=False,
)

FILED: Final = Table(
    "filed",
    META,
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(12), nullable=False),
    Column("station", String(60)),
    Column("actor", String(60), nullable=False),
    Column("event_time", Integer, nullable=False),
    Column("about", String(60)),
)

PERSON: Final = Table(
    "person",
    META,
    Column("id", String(60), primary_key=True),
    Column("name", Text, nullable=False),
    sqlite_with_rowid=False,
)

ABOUT: Final = Table(
    "about",
    META,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

Index("link_whole", LINK.c.whole)
Index("thing_folded", THING.c.folded)
Index("thing_kind", THING.c.kind, THING.c.id)
Index("filed_kind", FILED.c.kind, FILED.c.sequence)
Index("filed_station", FILED.c.station, FILED.c.sequence)
Index("filed_about", FILED.c.about, FILED.c.sequence)

DERIVED: Final = (TOUCH, LINK, THING, FILED)
