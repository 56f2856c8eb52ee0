"""The self-check measures, and says what it means."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from pairwright.archive import selfcheck
from pairwright.archive.engine import has_reset_fault
from pairwright.archive.record import open_record
from pairwright.archive.selfcheck import self_check
from tests.unit.floor.events import event


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(selfcheck, "SYNCS", 5)
    monkeypatch.setattr(selfcheck, "ROWS", 10)


def test_it_measures_beside_a_running_writer_and_leaves_nothing(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        record.append([event("registered", "item A")])
        found = self_check(tmp_path)

    assert (found.events, found.engine) == (1, sqlite3.sqlite_version)
    assert 0.0 < found.sync_p50 <= found.sync_p99
    assert found.durable_rows_per_second > 0.0
    assert found.quick_check_seconds is not None
    assert {p.name for p in tmp_path.iterdir()} == {"record.db", "record.db.lock"}
    assert json.loads(json.dumps(found.as_json()))["events"] == 1


def test_the_known_fault_of_the_engine_is_said(tmp_path: Path) -> None:
    version = sqlite3.sqlite_version_info

    codes = [one.code for one in self_check(tmp_path).findings]

    assert ("one_writer_only" in codes) is has_reset_fault((version[0], version[1], version[2]))


def test_a_slow_full_or_foreign_disk_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(selfcheck, "_syncs", lambda folder: [0.05] * 5)
    monkeypatch.setattr(selfcheck, "LEAST_FREE", 1 << 60)
    monkeypatch.setattr(selfcheck, "file_system", lambda path: "cifs")

    codes = {one.code for one in self_check(tmp_path).findings}

    assert {"slow_disk", "disk_nearly_full", "record_on_network"} <= codes


def test_a_damaged_record_is_said(tmp_path: Path) -> None:
    (tmp_path / "record.db").write_bytes(b"rubbish" * 1000)

    found = self_check(tmp_path)

    assert "record_unreadable" in {one.code for one in found.findings}
    assert not found.as_json()["ok"]
