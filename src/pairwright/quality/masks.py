"""Masks from good units: how far a curve may lie from theirs, with a stated share of false alarms.

Many bands are judged at once. A limit for each on its own would cry wolf: so the largest deviation of a
curve, in standard deviations of its bands, is the one number that is judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

Floats: TypeAlias = NDArray[np.float64]
Verdict: TypeAlias = Literal["good", "bad", "not proven"]
LEAST: Final = 20  # good units below which no mask is made
FLOOR: Final = 1e-3  # smallest standard deviation of a band, as a share of the median one [-]


@dataclass(frozen=True, slots=True)
class Mask:
    """What good units are like in one characteristic.

    `middle` and `spread` (bands,) of the good units [unit]; `most` deviation that still passes
    [standard deviations]; made from `units` good ones for a share `alarms` of false alarms; `upper_only`
    where less is never worse.
    """

    middle: Floats
    spread: Floats
    most: float
    units: int
    alarms: float
    upper_only: bool = False

    @property
    def lower(self) -> Floats:
        """Below it a band fails. [unit]"""
        return (
            np.full_like(self.middle, -math.inf) if self.upper_only else self.middle - self.most * self.spread
        )

    @property
    def upper(self) -> Floats:
        """Above it a band fails. [unit]"""
        return np.asarray(self.middle + self.most * self.spread)


def make_mask(good: Floats, *, alarms: float = 1e-3, upper_only: bool = False, least: float = 0.0) -> Mask:
    """A mask from the curves of good units.

    Parameters
    ----------
    good : ndarray, shape (units, bands)
        Their curves, 20 units at least; NaN where a band was not proven. [unit]
    alarms : float
        Share of good units that may fail. [-]
    upper_only : bool
        Whether only too much is wrong, as with distortion.
    least : float
        Smallest standard deviation of a band: what re-mounting alone does. [unit]

    Notes
    -----
    Of each good unit the largest deviation is taken against the middle and spread of the others; their
    upper tail is described by the extreme value distribution of Gumbel, fitted by its first two moments,
    and the scatter of the fit is added: with few good units the mask is wider.

    References
    ----------
    .. [1] E. J. Gumbel, Statistics of Extremes, 1958 (moments: mean = a + 0.57722 b, sd = pi b/sqrt(6)).
    """
    curves = np.asarray(good, dtype=np.float64)
    if curves.ndim != 2 or curves.shape[0] < LEAST:
        raise InputError(
            Problem("mask", "good units", text("at least {n}", n=LEAST), shown(curves.shape[0]),
                    text("measure more good units before a limit is made of them"))
        )  # fmt: skip
    middle, spread = _middle(curves), _spread(curves, least)
    worst = np.array([
        _largest(curves[n], _middle(others), _spread(others, least), upper_only=upper_only)
        for n in range(curves.shape[0])
        for others in (np.delete(curves, n, axis=0),)
    ])  # fmt: skip
    worst = worst[np.isfinite(worst)]
    scale = float(np.std(worst, ddof=1)) * math.sqrt(6.0) / math.pi
    place = float(np.mean(worst)) - 0.57722 * scale
    doubt = 1.0 + 1.645 * 1.1 / math.sqrt(worst.size)  # of the fitted scale: its 95 % bound
    most = place - math.log(-math.log1p(-alarms)) * scale * doubt
    return Mask(middle, spread, most, curves.shape[0], alarms, upper_only)


def deviation(mask: Mask, values: Floats) -> float:
    """Largest deviation of a curve from the good ones; NaN where no band was proven. [standard deviations]

    Parameters
    ----------
    mask : Mask
        What good ones are like.
    values : ndarray, shape (bands,)
        The curve. [unit]
    """
    return _largest(
        np.asarray(values, dtype=np.float64), mask.middle, mask.spread, upper_only=mask.upper_only
    )


def judged(mask: Mask, values: Floats, noise: Floats | None = None, *, clear: float = 6.0) -> Verdict:
    """Whether a curve is proven to be like the good ones, proven not to be, or neither.

    Parameters
    ----------
    mask : Mask
        What good ones are like.
    values : ndarray, shape (bands,)
        The curve as measured, noise and all. [unit]
    noise : ndarray, shape (bands,), optional
        What the noise alone would have given; NaN where it is not known. [dB]
    clear : float
        How far a value must lie above its noise to be more than an upper bound. [dB]

    Notes
    -----
    Near the noise a value is an upper bound: below the lower limit it is bad all the same, within the
    limits of a characteristic of which only too much is wrong it is good, elsewhere nothing is proven.
    """
    measured = np.asarray(values, dtype=np.float64)
    bound = np.zeros(measured.size, bool) if noise is None else measured - noise < clear
    low, high = measured < mask.lower, measured > mask.upper
    if (low | (high & ~bound)).any():
        return "bad"
    unproven = ~np.isfinite(measured) | (bound & high) | (bound & (not mask.upper_only))
    return "not proven" if unproven.any() else "good"


def _middle(curves: Floats) -> Floats:
    return np.asarray(np.nanmedian(curves, axis=0))


def _spread(curves: Floats, least: float) -> Floats:
    found = np.nanstd(curves, axis=0, ddof=1)
    return np.asarray(np.maximum(found, max(least, FLOOR * float(np.nanmedian(found)))))


def _largest(values: Floats, middle: Floats, spread: Floats, *, upper_only: bool) -> float:
    away = (values - middle) / spread
    away = away if upper_only else np.abs(away)
    return float(np.nanmax(away)) if np.isfinite(away).any() else math.nan
