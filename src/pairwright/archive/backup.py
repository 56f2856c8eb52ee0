"""Backup and restore: a copy is only called one after it has been verified.

A backup is a folder: the record as one file, the attachments, and a manifest with the count of events,
the head of the chain and the SHA-256 of every file. Copying the data base file alone would lose what is
still in its log, silently (measured: 10 of 60 rows were left).
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pairwright.archive.attachments import FOLDER, sync_folder
from pairwright.archive.engine import connect_reader
from pairwright.archive.record import NAME, record_path
from pairwright.archive.schema import VERSION
from pairwright.archive.verify import Verdict, verify_file
from pairwright.base.errors import MachineryError, RefusedError
from pairwright.base.time import utc_iso
from pairwright.base.words import text

MANIFEST: Final = "manifest.json"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup holds."""

    events: int
    head: str
    made: str
    files: dict[str, str]
    version: int = VERSION

    def as_json(self) -> dict[str, Any]:
        """The public shape, as the manifest is written."""
        return {
            "events": self.events,
            "head": self.head,
            "made": self.made,
            "version": self.version,
            "files": self.files,
        }


def backup(path: Path | str, folder: Path | str, *, now: int) -> Manifest:
    """Copy a record and its attachments into a new folder, and verify the copy.

    The record may be written meanwhile; the copy is the record as it was when the copying began.

    Parameters
    ----------
    path : Path | str
        The record, or the works folder that holds it.
    folder : Path | str
        The folder to make; it appears whole or not at all.
    now : int
        The time for the manifest, UTC seconds.

    Raises
    ------
    RefusedError
        When the folder is there already.
    MachineryError
        When the copy is not what it must be.
    """
    source, target = record_path(path), Path(folder)
    if target.exists():
        raise RefusedError(text("{folder} is there already: name a new folder", folder=str(target)))
    target.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}."))
    try:
        copy_file(source, work / NAME)
        verdict = verify_file(work / NAME, derived=False)
        _must_be_whole(verdict, source)
        _copy_attachments(source.parent / FOLDER, work / FOLDER)
        manifest = Manifest(verdict.events, verdict.head, utc_iso(now), _digests(work))
        body = json.dumps(manifest.as_json(), indent=2, sort_keys=True) + "\n"
        _write(work / MANIFEST, body.encode())
        for inner in (work / FOLDER, work):
            if inner.is_dir():
                sync_folder(inner)
        work.chmod(0o755)
        work.rename(target)
        sync_folder(target.parent)
    except OSError as error:
        shutil.rmtree(work, ignore_errors=True)
        raise MachineryError(
            text("the backup can't be written ({why}): choose a disk with room", why=str(error))
        ) from error
    except BaseException:
        shutil.rmtree(work, ignore_errors=True)
        raise
    return manifest


def restore(folder: Path | str, path: Path | str) -> Manifest:
    """Put a backup in place where there is no record; the backup is verified before and after.

    Parameters
    ----------
    folder : Path | str
        The backup.
    path : Path | str
        The works folder, or the file that the record is to be.

    Raises
    ------
    RefusedError
        When there is a record already, or the backup is not whole.
    """
    source, target = Path(folder), record_path(path)
    manifest = read_manifest(source)
    beside = [target.with_name(target.name + end) for end in ("", "-wal", "-shm")]
    standing = next((one for one in beside if one.exists()), None)
    if standing is not None:
        raise RefusedError(
            text("{path} is there already: move the old record away first, with its -wal and -shm files",
                 path=str(standing))
        )  # fmt: skip
    for name, digest in manifest.files.items():
        _must_be(source / name, digest)
    _must_match(verify_file(source / NAME, derived=False), manifest, source)
    target.parent.mkdir(parents=True, exist_ok=True)
    for name in sorted(manifest.files):
        if name != NAME:
            _put(source / name, target.parent / name)
    _put(source / NAME, target)
    _must_match(verify_file(target), manifest, target)
    return manifest


def read_manifest(folder: Path) -> Manifest:
    """The manifest of a backup; raises `RefusedError` where there is none that can be read."""
    try:
        raw = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        files = {str(name): str(digest) for name, digest in raw["files"].items()}
        found = Manifest(int(raw["events"]), str(raw["head"]), str(raw["made"]), files, int(raw["version"]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise RefusedError(
            text(
                "{folder} has no manifest that can be read: name a folder that `backup` made",
                folder=str(folder),
            )
        ) from error
    outside = [name for name in files if Path(name).is_absolute() or ".." in Path(name).parts]
    if outside or NAME not in files:
        raise RefusedError(text("the manifest in {folder} is not one of a backup", folder=str(folder)))
    return found


def copy_file(source: Path, target: Path) -> None:
    """Copy a data base as one file, with what is still in its log; it may be written meanwhile."""
    try:
        with closing(connect_reader(source)) as reading, closing(sqlite3.connect(target)) as writing:
            reading.backup(writing)
            writing.execute("PRAGMA journal_mode=DELETE").fetchall()
    except sqlite3.Error as error:
        raise MachineryError(
            text(
                "{path} can't be copied ({why}): check it with verify-record",
                path=str(source),
                why=str(error),
            )
        ) from error
    _sync(target)


def _copy_attachments(source: Path, target: Path) -> None:
    for path in sorted(source.rglob("*")) if source.is_dir() else ():
        if path.is_file() and not path.name.startswith("."):
            _put(path, target / path.relative_to(source))


def _digests(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): _digest(path)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _digest(path: Path) -> str:
    found = hashlib.sha256()
    with path.open("rb") as file:
        while part := file.read(1 << 20):
            found.update(part)
    return found.hexdigest()


def _put(source: Path, target: Path) -> None:
    """Copy a file whole: written beside, synced, renamed."""
    target.parent.mkdir(parents=True, exist_ok=True)
    beside = target.with_name(f".{target.name}.part")
    shutil.copyfile(source, beside)
    _sync(beside)
    beside.replace(target)
    sync_folder(target.parent)


def _write(path: Path, body: bytes) -> None:
    path.write_bytes(body)
    _sync(path)


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _must_be_whole(verdict: Verdict, source: Path) -> None:
    if verdict.problems:
        raise MachineryError(
            text("the copy of {path} is not whole: {why}", path=str(source), why=verdict.problems[0].text)
        )


def _must_be(path: Path, digest: str) -> None:
    if not path.is_file() or _digest(path) != digest:
        raise RefusedError(
            text("{path} is missing or not what the manifest says: take another backup", path=str(path))
        )


def _must_match(verdict: Verdict, manifest: Manifest, path: Path) -> None:
    if verdict.problems or (verdict.events, verdict.head) != (manifest.events, manifest.head):
        why = verdict.problems[0].text if verdict.problems else text("its end is not the manifest's")
        raise RefusedError(text("{path} is not whole: {why}; take another backup", path=str(path), why=why))
