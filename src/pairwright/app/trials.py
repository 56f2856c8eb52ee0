"""The acts around a trial: lay it out as orders and a run sheet, read its results back."""

from __future__ import annotations

import csv
import io
import random
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.writing import write_bytes
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.seeds import child_seed
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.quality.experiment import Effects
    from pairwright.works.trial import Trial

MOST_RUNS: Final = 256
ORDER_COLUMNS: Final = ("order", "product", "option", "quantity", "due", "weight", "released", "kind")


@dataclass(frozen=True, slots=True)
class TrialRun:
    """One run: its order, the number of each level (or its share of the range), what to set."""

    order: str
    levels: tuple[float, ...]
    settings: tuple[str, ...]


def open_trial(opened: Opened, path: Path) -> Trial:
    """A trial from its file; raises `InputError` with everything that is wrong."""
    from pairwright.works.trial import load_trial

    return load_trial(str(path), _text_of(path), works=opened.works)


def lay_out(trial: Trial) -> tuple[TrialRun, ...]:
    """The runs in the order in which they are made, drawn from the trial's seed."""
    from pairwright.quality import experiment

    counts = [len(factor.levels) for factor in trial.factors.values()]
    rows: list[tuple[float, ...]]
    if trial.design == "spread":
        rows = list(experiment.spread_runs(len(counts), trial.runs or 1, seed=trial.seed))
    elif trial.design == "half":
        rows = [tuple(map(float, run)) for run in experiment.half_fraction(len(counts))]
    else:
        rows = [tuple(map(float, run)) for run in experiment.full_factorial(counts)]
    rows = rows * trial.repeats
    if len(rows) > MOST_RUNS:
        raise InputError(
            Problem(trial.id, "factors", text("at most {n} runs", n=MOST_RUNS), str(len(rows)),
                    text("take fewer levels or repeats, or half of the runs"))
        )  # fmt: skip
    random.Random(child_seed(trial.seed, "trial", trial.id)).shuffle(rows)
    return tuple(
        TrialRun(f"{trial.id.replace('.', '-')}-{n:02d}", row, _settings(trial, row))
        for n, row in enumerate(rows, 1)
    )


def _settings(trial: Trial, row: tuple[float, ...]) -> tuple[str, ...]:
    found: list[str] = []
    for value, factor in zip(row, trial.factors.values(), strict=True):
        if trial.design == "spread":
            low, high = (float(level) for level in factor.levels)
            found.append(f"{low + value * (high - low):.6g}")
        else:
            found.append(str(factor.levels[int(value)]))
    return tuple(found)


def order_rows(trial: Trial, runs: tuple[TrialRun, ...]) -> list[dict[str, str]]:
    """The runs as rows of orders.csv."""
    return [
        {"order": run.order, "product": trial.product, "option": trial.option, "quantity": "1",
         "due": str(trial.due), "weight": f"{trial.weight:g}",
         "released": "" if trial.released is None else str(trial.released), "kind": "trial"}
        for run in runs
    ]  # fmt: skip


def run_sheet(trial: Trial, runs: tuple[TrialRun, ...]) -> str:
    """A CSV to fill in beside the machine: what to set, and a column for each response."""
    names = [*trial.factors, *trial.responses]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["order", *names])
    for run in runs:
        writer.writerow([run.order, *run.settings, *("" for _ in trial.responses)])
    return out.getvalue()


def add_orders(opened: Opened, rows: list[dict[str, str]], folder: Path) -> None:
    """Append trial orders to orders.csv, whose columns are kept and completed; all or nothing.

    The new book is read before it is written, so a file that would be refused is never made. Orders of a
    works with a record are events of it.
    """
    from pairwright.works import load_book

    if opened.recorded is not None:
        _into_record(opened, rows, folder)
        return
    body = opened.texts.get("orders.csv", ",".join(ORDER_COLUMNS) + "\n")
    reader = csv.DictReader(io.StringIO(body, newline=""))
    there = list(reader)
    names = list(reader.fieldnames or ORDER_COLUMNS)
    names += [name for name in ORDER_COLUMNS if name not in names]
    out = io.StringIO()
    writer = csv.DictWriter(out, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows([*there, *rows])
    load_book({**opened.texts, "orders.csv": out.getvalue()}, opened.works)
    write_bytes(folder / "orders.csv", out.getvalue().encode())


def _into_record(opened: Opened, rows: list[dict[str, str]], folder: Path) -> None:
    """Trial orders as events; one that the record knows is not changed by a second laying out."""
    from pairwright.app.importing import compared, intake, take_in
    from pairwright.app.recording import open_floor
    from pairwright.archive.sheets import SheetTable

    cells = tuple(tuple(row[name] for name in ORDER_COLUMNS) for row in rows)
    table = SheetTable("trial", ORDER_COLUMNS, cells, tuple(range(1, len(rows) + 2)), "row")
    with open_floor(folder) as floor, compared(floor) as before:
        found = intake(before, table, kind="orders", actor="cli")
        known = [change.id for change in found.changes if change.what != "new"]
        if known:
            raise InputError(
                Problem(opened.path, "order", text("not in the record yet"), ", ".join(known),
                        text("give the trial another id, or lay out its run sheet alone"))
            )  # fmt: skip
        take_in(floor, found)


def read_results(trial: Trial, runs: tuple[TrialRun, ...], path: Path) -> dict[str, Effects]:
    """Main effects on every response from a filled-in run sheet; empty cells are runs not made yet."""
    from pairwright.quality import experiment

    if trial.design == "spread":
        raise InputError(
            Problem(trial.id, "design", text("full or half, to be read back as effects of levels"), "spread",
                    text("fit a model of your own to the sheet's numbers"))
        )  # fmt: skip
    reader = csv.DictReader(io.StringIO(_text_of(path), newline=""))
    rows = {row.get("order", ""): row for row in reader}
    levels = {run.order: tuple(int(v) for v in run.levels) for run in runs}
    problems: list[Problem] = []
    found: dict[str, Effects] = {}
    for name in trial.responses:
        some: list[tuple[tuple[int, ...], float]] = []
        for order, row in rows.items():
            cell = (row.get(name) or "").strip()
            if cell and order in levels:
                value = _number(cell)
                if value is None:
                    problems.append(_no_number(path, order, name, cell))
                else:
                    some.append((levels[order], value))
        problems.extend(_strange(path, rows, levels, name))
        try:
            counts = {factor: len(f.levels) for factor, f in trial.factors.items()}
            found[name] = experiment.main_effects([r for r, _ in some], [v for _, v in some], factors=counts)
        except ValueError:
            problems.append(
                Problem(str(path), name, text("enough runs to tell the factors from each other"),
                        str(len(some)), text("fill in more runs of the sheet"))
            )  # fmt: skip
    if problems:
        raise InputError(problems)
    return found


def _strange(path: Path, rows: dict[str, dict[str, str]], levels: dict[str, Any], name: str) -> list[Problem]:
    """Rows that are no run of this trial, and a response without a column."""
    first = next(iter(rows.values()), {})
    if name not in first:
        return [Problem(str(path), name, text("a column of the run sheet"), "nothing",
                        text("fill in the sheet that --out wrote"))]  # fmt: skip
    return [
        Problem(str(path), "order", text("a run of the trial"), shown(order), text("take the row out"))
        for order in rows
        if order not in levels
    ]


def _no_number(path: Path, order: str, name: str, cell: str) -> Problem:
    return Problem(str(path), f"{order}: {name}", text("a number with a decimal point"), shown(cell),
                   text("correct it, or leave the cell empty"))  # fmt: skip


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if abs(value) < 1e300 else None


def _text_of(path: Path) -> str:
    try:
        body = path.read_bytes()
        if len(body) > 8 << 20:
            raise OSError(0, "larger than 8 MiB")
        return body.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "not UTF-8"
        raise InputError(
            Problem(str(path), "file", text("a text file in UTF-8"), str(why), text("name a readable file"))
        ) from None
