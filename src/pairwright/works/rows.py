"""CSV rows with names, read strictly: what is odd is told by line and column, never guessed."""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from pairwright.base.errors import Problem, shown
from pairwright.base.words import Text, text
from pairwright.works.reading import near

_WHOLE: Final = re.compile(r"[0-9]{1,9}")
_NUMBER: Final = re.compile(r"[0-9]{1,12}(\.[0-9]{1,9})?")
_COMMA: Final = re.compile(r"[0-9]+,[0-9]+")
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_IDENT: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
_LABEL: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
_UNSEEN: Final = frozenset(("Cc", "Cf", "Cs", "Co", "Zl", "Zp"))
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
_YEARS: Final = (2000, 2199)


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a file: needed, allowed, and whether others hold values of their own."""

    needed: tuple[str, ...]
    allowed: tuple[str, ...] = ()
    others: bool = False

    @property
    def known(self) -> tuple[str, ...]:
        """All columns with a meaning."""
        return (*self.needed, *self.allowed)


@dataclass(frozen=True, slots=True)
class Row:
    """One row; its readers give None and tell the problem where a cell is not what it must be."""

    path: str
    line: int
    cells: dict[str, str]
    columns: Columns
    problems: list[Problem]
    word: str = "line"  # what a row is called: the row of a sheet, the line of a text

    def cell(self, column: str) -> str:
        """The text of a cell, empty where there is none."""
        return self.cells.get(column, "")

    def others(self) -> tuple[tuple[str, str], ...]:
        """Cells of columns without a meaning of their own, empty ones left out."""
        return tuple((k, v) for k, v in self.cells.items() if k not in self.columns.known and v)

    def refuse(self, column: str, must_be: Text, do: Text) -> None:
        """Tell a problem of a cell."""
        value = self.cell(column)
        got = shown(value) if value else "nothing"
        self.problems.append(Problem(f"{self.path} {self.word} {self.line}", column, must_be, got, do))

    def ident(self, column: str) -> str | None:
        """An id: letters, digits, hyphen, underscore."""
        value = self.cell(column)
        if _IDENT.fullmatch(value):
            return value
        self.refuse(
            column, text("an id of letters, digits, hyphen and underscore, at most 40"), text("give it one")
        )
        return None

    def label(self, column: str, *, needed: bool = True) -> str | None:
        """The identity of a thing, as its label has it: points are allowed."""
        value = self.cell(column)
        if (not value and not needed) or _LABEL.fullmatch(value):
            return value or None
        self.refuse(
            column,
            text("an identity of the letters A-Z and a-z, digits, hyphen, point and underscore, at most 80"),
            text("write it as its label has it"),
        )
        return None

    def plain(self, column: str, *, most: int = 200) -> str | None:
        """A text that people wrote, without hidden characters, in Unicode's composed form."""
        value = unicodedata.normalize("NFC", self.cell(column))
        if value and len(value) <= most and not any(unicodedata.category(c) in _UNSEEN for c in value):
            return value
        self.refuse(
            column,
            text("a text of 1 to {most} characters, none of them hidden", most=most),
            text("type it anew, do not paste it"),
        )
        return None

    def flag(self, column: str) -> bool:
        """Yes, or no where it says so or says nothing."""
        value = self.cell(column)
        if value not in ("yes", "no", ""):
            self.refuse(column, text("yes or no"), text("write one of the two, or leave it empty"))
        return value == "yes"

    def one_of(self, column: str, names: Iterable[str], *, what: Text) -> str | None:
        """A name that is defined."""
        value, known = self.cell(column), sorted(names)
        if value in known:
            return value
        alike = near(value, known, 1)
        listed = known if len(known) <= 8 else near(value, known, 8)
        must_be = (
            text("{what} ({names})", what=what, names=", ".join(listed))
            if listed
            else text("{what} that is defined", what=what)
        )
        do = text("write {name}", name=alike[0]) if alike else text("correct the name, or define it")
        self.refuse(column, must_be, do)
        return None

    def whole(self, column: str, *, most: int) -> int | None:
        """A whole number from 1."""
        value = self.cell(column)
        if _WHOLE.fullmatch(value) and 1 <= int(value) <= most:
            return int(value)
        self.refuse(column, text("a whole number from 1 to {most}", most=most), _number_hint(value))
        return None

    def number(self, column: str, *, needed: bool = True) -> float | None:
        """A number above 0 with a decimal point."""
        value = self.cell(column)
        if not value and not needed:
            return None
        if _NUMBER.fullmatch(value) and float(value) > 0:
            return float(value)
        self.refuse(column, text("a number above 0"), _number_hint(value))
        return None

    def day(self, column: str, *, needed: bool = True) -> date | None:
        """A day in the ISO form."""
        value = self.cell(column)
        if not value and not needed:
            return None
        if _DAY.fullmatch(value) and _YEARS[0] <= int(value[:4]) <= _YEARS[1]:
            try:
                return date.fromisoformat(value)
            except ValueError:
                pass
        must_be = text("a day such as 2027-03-05, of {first} to {last}", first=_YEARS[0], last=_YEARS[1])
        self.refuse(column, must_be, text("write year, month and day with hyphens"))
        return None


def read_rows(path: str, body: str, *, columns: Columns, problems: list[Problem]) -> list[Row]:
    """The rows of a CSV text under their column names; what is wrong goes to `problems`.

    Parameters
    ----------
    path : str
        Name of the file, for messages.
    body : str
        Its text; a byte order mark is allowed.
    columns : Columns
        Its columns, in any order.
    problems : list[Problem]
        Takes what is wrong.
    """
    body = body.removeprefix("\ufeff")
    odd = _CONTROL.search(body)
    if odd is not None:
        line = body.count("\n", 0, odd.start()) + 1
        problems.append(
            Problem(
                f"{path} line {line}",
                "(text)",
                text("plain text in UTF-8 without control characters"),
                f"U+{ord(odd[0]):04X}",
                text("remove the character, or save the file as UTF-8"),
            )
        )
        return []
    records = _records(path, body, problems)
    if not records:
        return []
    return rows_of(path, records, columns=columns, problems=problems)


def rows_of(
    path: str,
    records: Sequence[tuple[int, Sequence[str]]],
    *,
    columns: Columns,
    problems: list[Problem],
    word: str = "line",
) -> list[Row]:
    """Rows under the names that the first record gives; what is wrong goes to `problems`.

    Parameters
    ----------
    path : str
        Name of the file, for messages.
    records : Sequence[tuple[int, Sequence[str]]]
        Number and cells of the header and of each row that is not blank.
    columns : Columns
        Its columns, in any order.
    problems : list[Problem]
        Takes what is wrong.
    word : str
        What a row is called in messages.
    """
    header = [name.strip() for name in records[0][1]]
    if not _header_holds(f"{path} {word} {records[0][0]}", header, columns=columns, problems=problems):
        return []
    rows: list[Row] = []
    for line, cells in records[1:]:
        if len(cells) != len(header):
            problems.append(_ragged(f"{path} {word} {line}", cells=cells, wanted=len(header)))
            continue
        named = {name: cell.strip() for name, cell in zip(header, cells, strict=True)}
        rows.append(Row(path, line, named, columns, problems, word))
    return rows


def _records(path: str, body: str, problems: list[Problem]) -> list[tuple[int, list[str]]]:
    """Line and cells of every row that is not blank, the header first."""
    reader = csv.reader(io.StringIO(body, newline=""), strict=True)
    found: list[tuple[int, list[str]]] = []
    first = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((first, cells))
            first = reader.line_num + 1
    except csv.Error as error:
        problems.append(
            Problem(
                f"{path} line {first}",
                "(text)",
                text("a CSV row whose quotation marks close"),
                shown(body.split("\n")[first - 1].strip() if body.count("\n") >= first - 1 else ""),
                text("correct it: {why}", why=str(error)),
            )
        )
        return []
    if not found:
        problems.append(
            Problem(path, "(header)", text("a first row with the names of the columns"), "nothing",
                    text("write the header, or remove the file"))
        )  # fmt: skip
    return found


def _header_holds(where: str, header: list[str], *, columns: Columns, problems: list[Problem]) -> bool:
    before = len(problems)

    def refuse(must_be: Text, got: str, do: Text) -> None:
        problems.append(Problem(where, "(header)", must_be, got, do))

    for sign, what in ((";", text("semicolons")), ("\t", text("tabs"))):
        if len(header) == 1 and sign in header[0]:
            refuse(
                text("names divided by commas"),
                shown(header[0]),
                text("save the file with commas in place of {sign}, and a decimal point", sign=what),
            )
            return False
    for name in dict.fromkeys(header):
        if header.count(name) > 1:
            refuse(text("each column once"), shown(name), text("remove one of the two"))
        misspelt = near(name, columns.known, 1) if name not in columns.known else []
        strange = name not in columns.known and (not columns.others or bool(misspelt) or not name)
        if strange:
            refuse(
                text("a known column ({names})", names=", ".join(columns.known)),
                shown(name),
                text("write {name}", name=misspelt[0]) if misspelt else text("remove the column"),
            )
    missing = [name for name in columns.needed if name not in header]
    if missing:
        refuse(
            text("the columns {names}", names=", ".join(columns.needed)),
            shown(",".join(header)),
            text("add {names}", names=", ".join(missing)),
        )
    return len(problems) == before


def _ragged(where: str, *, cells: Sequence[str], wanted: int) -> Problem:
    return Problem(
        where,
        "(row)",
        text("{n} values, one for each column", n=wanted),
        shown(",".join(cells)) + f" ({len(cells)})",
        text("add or remove commas; put a value that holds a comma in quotation marks"),
    )


def _number_hint(value: str) -> Text:
    if _COMMA.fullmatch(value):
        return text("write the decimal sign as a point")
    if not value.isascii():
        return text("write it with the digits 0 to 9")
    return text("correct the number")
