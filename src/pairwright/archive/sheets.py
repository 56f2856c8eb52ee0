"""Tables that people keep today: CSV and XLSX files as a header and rows of text.

Nothing is guessed: numbers come as they are written, dates as ISO dates, formulas by the value that
the sheet last showed. What a sheet says of its own size is not believed.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import Text, text

BYTES: Final = 16 << 20
ROWS: Final = 200_000
COLUMNS: Final = 200
UNPACKED: Final = 200 << 20  # of all members of an XLSX together


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A header and the rows below it, all as text; `first_row` is the number of the first row."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first_row: int = 2


def read_table(path: Path) -> SheetTable:
    """The first sheet of an XLSX, or a CSV file; raises `InputError` when it can't be read."""
    try:
        if not path.is_file():
            raise _refused(
                path, text("an ordinary file"), "nothing or a folder", text("name a CSV or XLSX file")
            )
        size = path.stat().st_size
        if size > BYTES:
            raise _refused(path, text("at most 16 MiB"), f"{size} bytes", text("export the rows you need"))
        content = path.read_bytes()
    except OSError as error:
        why = error.strerror or "an error"
        raise _refused(path, text("readable"), why, text("check the file and its rights")) from None
    rows = _xlsx(path, content) if content[:2] == b"PK" else _csv(path, content)
    return _table(path, rows)


def _table(path: Path, rows: Iterator[list[str]]) -> SheetTable:
    taken: list[tuple[str, ...]] = []
    header: tuple[str, ...] | None = None
    first = 2
    for number, row in enumerate(rows, start=1):
        if len(row) > COLUMNS:
            raise _refused(
                path, text("at most {n} columns", n=COLUMNS), f"{len(row)}", text("remove the others")
            )
        if number > ROWS:
            raise _refused(path, text("at most {n} rows", n=ROWS), "more", text("export the rows you need"))
        cells = tuple(cell.strip() for cell in row)
        if not any(cells):
            continue
        if header is None:
            header, first = cells, number + 1
            continue
        taken.append((cells + ("",) * len(header))[: len(header)])
    if header is None:
        raise _refused(
            path, text("a table with a header"), "an empty sheet", text("name the sheet that holds it")
        )
    return SheetTable(path.name, header, tuple(taken), first)


def _csv(path: Path, content: bytes) -> Iterator[list[str]]:
    try:
        body = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        got = f"byte {content[error.start]:#04x} at {error.start}"
        raise _refused(path, text("text in UTF-8, or an XLSX"), got, text("save it as UTF-8")) from None
    if "\0" in body:
        raise _refused(path, text("text"), "a NUL character", text("export the table anew"))
    head = body.partition("\n")[0]
    delimiter = ";" if head.count(";") > head.count(",") else ","
    try:
        yield from csv.reader(io.StringIO(body, newline=""), delimiter=delimiter, strict=True)
    except csv.Error as error:
        raise _refused(path, text("a CSV table"), str(error), text("export the table anew")) from None


def _xlsx(path: Path, content: bytes) -> Iterator[list[str]]:
    import zipfile

    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(member.file_size for member in packed.infolist())
        if unpacked > UNPACKED:
            raise _refused(
                path, text("at most 200 MiB unpacked"), f"{unpacked} bytes", text("export it anew")
            )
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()
        for row in sheet.iter_rows(values_only=True, max_col=COLUMNS + 1):
            yield _trimmed(row)
    except InputError:
        raise
    except _broken() as error:
        got = type(error).__name__
        raise _refused(path, text("an XLSX workbook"), got, text("save it anew, or as CSV")) from None


def _broken() -> tuple[type[Exception], ...]:
    """What a damaged or hostile workbook makes its reader raise."""
    import struct
    import zipfile
    import zlib
    from xml.etree.ElementTree import ParseError

    from openpyxl.utils.exceptions import InvalidFileException

    return (
        zipfile.BadZipFile, zlib.error, struct.error, ParseError, InvalidFileException, ArithmeticError,
        AttributeError, EOFError, LookupError, MemoryError, NotImplementedError, OSError, RuntimeError,
        TypeError, ValueError,
    )  # fmt: skip


def _trimmed(row: Iterable[object]) -> list[str]:
    cells = [_shown(value) for value in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _shown(value: object) -> str:
    """A cell as text: dates as ISO, whole numbers without a point, nothing for an empty cell."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value == int(value) and abs(value) < 1e15:
        return str(int(value))
    return str(value)


def _refused(path: Path, must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem(path.name, "file", must_be, got, do))
