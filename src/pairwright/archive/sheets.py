"""Tables that people keep today: CSV and XLSX files as a header and rows of text.

Nothing is guessed: numbers come as they are written, dates as ISO dates, formulas by the value that
the sheet last showed. What a sheet says of its own size is not believed.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from pairwright.archive.door import content_of
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text

BYTES: Final = 16 << 20
ROWS: Final = 50_000
COLUMNS: Final = 200
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how older and encrypted workbooks begin
# what an exported text begins with, so that a spreadsheet takes it for a text and not for a formula
_KEPT: Final = re.compile(r"'+[=+\-@\t\r\n]")

Numbered = tuple[int, list[str]]


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A header and the rows below it, all as text; `numbers` are those of the header and each row."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    word: str = "row"  # what a row is called in messages

    def records(self) -> list[tuple[int, tuple[str, ...]]]:
        """Number and cells of the header and of every row."""
        return list(zip(self.numbers, (self.header, *self.rows), strict=True))


def read_table(path: Path, *, sheet: str | None = None, prefer: Sequence[str] = ()) -> SheetTable:
    """The table of a CSV file or of one sheet of an XLSX; raises `InputError` when it can't be read.

    Parameters
    ----------
    path : Path
        The file.
    sheet : str | None
        The sheet of a workbook; needed where several hold something and none has a preferred name.
    prefer : Sequence[str]
        Names of sheets that are taken without being asked for.
    """
    content = content_of(path, most=BYTES)
    name = shown(path.name, 80).strip("'\"")
    if not content:
        raise refused(name, text("a table with a header"), "an empty file", text("export the table anew"))
    if content.startswith(_OLE):
        raise refused(
            name, text("an XLSX without a password"), "an encrypted workbook, or one of an older kind",
            text("save it as XLSX without a password, or as CSV"),
        )  # fmt: skip
    if content[:2] == b"PK":
        from pairwright.archive.xlsx_sheets import xlsx_rows

        return _table(name, xlsx_rows(name, content, sheet=sheet, prefer=prefer), word="row")
    if sheet is not None:
        raise refused(
            name, text("a workbook, as a sheet of it is named"), "a text", text("leave the sheet out")
        )
    return _table(name, _csv(name, content), word="line")


def _table(name: str, rows: Iterator[Numbered], *, word: str) -> SheetTable:
    taken: list[tuple[str, ...]] = []
    numbers: list[int] = []
    width = 0
    for number, row in rows:
        cells = tuple(cell if cell.isascii() else unicodedata.normalize("NFC", cell) for cell in row)
        if not any(cells):
            continue
        if len(cells) > COLUMNS:
            raise refused(name, text("at most {n} columns", n=COLUMNS), f"{len(cells)}",
                          text("remove the others"))  # fmt: skip
        if len(taken) > ROWS:
            raise too_many(name)
        if not taken:
            width = len(cells)
        elif len(cells) > width or (word == "line" and len(cells) < width):
            raise InputError(
                Problem(
                    f"{name} {word} {number}", "(row)", text("{n} values, one for each column", n=width),
                    f"{len(cells)}", text("add what is missing, or remove what is too much"),
                )
            )  # fmt: skip
        taken.append((cells + ("",) * width)[:width])
        numbers.append(number)
    if not taken:
        raise refused(
            name, text("a table with a header"), "an empty sheet", text("name the sheet that holds it")
        )
    return SheetTable(name, taken[0], tuple(taken[1:]), tuple(numbers), word)


def _csv(name: str, content: bytes) -> Iterator[Numbered]:
    body = _decoded(name, content)
    head = body.partition("\n")[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=delimiter, strict=True)
    first = 1
    try:
        for cells in reader:
            yield first, [_as_meant(cell) for cell in cells]
            first = reader.line_num + 1
    except csv.Error as error:
        raise InputError(
            Problem(f"{name} line {first}", "(row)", text("a CSV row whose quotation marks close"), str(error),
                    text("correct it, or export the table anew"))
        ) from None  # fmt: skip


def _decoded(name: str, content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise refused(name, text("text in UTF-8, or an XLSX"), "text in UTF-16", text("save it as UTF-8"))
    try:
        body = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        got = f"byte {content[error.start]:#04x} in line {line}"
        raise refused(name, text("text in UTF-8, or an XLSX"), got, text("save it as UTF-8")) from None
    odd = re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", body)
    if odd is not None:
        line = body.count("\n", 0, odd.start()) + 1
        raise InputError(
            Problem(f"{name} line {line}", "(text)", text("plain text without control characters"),
                    f"U+{ord(odd[0]):04X}", text("remove the character, or export the table anew"))
        )  # fmt: skip
    if body.count("\n") > 20 * ROWS:
        raise too_many(name)
    return body


def _as_meant(cell: str) -> str:
    """A cell without the mark that an export put before it."""
    bare = cell.strip()
    if bare.startswith("'") and _KEPT.match(bare):
        return bare[1:]
    return bare


def marked(cell: str) -> str:
    """A text as a CSV may hold it: what a spreadsheet would take for a formula gets a mark before it.

    Examples
    --------
    >>> marked("=A1+1"), marked("Alder"), marked("'=x")
    ("'=A1+1", 'Alder', "''=x")
    """
    return "'" + cell if _KEPT.match("'" + cell) else cell


def too_many(name: str) -> InputError:
    """Told of a table that is longer than any works needs."""
    return refused(name, text("at most {n} rows", n=ROWS), "more", text("export the rows you need"))


def refused(name: str, must_be: Text, got: str, do: Text) -> InputError:
    """Why a file can't be taken."""
    return InputError(Problem(name, "file", must_be, got, do))
