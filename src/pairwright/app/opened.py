"""A works folder opened for an act: definition, orders, durations, the moment that counts as now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from pairwright.archive import read_folder
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import parse_instant
from pairwright.base.words import text
from pairwright.works import Book, Works, load_book, load_works

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
        """UTC seconds of `--now`, else the works' opening."""
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
        opening = self.works.factory.opening
        if opening is not None:
            return parse_instant(opening, self.works.zone)
        return int(datetime.now(tz=UTC).timestamp())


def open_texts(texts: Mapping[str, str], path: str = "") -> Opened:
    """A works from its texts; raises `InputError` with everything that is wrong."""
    works = load_works(texts)
    return Opened(path, dict(texts), works, load_book(texts, works))


def open_works(folder: str | Path) -> Opened:
    """A works from its folder."""
    return open_texts(read_folder(Path(folder)), str(folder))
