"""A trial goes from its file to orders, a plan, a run sheet and effects."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.opened import open_works
from pairwright.app.planning import plan_works
from pairwright.app.recording import open_floor
from pairwright.archive import write_folder
from pairwright.cli.main import status_of
from pairwright.sample import layout

PANEL = """
id = "panel"
name = "Test panel"
kind = "trial"
binding = "none"
root = "panel"

[options.birch]
name = "Birch"

[panel]
name = "Panel"

[[panel.steps]]
id = "finish"
kind = "finish"
stations = ["hand-finish"]
duration = "30 min"
consumes = [{ material = "clear-satin", amount = 0.1 }]
"""
TRIAL = """
id = "satin"
name = "Thinner and wet film"
product = "panel"
option = "birch"
due = 2027-03-19
repeats = 2

[factors.thinner]
levels = ["5 %", "10 %"]

[factors.film]
levels = [90, 120]

[responses.gloss]
unit = "GU"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    texts = layout(pairs=2)
    write_folder(tmp_path / "w", {**texts, "products/panel.toml": PANEL})
    (tmp_path / "satin.toml").write_text(TRIAL)
    return tmp_path


def called(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, Any]:
    status = status_of(["trial", *args, "--json"])
    out = capsys.readouterr()
    return status, json.loads(out.out) if out.out else out.err


def test_a_trial_is_laid_out_planned_and_read_back(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    works, file, sheet = str(folder / "w"), str(folder / "satin.toml"), folder / "runs.csv"

    status, laid = called(capsys, works, file, "--out", str(sheet), "--orders")

    assert status == 0
    assert len(laid["runs"]) == 8
    opened = open_works(works)
    assert sum(order.kind == "trial" for order in opened.book.orders) == 8
    result = plan_works(opened, actor="test", now=opened.now(), effort=2)
    assert result.violations == ()
    made = [op for op in result.schedule.operations if op.product == "panel"]
    assert len(made) == 8
    assert {op.station for op in made} == {"hand-finish"}
    assert result.schedule.supply is not None
    assert sum(d.need for d in result.schedule.supply.days if d.material == "clear-satin") >= 0.8

    rows = list(csv.DictReader(io.StringIO(sheet.read_text())))
    for row in rows:
        row["gloss"] = str(20 + 6 * (row["thinner"] == "10 %") - 2 * (row["film"] == "120"))
    with sheet.open("w", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    status, read = called(capsys, works, file, "--read", str(sheet))
    assert status == 0
    (gloss,) = read["responses"]
    assert {e["factor"]: round(e["effect"], 9) for e in gloss["effects"]} == {"thinner": 6.0, "film": -2.0}
    assert gloss["freedom"] == 5


def test_adding_the_same_trial_twice_is_refused_and_changes_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    works, file = str(folder / "w"), str(folder / "satin.toml")
    called(capsys, works, file, "--orders")
    before = (folder / "w" / "orders.csv").read_bytes()

    status, _ = called(capsys, works, file, "--orders")

    assert status == 2
    assert (folder / "w" / "orders.csv").read_bytes() == before


@pytest.mark.parametrize(
    ("old", "new", "field"),
    [
        ('product = "panel"', 'product = "alder"', "product"),
        ('option = "birch"', 'option = "oak"', "option"),
        ("repeats = 2", 'design = "half"', "design"),
        ("repeats = 2", 'design = "spread"\nruns = 6', "design"),
        ('levels = ["5 %", "10 %"]', 'levels = ["5 %"]', "factors.thinner.levels"),
        ("repeats = 2", "repeats = 200", "factors"),
        ("due = 2027-03-19", "due = 2027", "due"),
        ("repeats = 2", "repeat = 2", "repeat"),
    ],
)
def test_a_trial_that_makes_no_sense_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, field: str
) -> None:
    (folder / "satin.toml").write_text(TRIAL.replace(old, new))

    status = status_of(["trial", str(folder / "w"), str(folder / "satin.toml"), "--json"])

    assert status == 2
    told = capsys.readouterr()
    assert f'"{field}"' in told.out + told.err


def test_runs_that_are_spread_lie_between_the_two_levels(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    body = TRIAL.replace('["5 %", "10 %"]', "[5, 10]").replace("repeats = 2", 'design = "spread"\nruns = 6')
    (folder / "satin.toml").write_text(body)

    _, laid = called(capsys, str(folder / "w"), str(folder / "satin.toml"))

    thinner = sorted(float(run["settings"]["thinner"]) for run in laid["runs"])
    assert len(thinner) == 6
    assert 5 <= thinner[0] <= 5 + 5 / 6
    assert 10 - 5 / 6 <= thinner[-1] <= 10


@pytest.mark.parametrize("cell", ["shiny", "1e999"])
def test_a_result_that_is_no_number_is_told_by_run(
    folder: Path, capsys: pytest.CaptureFixture[str], cell: str
) -> None:
    works, file, sheet = str(folder / "w"), str(folder / "satin.toml"), folder / "runs.csv"
    called(capsys, works, file, "--out", str(sheet))
    sheet.write_text(
        "\n".join(line + cell if n == 1 else line for n, line in enumerate(sheet.read_text().split("\n")))
    )

    status = status_of(["trial", works, file, "--read", str(sheet), "--json"])

    assert status == 2
    told = capsys.readouterr()
    assert "satin-01: gloss" in told.out + told.err


def test_the_orders_of_a_works_with_a_record_are_events(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    works, file = str(folder / "w"), str(folder / "satin.toml")
    open_floor(works).close()
    before = (folder / "w" / "orders.csv").read_bytes()

    first, _ = called(capsys, works, file, "--orders")
    opened = open_works(works)
    again, _ = called(capsys, works, file, "--orders")

    assert (first, again) == (0, 2)
    assert sum(order.kind == "trial" for order in opened.book.orders) == 8
    assert open_works(works).book == opened.book
    assert (folder / "w" / "orders.csv").read_bytes() == before
