"""Leaves and sheets as CSV in, blanks and cutting plans as CSV out.

    id,length,width,number,price,defects
    leaf-07,2.6 m,215 mm,1,,0.4 m 0.46 m 20 mm 60 mm; 1.9 m 1.95 m 150 mm 215 mm

A defect is four lengths: from and to along the grain, from and to across; several are divided by semicolons.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterable, Sequence
from typing import Final

from pairwright.archive.door import text_of
from pairwright.base.errors import InputError, Problem
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import text
from pairwright.process.blanks import Blank
from pairwright.process.cutting import CutPlan, Defect, Stock
from pairwright.works.rows import Columns, Row, read_rows

MOST_ROWS: Final = 5000
MOST_DEFECTS: Final = 50
_COLUMNS: Final = Columns(("id", "length", "width"), ("number", "price", "defects"))
_LENGTH: Final = re.compile(r"\s*([0-9.eE+-]+\s*[A-Za-zµ]+)")


def read_stock(content: bytes, name: str) -> tuple[Stock, ...]:
    """The leaves and sheets of a CSV file; otherwise an `InputError` with every problem found.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    """
    problems: list[Problem] = []
    rows = read_rows(name, text_of(content, name), columns=_COLUMNS, problems=problems)
    if len(rows) > MOST_ROWS:
        raise InputError(
            Problem(name, "rows", text("at most {n}", n=MOST_ROWS), str(len(rows)), text("give alike leaves a number"))
        )  # fmt: skip
    found = [_stock(row) for row in rows]
    if not rows and not problems:
        problems.append(Problem(name, "rows", text("at least one leaf or sheet"), "none", text("add it")))
    if problems:
        raise InputError(problems)
    return tuple(one for one in found if one is not None)


def _stock(row: Row) -> Stock | None:
    ident = row.ident("id")
    length, width = _length(row, "length"), _length(row, "width")
    number = row.whole("number", most=20_000) if row.cell("number") else 1
    price = row.number("price", needed=False)
    defects = _defects(row)
    if ident is None or length is None or width is None or number is None or defects is None:
        return None
    return Stock(ident, length, width, number, defects, price)


def _length(row: Row, column: str) -> float | None:
    try:
        value = parse(row.cell(column), "m")
    except QuantityError as error:
        row.refuse(column, text("a length such as 2.6 m"), text("correct it: {why}", why=str(error)))
        return None
    if not 0.0 < value < 100.0:
        row.refuse(column, text("above 0 m and below 100 m"), text("correct the length"))
        return None
    return float(value)


def _defects(row: Row) -> tuple[Defect, ...] | None:
    """The rectangles of a leaf; None where they cannot be read."""
    parts = [part for part in row.cell("defects").split(";") if part.strip()]
    if len(parts) > MOST_DEFECTS or any(len(part) > 80 for part in parts):
        row.refuse("defects", text("at most {n} defects", n=MOST_DEFECTS), text("leave the leaf out"))
        return None
    found: list[Defect] = []
    for part in parts:
        lengths = _LENGTH.findall(part)
        rest = _LENGTH.sub("", part).strip()
        try:
            ends = [parse(length, "m") for length in lengths]
        except QuantityError:
            ends = []
        if rest or len(ends) != 4 or not (ends[0] < ends[1] and ends[2] < ends[3]) or min(ends) < 0.0:
            row.refuse(
                "defects",
                text(
                    "four lengths each, from and to along the grain, from and to across; divided by semicolons"
                ),
                text("write such as 0.4 m 0.46 m 20 mm 60 mm"),
            )
            return None
        found.append(Defect(*ends))
    return tuple(found)


def write_blanks(blanks: Sequence[Blank]) -> bytes:
    """The blanks of a part as CSV, in millimetres and degrees.

    Parameters
    ----------
    blanks : sequence of Blank
        From the inner face out.
    """
    header = "place,veneer,length [mm],width [mm],grain [deg],along the grain [mm],across the grain [mm]"
    return _written(
        header.split(","),
        (
            [one.place, one.veneer, _mm(one.length), _mm(one.width), f"{math.degrees(one.grain):g}", _mm(one.along),
             _mm(one.across)]
            for one in blanks
        ),
    )  # fmt: skip


def write_cuts(plan: CutPlan) -> bytes:
    """A cutting plan as CSV, one row a blank: leaf, strip, place and size in millimetres.

    Parameters
    ----------
    plan : CutPlan
        What is cut.
    """
    header = "leaf,number,strip,strip from [mm],strip width [mm],blank,from [mm],along [mm],across [mm]"
    rows = (
        [leaf.stock, leaf.number, piece.strip + 1, _mm(leaf.strips[piece.strip][0]), _mm(leaf.strips[piece.strip][1]),
         piece.blank, _mm(piece.x), _mm(piece.along), _mm(piece.across)]
        for leaf in plan.leaves
        for piece in leaf.placed
    )  # fmt: skip
    return _written(header.split(","), rows)


def _mm(length: float) -> str:
    return f"{length * 1e3:.1f}"


def _written(header: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return stream.getvalue().encode()
