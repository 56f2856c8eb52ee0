"""The works folder on disk: reading its texts, writing them whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import Text, text

LIMIT: Final = 8 << 20  # bytes of one text file; a definition is a few hundred kilobytes at most
PATTERNS: Final = (
    "works.toml",
    "materials/*.toml",
    "products/*.toml",
    "restricted/*.toml",
    "orders.csv",
    "stock/*.csv",
)


def read_folder(folder: Path) -> dict[str, str]:
    """The texts of a works folder by path with forward slashes.

    Raises `InputError` naming every file that is missing, unreadable, too large or not UTF-8.
    """
    if not folder.is_dir():
        raise InputError(
            Problem(
                str(folder),
                "folder",
                text("a works folder with a works.toml"),
                "a file" if folder.exists() else "nothing there",
                text("name the folder; an example is laid out by: pairwright demo FOLDER"),
            )
        )
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    for pattern in PATTERNS:
        for path in sorted(folder.glob(pattern)):
            name = path.relative_to(folder).as_posix()
            body = _read_text(path, name, problems)
            if body is not None:
                texts[name] = body
    if "works.toml" not in texts and not problems:
        problems.append(
            Problem(
                str(folder),
                "works.toml",
                text("a file of the works' definition"),
                "no such file",
                text("add it; an example is laid out by: pairwright demo FOLDER"),
            )
        )
    if problems:
        raise InputError(problems)
    return texts


def _read_text(path: Path, name: str, problems: list[Problem]) -> str | None:
    def refuse(must_be: Text, got: str, do: Text) -> None:
        problems.append(Problem(name, "file", must_be, got, do))

    try:
        if not stat.S_ISREG(path.stat().st_mode):
            refuse(text("an ordinary file"), "a folder, pipe or device", text("replace it by a text file"))
            return None
        with path.open("rb") as file:
            content = file.read(LIMIT + 1)
    except OSError as error:
        refuse(text("readable"), error.strerror or "an error", text("check the file and its rights"))
        return None
    if len(content) > LIMIT:
        refuse(
            text("at most 8 MiB"), f"{path.stat().st_size} bytes", text("split it or remove what is foreign")
        )
        return None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        refuse(
            text("text in UTF-8"),
            f"byte {content[error.start]:#04x} at {error.start}",
            text("save it as UTF-8"),
        )
        return None


def write_folder(folder: Path, texts: Mapping[str, str]) -> None:
    """Write texts below a folder; each file appears whole (written beside, then renamed)."""
    for name, body in sorted(texts.items()):
        write_file(folder / name, body.encode())


def write_file(path: Path, content: bytes) -> None:
    """Write one file whole: a crash leaves the old content or the new, never half."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)  # noqa: PTH101 - mkstemp makes it private
        os.replace(temporary, path)  # noqa: PTH105
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
