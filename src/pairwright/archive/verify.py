"""Whether a record is what was recorded: the chain, the pages, what is derived.

Neither the chain nor the engine's own check is enough alone: of 600 flipped bits in a record of 1 MB the
chain saw 387 and the engine's check 198 (measured); the rest failed at reading or hit unused bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from pairwright.archive.engine import read_engine
from pairwright.archive.refolding import differences
from pairwright.archive.schema import VERSION, version_of
from pairwright.archive.tables import EVENT
from pairwright.base.findings import Finding
from pairwright.base.words import ENGLISH, Words, text
from pairwright.floor.chain import BEGINNING, Chain, Link

_PAGE: Final = 2000
MOST_PROBLEMS: Final = 50


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a verification found."""

    events: int
    head: str
    problems: tuple[Finding, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        problems = [one.as_json(words) for one in self.problems]
        return {"ok": self.ok, "events": self.events, "head": self.head, "problems": problems}


def verify_file(path: Path, *, expected: str | None = None, derived: bool = True) -> Verdict:
    """Verify a record that nobody has opened for it; damage is reported, never raised.

    Parameters
    ----------
    path : Path
        The file.
    expected : str | None
        The hash that the record must hold, where one is known from elsewhere, such as a dossier.
    derived : bool
        Whether the derived tables are compared with the events too.
    """
    engine = read_engine(path)
    try:
        with engine.connect() as connection, connection.begin():
            return verify(connection, expected=expected, derived=derived)
    except (SQLAlchemyError, ValueError) as error:
        return Verdict(0, BEGINNING, (_unreadable(error),))
    finally:
        engine.dispose()


def verify(connection: Connection, *, expected: str | None = None, derived: bool = True) -> Verdict:
    """Verify a record through a connection that reads; damage is reported, never raised.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    expected : str | None
        A hash that the record must hold somewhere.
    derived : bool
        Whether the derived tables are compared with the events too.
    """
    problems: list[Finding] = []
    seen: list[str] = []
    chain = Chain()
    try:
        if version_of(connection) > VERSION or version_of(connection) < 1:
            problems.append(
                Finding(
                    "record_unreadable", "error", "record",
                    text("the version of the tables is unknown: open the record with the program that made it"),
                )
            )  # fmt: skip
        for link in stored_links(connection):
            chain.check(link)
            if expected is not None:
                seen.append(link.hash)
            if f'"key":"{link.key}"' not in link.body:
                problems.append(_changed_key(link))
            if len(chain.problems) + len(problems) > MOST_PROBLEMS:
                break
        problems += chain.problems
        problems += pages(connection)
        if derived and not problems:
            problems += compared(connection)
    except (SQLAlchemyError, ValueError, KeyError, TypeError) as error:
        problems += [one for one in chain.problems if one not in problems]
        problems.append(_unreadable(error))
    if expected is not None and expected not in seen:
        problems.append(
            Finding(
                "record_end_differs", "error", "record",
                text("no event has the hash {wanted}: the end of the record was cut off, or it is another record",
                     wanted=expected),
            )
        )  # fmt: skip
    return Verdict(chain.sequence, chain.head, tuple(problems))


def recent(connection: Connection, *, count: int = 1000) -> tuple[Finding, ...]:
    """The quick check of every opening: the engine's short check and the last links of the chain.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    count : int
        How many links, from the end.
    """
    try:
        found = list(pages(connection, short=True))
        last = connection.execute(
            select(EVENT.c.sequence).order_by(EVENT.c.sequence.desc()).limit(1)
        ).scalar()
        first = max(1, (last or 0) - count + 1)
        before = connection.execute(select(EVENT.c.hash).where(EVENT.c.sequence == first - 1)).scalar()
        chain = Chain(sequence=first - 1, head=BEGINNING if before is None else before)
        for link in stored_links(connection, first=first):
            chain.check(link)
        return (*found, *chain.problems)
    except SQLAlchemyError as error:
        return (_unreadable(error),)


def stored_links(connection: Connection, *, first: int = 0) -> Iterator[Link]:
    """The entries of the chain as they are kept, in order."""
    at = first
    while True:
        rows = connection.execute(
            select(EVENT).where(EVENT.c.sequence >= at).order_by(EVENT.c.sequence).limit(_PAGE)
        ).all()
        if not rows:
            return
        for row in rows:
            yield Link(row.sequence, row.key, row.record_time, row.body, row.hash)
        at = rows[-1].sequence + 1


def pages(connection: Connection, *, short: bool = False) -> list[Finding]:
    """What the engine finds wrong with its own pages."""
    if connection.dialect.name != "sqlite":
        return []
    check = "quick_check" if short else "integrity_check"
    said = [str(row[0]) for row in connection.exec_driver_sql(f"PRAGMA {check}(20)")]
    return [
        Finding(
            "record_damaged", "error", "record",
            text("the data base says: {what}; restore the last good backup", what=line),
        )
        for line in said
        if line != "ok"
    ]  # fmt: skip


def compared(connection: Connection) -> list[Finding]:
    """What in the derived tables differs from what the events come to."""
    return [
        Finding(
            "record_index_differs", "error", table,
            text("table {table} does not agree with the events in {n} rows; the events are whole: have it built anew",
                 table=table, n=count),
        )
        for table, count in differences(connection).items()
    ]  # fmt: skip


def _changed_key(link: Link) -> Finding:
    return Finding(
        "record_changed", "error", f"event {link.sequence}",
        text("event {found} is filed under another key than it has: restore the last good backup",
             found=link.sequence),
    )  # fmt: skip


def _unreadable(error: Exception) -> Finding:
    why = error.orig if isinstance(error, DBAPIError) else error
    return Finding(
        "record_unreadable", "error", "record",
        text("the record can't be read ({why}): restore the last good backup", why=str(why)),
    )  # fmt: skip
