"""How long a step takes: the record that the process modules hand to the plan."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.base.words import Text


@dataclass(frozen=True, slots=True)
class StepTime:
    """Low, likely and high duration of a step at a station, with its reason. [s]

    `station` is None where the step occupies no station (a pure wait).
    """

    product: str
    option: str
    part: str
    step: str
    station: str | None
    low: float
    likely: float
    high: float
    computed: bool
    reason: Text
