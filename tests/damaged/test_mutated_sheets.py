"""Good sheets with bytes changed at random are taken or refused, never a fault, and no row is half taken.

200 of each kind here; 2000 and more with HYPOTHESIS_PROFILE=long.
"""

from __future__ import annotations

import io
import os
import random
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pairwright.app.importing import Before, compared, intake
from pairwright.app.recording import open_floor
from pairwright.archive import write_folder
from pairwright.archive.sheets import read_table
from pairwright.base.errors import InputError
from tests.damaged.sheet_cases import ORDERS, SHEET, workbook
from tests.damaged.test_damaged import base_texts

COUNT = 2000 if os.environ.get("HYPOTHESIS_PROFILE") == "long" else 200
ROWS = "".join(f"N{n},tansy,satin,{n + 1},2027-05-07,1,2027-03-01,south shop\n" for n in range(5))


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Before]:
    folder = tmp_path_factory.mktemp("mutated") / "works"
    write_folder(folder, base_texts())
    open_floor(folder).close()
    with open_floor(folder, readonly=True) as floor, compared(floor) as found:
        yield found


def mutated(body: bytes, chance: random.Random) -> bytes:
    """The body with a few bytes changed, left out, doubled, or its end cut off."""
    found = bytearray(body)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at, how = chance.randrange(len(found)), chance.randrange(5)
        if how == 0:
            found[at] ^= 1 << chance.randrange(8)
        elif how == 1:
            found[at] = chance.randrange(256)
        elif how == 2:
            del found[at : at + chance.randrange(1, 8)]
        elif how == 3:
            found[at:at] = found[at : at + chance.randrange(1, 40)]
        else:
            del found[at + len(found) // 2 :]
        if not found:
            return b""
    return bytes(found)


def mutated_inside(body: bytes, chance: random.Random) -> bytes:
    """A whole workbook whose sheet was changed before it was packed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(body)) as old, zipfile.ZipFile(out, "w") as new:
        for member in old.namelist():
            content = old.read(member)
            new.writestr(member, mutated(content, chance) if member == SHEET else content)
    return out.getvalue()


CSV, XLSX = (ORDERS + ROWS).encode(), workbook()


@pytest.mark.parametrize(
    ("body", "name", "change"),
    [(CSV, "orders.csv", mutated), (XLSX, "orders.xlsx", mutated), (XLSX, "orders.xlsx", mutated_inside)],
    ids=["csv", "xlsx", "sheet-of-xlsx"],
)
def test_a_changed_sheet_is_taken_or_told(
    body: bytes, name: str, change: Callable[[bytes, random.Random], bytes], before: Before, tmp_path: Path
) -> None:
    chance, state = random.Random(7), before.view.state
    head, taken, told = state.next, 0, 0

    for _ in range(COUNT):
        path = tmp_path / name
        path.write_bytes(change(body, chance))
        try:
            found = intake(before, read_table(path), kind="orders", actor="P1")
        except InputError as error:
            told += all(p.where and p.field and p.got for p in error.problems)
        else:
            taken += 1
            assert found.changes

    assert state.next == head
    assert state.order("N1") is None
    assert taken + told == COUNT
    assert taken > 0
    assert told > COUNT // 4
