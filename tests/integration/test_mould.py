"""Mould, blanks, cutting and log as commands on the sample works."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairwright.app.opened import Opened
from pairwright.cli.main import status_of


@pytest.fixture
def folder(opened: Opened, tmp_path: Path) -> Path:
    for name, body in opened.texts.items():
        (tmp_path / "works" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "works" / name).write_text(body, "utf-8")
    return tmp_path / "works"


@pytest.mark.parametrize("ending", ["csv", "dxf"])
def test_a_compensated_mould_can_be_read_back(
    folder: Path, tmp_path: Path, ending: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / f"mould.{ending}"

    assert status_of(["mould", str(folder), "alder", "shell", "--out", str(file)]) == 0
    said = capsys.readouterr().out
    assert status_of(["profile", str(file)]) == 0
    read = capsys.readouterr().out

    assert "closer together" in said
    assert read.count("radius") == said.count("radius") > 0


def test_outer_plies_are_longer(folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "blanks.csv"

    assert status_of(["blanks", str(folder), "alder", "shell", "--out", str(file)]) == 0

    lengths = [float(line.split(",")[2]) for line in file.read_text("utf-8").splitlines()[1:]]
    assert lengths == sorted(lengths)
    assert len(lengths) == 11


def test_leaves_that_are_enough_are_cut_and_too_few_are_told(folder: Path, tmp_path: Path) -> None:
    wide, few = tmp_path / "wide.csv", tmp_path / "few.csv"
    wide.write_text("id,length,width,number\nL,2600 mm,1100 mm,20\n", "utf-8")
    few.write_text("id,length,width,number\nL,600 mm,300 mm,1\n", "utf-8")
    call = ["cut", str(folder), "alder", "--veneer", "walnut-leaf", "--items", "2"]
    out = tmp_path / "cuts.csv"

    assert status_of([*call, "--stock", str(wide), "--out", str(out)]) == 0
    assert len(out.read_text("utf-8").splitlines()) == 3
    assert status_of([*call, "--stock", str(few)]) in (1, 2)


@pytest.mark.parametrize(
    "call",
    [
        ["mould", "{works}", "elm"],
        ["mould", "{works}", "alder", "cabinet"],
        ["mould", "{works}", "alder", "shell", "--out", "mould.step"],
        ["blanks", "{works}", "alder", "--option", "zebra"],
        ["cut", "{works}", "alder", "--veneer", "walnut-leaf", "--stock", "nowhere.csv"],
        ["cut", "{works}", "alder", "--veneer", "elm", "--stock", "{works}/works.toml"],
        ["overlay", "{works}", "alder", "{works}/orders.csv"],
        ["profile", "{works}/works.toml"],
    ],
)
def test_a_wrong_call_is_told_in_five_parts(
    folder: Path, call: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    status = status_of([part.replace("{works}", str(folder)) for part in call])

    told = capsys.readouterr().err
    assert status == 2
    assert " must be " in told
    assert ", got " in told
