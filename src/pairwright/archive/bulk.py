"""Many rows in one statement.

One statement with all rows is one step of the engine. Row by row, the interpreter would hand its lock to
the readers between any two rows, and with many readers a commit would wait for each of them each time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import Connection, Table

MOST_VALUES: Final = 900  # of one statement; every SQLite takes 999


def insert_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows; each holds every column of the table.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    table : Table
        Where they go.
    rows : Sequence[Mapping[str, Any]]
        The rows.
    """
    columns = [column.name for column in table.c]
    names = ", ".join(f'"{name}"' for name in columns)
    one = _marks(connection, len(columns))
    most = max(1, MOST_VALUES // len(columns))
    for place in range(0, len(rows), most):
        part = rows[place : place + most]
        values = tuple(row[name] for row in part for name in columns)
        connection.exec_driver_sql(
            f'INSERT INTO "{table.name}" ({names}) VALUES {", ".join([one] * len(part))}', values
        )


def delete_rows(
    connection: Connection, table: Table, *, by: Sequence[str], keys: Sequence[tuple[Any, ...]]
) -> None:
    """Delete rows by their key columns.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    table : Table
        Where they are.
    by : Sequence[str]
        Names of the key columns.
    keys : Sequence[tuple[Any, ...]]
        The keys of the rows that go.
    """
    names = ", ".join(f'"{name}"' for name in by)
    one = _marks(connection, len(by))
    most = max(1, MOST_VALUES // len(by))
    for place in range(0, len(keys), most):
        part = keys[place : place + most]
        connection.exec_driver_sql(
            f'DELETE FROM "{table.name}" WHERE ({names}) IN (VALUES {", ".join([one] * len(part))})',
            tuple(value for key in part for value in key),
        )


def _marks(connection: Connection, count: int) -> str:
    mark = "?" if connection.dialect.paramstyle == "qmark" else "%s"
    return f"({', '.join([mark] * count)})"
