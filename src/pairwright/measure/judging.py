"""Verdicts with a guard band: good and bad are both proven; between them nothing is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

Verdict: TypeAlias = Literal["good", "bad", "not proven"]
GUARD: Final = 1.645  # standard uncertainties: at most 5 % of what just passes does not conform [-]


@dataclass(frozen=True, slots=True)
class Limit:
    """What a value must keep within; either end may be open. `revision` names the limits it is part of."""

    lower: float = -math.inf
    upper: float = math.inf
    revision: str = ""


def judge(value: float, limit: Limit, *, uncertainty: float, guard: float = GUARD) -> Verdict:
    """Whether a value is proven to keep a limit, proven to break it, or neither.

    Parameters
    ----------
    value : float
        Measured; NaN proves nothing. [unit of the limit]
    limit : Limit
        What it must keep.
    uncertainty : float
        Standard uncertainty of the measurement, re-mounting included. [unit of the limit]
    guard : float
        Width of the guard band to either side of a limit. [standard uncertainties]

    Notes
    -----
    Good needs the value inside the limit by the guard band, bad outside by as much. With a guard of
    1.645 a value at the edge of good has a probability of 95 % to conform to that limit.

    References
    ----------
    .. [1] JCGM 106:2012, 8.3.2 (guarded acceptance) and 8.3.3 (guarded rejection).
    .. [2] ISO 14253-1 (rules for proving conformity).

    Examples
    --------
    >>> one = Limit(lower=86.0, upper=88.0)
    >>> (
    ...     judge(87.0, one, uncertainty=0.1),
    ...     judge(87.9, one, uncertainty=0.1),
    ...     judge(88.3, one, uncertainty=0.1),
    ... )
    ('good', 'not proven', 'bad')
    """
    if not uncertainty >= 0.0 or not math.isfinite(uncertainty):
        raise InputError(
            Problem("measurement", "uncertainty", text("0 or more"), shown(uncertainty),
                    text("state the standard uncertainty of the measurement"))
        )  # fmt: skip
    if not math.isfinite(value):
        return "not proven"
    band = guard * uncertainty
    if value < limit.lower - band or value > limit.upper + band:
        return "bad"
    if limit.lower + band <= value <= limit.upper - band:
        return "good"
    return "not proven"


def conformance(value: float, limit: Limit, *, uncertainty: float) -> float:
    """Probability that the true value keeps the limit, normal about the measured one. [-]

    Parameters
    ----------
    value : float
        Measured. [unit of the limit]
    limit : Limit
        What it must keep.
    uncertainty : float
        Standard uncertainty, above 0. [unit of the limit]

    References
    ----------
    .. [1] JCGM 106:2012, equation 12 and example 1.

    Examples
    --------
    >>> round(conformance(0.0, Limit(-1.0, 1.0), uncertainty=0.5), 4)
    0.9545
    """
    scale = uncertainty * math.sqrt(2.0)
    return 0.5 * (math.erf((limit.upper - value) / scale) - math.erf((limit.lower - value) / scale))


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """Of several: bad if any is, else not proven if any is, or if there are none.

    >>> worst(["good", "not proven"]), worst([])
    ('not proven', 'not proven')
    """
    if "bad" in verdicts:
        return "bad"
    return "good" if verdicts and all(one == "good" for one in verdicts) else "not proven"
