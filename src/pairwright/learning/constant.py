"""One constant from many observations in groups: its value, its uncertainty, what does not belong.

Observations of one batch, lot or day are alike: counted one by one they would promise too much. The
scatter between groups is estimated beside that within them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

OUTLYING: Final = 4.0  # robust standard deviations from the middle of all [-]
LEAST: Final = 4  # observations


@dataclass(frozen=True, slots=True)
class Estimate:
    """A constant: `value`, standard `uncertainty`, 95 % interval [unit of the observations].

    `within` and `between` groups: standard deviations; `count` observations in `groups`; `outliers` are
    places of observations that were left out.
    """

    value: float
    uncertainty: float
    low: float
    high: float
    within: float
    between: float
    count: int
    groups: int
    outliers: tuple[tuple[str, int], ...] = ()


def estimate(observations: Mapping[str, Sequence[float]]) -> Estimate:
    """The mean of a population of groups.

    Parameters
    ----------
    observations : Mapping[str, Sequence[float]]
        Values by group; four at least in all. [unit]

    Notes
    -----
    One-way random effects. Variance components by analysis of variance (Henderson), a negative one
    counted as 0; the mean weights each group by 1/(between + within/n); the interval uses Student's t with
    as many degrees of freedom as groups allow (Satterthwaite between the two components). Outliers are
    found by the median absolute deviation, told and left out.

    References
    ----------
    .. [1] S. R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992, ch. 3.
    .. [2] B. Iglewicz, D. C. Hoaglin, How to Detect and Handle Outliers, 1993 (median absolute deviation).
    """
    from scipy.stats import t

    rows, outliers = _clean(observations)
    count, groups = sum(len(r) for r in rows.values()), len(rows)
    if count < LEAST:
        raise InputError(
            Problem("learning", "observations", text("{n} or more", n=LEAST), shown(count),
                    text("wait until more has been recorded"))
        )  # fmt: skip
    within, between, freedom = _components(rows)
    weight = np.array(
        [1.0 / (between + within / len(r)) if between + within else float(len(r)) for r in rows.values()]
    )
    means = np.array([np.mean(r) for r in rows.values()])
    value = float(np.sum(weight * means) / np.sum(weight))
    uncertainty = math.sqrt(1.0 / float(np.sum(weight))) if between + within else 0.0
    half = float(t.ppf(0.975, freedom)) * uncertainty
    return Estimate(value, uncertainty, value - half, value + half, math.sqrt(within), math.sqrt(between),
                    count, groups, outliers)  # fmt: skip


def estimate_ratio(observations: Mapping[str, Sequence[float]]) -> Estimate:
    """A factor by which reality differs from the model: the same on logarithms, told as a factor.

    Parameters
    ----------
    observations : Mapping[str, Sequence[float]]
        Observed over modelled, above 0, by group. [-]

    Examples
    --------
    >>> one = estimate_ratio({"a": [1.1, 1.2], "b": [1.15, 1.1], "c": [1.2, 1.12]})
    >>> 1.05 < one.low < one.value < one.high < 1.25
    True
    """
    logs = {name: [math.log(v) for v in row] for name, row in observations.items()}
    one = estimate(logs)
    value = math.exp(one.value)
    return Estimate(value, value * one.uncertainty, math.exp(one.low), math.exp(one.high), one.within, one.between,
                    one.count, one.groups, one.outliers)  # fmt: skip


def _clean(
    observations: Mapping[str, Sequence[float]],
) -> tuple[dict[str, list[float]], tuple[tuple[str, int], ...]]:
    """Observations without what lies far from all others, and the places of that."""
    everything = np.array([v for row in observations.values() for v in row], dtype=np.float64)
    if everything.size and not np.isfinite(everything).all():
        raise InputError(
            Problem("learning", "observations", text("numbers throughout"), "NaN or infinity",
                    text("leave out what was not measured"))
        )  # fmt: skip
    middle = float(np.median(everything)) if everything.size else 0.0
    scale = 1.4826 * float(np.median(np.abs(everything - middle))) if everything.size else 0.0
    kept: dict[str, list[float]] = {}
    out: list[tuple[str, int]] = []
    for name in sorted(observations):
        for place, value in enumerate(observations[name]):
            if scale > 0.0 and abs(value - middle) > OUTLYING * scale:
                out.append((name, place))
            else:
                kept.setdefault(name, []).append(float(value))
    return kept, tuple(out)


def _components(rows: Mapping[str, Sequence[float]]) -> tuple[float, float, float]:
    """Variances within and between groups, and degrees of freedom of the mean."""
    sizes = np.array([len(r) for r in rows.values()], dtype=np.float64)
    means = np.array([float(np.mean(r)) for r in rows.values()])
    count, groups = float(sizes.sum()), len(sizes)
    squares_within = sum(float(np.sum((np.asarray(r) - np.mean(r)) ** 2)) for r in rows.values())
    grand = float(np.sum(sizes * means) / count)
    squares_between = float(np.sum(sizes * (means - grand) ** 2))
    free_within, free_between = count - groups, groups - 1.0
    if free_between < 1.0:
        return squares_within / max(free_within, 1.0), 0.0, max(free_within, 1.0)
    mean_between = squares_between / free_between
    if free_within < 1.0:
        return 0.0, mean_between, free_between
    within = squares_within / free_within
    typical = (count - float(np.sum(sizes**2)) / count) / free_between
    between = max(0.0, (mean_between - within) / typical)
    if between == 0.0:
        pooled = (squares_within + squares_between) / (free_within + free_between)
        return pooled, 0.0, free_within + free_between
    return within, between, free_between


@dataclass(frozen=True, slots=True)
class Share:
    """A share of cases, such as a yield: `value`, and a 95 % interval. [-]"""

    value: float
    low: float
    high: float
    hits: int
    of: int


def estimate_share(hits: int, of: int) -> Share:
    """A share from counts, with the interval of Jeffreys. [-]

    Parameters
    ----------
    hits : int
        How often it happened.
    of : int
        Of how many.

    References
    ----------
    .. [1] L. D. Brown, T. T. Cai, A. DasGupta, Statist. Sci. 16 (2001) 101-133.

    Examples
    --------
    >>> one = estimate_share(5, 100)
    >>> round(one.low, 4), round(one.high, 4)
    (0.0193, 0.1061)
    """
    from scipy.stats import beta

    if not 0 <= hits <= of or of < 1:
        raise InputError(
            Problem(
                "learning",
                "counts",
                text("0 up to all of at least 1"),
                shown([hits, of]),
                text("count again"),
            )
        )
    low = 0.0 if hits == 0 else float(beta.ppf(0.025, hits + 0.5, of - hits + 0.5))
    high = 1.0 if hits == of else float(beta.ppf(0.975, hits + 0.5, of - hits + 0.5))
    return Share(hits / of, low, high, hits, of)
