"""A backup is verified when it is made, and again before it is put in place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pairwright.archive.attachments import fetch, keep, place
from pairwright.archive.backup import MANIFEST, backup, restore
from pairwright.archive.record import NAME, open_record
from pairwright.base.errors import MachineryError, RefusedError
from tests.unit.floor.events import event

NOW = 1_803_900_000


@pytest.fixture
def works(tmp_path: Path) -> Path:
    folder = tmp_path / "works"
    folder.mkdir()
    digest = keep(folder, b"a photograph")
    with open_record(folder) as record:
        record.append([event("registered", f"item C-{n}") for n in range(20)])
        record.append([event("noted", "item C-1", photograph=digest)])
    return folder


def test_a_backup_restores_to_the_same_record(works: Path, tmp_path: Path) -> None:
    made = backup(works, tmp_path / "copy", now=NOW)
    other = tmp_path / "other"
    other.mkdir()
    restored = restore(tmp_path / "copy", other)

    assert restored == made
    with open_record(works) as old, open_record(other) as new:
        assert list(old.events()) == list(new.events())
        assert new.verify(expected=made.head).ok
        photograph = next(e.event.data["photograph"] for e in new.events() if e.event.kind == "noted")
    assert fetch(other, photograph) == b"a photograph"


def test_the_manifest_names_count_head_and_files(works: Path, tmp_path: Path) -> None:
    made = backup(works, tmp_path / "copy", now=NOW)

    told = json.loads((tmp_path / "copy" / MANIFEST).read_text())

    assert told == made.as_json()
    assert told["events"] == 21
    assert len(told["files"]) == 2
    assert sorted(p.name for p in (tmp_path / "copy").iterdir()) == ["attachments", MANIFEST, NAME]


def test_what_is_still_in_the_log_is_copied(works: Path, tmp_path: Path) -> None:
    with open_record(works) as record:
        record.append([event("registered", f"item D-{n}") for n in range(60)])
        assert record.path.with_name(NAME + "-wal").stat().st_size > 0
        made = record.backup(tmp_path / "copy")

    assert made.events == 81


def test_a_backup_never_overwrites_and_leaves_nothing_half_made(works: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy"
    target.mkdir()
    with pytest.raises(RefusedError, match="there already"):
        backup(works, target, now=NOW)
    target.rmdir()

    (works / NAME).write_bytes(b"rubbish" * 1000)
    with pytest.raises(MachineryError):
        backup(works, target, now=NOW)

    assert [p.name for p in tmp_path.iterdir()] == ["works"]


def damaged(folder: Path, how: str) -> None:
    if how == "no manifest":
        (folder / MANIFEST).unlink()
    elif how == "manifest of nothing":
        (folder / MANIFEST).write_text("[]")
    elif how == "manifest that leads outside":
        told = json.loads((folder / MANIFEST).read_text())
        told["files"]["../outside"] = "0" * 64
        (folder / MANIFEST).write_text(json.dumps(told))
    elif how == "record changed":
        body = bytearray((folder / NAME).read_bytes())
        body[-100] ^= 1
        (folder / NAME).write_bytes(body)
    elif how == "attachment missing":
        next(p for p in (folder / "attachments").rglob("*") if p.is_file()).unlink()
    else:
        told = json.loads((folder / MANIFEST).read_text())
        told["head"] = "0" * 64
        (folder / MANIFEST).write_text(json.dumps(told))


@pytest.mark.parametrize(
    "how",
    ["no manifest", "manifest of nothing", "manifest that leads outside", "record changed", "attachment missing",
     "another head"],
)  # fmt: skip
def test_a_damaged_backup_is_refused_and_nothing_is_put_in_place(
    works: Path, tmp_path: Path, how: str
) -> None:
    backup(works, tmp_path / "copy", now=NOW)
    damaged(tmp_path / "copy", how)
    other = tmp_path / "other"
    other.mkdir()

    with pytest.raises(RefusedError):
        restore(tmp_path / "copy", other)

    assert list(other.iterdir()) == []
    assert not (tmp_path / "outside").exists()


@pytest.mark.parametrize("name", [NAME, f"{NAME}-wal"])
def test_a_restore_never_overwrites(works: Path, tmp_path: Path, name: str) -> None:
    backup(works, tmp_path / "copy", now=NOW)
    other = tmp_path / "other"
    other.mkdir()
    (other / name).write_bytes(b"old")

    with pytest.raises(RefusedError, match="there already"):
        restore(tmp_path / "copy", other)

    assert (other / name).read_bytes() == b"old"


def test_attachments_are_kept_once_and_checked(tmp_path: Path) -> None:
    digest = keep(tmp_path, b"a curve")

    assert keep(tmp_path, b"a curve") == digest
    assert fetch(tmp_path, digest) == b"a curve"
    place(tmp_path, digest).write_bytes(b"another curve")
    with pytest.raises(MachineryError, match="was changed"):
        fetch(tmp_path, digest)
    with pytest.raises(MachineryError, match="missing"):
        fetch(tmp_path, "0" * 64)
