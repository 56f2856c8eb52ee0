"""What a machine logged over a stretch of time: press, oven, climate, sanding force, spray flow.

Every sample is kept as it came. One that the machine itself calls doubtful is kept too, and never
used to judge; a stretch without a sample is a gap, and nothing is drawn across it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

LONGEST: Final = 60.0  # without a sample for longer, a cure is not proven [s]: the house's own number


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without a usable sample, UTC seconds."""

    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity of a log, read in `unit`.

    `values` (n,) in base SI, NaN where nothing was read; `good` (n,) false where the machine called
    the sample doubtful.
    """

    name: str
    unit: str
    values: tuple[float, ...]
    good: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class MachineLog:
    """A log: `times` (n,) of its samples, UTC seconds, rising; its quantities."""

    times: tuple[float, ...]
    series: tuple[Series, ...]

    @property
    def start(self) -> float:
        """The first sample. [s]"""
        return self.times[0]

    @property
    def end(self) -> float:
        """The last sample. [s]"""
        return self.times[-1]

    def one(self, name: str) -> Series | None:
        """The series of a quantity, or None."""
        return next((s for s in self.series if s.name == name), None)


def course(log: MachineLog, name: str, *, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """The usable samples of a quantity within a stretch, as time from its start and value. [s, -]

    Parameters
    ----------
    log : MachineLog
        The log. [-]
    name : str
        The quantity. [-]
    start : float
        Where the stretch begins, UTC. [s]
    end : float
        Where it ends, UTC. [s]

    Examples
    --------
    >>> log = MachineLog(
    ...     (0.0, 10.0, 20.0), (Series("air", "K", (300.0, 310.0, 320.0), (True, False, True)),)
    ... )
    >>> course(log, "air", start=0.0, end=30.0)
    ((0.0, 300.0), (20.0, 320.0))
    """
    found = log.one(name)
    if found is None:
        return ()
    return tuple(
        (time - start, value)
        for time, value, good in zip(log.times, found.values, found.good, strict=True)
        if good and math.isfinite(value) and start <= time <= end
    )


def gaps(
    points: Sequence[tuple[float, float]], *, length: float, longest: float = LONGEST
) -> tuple[Gap, ...]:
    """Stretches without a usable sample that are longer than allowed. [s]

    Parameters
    ----------
    points : Sequence[tuple[float, float]]
        Time from the start and value, rising. [s, -]
    length : float
        How long the stretch is that must be covered. [s]
    longest : float
        The longest time without a sample. [s]

    Examples
    --------
    >>> gaps([(0.0, 1.0), (30.0, 1.0), (200.0, 1.0)], length=230.0)
    (Gap(start=30.0, end=200.0),)
    """
    marks = [0.0, *(t for t, _ in points), length]
    return tuple(Gap(a, b) for a, b in pairwise(marks) if b - a > longest)
