"""Files that events refer to, each under its own SHA-256."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from typing import Final

from pairwright.archive.folder import write_file
from pairwright.base.digests import digest_bytes
from pairwright.base.errors import MachineryError
from pairwright.base.findings import Finding
from pairwright.base.words import text

FOLDER: Final = "attachments"


def keep(works: Path | str, content: bytes) -> str:
    """Keep a file of a works for good; answers its digest, by which events name it.

    Parameters
    ----------
    works : Path | str
        The works folder.
    content : bytes
        The file. The same content is kept once.
    """
    digest = digest_bytes(content)
    path = place(works, digest)
    if not path.is_file():
        fresh = not path.parent.is_dir()
        write_file(path, content)
        sync_folder(path.parent)
        if fresh:
            sync_folder(path.parent.parent)
    return digest


def fetch(works: Path | str, digest: str) -> bytes:
    """The content of a kept file, checked against its digest; raises `MachineryError`.

    Parameters
    ----------
    works : Path | str
        The works folder.
    digest : str
        Its SHA-256.
    """
    path = place(works, digest)
    try:
        content = path.read_bytes()
    except OSError as error:
        raise MachineryError(
            text("attachment {digest} is missing: restore it from a backup", digest=digest)
        ) from error
    if digest_bytes(content) != digest:
        raise MachineryError(text("attachment {digest} was changed: restore it from a backup", digest=digest))
    return content


def remove(works: Path | str, digest: str) -> bool:
    """Remove a kept file for good; answers whether it was there.

    Parameters
    ----------
    works : Path | str
        The works folder.
    digest : str
        Its SHA-256.
    """
    path = place(works, digest)
    if not path.is_file():
        return False
    path.unlink()
    sync_folder(path.parent)
    return True


def changed(works: Path | str) -> tuple[Finding, ...]:
    """Kept files that are not what their names say; every one is read.

    Parameters
    ----------
    works : Path | str
        The works folder.
    """
    root = Path(works) / FOLDER
    found = []
    for path in sorted(root.rglob("*")) if root.is_dir() else ():
        if not path.is_file() or path.name.startswith("."):
            continue
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        if digest != path.name:
            found.append(
                Finding(
                    "attachment_changed", "error", path.name,
                    text("the kept file {name} is not what its name says: restore it from a backup", name=path.name),
                )
            )  # fmt: skip
    return tuple(found)


def place(works: Path | str, digest: str) -> Path:
    """Where a kept file lies."""
    return Path(works) / FOLDER / digest[:2] / digest


def sync_folder(folder: Path) -> None:
    """Make new names in a folder durable."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
