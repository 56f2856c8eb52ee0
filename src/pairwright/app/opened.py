"""A works folder opened for an act: definition, orders, durations, the moment that counts as now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from pairwright.archive import read_folder
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import parse_instant
from pairwright.base.words import text
from pairwright.works import Book, Works, apply_changes, load_book, load_works

if TYPE_CHECKING:
    from pairwright.base.findings import Finding
    from pairwright.works import MaterialNeed, StepTime


@dataclass(frozen=True)
class Opened:
    """A works with its order book; durations and findings are computed once, when asked for."""

    path: str
    texts: Mapping[str, str]
    works: Works
    book: Book
    recorded: int | None = None  # the moment of a works with a record, UTC seconds

    @cached_property
    def times(self) -> tuple[StepTime, ...]:
        """Every step's durations, from its physics."""
        from pairwright import process

        return process.durations(self.works)

    @cached_property
    def needs(self) -> tuple[MaterialNeed, ...]:
        """What every step uses up, from its recipe."""
        from pairwright import process

        return process.requirements(self.works)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding about the recipes, worst first."""
        from pairwright import process
        from pairwright.base.findings import worst_first

        return worst_first(process.check(self.works))

    def now(self, stated: str | None = None) -> int:
        """UTC seconds of `--now`, else the record's moment, or before there is one the works' opening."""
        if stated is not None:
            try:
                return parse_instant(stated, self.works.zone)
            except ValueError as error:
                raise InputError(
                    Problem(
                        "command line",
                        "--now",
                        text("an ISO 8601 time such as 2027-03-01T06:00:00+01:00"),
                        shown(stated),
                        text("correct it: {why}", why=str(error)),
                    )
                ) from None
        if self.recorded is not None:
            return self.recorded
        opening = self.works.factory.opening
        if opening is not None:
            return parse_instant(opening, self.works.zone)
        return int(datetime.now(tz=UTC).timestamp())


def open_texts(texts: Mapping[str, str], path: str = "") -> Opened:
    """A works from its texts; raises `InputError` with everything that is wrong."""
    works = load_works(texts)
    return Opened(path, dict(texts), works, load_book(texts, works))


def open_definition(folder: str | Path, *, book: bool = True) -> Opened:
    """A works from the texts of its folder; without `book`, orders and stock are not read."""
    texts = read_folder(Path(folder))
    if book:
        return open_texts(texts, str(folder))
    return Opened(str(folder), dict(texts), load_works(texts), Book())


def open_changed(opened: Opened, changes: Sequence[tuple[str, str]]) -> Opened:
    """A works with changes to its texts, over the same orders and stock."""
    texts = apply_changes(opened.texts, changes)
    if opened.recorded is None:
        return open_texts(texts, opened.path)
    return Opened(opened.path, texts, load_works(texts), opened.book, opened.recorded)


def open_works(folder: str | Path) -> Opened:
    """A works from its folder; orders and stock come from its record once it has one."""
    if not (Path(folder) / "record.db").is_file():
        return open_definition(folder)
    from pairwright.app.recording import open_floor

    with open_floor(folder, readonly=True) as floor:
        return floor.opened_now()
