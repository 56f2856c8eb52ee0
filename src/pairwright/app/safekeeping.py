"""The acts of keeping the record safe: verify, copy, put back, measure the machine."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pairwright.archive.record import NAME
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import ENGLISH, Words, text

if TYPE_CHECKING:
    from pairwright.archive.backup import Manifest
    from pairwright.archive.selfcheck import Checked
    from pairwright.archive.verify import Verdict

MOST_KEPT: Final = 64 << 20  # bytes of one file


def verify_works(
    folder: Path, *, expected: str | None = None, attachments: bool = False
) -> tuple[Verdict, Words]:
    """Whether the record of a works is what was recorded; the works' own texts need not be right.

    With `attachments` every file that was kept is read and compared with its digest too.
    """
    from pairwright.archive.attachments import changed
    from pairwright.archive.verify import verify_file

    verdict = verify_file(_record_of(folder), expected=expected)
    if attachments:
        verdict = replace(verdict, problems=(*verdict.problems, *changed(folder)))
    return verdict, ENGLISH


def attach_files(folder: Path, files: Sequence[Path]) -> tuple[tuple[str, str], ...]:
    """Keep files that events will refer to; answers the name and the digest of each.

    Parameters
    ----------
    folder : Path
        The works folder.
    files : Sequence[Path]
        All are read before the first is kept.
    """
    from pairwright.archive.attachments import keep
    from pairwright.archive.door import content_of

    if not (folder / "works.toml").is_file():
        raise _no_folder(folder)
    contents = [(path.name, content_of(path, most=MOST_KEPT)) for path in files]
    return tuple((name, keep(folder, content)) for name, content in contents)


def backup_works(folder: Path, target: Path) -> tuple[Manifest, Words]:
    """Copy a record and its attachments; it may be written meanwhile."""
    from pairwright.archive.backup import backup

    record = _record_of(folder)
    if target.exists():
        raise InputError(
            Problem("command line", "FOLDER", text("a folder that is not there yet"), shown(str(target)),
                    text("name a new folder"))
        )  # fmt: skip
    return backup(record, target, now=int(time.time())), ENGLISH


def restore_works(source: Path, folder: Path) -> tuple[Manifest, Words]:
    """Put a backup in place."""
    from pairwright.archive.backup import restore

    if not folder.is_dir():
        raise InputError(
            Problem(str(folder), "folder", text("a works folder"), "a file" if folder.exists() else "nothing there",
                    text("make the folder, with the works' texts if you have them"))
        )  # fmt: skip
    return restore(source, folder), ENGLISH


def check_machine(folder: Path) -> tuple[Checked, Words]:
    """What the machine under a works can promise."""
    from pairwright.archive.selfcheck import self_check

    if not folder.is_dir():
        raise _no_folder(folder)
    return self_check(folder), ENGLISH


def _record_of(folder: Path) -> Path:
    if not folder.is_dir():
        raise _no_folder(folder)
    path = folder / NAME
    if not path.is_file():
        raise InputError(
            Problem(str(folder), NAME, text("the record of a works"), "no such file",
                    text("record something first: pairwright record {folder}", folder=str(folder)))
        )  # fmt: skip
    return path


def _no_folder(folder: Path) -> InputError:
    return InputError(
        Problem(str(folder), "folder", text("a works folder"), "a file" if folder.exists() else "nothing there",
                text("name the folder of the works"))
    )  # fmt: skip
