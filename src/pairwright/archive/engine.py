"""Connections to an SQLite record: one that writes, many that only read.

SQLite from 3.7.0 to 3.51.2 can lose committed pages when several connections write or checkpoint one
WAL (mended in 3.51.3, 3.50.7 and 3.44.6). Whatever the version, here exactly one connection of one
process may write or checkpoint: a lock keeps other processes away, readers are opened read-only.
"""

from __future__ import annotations

import fcntl
import os
import sqlite3
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.pool import NullPool, QueuePool

from pairwright.base.errors import MachineryError, RefusedError
from pairwright.base.words import text

APPLICATION: Final = 0x50573031  # marks the file as a record of ours
BUSY: Final = 5000  # how long to wait for a foreign lock [ms]
NETWORK: Final = frozenset(
    ("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "fuse.sshfs", "fuse.glusterfs",
     "fuse.s3fs", "fuse.rclone", "davfs", "virtiofs")
)  # fmt: skip


def has_reset_fault(version: tuple[int, int, int]) -> bool:
    """Whether a version of SQLite has the WAL-reset fault.

    Parameters
    ----------
    version : tuple[int, int, int]
        As `sqlite3.sqlite_version_info` states it.
    """
    if version[:2] == (3, 44):
        return version < (3, 44, 6)
    if version[:2] == (3, 50):
        return version < (3, 50, 7)
    return (3, 7, 0) <= version < (3, 51, 3)


def file_system(path: Path) -> str:
    """Kind of the file system that a path lies on, as the system names it; empty where it is unknown."""
    try:
        lines = Path("/proc/self/mounts").read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return ""
    best, kind = "", ""
    where = str(path.resolve())
    for line in lines:
        parts = line.split(" ")
        if len(parts) < 3:
            continue
        point = parts[1].replace("\\040", " ")
        inside = where == point or where.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= len(best):
            best, kind = point, parts[2]
    return kind


def refuse_network(path: Path) -> None:
    """Raise `RefusedError` where the record would lie on a network share: WAL does not work there."""
    kind = file_system(path.parent)
    if kind in NETWORK:
        raise RefusedError(
            text(
                "{path} lies on a network share ({kind}), where the record can be damaged: move the works to a disk "
                "of this machine",
                path=str(path),
                kind=kind,
            )
        )


class Lock:
    """The right to write a record, for one process at a time; it ends with the process."""

    def __init__(self, path: Path) -> None:
        self.path = path.with_name(path.name + ".lock")
        try:
            self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as error:
            raise cannot_open(path, error.strerror or "") from error
        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            holder = os.pread(self._handle, 20, 0).decode(errors="replace").strip() or "?"
            os.close(self._handle)
            raise RefusedError(
                text(
                    "{path} is being written by process {process}: use that one, or stop it first",
                    path=str(path),
                    process=holder,
                )
            ) from None
        os.ftruncate(self._handle, 0)
        os.pwrite(self._handle, f"{os.getpid()}\n".encode(), 0)

    def release(self) -> None:
        """Give the right back."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1


def cannot_open(path: Path, why: str) -> MachineryError:
    """What is raised where a record can't be opened at all."""
    return MachineryError(
        text(
            "the record {path} can't be opened ({why}): check the disk and the rights of the folder, or open the last "
            "backup",
            path=str(path),
            why=why,
        )
    )


def _uri(path: Path, mode: str) -> str:
    return f"file:{quote(str(path.resolve()))}?mode={mode}"


def connect_writer(path: Path) -> sqlite3.Connection:
    """The one connection that may write and checkpoint."""
    connection = sqlite3.connect(_uri(path, "rwc"), uri=True, isolation_level=None, check_same_thread=False)
    for pragma in (
        f"busy_timeout={BUSY}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "cell_size_check=ON",
        "trusted_schema=OFF",
        f"application_id={APPLICATION}",
    ):
        connection.execute(f"PRAGMA {pragma}").fetchall()
    return connection


def connect_reader(path: Path) -> sqlite3.Connection:
    """A connection that can neither write nor checkpoint."""
    connection = sqlite3.connect(_uri(path, "ro"), uri=True, isolation_level=None, check_same_thread=False)
    for pragma in (
        f"busy_timeout={BUSY}",
        "query_only=ON",
        "wal_autocheckpoint=0",
        "cell_size_check=ON",
        "trusted_schema=OFF",
    ):
        connection.execute(f"PRAGMA {pragma}").fetchall()
    return connection


def write_engine(path: Path) -> Engine:
    """An engine whose transactions begin with the right to write."""
    engine = create_engine("sqlite+pysqlite://", creator=lambda: connect_writer(path), poolclass=NullPool)
    _begin_with(engine, "BEGIN IMMEDIATE")
    return engine


def read_engine(path: Path, *, most: int = 12) -> Engine:
    """An engine whose transactions see one state of the record."""
    engine = create_engine(
        "sqlite+pysqlite://", creator=lambda: connect_reader(path), poolclass=QueuePool, pool_size=4,
        max_overflow=most - 4,
    )  # fmt: skip
    _begin_with(engine, "BEGIN")
    return engine


def _begin_with(engine: Engine, statement: str) -> None:
    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        connection.exec_driver_sql(statement)
