"""Writing what an act made: whole files, in place or not at all."""

from __future__ import annotations

import json
from pathlib import Path

from pairwright.archive import write_file
from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text


def json_bytes(value: object) -> bytes:
    """A JSON document as files hold it."""
    return (json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def write_json(path: Path, value: object) -> None:
    """A JSON document into a file."""
    write_bytes(path, json_bytes(value))


def write_bytes(path: Path, content: bytes) -> None:
    """Bytes into a file; raises `InputError` where the file cannot be written."""
    try:
        write_file(path, content)
    except OSError as error:
        raise InputError(
            Problem(
                str(path),
                "file",
                text("a file that can be written"),
                error.strerror or "an error",
                text("choose another place or free some room"),
            )
        ) from None
