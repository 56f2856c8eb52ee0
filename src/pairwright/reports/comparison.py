"""What a change does and why: from the recipe to the station to the date, in words and tables."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.base.findings import Finding
from pairwright.base.words import Text


@dataclass(frozen=True, slots=True)
class Moved:
    """One number before and after; `subject` says whose it is."""

    subject: Text
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """A changed works beside the works as it is.

    `says` goes from cause to effect: the change, the durations it moves with their reason, the
    stations, the orders. Durations in seconds, stations as shares, orders as UTC seconds.
    """

    changes: tuple[tuple[str, str], ...]
    says: tuple[Text, ...]
    durations: tuple[Moved, ...]
    stations: tuple[Moved, ...]
    orders: tuple[Moved, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    cost_before: float
    cost_after: float
