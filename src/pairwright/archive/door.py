"""Bytes from outside as text: their size, their encoding, nothing else."""

from __future__ import annotations

from typing import Final

from pairwright.base.errors import InputError, Problem
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
