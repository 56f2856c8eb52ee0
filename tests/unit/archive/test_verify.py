"""Verification names what is wrong, and never raises."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from pairwright.archive.record import open_record
from pairwright.archive.verify import recent, verify_file
from pairwright.floor import BEGINNING
from tests.unit.floor.events import event


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with open_record(tmp_path) as record:
        record.append([event("registered", f"item C-{n}", key=f"key-{n}") for n in range(20)])
        return record.path


def by_hand(path: Path, statement: str) -> None:
    connection = sqlite3.connect(path)
    for guard in ("event_update", "event_delete"):
        connection.execute(f"DROP TRIGGER {guard}")
    connection.execute(statement)
    connection.commit()
    connection.close()


def test_a_whole_record_is_told_so(path: Path) -> None:
    verdict = verify_file(path)

    assert verdict.ok
    assert json.loads(json.dumps(verdict.as_json())) == {
        "ok": True, "events": 20, "head": verdict.head, "problems": []
    }  # fmt: skip
    assert verify_file(path, expected=verdict.head).ok


@pytest.mark.parametrize(
    ("statement", "code"),
    [
        ("UPDATE event SET body = replace(body, 'C-7', 'C-8') WHERE sequence = 8", "record_changed"),
        ("UPDATE event SET record_time = record_time + 1 WHERE sequence = 8", "record_changed"),
        ("UPDATE event SET hash = replace(hash, 'a', 'b') WHERE sequence = 8", "record_changed"),
        ("UPDATE event SET key = 'other' WHERE sequence = 8", "record_changed"),
        ("DELETE FROM event WHERE sequence = 8", "record_gap"),
        ("DELETE FROM touch WHERE sequence = 8", "record_index_differs"),
        ("UPDATE about SET value = 'x'", "record_unreadable"),
    ],
)
def test_a_change_by_hand_is_found(path: Path, statement: str, code: str) -> None:
    by_hand(path, statement)

    verdict = verify_file(path)

    assert not verdict.ok
    assert code in {problem.code for problem in verdict.problems}


def test_a_lost_end_is_found_only_by_a_head_known_from_elsewhere(path: Path) -> None:
    head = verify_file(path).head
    by_hand(path, "DELETE FROM event WHERE sequence > 15")

    assert verify_file(path, derived=False).ok
    assert [p.code for p in verify_file(path, expected=head, derived=False).problems] == [
        "record_end_differs"
    ]


def test_rubbish_and_emptiness_are_told_not_raised(tmp_path: Path) -> None:
    (tmp_path / "rubbish.db").write_bytes(b"x" * 5000)
    (tmp_path / "empty.db").touch()

    for name in ("rubbish.db", "empty.db", "missing.db"):
        verdict = verify_file(tmp_path / name)
        assert next(p.code for p in verdict.problems) == "record_unreadable"
        assert verdict.head == BEGINNING


def test_every_opening_looks_at_the_end_of_the_chain(path: Path) -> None:
    by_hand(path, "UPDATE event SET body = replace(body, 'C-18', 'C-81') WHERE sequence = 19")

    with open_record(path, readonly=True) as record, record.connection() as connection:
        assert [f.code for f in recent(connection)] == ["record_changed"]
        assert recent(connection, count=1) == ()
