"""What commands print: JSON on standard output, people's text, complaints, progress."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Protocol

import typer

from pairwright.base.errors import Problem
from pairwright.base.words import ENGLISH, Words


def print_json(value: object) -> None:
    """One JSON document, keys in the order of the contract, no NaN."""
    sys.stdout.write(json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1) + "\n")


def complain(problems: Sequence[Problem], *, as_json: bool, words: Words = ENGLISH) -> None:
    """Five-part messages: JSON on standard output when asked, else one line each on standard error."""
    if as_json:
        rows = [p.as_json(words) for p in problems]
        print_json({**rows[0], "errors": rows})
    for problem in problems:
        typer.echo(problem.line(words), err=True)
    if len(problems) > 1:
        typer.echo(f"{len(problems)} problems; nothing was written", err=True)


def table(head: Sequence[str], rows: Iterable[Sequence[str]], right: frozenset[int] = frozenset()) -> str:
    """A plain table with columns as wide as their widest cell."""
    body = [[str(c) for c in row] for row in rows]
    widths = [max(len(r[n]) for r in [list(head), *body]) for n in range(len(head))]

    def line(cells: Sequence[str]) -> str:
        aligned = (
            c.rjust(w) if n in right else c.ljust(w)
            for n, (c, w) in enumerate(zip(cells, widths, strict=True))
        )
        return "  ".join(aligned).rstrip()

    return "\n".join([line(head), line(["-" * w for w in widths]), *(line(r) for r in body)])


class Progress(Protocol):
    """Where long work reports to."""

    def stage(self, name: str) -> None:
        """A new stage of the work begins."""

    def step(self, done: int, of: int, note: str = "") -> None:
        """So many parts of the stage are done."""


class QuietProgress:
    """Nothing is shown."""

    def stage(self, name: str) -> None:
        """Nothing."""

    def step(self, done: int, of: int, note: str = "") -> None:
        """Nothing."""


class LineProgress:
    """Progress on standard error: one line that rewrites itself on a terminal, a line a stage elsewhere."""

    def __init__(self) -> None:
        self._live = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
        self._name = ""

    def stage(self, name: str) -> None:
        """Begin a stage."""
        self.close()
        self._name = name
        if self._live:
            self._show(f"{name} …")
        else:
            typer.echo(f"{name} …", err=True)

    def step(self, done: int, of: int, note: str = "") -> None:
        """Show how far the stage is."""
        if self._live:
            width = 24
            filled = width * done // max(1, of)
            self._show(f"{self._name} [{'#' * filled}{'.' * (width - filled)}] {done}/{of} {note}")

    def close(self) -> None:
        """End the live line."""
        if self._live and self._name:
            sys.stderr.write("\r\033[K")
            sys.stderr.flush()

    def _show(self, line: str) -> None:
        sys.stderr.write(f"\r\033[K{line[:100]}")
        sys.stderr.flush()


def progress(quiet: bool) -> LineProgress | QuietProgress:
    """Progress as asked for."""
    return QuietProgress() if quiet else LineProgress()


def plain(value: Any) -> Any:
    """A value made of JSON's own types: tuples to lists, mappings to objects."""
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if hasattr(value, "tolist"):
        return value.tolist()
    return value
