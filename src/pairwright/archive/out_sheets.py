"""Tables on their way out: CSV, XLSX and JSON that no program takes for anything but data."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final, TypeAlias

from pairwright.archive.sheets import marked
from pairwright.base.errors import RefusedError
from pairwright.base.words import text

Value: TypeAlias = str | int | float | bool | date | None

LONGEST: Final = 32_000  # characters of a cell that every spreadsheet takes
MOST: Final = 1_000_000  # rows of a sheet
FORMATS: Final = ("csv", "xlsx", "json")


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A table with its columns and rows of values; cells of `objects` columns hold JSON."""

    name: str
    columns: tuple[str, ...]
    rows: Sequence[Sequence[Value]]
    objects: tuple[str, ...] = ()


def written(table: Outgoing, form: str) -> bytes:
    """A table as a file.

    Parameters
    ----------
    table : Outgoing
        What to write.
    form : str
        One of `FORMATS`.
    """
    return {"csv": csv_bytes, "xlsx": xlsx_bytes, "json": json_bytes}[form](table)


def csv_bytes(table: Outgoing) -> bytes:
    """A CSV table (RFC 4180); a text that a spreadsheet would take for a formula begins with '."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow([marked(name) for name in table.columns])
    for row in table.rows:
        writer.writerow([marked(v) if isinstance(v, str) else _plain(v) for v in row])
    return out.getvalue().encode()


def json_bytes(table: Outgoing) -> bytes:
    """A JSON list with an object for each row; what is not there is left out."""
    rows: list[dict[str, Any]] = [
        {
            name: _in_json(value, nested=name in table.objects)
            for name, value in zip(table.columns, row, strict=True)
            if value not in (None, "")
        }
        for row in table.rows
    ]
    return (json.dumps(rows, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _in_json(value: Value, *, nested: bool) -> Any:
    if nested and isinstance(value, str):
        return json.loads(value)
    return value.isoformat() if isinstance(value, date) else value


def xlsx_bytes(table: Outgoing) -> bytes:
    """A workbook with one sheet: texts as texts, numbers as numbers, days as days, no formula ever."""
    import xlsxwriter

    if len(table.rows) > MOST:
        raise RefusedError(text("a sheet holds at most {n} rows: take CSV or JSON", n=MOST))
    out = io.BytesIO()
    book = xlsxwriter.Workbook(
        out,
        {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False,
         "in_memory": True, "default_date_format": "yyyy-mm-dd"},
    )  # fmt: skip
    book.set_properties({"created": datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)})
    sheet = book.add_worksheet(table.name[:31])
    head = book.add_format({"bold": True, "bottom": 1})
    day, plain = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format()
    for column, name in enumerate(table.columns):
        sheet.write_string(0, column, name, head)
        sheet.set_column(column, column, _width(table, column))
    sheet.freeze_panes(1, 0)
    for number, row in enumerate(table.rows, start=1):
        for column, value in enumerate(row):
            _put(sheet, number, column, value, day=day, plain=plain)
    book.close()
    return out.getvalue()


def _put(sheet: Any, row: int, column: int, value: Value, *, day: Any, plain: Any) -> None:
    if value is None or value == "":
        return
    if isinstance(value, bool):
        sheet.write_string(row, column, _plain(value))
    elif isinstance(value, int | float) and abs(value) < 1e15:
        sheet.write_number(row, column, value)
    elif isinstance(value, date):
        sheet.write_datetime(row, column, datetime(value.year, value.month, value.day), day)
    else:
        body = str(value)
        if len(body) > LONGEST:
            raise RefusedError(text("a cell holds at most {n} characters: take CSV or JSON", n=LONGEST))
        if body.startswith("<r>"):  # the library would take it for markup of its own, and write it as it is
            sheet.write_rich_string(row, column, body[:1], plain, body[1:])
        else:
            sheet.write_string(row, column, body)


def _width(table: Outgoing, column: int) -> int:
    longest = max((len(_plain(row[column])) for row in table.rows[:200]), default=0)
    return min(60, max(8, len(table.columns[column]) + 2, longest + 1))


def _plain(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return format(Decimal(repr(value)).normalize(), "f")
    return str(value)
