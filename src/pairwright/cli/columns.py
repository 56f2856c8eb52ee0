"""OURS=THEIRS: a sheet's own name for a column of ours."""

from __future__ import annotations

from collections.abc import Sequence

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text


def column_names(pairs: Sequence[str], *, command: str) -> dict[str, str]:
    """Our names of columns with the sheet's; raises `InputError` for what is not such a pair."""
    found: dict[str, str] = {}
    for pair in pairs:
        ours, equals, theirs = pair.partition("=")
        if not equals or not ours or not theirs or ours in found:
            raise InputError(
                Problem(
                    command,
                    "--column",
                    text("OURS=THEIRS, each once"),
                    shown(pair),
                    text("write such as order=Auftrag"),
                )
            )
        found[ours] = theirs
    return found
