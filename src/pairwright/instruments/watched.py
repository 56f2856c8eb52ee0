"""A folder that machines write their logs into: which files are finished, and whose they are.

A file that still grows is left alone. Nothing in the folder is moved or changed: what has been taken
is known by its content.
"""

from __future__ import annotations

import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

QUIET: Final = 5.0  # a file that has not changed for so long is finished [s]
ENDING: Final = ".csv"
MOST: Final = 16 << 20  # bytes of one log


@dataclass(frozen=True, slots=True)
class Found:
    """A finished file, and the station that its name begins with; None where it names none."""

    path: Path
    station: str | None
    stamp: tuple[int, int]  # size, time of the last change: another stamp, another file


def finished(folder: Path, stations: Iterable[str], *, now: float, quiet: float = QUIET) -> Iterator[Found]:
    """Finished log files in a folder, by name.

    Parameters
    ----------
    folder : Path
        The folder; its own files only, no links, no devices.
    stations : Iterable[str]
        Ids of the stations. A log's name begins with one, then a `_`, `.` or blank.
    now : float
        The time, in seconds as files have it.
    quiet : float
        How long a file must have been left alone. [s]
    """
    if not folder.is_dir():
        raise InputError(
            Problem(str(folder), "folder", text("a folder that machines write their logs into"),
                    "nothing there" if not folder.exists() else "a file", text("name a folder"))
        )  # fmt: skip
    names = sorted(stations, key=len, reverse=True)
    for path in sorted(folder.iterdir()):
        try:
            about = path.lstat()
        except OSError:
            continue  # gone since it was listed
        if path.suffix.lower() != ENDING or not stat.S_ISREG(about.st_mode) or now - about.st_mtime < quiet:
            continue
        yield Found(path, station_of(path.name, names), (about.st_size, about.st_mtime_ns))


def station_of(name: str, stations: Iterable[str]) -> str | None:
    """The station that a file's name begins with; the longest name counts.

    >>> station_of("press-12_2027-03-01.csv", ["press-1", "press-12"])
    'press-12'
    """
    for station in sorted(stations, key=len, reverse=True):
        if name.startswith(station) and name[len(station) :][:1] in ("_", ".", " "):
            return station
    return None


def content_of(path: Path) -> bytes:
    """The bytes of a log; an `InputError` where it can't be read or is too large."""
    try:
        with path.open("rb") as file:
            content = file.read(MOST + 1)
    except OSError as error:
        raise InputError(
            Problem(str(path), "file", text("a log that can be read"), error.strerror or "an error",
                    text("let this user read it"))
        ) from None  # fmt: skip
    if len(content) > MOST:
        raise InputError(
            Problem(
                str(path),
                "file",
                text("at most 16 MiB"),
                shown(len(content)),
                text("start a new file each shift"),
            )
        )
    return content
