"""Rows of a log as CSV: plain text, quotation marks that close, not too many."""

from __future__ import annotations

import csv
import io

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text


def rows_of(body: str, name: str, *, most: int, wanted: str) -> list[tuple[int, list[str]]]:
    """The rows of a log with the lines they end on, blank ones left out; otherwise an `InputError`.

    Parameters
    ----------
    body : str
        The text of the file.
    name : str
        Its name, for messages.
    most : int
        Rows below the header.
    wanted : str
        What the header must be, for messages.
    """
    if "\0" in body:
        raise InputError(
            Problem(name, "file", text("plain text"), "a null character", text("export it as CSV"))
        )
    reader = csv.reader(io.StringIO(body, newline=""), strict=True)
    found: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(found) > most + 1:
                raise InputError(
                    Problem(name, "rows", text("at most {n}", n=most), "more", text("log less often"))
                )
    except csv.Error as error:
        raise InputError(
            Problem(f"{name} line {reader.line_num}", "row", text("a CSV row whose quotation marks close"),
                    shown(str(error)), text("correct it"))
        ) from None  # fmt: skip
    if len(found) < 2:
        raise InputError(
            Problem(name, "rows", text("a header and at least one row"), f"{len(found)} rows",
                    text("write a header: {wanted}", wanted=wanted))
        )  # fmt: skip
    return found
