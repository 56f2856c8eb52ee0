"""The version of a record's tables: made, recognised, brought up to date; events are never rewritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, inspect, select

from pairwright.archive.refolding import rebuild
from pairwright.archive.tables import ABOUT, META
from pairwright.base.errors import RefusedError
from pairwright.base.words import text

VERSION: Final = 1
_NAME: Final = "schema_version"

# whoever gets at the file by another way still can't change an event by mistake
_GUARDS: Final = tuple(
    f"CREATE TRIGGER event_{act} BEFORE {act} ON event "
    "BEGIN SELECT RAISE(ABORT, 'events are appended, never changed'); END"
    for act in ("update", "delete")
)


@dataclass(frozen=True, slots=True)
class Migration:
    """A step from the version before to `version`; derived tables are built anew after it."""

    version: int
    apply: Callable[[Connection], None]


MIGRATIONS: Final[tuple[Migration, ...]] = ()


def create(connection: Connection) -> None:
    """Make the tables of an empty record."""
    META.create_all(connection)
    if connection.dialect.name == "sqlite":
        for guard in _GUARDS:
            connection.exec_driver_sql(guard)
    connection.execute(ABOUT.insert(), {"name": _NAME, "value": str(VERSION)})


def version_of(connection: Connection) -> int:
    """The version of a record's tables; 0 where there are none."""
    if not inspect(connection).has_table(ABOUT.name):
        return 0
    found = connection.scalar(select(ABOUT.c.value).where(ABOUT.c.name == _NAME))
    return int(found) if found is not None and str(found).isdigit() else 0


def steps_from(version: int, migrations: tuple[Migration, ...] | None = None) -> tuple[Migration, ...]:
    """The migrations that a record of a version still needs.

    Raises
    ------
    RefusedError
        When the record was made by a newer program.
    """
    known = MIGRATIONS if migrations is None else migrations
    newest = max((one.version for one in known), default=VERSION)
    if version > newest:
        raise RefusedError(
            text(
                "the record has version {version}, this program knows up to {newest}: install the newer program; "
                "a record is never taken back to an older version",
                version=version,
                newest=newest,
            )
        )
    return tuple(one for one in known if one.version > version)


def migrate(connection: Connection, steps: tuple[Migration, ...]) -> None:
    """Carry out migrations, all in the transaction at hand: the record is of the old version or the new."""
    for step in steps:
        step.apply(connection)
        connection.execute(ABOUT.update().where(ABOUT.c.name == _NAME), {"value": str(step.version)})
    rebuild(connection)
