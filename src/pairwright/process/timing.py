"""A computed duration: low, likely and high with the reason in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pairwright.base.words import Text
from pairwright.process.context import SPREAD


@dataclass(frozen=True, slots=True)
class Timing:
    """Low, likely and high duration of a step [s], computed or stated, with its reason."""

    low: float
    likely: float
    high: float
    reason: Text
    computed: bool = True


def scattered(core: float, fixed: float, *, scatter: float, reason: Text) -> Timing:
    """A duration of which one share scatters and the other does not. [s]

    Parameters
    ----------
    core : float
        The share that scatters. [s]
    fixed : float
        The share that does not. [s]
    scatter : float
        One standard deviation of the core, relative. [-]
    reason : Text
        In words.

    Examples
    --------
    >>> from pairwright.base.words import text
    >>> t = scattered(100.0, 20.0, scatter=0.1, reason=text("so"))
    >>> t.low, t.likely, t.high
    (100.0, 120.0, 140.0)
    """
    return ranged(core, fixed, scatter=scatter, shortest=core, longest=core, reason=reason)


def ranged(
    core: float, fixed: float, *, scatter: float, shortest: float, longest: float, reason: Text
) -> Timing:
    """A duration that scatters and moves with the climate of the room. [s]

    Parameters
    ----------
    core : float
        The share that scatters, in the usual climate. [s]
    fixed : float
        The share that does not. [s]
    scatter : float
        One standard deviation of the core, relative. [-]
    shortest : float
        The core in the quickest climate. [s]
    longest : float
        The core in the slowest climate. [s]
    reason : Text
        In words.

    Notes
    -----
    Scatter and climate are independent: their deviations add in quadrature.
    """
    wide = SPREAD * scatter * core
    low = core - math.hypot(wide, max(0.0, core - shortest))
    high = core + math.hypot(wide, max(0.0, longest - core))
    return Timing(fixed + max(0.0, low), fixed + core, fixed + high, reason)
