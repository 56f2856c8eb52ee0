"""The reader's words: which catalogue, decimal sign, length unit and zone."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Words, text
from pairwright.words import catalogue, decimal_sign
from pairwright.works import Works


def words_of(works: Works, *, language: str | None = None, lengths: str | None = None) -> Words:
    """The words for a reader of this works; raises `InputError` for an unknown length unit."""
    factory = works.factory
    if lengths not in (None, "mm", "inch"):
        raise InputError(
            Problem(
                "command line", "--lengths", text("mm or inch"), shown(lengths), text("choose one of them")
            )
        )
    tag = language or factory.language
    return Words(
        language=tag,
        decimal=factory.decimal or decimal_sign(tag),
        lengths=lengths or factory.lengths,
        zone=ZoneInfo(factory.time_zone),
        currency=factory.costs.currency,
        catalogue=catalogue(tag),
    )
