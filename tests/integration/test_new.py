"""A works of one's own: from a few answers and today's order sheet to a plan."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from pairwright.cli.main import status_of


def made(folder: Path, *more: str) -> int:
    return status_of(
        ["new", str(folder), "--name", "Linden Works", "--product", "wren", "--option", "oak", *more]
    )


def test_a_new_works_checks_and_plans(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "mine"
    sheet = tmp_path / "auftraege.csv"
    sheet.write_text("Auftrag;Menge;Termin\nA7;2;2027-03-19\nA8;1;2027-03-26\n", "utf-8")

    assert made(folder, "--orders", str(sheet), "--column", "order=Auftrag", "--column", "quantity=Menge",
                "--column", "due=Termin") == 0  # fmt: skip
    assert status_of(["check", str(folder)]) == 0
    capsys.readouterr()
    assert status_of(["plan", str(folder), "--json", "--quiet"]) == 0

    plan = json.loads(capsys.readouterr().out)
    assert plan["verified"] is True
    assert [o["order"] for o in plan["orders"]] == ["A7", "A8"]


def test_a_single_needs_no_mate(tmp_path: Path) -> None:
    assert made(tmp_path / "mine", "--single") == 0
    assert status_of(["check", str(tmp_path / "mine")]) == 0


def test_a_workbook_is_read_by_what_it_holds_not_by_what_it_says_of_itself(tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["order", "quantity", "due"])
    for n in range(30):
        sheet.append([f"X{n}", 1, date(2027, 4, 1)])
    book.save(tmp_path / "orders.xlsx")

    assert made(tmp_path / "mine", "--orders", str(tmp_path / "orders.xlsx")) == 0

    lines = (tmp_path / "mine" / "orders.csv").read_text("utf-8").splitlines()
    assert len(lines) == 31
    assert lines[1] == "X0,wren,oak,1,2027-04-01"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.csv", b""),
        ("latin.csv", "order;quantity;due\nÄ1;1;2027-04-01\n".encode("latin-1")),
        ("open.csv", b'order,quantity,due\n"A1,1,2027-04-01\n'),
        ("nul.csv", b"order,quantity,due\nA\x001,1,2027-04-01\n"),
        ("other.csv", b"name,colour\na,b\n"),
        ("bad.csv", b"order,quantity,due\nA1,one,2027-04-01\n"),
        ("date.csv", b"order,quantity,due\nA1,1,01.04.2027\n"),
        ("broken.xlsx", b"PK\x03\x04 not a workbook"),
    ],
)
def test_a_bad_sheet_is_told_in_five_parts_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, content: bytes
) -> None:
    (tmp_path / name).write_bytes(content)

    status = made(tmp_path / "mine", "--orders", str(tmp_path / name))

    told = capsys.readouterr().err
    assert status == 2
    assert " must be " in told
    assert ", got " in told
    assert not (tmp_path / "mine").exists()


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("mine", "utf-8")

    assert made(tmp_path / "mine") == 2
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["letter.txt"]


@pytest.mark.parametrize("wrong", [("--zone", "Mars/Base"), ("--hours", "14-6"), ("--column", "colour=x")])
def test_a_wrong_answer_is_told_before_anything_is_written(tmp_path: Path, wrong: tuple[str, str]) -> None:
    sheet = tmp_path / "orders.csv"
    sheet.write_text("order,quantity,due\nA1,1,2027-04-01\n", "utf-8")

    assert made(tmp_path / "mine", "--orders", str(sheet), *wrong) == 2
    assert not (tmp_path / "mine").exists()
