"""One bit flipped anywhere in the record: either it is noticed, or no event has changed.

Anchor: of 600 flips in a ledger of 1 MB and 3,000 rows the chain saw 387, the engine's own check 198, 78
failed at reading, and 26 hit unused bytes (measured for the design; other figures follow the layout).
"""

from __future__ import annotations

import random
import sqlite3
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from pairwright.archive.backup import copy_file
from pairwright.archive.record import open_record
from pairwright.archive.verify import verify_file
from tests.unit.floor.events import event

ROWS = 3000


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ledger")
    with open_record(folder) as record:
        for start in range(0, ROWS, 500):
            record.append(
                [
                    event(
                        "measured",
                        f"item C-{n // 30}",
                        key=f"key-{n:05d}",
                        characteristic=f"c{n % 30}",
                        value=n * 0.37,
                    )
                    for n in range(start, start + 500)
                ]
            )
        copy_file(record.path, folder / "copy.db")
    return folder / "copy.db"


def content(path: Path) -> list[tuple[object, ...]] | None:
    """Every column of the ledger by a plain connection, or None where it can't be read."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
            connection.text_factory = bytes
            return connection.execute(
                "SELECT sequence, key, record_time, body, hash FROM event ORDER BY sequence"
            ).fetchall()
    except sqlite3.Error:
        return None


def flip(path: Path, whole: bytes, bit: int) -> None:
    body = bytearray(whole)
    body[bit // 8] ^= 1 << (bit % 8)
    path.write_bytes(body)


def test_no_change_of_an_event_goes_unnoticed(ledger: Path, tmp_path: Path) -> None:
    whole, before = ledger.read_bytes(), content(ledger)
    chance, spoilt = random.Random(20270301), tmp_path / "spoilt.db"
    seen: Counter[str] = Counter()
    assert before is not None
    assert len(before) == ROWS
    assert verify_file(ledger, derived=False).ok

    for _ in range(600):
        flip(spoilt, whole, chance.randrange(len(whole) * 8))
        verdict = verify_file(spoilt, derived=False)
        changed = content(spoilt) != before
        seen["noticed" if not verdict.ok else "harmless" if not changed else "UNNOTICED"] += 1
        codes = {problem.code for problem in verdict.problems}
        seen.update(f"by {code}" for code in codes)
        seen["by the chain alone"] += bool(codes) and codes <= {"record_changed", "record_gap"}
        seen["by the engine alone"] += codes == {"record_damaged"}

    print(f"600 flips in {len(whole)} bytes: {dict(seen)}")
    assert seen["UNNOTICED"] == 0
    assert seen["noticed"] > 300
    assert seen["by the chain alone"] > 0, "neither check is enough alone"
    assert seen["by the engine alone"] > 0, "neither check is enough alone"
