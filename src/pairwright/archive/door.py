"""Bytes from outside as text: their size, their encoding, nothing else."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

MOST: Final = 4 << 20  # bytes of a drawing or a log; a profile is a few kilobytes


def refuse_size(content: bytes, name: str, *, most: int = MOST) -> None:
    """Refuse what is empty or far larger than what is expected.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    most : int
        Bytes.
    """
    if not content:
        raise InputError(
            Problem(name, "file", text("not empty"), "0 bytes", text("write it again, or name another"))
        )
    if len(content) > most:
        raise InputError(
            Problem(name, "file", text("at most {n} bytes", n=most), f"{len(content)} bytes",
                    text("keep only what is asked for"))
        )  # fmt: skip


def text_of(content: bytes, name: str, *, most: int = MOST) -> str:
    """The text of a file in UTF-8; otherwise an `InputError`.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    most : int
        Bytes.

    Examples
    --------
    >>> text_of(b"time [s]", "log.csv")
    'time [s]'
    """
    refuse_size(content, name, most=most)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            Problem(name, "file", text("text in UTF-8"), f"byte {content[error.start]:#04x} at {error.start}",
                    text("save it as UTF-8"))
        ) from None  # fmt: skip


def content_of(path: Path, *, most: int = MOST) -> bytes:
    """The bytes of an ordinary file, no more than so many; otherwise an `InputError`.

    Parameters
    ----------
    path : Path
        What a person named; a pipe, a device or a folder is refused without being waited for.
    most : int
        Bytes.
    """
    name = shown(path.name or str(path)).strip("'\"")
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise InputError(
                Problem(name, "file", text("an ordinary file"), "a folder, pipe or device",
                        text("name a file that lies on the disk"))
            )  # fmt: skip
        with path.open("rb") as file:
            content = file.read(most + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        raise InputError(
            Problem(name, "file", text("readable"), why or "an error", text("check its name and its rights"))
        ) from None
    if len(content) > most:
        raise InputError(
            Problem(name, "file", text("at most {n} bytes", n=most), "more", text("divide it into several"))
        )
    return content
