"""Leaves with their defects come in, blanks and cuts go out."""

from __future__ import annotations

import csv
import io

import pytest

from pairwright.archive.cutting_lists import read_stock, write_blanks, write_cuts
from pairwright.base.errors import InputError
from pairwright.process.blanks import blanks_of
from pairwright.process.cutting import Defect, Stock, Wanted, cut
from tests.unit.process.small import changed

GOOD = (
    "id,length,width,number,price,defects\n"
    "leaf-07,2.6 m,215 mm,1,,0.4 m 0.46 m 20 mm 60 mm; 1.9 m 1.95 m 150 mm 215 mm\n"
    "sheet,2500 mm,1250 mm,12,31.5,\n"
)


def test_leaves_are_read_with_their_defects() -> None:
    leaf, sheet = read_stock(GOOD.encode(), "stock.csv")

    assert leaf == Stock(
        "leaf-07", 2.6, 0.215, 1, (Defect(0.4, 0.46, 0.02, 0.06), Defect(1.9, 1.95, 0.15, 0.215))
    )
    assert (sheet.number, sheet.price, sheet.defects) == (12, 31.5, ())


def test_a_file_with_the_needed_columns_is_enough() -> None:
    assert read_stock(b"id,length,width\na,1 m,1 m\n", "s.csv")[0].number == 1


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("a,1 kg,1 m,1,,", "a length such as"),
        ("a,0 m,1 m,1,,", "above 0 m"),
        ("a b,1 m,1 m,1,,", "an id of"),
        ("a,1 m,1 m,0,,", "a whole number"),
        ("a,1 m,1 m,1,free,", "a number above 0"),
        ("a,1 m,1 m,1,,0.1 m 0.2 m 0.3 m", "four lengths"),
        ("a,1 m,1 m,1,,0.2 m 0.1 m 0.3 m 0.4 m", "four lengths"),
        ("a,1 m,1 m,1,,knot at 0.1 m 0.2 m 0.3 m 0.4 m", "four lengths"),
        ("a,1 m,1 m,1,," + "0.1 m 0.2 m 0.3 m 0.4 m;" * 60, "at most 50"),
    ],
)
def test_a_wrong_leaf_says_what_is_wrong(row: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_stock(f"id,length,width,number,price,defects\n{row}\n".encode(), "s.csv")


@pytest.mark.parametrize("content", [b"", b"\xff\xff", b"id\n", b"id,length,width\n", b"\x00" * 30])
def test_what_is_no_list_is_refused(content: bytes) -> None:
    with pytest.raises(InputError):
        read_stock(content, "s.csv")


def test_blanks_and_cuts_are_lists_for_the_bench() -> None:
    blanks = blanks_of(changed(), "linden", option="walnut", part="shell")
    rows = list(csv.DictReader(io.StringIO(write_blanks(blanks).decode())))
    plan = cut([Wanted("inner", 0.95, 0.4, number=3)], [Stock("leaf", 2.1, 0.45, number=4)])
    cuts = list(csv.DictReader(io.StringIO(write_cuts(plan).decode())))

    assert len(rows) == 9
    assert rows[0]["along the grain [mm]"] == "950.0"
    assert len(cuts) == 3
    assert {row["leaf"] for row in cuts} == {"leaf"}
    assert cuts[1]["from [mm]"] in ("0.0", "950.0")
