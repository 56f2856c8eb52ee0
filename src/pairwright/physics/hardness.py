"""Hardness growth of a lacquer film, and the day it may be polished."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import FROM_MEMORY, Source
from pairwright.base.words import text
from pairwright.physics.hardness_fit import HardnessGrowth, fit_growth


@dataclass(frozen=True, slots=True)
class ReadyDay:
    """Day of a hardness and its 95 % interval [d]; infinity where it is never reached."""

    day: float
    low: float
    high: float


def hardness(day: float, final: float, *, rate: float, exponent: float) -> float:
    """Hardness of a film of a certain age, Avrami form. [-]

    Parameters
    ----------
    day : float
        Age in days. [-]
    final : float
        Hardness it grows to, in the unit of the readings. [-]
    rate : float
        Growth constant k, per day to the power m. [-]
    exponent : float
        Avrami exponent m. [-]

    Returns
    -------
    float
        Hardness, in the unit of the readings. [-]

    References
    ----------
    .. [1] Ma, Wang, Jing, Huang, Qiao, Pigment & Resin Technology 43 (2014) 271-276: the form, for
       pendulum hardness of two-part acrylic polyurethane; its constants were not printed.

    Examples
    --------
    >>> round(hardness(7.0, 160.0, rate=0.2, exponent=1.0), 2)
    120.54
    """
    return -final * math.expm1(-rate * day**exponent)


def days_to_hardness(
    threshold: float, final: float, *, rate: float, exponent: float, shift: float = 1.0
) -> float:
    """Age at which a stated growth reaches a hardness. [d]

    Parameters
    ----------
    threshold : float
        Hardness wanted. [-]
    final : float
        Hardness it grows to. [-]
    rate : float
        Growth constant k, per day to the power m, at the reference room temperature. [-]
    exponent : float
        Avrami exponent m. [-]
    shift : float
        Rate in this room relative to the reference (`shift.rate_shift`). [-]

    Returns
    -------
    float
        Age in days; infinity where it never gets so hard. [d]

    Notes
    -----
    (-ln(1 - threshold/final)/k)^(1/m)/shift: the room's temperature stretches the time axis. That
    one constant serves all ages is an assumption, from memory.

    Examples
    --------
    >>> round(days_to_hardness(120.54, 160.0, rate=0.2, exponent=1.0), 2)
    7.0
    >>> round(days_to_hardness(120.54, 160.0, rate=0.2, exponent=1.0, shift=0.5), 2)
    14.0
    """
    if threshold <= 0.0:
        return 0.0
    if threshold >= final:
        return math.inf
    return float((-math.log1p(-threshold / final) / rate) ** (1.0 / exponent)) / shift


def ready_day(growth: HardnessGrowth, threshold: float) -> ReadyDay:
    """Day of a hardness by a fitted growth, with its 95 % interval. [d]

    Parameters
    ----------
    growth : HardnessGrowth
        The fit. [-]
    threshold : float
        Hardness wanted, in the unit of the readings. [-]

    Returns
    -------
    ReadyDay
        Day, low and high end. [d]

    Notes
    -----
    First order in the fit's covariance, on the logarithm of the day, so that the interval never
    reaches below zero; Student's t for the degrees of freedom.

    Examples
    --------
    >>> seen = [(1.0, 30.0), (3.0, 72.0), (6.0, 105.0), (10.0, 124.0), (15.0, 133.0)]
    >>> ready = ready_day(fit_growth(seen), 120.0)
    >>> 8.0 < ready.low < ready.day < ready.high < 10.0
    True
    """
    day = days_to_hardness(threshold, growth.final, rate=growth.rate, exponent=growth.exponent)
    if day == 0.0:
        return ReadyDay(0.0, 0.0, 0.0)
    covariance = np.array(growth.covariance)
    quantile = _student(growth.freedom)
    if math.isinf(day):
        return ReadyDay(math.inf, _earliest(growth, threshold, quantile), math.inf)
    share = threshold / growth.final
    power = -math.log1p(-share)  # (day/characteristic)^exponent
    by_final = -share / ((1.0 - share) * power * growth.exponent)
    slope = np.array([by_final, 1.0, -math.log(power) / growth.exponent])
    spread = quantile * math.sqrt(max(0.0, float(slope @ covariance @ slope)))
    high = day * math.exp(spread) if spread < 700.0 else math.inf
    return ReadyDay(day, day * math.exp(-spread), high)


def hardness_day(
    readings: Sequence[Sequence[float]],
    threshold: float,
    *,
    reading_sd: float | None = None,
    exponent: float | None = None,
) -> ReadyDay:
    """Day on which a film reaches a hardness, from its readings. [d]

    Parameters
    ----------
    readings : Sequence[Sequence[float]]
        Pairs of day and hardness; at least two days. [-]
    threshold : float
        Hardness wanted, in the unit of the readings. [-]
    reading_sd : float, optional
        Standard deviation of one reading. [-]
    exponent : float, optional
        Avrami exponent to hold. [-]

    Returns
    -------
    ReadyDay
        Day, low and high end of the 95 % interval. [d]

    Examples
    --------
    >>> round(hardness_day([(2.0, 50.0), (6.0, 100.0)], 90.0).day, 2)
    4.83
    """
    return ready_day(fit_growth(readings, reading_sd=reading_sd, exponent=exponent), threshold)


def _student(freedom: int) -> float:
    if freedom <= 0:
        return 1.959963985
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.975))


def _earliest(growth: HardnessGrowth, threshold: float, quantile: float) -> float:
    """Day at the upper end of the final hardness; infinity when even that is too soft."""
    spread = quantile * math.sqrt(max(0.0, growth.covariance[0][0]))
    final = growth.final * math.exp(min(spread, 50.0))
    return days_to_hardness(threshold, final, rate=growth.rate, exponent=growth.exponent)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _hardness_day_law(
    readings: Sequence[Sequence[float]],
    threshold: float,
    reading_sd: float | None,
    exponent: float | None,
) -> dict[str, Any]:
    growth = fit_growth(readings, reading_sd=reading_sd, exponent=exponent)
    ready = ready_day(growth, threshold)
    return {
        "day": _finite(ready.day), "low": _finite(ready.low), "high": _finite(ready.high),
        "final": growth.final, "rate": growth.rate, "exponent": growth.exponent,
    }  # fmt: skip


def _also(inputs: Mapping[str, Any]) -> list[Finding]:
    days = {float(d) for d, _ in inputs["readings"] if d > 0.0}
    found: list[Finding] = []
    held = inputs["exponent"]
    ready = hardness_day(
        inputs["readings"], inputs["threshold"], reading_sd=inputs["reading_sd"], exponent=held
    )
    if math.isinf(ready.day):
        found.append(Finding("hardness_not_reached", "warning", "hardness_day",
                             text("the fitted growth ends below the threshold"), _FORM))  # fmt: skip
    elif ready.day > 2.0 * max(days):
        found.append(Finding("hardness_far_ahead", "warning", "hardness_day",
                             text("the day lies at more than twice the age of the last reading: "
                                  "read again before relying on it"), _FORM))  # fmt: skip
    if len(days) == 2 and held is None:
        found.append(Finding("hardness_first_order", "note", "hardness_day",
                             text("two days carry two constants: the exponent is held at 1"),
                             FROM_MEMORY))  # fmt: skip
    return found


_FORM: Final = Source(
    "published", "Ma, Wang, Jing, Huang, Qiao, Pigment & Resin Technol. 43 (2014) 271-276 (form)"
)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="hardness_day",
        title=text("Day on which a film reaches a hardness"),
        function=_hardness_day_law,
        arguments=(
            Argument("readings", "-", text("pairs of day and hardness, at least two days"),
                     must=NOT_NEGATIVE, shape="rows", least=2),
            Argument("threshold", "-", text("hardness wanted, in the unit of the readings"),
                     must=POSITIVE),
            Argument("reading_sd", "-", text("standard deviation of one reading"), must=NOT_NEGATIVE,
                     default=None),
            Argument("exponent", "-", text("Avrami exponent to hold; fitted where it is not given"),
                     must=POSITIVE, range=Span(0.25, 4.0), default=None),
        ),
        results=(
            Result("day", "d", text("day on which it is reached; none where it never is")),
            Result("low", "d", text("low end of the 95 % interval")),
            Result("high", "d", text("high end of the 95 % interval; none where it has no end")),
            Result("final", "-", text("hardness that the film grows to")),
            Result("rate", "-", text("growth constant k, per day to the power m")),
            Result("exponent", "-", text("Avrami exponent m")),
        ),
        accuracy=text(
            "the interval is first order in the fit's covariance; early readings alone say little "
            "of the final hardness, and the interval shows it; for lacquer no published constants "
            "were found, only the form: readings of one's own decide"
        ),
        sources=(
            _FORM,
            Source("published", "NIST StRD, BoxBOD: certified fit of the first-order form"),
            Source("measured", "the works' own pendulum readings"),
        ),
        worked=Worked(
            {"readings": [[1.0, 109.0], [2.0, 149.0], [3.0, 149.0], [5.0, 191.0], [7.0, 213.0],
                          [10.0, 224.0]],
             "threshold": 180.0, "exponent": 1.0},
            {"final": 213.80940889, "rate": 0.54723748542, "day": 3.3701},
            tolerance=1e-4,
        ),
        also=_also,
    ),
)  # fmt: skip
