"""XLSX workbooks, read row by row: what is hidden, merged, without a value or hostile is told, not guessed."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any, Final

from pairwright.archive.sheets import COLUMNS, ROWS, Numbered, refused, too_many
from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text

if TYPE_CHECKING:
    from openpyxl.worksheet._read_only import ReadOnlyWorksheet

UNPACKED: Final = 96 << 20  # bytes of all members of a workbook together
MEMBERS: Final = 2000
SPAN: Final = 1_100_000  # rows that a sheet can have at most
_CHUNK: Final = 1 << 18
_OVERLAP: Final = 1 << 12
_FAULTS: Final = frozenset(
    ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NULL!", "#NUM!", "#SPILL!", "#CALC!")
)
_ENTITY: Final = re.compile(rb"<!(DOCTYPE|ENTITY)|\x00", re.IGNORECASE)
_MERGED: Final = re.compile(rb"<(?:\w+:)?mergeCell\s")
_HIDDEN: Final = re.compile(rb"<(?:\w+:)?row\b[^>]{0,2000}\shidden\s*=\s*[\"'](?:1|true)[\"']")
_ROW: Final = re.compile(rb"<(?:\w+:)?row[\s>/]")
# a cell with a formula (however it is written) and no value after it
_BARE: Final = re.compile(
    rb"<(?:\w+:)?c\b[^>]{0,500}>\s*<(?:\w+:)?f\b[^<]{0,3000}(?:/>|</(?:\w+:)?f>)\s*(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v></(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)
# a cell beyond column GR, the 200th
_FAR: Final = re.compile(rb"<(?:\w+:)?c\b[^>]{0,200}?\sr\s*=\s*[\"'](?:[A-Z]{3}|[H-Z][A-Z]|G[S-Z])[0-9]")
_ESCAPED: Final = re.compile(
    "_x(00[01][0-9A-Fa-f])_"
)  # how a workbook writes what XML can't hold (ST_Xstring)
_REFERENCE: Final = re.compile(rb"\sr\s*=\s*[\"']([A-Z]{1,3}[0-9]{1,7})[\"']")


def xlsx_rows(name: str, content: bytes, *, sheet: str | None, prefer: Sequence[str]) -> Iterator[Numbered]:
    """Number and cells of every row of one sheet.

    Parameters
    ----------
    name : str
        Of the file, for messages.
    content : bytes
        The workbook.
    sheet : str | None
        The sheet asked for.
    prefer : Sequence[str]
        Names of sheets that are taken without being asked for.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            _must_be_plain(name, packed)
            book = _opened(content)
            found = _chosen(name, book.worksheets, sheet=sheet, prefer=prefer)
            _must_be_shown(name, packed, _member(found))
        found.reset_dimensions()
        for number, row in enumerate(found.iter_rows(values_only=True, max_col=COLUMNS + 1), start=1):
            if number > SPAN:
                raise too_many(name)
            if row.count(None) == len(row):
                continue
            cells = _trimmed(row)
            fault = next((n for n, cell in enumerate(cells) if cell in _FAULTS), None)
            if fault is not None:
                raise _cell(name, f"row {number}", text("a value"), cells[fault], column=_letters(fault))
            yield number, cells
    except InputError:
        raise
    except _broken() as error:
        got = type(error).__name__
        raise refused(name, text("an XLSX workbook"), got, text("save it anew, or as CSV")) from None


def _opened(content: bytes) -> Any:
    from openpyxl import load_workbook

    return load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)


def _broken() -> tuple[type[Exception], ...]:
    """What a damaged or hostile workbook makes its reader raise."""
    import struct
    import zlib
    from xml.etree.ElementTree import ParseError

    from openpyxl.utils.exceptions import InvalidFileException

    return (
        zipfile.BadZipFile, zlib.error, struct.error, ParseError, InvalidFileException, ArithmeticError,
        AttributeError, EOFError, LookupError, MemoryError, NotImplementedError, OSError, RuntimeError,
        TypeError, ValueError,
    )  # fmt: skip


def _must_be_plain(name: str, packed: zipfile.ZipFile) -> None:
    """No bombs, no foreign paths, no macros, no entities."""
    members = packed.infolist()
    unpacked = sum(member.file_size for member in members)
    if unpacked > UNPACKED or len(members) > MEMBERS:
        raise refused(name, text("at most {n} MiB unpacked", n=UNPACKED >> 20), f"{unpacked} bytes",
                      text("export it anew with the rows you need"))  # fmt: skip
    for member in members:
        path = PurePosixPath(member.filename.replace("\\", "/"))
        if path.is_absolute() or ".." in path.parts or ":" in member.filename:
            raise refused(name, text("a workbook without paths that lead out of it"), "such a path",
                          text("save it anew"))  # fmt: skip
        if path.name.lower() == "vbaproject.bin":
            raise refused(name, text("a workbook without macros"), "one with macros",
                          text("save it as XLSX, or as CSV"))  # fmt: skip
        if path.suffix.lower() in (".xml", ".rels") and _ENTITY.search(_start(packed, member)):
            raise refused(name, text("a workbook without entities of its own"), "a DOCTYPE or another encoding",
                          text("save it anew"))  # fmt: skip


def _start(packed: zipfile.ZipFile, member: zipfile.ZipInfo) -> bytes:
    """What stands before the first element, where entities are declared, and some more."""
    with packed.open(member) as file:
        return file.read(_CHUNK)


def _chosen(
    name: str, sheets: Sequence[ReadOnlyWorksheet], *, sheet: str | None, prefer: Sequence[str]
) -> ReadOnlyWorksheet:
    shown = [one for one in sheets if one.sheet_state == "visible" and hasattr(one, "reset_dimensions")]
    names = ", ".join(one.title for one in shown)[:300]
    if sheet is not None:
        found = next((one for one in shown if one.title == sheet), None)
        if found is None:
            raise refused(name, text("a workbook with a sheet {sheet} that is shown", sheet=sheet), names or "none",
                          text("name one of its sheets"))  # fmt: skip
        return found
    liked = [one for one in shown if one.title.strip().lower() in prefer]
    filled = liked or [one for one in shown if _holds_something(one)]
    if len(filled) == 1:
        return filled[0]
    if not filled:
        raise refused(name, text("a workbook with a sheet that is shown and holds a table"), "none",
                      text("show the sheet that holds it"))  # fmt: skip
    raise refused(name, text("one sheet, or the name of one"), names, text("say which: --sheet NAME"))


def _holds_something(sheet: ReadOnlyWorksheet) -> bool:
    sheet.reset_dimensions()
    for number, row in enumerate(sheet.iter_rows(values_only=True, max_col=COLUMNS + 1), start=1):
        if any(value not in (None, "") for value in row):
            return True
        if number > ROWS:
            return True
    return False


def _member(sheet: ReadOnlyWorksheet) -> str:
    return str(sheet._worksheet_path).lstrip("/")


def _must_be_shown(name: str, packed: zipfile.ZipFile, member: str) -> None:
    """No rows out of sight, no cells over several rows, no formula that was never worked out."""
    rows = 0
    with packed.open(member) as file:
        before = b""
        while part := file.read(_CHUNK):
            body = before + part
            if _ENTITY.search(part):
                raise refused(name, text("a workbook without entities of its own"),
                              "a DOCTYPE or another encoding", text("save it anew"))  # fmt: skip
            if _MERGED.search(body):
                raise refused(name, text("a sheet without merged cells"), "merged cells",
                              text("divide them, and give each row its own value"))  # fmt: skip
            if _HIDDEN.search(body):
                raise refused(name, text("a sheet whose rows are all shown"), "hidden rows",
                              text("show them or remove them"))  # fmt: skip
            if _FAR.search(body):
                raise refused(name, text("at most {n} columns", n=COLUMNS), "a cell far to the right",
                              text("remove what lies there"))  # fmt: skip
            bare = _BARE.search(body)
            if bare is not None:
                at = _REFERENCE.search(bare[0])
                where = at[1].decode() if at else "?"
                raise _cell(name, f"cell {where}", text("a formula with its value"), "a formula without one")
            rows += len(_ROW.findall(part))
            if rows > SPAN:
                raise too_many(name)
            before = body[-_OVERLAP:]
    if rows > 4 * ROWS:
        raise too_many(name)


def _cell(name: str, where: str, must_be: Any, got: str, *, column: str = "(cell)") -> InputError:
    do = text("open it in the program that made it, mend it and save it")
    return InputError(Problem(f"{name} {where}", column, must_be, got, do))


def _letters(column: int) -> str:
    """The name of a column, counted from 0.

    Examples
    --------
    >>> _letters(0), _letters(27)
    ('A', 'AB')
    """
    found = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(65 + rest) + found
    return found


def _trimmed(row: Iterable[object]) -> list[str]:
    cells = [_shown(value) for value in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _shown(value: object) -> str:
    """A cell as text: dates as ISO, numbers as decimals, nothing for an empty cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return (
            str(int(value))
            if value == int(value) and abs(value) < 1e15
            else format(Decimal(repr(value)), "f")
        )
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), str(value)).strip()
