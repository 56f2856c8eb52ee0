"""A machine's log as CSV: the time of each sample, quantities with their units, what the machine thinks of it.

    time,platen [degC],upper platen [degC],status
    2027-03-01T07:00:00+01:00,118.2,117.9,good

`status` may be left out. A sample whose status is not "good" is kept, and never used to judge. An empty
cell is a reading that is missing.
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
from pairwright.base.quantities import QuantityError, unit
from pairwright.base.time import parse_instant
from pairwright.base.words import text
from pairwright.measure.machine_log import MachineLog, Series

MOST_BYTES: Final = 16 << 20
MOST_ROWS: Final = 200_000
MOST_COLUMNS: Final = 34
_TITLE: Final = re.compile(r"(?P<name>[a-z][a-z0-9 ]{0,40}?)\s*\[(?P<unit>[^\[\]]{1,20})\]")
_NUMBER: Final = re.compile(r"[+-]?[0-9]{1,9}(\.[0-9]{0,12})?([eE][+-]?[0-9]{1,2})?")
_WANTED: Final = 'time, then columns such as "platen [degC]", "air [degC]", "force [N]", and perhaps status'


@dataclass(frozen=True, slots=True)
class _Column:
    name: str
    unit: str | None  # None for the time and the status
    size: float = 1.0  # to base SI
    offset: float = 0.0


def read_machine_log(content: bytes, name: str) -> MachineLog:
    """The log in a CSV file; otherwise an `InputError` with every problem found, twenty at most.

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
    times: list[float] = []
    values: list[list[float]] = [[] for c in columns if c.unit is not None]
    good: list[bool] = []
    for line, cells in rows[1:]:
        _take(cells, columns, f"{name} line {line}", times=times, values=values, good=good, problems=problems)
        if len(problems) >= 20:
            break
    if problems:
        raise InputError(problems[:20])
    for n, (before, after) in enumerate(pairwise(times), start=2):
        if not after > before:
            raise InputError(
                Problem(f"{name} line {rows[n][0]}", "time", text("later than the row before"),
                        shown(rows[n][1][0]), text("sort the rows, and take each once"))
            )  # fmt: skip
    measured = [c for c in columns if c.unit is not None]
    series = tuple(
        Series(c.name, c.unit or "", tuple(row), tuple(good)) for c, row in zip(measured, values, strict=True)
    )
    return MachineLog(tuple(times), series)


def _columns(header: Sequence[str], name: str) -> list[_Column]:
    problems: list[Problem] = []
    found: list[_Column] = []
    for title in header[: MOST_COLUMNS + 1]:
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
    if len(header) > MOST_COLUMNS or found[0].name != "time" or all(c.unit is None for c in found):
        raise InputError(
            Problem(f"{name} line 1", "header",
                    text("the time first, then at least one quantity, {n} columns at most", n=MOST_COLUMNS),
                    shown(",".join(header)), text("write a header: {wanted}", wanted=_WANTED))
        )  # fmt: skip
    return found


def _column(title: str) -> _Column | None:
    """A column by its title, or None where it is none."""
    if title in ("time", "status"):
        return _Column(title, None)
    match = _TITLE.fullmatch(title)
    if match is None:
        return None
    try:
        measure = unit(match["unit"])
    except QuantityError:
        return None
    return _Column(" ".join(match["name"].split()), match["unit"], measure.size, measure.offset)


def _take(
    cells: list[str], columns: list[_Column], where: str, *,
    times: list[float], values: list[list[float]], good: list[bool], problems: list[Problem],
) -> None:  # fmt: skip
    """One row into the lists; what is wrong with it into the problems."""
    if len(cells) != len(columns):
        problems.append(
            Problem(where, "row", text("{n} values, one for each column", n=len(columns)), str(len(cells)),
                    text("add or remove commas"))
        )  # fmt: skip
        return
    usable, place = True, 0
    for cell, column in zip(cells, columns, strict=True):
        if column.name == "time":
            times.append(_moment(cell, where, problems))
        elif column.unit is None:
            usable = cell.lower() in ("", "good")
        else:
            values[place].append(_number(cell, column, where=where, problems=problems))
            place += 1
    good.append(usable)


def _moment(cell: str, where: str, problems: list[Problem]) -> float:
    try:
        return float(parse_instant(cell))
    except ValueError as error:
        problems.append(
            Problem(where, "time", text("an ISO 8601 time with its offset"), shown(cell),
                    text("correct it: {why}", why=str(error)))
        )  # fmt: skip
        return math.nan


def _number(cell: str, column: _Column, *, where: str, problems: list[Problem]) -> float:
    if not cell:
        return math.nan
    if _NUMBER.fullmatch(cell):
        return float(cell) * column.size + column.offset
    problems.append(
        Problem(where, column.name, text("a number with a decimal point"), shown(cell),
                text("correct it; leave a missing reading empty"))
    )  # fmt: skip
    return math.nan
