"""The act of starting a works of one's own, with the orders that are kept in a sheet today."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from pairwright.archive import write_folder
from pairwright.archive.sheets import SheetTable, read_table
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.sample.start import Answers, starter
from pairwright.works import load_book, load_works

COLUMNS: Final = ("order", "product", "option", "quantity", "due", "weight", "customer")
NEEDED: Final = ("order", "quantity", "due")


def start_works(
    folder: Path,
    answers: Answers,
    *,
    actor: str,
    orders: Path | None = None,
    columns: Mapping[str, str] | None = None,
) -> dict[str, str]:
    """Write a new works; everything is checked before anything is written.

    `columns` maps our column to the sheet's; a column of ours that the sheet has by name needs no mapping.
    Product and option default to the works' own where the sheet has none.
    """
    del actor
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(
            Problem(
                str(folder),
                "folder",
                text("a new or empty folder"),
                "something there",
                text("name another folder; nothing is overwritten"),
            )
        )
    texts = starter(answers)
    if orders is not None:
        texts["orders.csv"] = orders_text(read_table(orders), columns or {}, answers)
    load_book(texts, load_works(texts))
    write_folder(folder, texts)
    return texts


def orders_text(table: SheetTable, columns: Mapping[str, str], answers: Answers) -> str:
    """Our orders.csv from a sheet's rows; raises `InputError` for columns that are not there."""
    problems: list[Problem] = []
    place: dict[str, int] = {}
    for ours in columns:
        if ours not in COLUMNS:
            problems.append(
                Problem(
                    "pairwright new",
                    "--column",
                    text("one of {names}", names=", ".join(COLUMNS)),
                    shown(ours),
                    text("write OURS=THEIRS, such as order=Auftrag"),
                )
            )
    for ours in COLUMNS:
        theirs = columns.get(ours, ours)
        if theirs in table.header:
            place[ours] = table.header.index(theirs)
        elif ours in columns or ours in NEEDED:
            problems.append(
                Problem(
                    table.name,
                    f"column {theirs}",
                    text("one of {names}", names=", ".join(h for h in table.header if h)[:200]),
                    "no such column",
                    text("map it: --column {ours}=THEIRS", ours=ours),
                )
            )
    if problems:
        raise InputError(problems)
    defaults = {"product": answers.product, "option": answers.options[0]}
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    used = [c for c in COLUMNS if c in place or c in defaults]
    writer.writerow(used)
    for row in table.rows:
        writer.writerow([row[place[c]] if c in place else defaults[c] for c in used])
    return out.getvalue()
