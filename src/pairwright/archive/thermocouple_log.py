"""A thermocouple's log as CSV: time, glue lines or depths, platens, each with its unit in the header.

    time [s],line 1 [degC],line 4 [degC],depth 3.2 mm [degC],platen [degC],upper platen [degC]

Lines count from the inner face, from 1; a depth is measured from it. An empty cell is a reading that is
missing.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from pairwright.archive.door import text_of
from pairwright.archive.log_rows import rows_of
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.quantities import QuantityError, parse, unit
from pairwright.base.words import text
from pairwright.process.overlay import PressLog, Sensor

MOST_BYTES: Final = 8 << 20
MOST_ROWS: Final = 50_000
MOST_COLUMNS: Final = 34
_HEADER: Final = re.compile(r"(?P<name>[^\[\]]{1,60}?)\s*\[(?P<unit>[^\[\]]{1,20})\]")
_LINE: Final = re.compile(r"line ([1-9][0-9]{0,2})")
_DEPTH: Final = re.compile(r"depth (.{1,30})")
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,9}(\.[0-9]{0,12})?([eE][+-]?[0-9]{1,2})?")
_WANTED: Final = 'time [s], and columns such as "line 3 [degC]", "depth 4.5 mm [degC]", "platen [degC]"'


@dataclass(frozen=True, slots=True)
class _Column:
    title: str
    name: str
    unit: str
    line: int | None = None
    depth: float | None = None


def read_log(content: bytes, name: str) -> PressLog:
    """The log in a CSV file; otherwise an `InputError` with every problem found.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    """
    rows = rows_of(text_of(content, name, most=MOST_BYTES), name, most=MOST_ROWS, wanted=_WANTED)
    columns = _columns(rows[0][1], name)
    problems: list[Problem] = []
    table = [_numbers(cells, columns, f"{name} line {line}", problems) for line, cells in rows[1:]]
    if problems:
        raise InputError(problems[:20])
    times = [row[0] for row in table]
    for n, (before, after) in enumerate(pairwise(times), start=2):
        if not after > before:
            raise InputError(
                Problem(f"{name} line {rows[n][0]}", "time", text("rising from row to row"),
                        f"{after:g} s after {before:g} s", text("sort the rows, and take each once"))
            )  # fmt: skip
    by_name = {column.name: tuple(row[n] for row in table) for n, column in enumerate(columns)}
    sensors = tuple(
        Sensor(column.title, column.line, column.depth, by_name[column.name])
        for column in columns
        if column.line is not None or column.depth is not None
    )
    return PressLog(tuple(times), sensors, by_name.get("platen"), by_name.get("upper platen"))


def _columns(header: Sequence[str], name: str) -> list[_Column]:
    if len(header) > MOST_COLUMNS:
        raise InputError(
            Problem(f"{name} line 1", "header", text("at most {n} columns", n=MOST_COLUMNS), str(len(header)),
                    text("leave columns out"))
        )  # fmt: skip
    problems: list[Problem] = []
    found: list[_Column] = []
    for title in header:
        column = _column(title)
        if column is None or column.name in [c.name for c in found]:
            problems.append(
                Problem(f"{name} line 1", "header", text("columns once each: {wanted}", wanted=_WANTED),
                        shown(title), text("correct the title, with its unit in square brackets"))
            )  # fmt: skip
        else:
            found.append(column)
    if problems:
        raise InputError(problems)
    if found[0].name != "time" or not any(c.line is not None or c.depth is not None for c in found):
        raise InputError(
            Problem(f"{name} line 1", "header", text("the time first, then at least one line or depth"),
                    shown(",".join(header)), text("write a header: {wanted}", wanted=_WANTED))
        )  # fmt: skip
    return found


def _column(title: str) -> _Column | None:
    """A column by its title, or None where it is none."""
    match = _HEADER.fullmatch(title)
    if match is None:
        return None
    name, measure = " ".join(match["name"].split()), match["unit"]
    try:
        kind = unit(measure).dimension
        depth = _DEPTH.fullmatch(name)
        place = parse(depth[1], "m") if depth else None
    except QuantityError:
        return None
    if kind != unit("s" if name == "time" else "K").dimension:
        return None
    line = _LINE.fullmatch(name)
    if name in ("time", "platen", "upper platen"):
        return _Column(title, name, measure)
    if line is not None:
        return _Column(name, name, measure, line=int(line[1]))
    return _Column(name, name, measure, depth=place) if place is not None and 0.0 < place < 1.0 else None


def _numbers(cells: list[str], columns: list[_Column], where: str, problems: list[Problem]) -> list[float]:
    if len(cells) != len(columns):
        problems.append(
            Problem(where, "row", text("{n} values, one for each column", n=len(columns)), str(len(cells)),
                    text("add or remove commas"))
        )  # fmt: skip
        return [math.nan] * len(columns)
    found = []
    for cell, column in zip(cells, columns, strict=True):
        if not cell and column.name != "time":
            found.append(math.nan)
        elif _NUMBER.fullmatch(cell):
            found.append(parse(f"{cell} {column.unit}", "s" if column.name == "time" else "K"))
        else:
            problems.append(
                Problem(where, column.title, text("a number with a decimal point"), shown(cell) if cell else "nothing",
                        text("correct it; leave a missing reading empty"))
            )  # fmt: skip
            found.append(math.nan)
    return found
