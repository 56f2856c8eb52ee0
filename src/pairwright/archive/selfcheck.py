"""What this machine can promise: the engine, the disk, the record, measured on the spot."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pairwright.archive.engine import NETWORK, connect_writer, file_system, has_reset_fault
from pairwright.archive.record import NAME, Record, open_record, record_path
from pairwright.archive.verify import recent
from pairwright.base.errors import PairwrightError
from pairwright.base.findings import Finding
from pairwright.base.words import ENGLISH, Amount, Words, text

SYNCS: Final = 60
ROWS: Final = 200
SLOW_SYNC: Final = 0.02  # [s] a disk slower than this makes stations wait
LEAST_FREE: Final = 1 << 30  # bytes
LEAST_SHARE: Final = 0.05


@dataclass(frozen=True, slots=True)
class Checked:
    """What a self-check measured; times in seconds."""

    engine: str
    one_writer_only: bool
    file_system: str
    sync_p50: float
    sync_p99: float
    durable_rows_per_second: float
    free_bytes: int
    events: int | None
    quick_check_seconds: float | None
    findings: tuple[Finding, ...]

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "ok": all(one.severity != "error" for one in self.findings),
            "engine": self.engine,
            "one_writer_only": self.one_writer_only,
            "file_system": self.file_system,
            "sync_p50": self.sync_p50,
            "sync_p99": self.sync_p99,
            "durable_rows_per_second": self.durable_rows_per_second,
            "free_bytes": self.free_bytes,
            "events": self.events,
            "quick_check_seconds": self.quick_check_seconds,
            "findings": [one.as_json(words) for one in self.findings],
        }


def self_check(path: Path | str) -> Checked:
    """Measure the disk under a works and look over its record; a running server is not disturbed.

    Parameters
    ----------
    path : Path | str
        The works folder, or the record.
    """
    where = record_path(path)
    findings: list[Finding] = []
    version = sqlite3.sqlite_version_info
    fault = has_reset_fault((version[0], version[1], version[2]))
    if fault:
        findings.append(
            Finding(
                "one_writer_only", "note", f"SQLite {sqlite3.sqlite_version}",
                text("this SQLite can lose pages when several connections write one record; here only one ever does"),
            )
        )  # fmt: skip
    kind = file_system(where.parent)
    if kind in NETWORK:
        findings.append(
            Finding(
                "record_on_network", "error", str(where),
                text("the works lies on a network share ({kind}): move it to a disk of this machine", kind=kind),
            )
        )  # fmt: skip
    with tempfile.TemporaryDirectory(dir=where.parent, prefix=".self-check.") as folder:
        times = sorted(_syncs(Path(folder)))
        rate = _rows(Path(folder))
    p50, p99 = times[len(times) // 2], times[min(len(times) - 1, int(len(times) * 0.99))]
    if p50 > SLOW_SYNC:
        findings.append(
            Finding(
                "slow_disk", "warning", str(where),
                text("the disk takes {time} to make an event safe: stations will wait; use a faster disk",
                     time=Amount(p50, "duration")),
            )
        )  # fmt: skip
    usage = shutil.disk_usage(where.parent)
    if usage.free < max(LEAST_FREE, LEAST_SHARE * usage.total):
        findings.append(
            Finding(
                "disk_nearly_full", "warning", str(where),
                text("{free} MiB are free: make room before the disk is full", free=usage.free >> 20),
            )
        )  # fmt: skip
    events, seconds = _look(where, findings)
    return Checked(
        sqlite3.sqlite_version, fault, kind, p50, p99, rate, usage.free, events, seconds, tuple(findings)
    )


def _syncs(folder: Path) -> list[float]:
    """Times to make 4 KiB safe. [s]"""
    found = []
    handle = os.open(folder / "sync", os.O_WRONLY | os.O_CREAT, 0o600)
    try:
        for n in range(SYNCS):
            os.pwrite(handle, os.urandom(4096), 4096 * n)
            begin = time.perf_counter()
            os.fdatasync(handle)
            found.append(time.perf_counter() - begin)
    finally:
        os.close(handle)
    return found


def _rows(folder: Path) -> float:
    """Durable transactions a second, one row each, as the writer would make them alone. [1/s]"""
    with closing(connect_writer(folder / NAME)) as connection:
        connection.execute("CREATE TABLE row (n INTEGER PRIMARY KEY, body TEXT)")
        begin = time.perf_counter()
        for n in range(ROWS):
            connection.execute("INSERT INTO row VALUES (?, ?)", (n, "x" * 250))
        return ROWS / (time.perf_counter() - begin)


def _look(where: Path, findings: list[Finding]) -> tuple[int | None, float | None]:
    """How many events the record holds, and how long the check of every opening takes. [s]"""
    if not where.exists():
        return None, None
    try:
        record: Record = open_record(where, readonly=True)
    except PairwrightError as error:
        findings.append(
            Finding(
                "record_unreadable",
                "error",
                str(where),
                text("the record can't be opened: {why}", why=str(error)),
            )
        )
        return None, None
    with record, record.connection() as connection:
        begin = time.perf_counter()
        findings += recent(connection)
        seconds = time.perf_counter() - begin
        return record.head().sequence, seconds
