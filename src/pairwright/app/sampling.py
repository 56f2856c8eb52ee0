"""The act of laying out the sample works in a folder of its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

from pairwright import __version__
from pairwright.archive import write_folder
from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text

MARK: Final = ".pairwright-sample"


def lay_out(folder: Path, *, actor: str, pairs: int, start: date, seed: int) -> dict[str, str]:
    """Write the sample works; raises `InputError` where the folder is somebody else's."""
    del actor
    from pairwright import sample

    if folder.exists() and not folder.is_dir():
        raise _taken(folder, "a file")
    if folder.is_dir() and any(folder.iterdir()) and not (folder / MARK).is_file():
        raise _taken(folder, "a folder with other files")
    texts = sample.layout(pairs=pairs, start=start, seed=seed)
    mark = f"laid out by pairwright {__version__} demo: pairs {pairs}, start {start}, seed {seed}\n"
    write_folder(folder, {**texts, MARK: mark})
    return texts


def _taken(folder: Path, got: str) -> InputError:
    return InputError(
        Problem(
            str(folder),
            "folder",
            text("a new or empty folder, or one that the demo made"),
            got,
            text("name another folder; nothing of yours is overwritten"),
        )
    )
