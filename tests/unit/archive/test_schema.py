"""Migrations: a backup before, all or nothing, events untouched."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import Connection

from pairwright.archive import schema
from pairwright.archive.record import open_record
from pairwright.archive.schema import Migration
from pairwright.archive.verify import verify_file
from pairwright.base.errors import RefusedError
from tests.unit.floor.events import event


def add_column(connection: Connection) -> None:
    connection.exec_driver_sql("ALTER TABLE thing ADD COLUMN colour TEXT")
    connection.exec_driver_sql("ALTER TABLE thing DROP COLUMN colour")
    connection.exec_driver_sql("CREATE TABLE extra (id INTEGER)")


def fail(connection: Connection) -> None:
    connection.exec_driver_sql("CREATE TABLE more (id INTEGER)")
    connection.exec_driver_sql("DELETE FROM touch")
    raise RefusedError(schema.text("stopped on the way"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with open_record(tmp_path) as record:
        record.append([event("registered", f"item C-{n}") for n in range(30)])
        return record.path


def test_a_migration_keeps_every_event_and_leaves_a_backup(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_record(path) as record:
        before = list(record.events())
    monkeypatch.setattr(schema, "MIGRATIONS", (Migration(2, add_column),))
    monkeypatch.setattr("pairwright.archive.verify.VERSION", 2)

    with open_record(path) as record:
        assert list(record.events()) == before
        assert record.verify().ok
    old = path.with_name(f"{path.name}.version-1")
    assert verify_file(old, expected=before[-1].hash).ok
    with open_record(path) as record:  # and only once
        assert record.head().sequence == 30


def test_a_migration_that_fails_leaves_the_old_record(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    head = verify_file(path).head
    with monkeypatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", (Migration(2, add_column), Migration(3, fail)))
        with pytest.raises(RefusedError, match="on the way"):
            open_record(path)

    assert verify_file(path, expected=head).ok
    open_record(path).close()


def test_a_record_that_is_behind_is_not_changed_by_looking(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(schema, "MIGRATIONS", (Migration(2, add_column),))

    with pytest.raises(Exception, match="not a record of this version"):
        open_record(path, readonly=True)


KILLED = """
import os, signal, sys
from pathlib import Path
from pairwright.archive import schema
from pairwright.archive.record import open_record

def die(connection):
    connection.exec_driver_sql("CREATE TABLE extra (id INTEGER)")
    for n in range(int(sys.argv[2])):
        connection.exec_driver_sql("UPDATE thing SET station = 'x'")
    if sys.argv[3] == "now":
        os.kill(os.getpid(), signal.SIGKILL)

schema.MIGRATIONS = (schema.Migration(2, die),)
rebuild = schema.rebuild
def then_die(connection):
    rebuild(connection)
    os.kill(os.getpid(), signal.SIGKILL)
schema.rebuild = then_die
open_record(Path(sys.argv[1]))
"""


@pytest.mark.parametrize(("work", "when"), [("0", "now"), ("3", "now"), ("1", "later")])
def test_a_killed_migration_leaves_the_old_record(path: Path, work: str, when: str) -> None:
    head = verify_file(path).head
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}

    killed = subprocess.run([sys.executable, "-c", KILLED, str(path), work, when], env=environment)

    assert killed.returncode == -9
    assert verify_file(path, expected=head).ok
    open_record(path).close()
