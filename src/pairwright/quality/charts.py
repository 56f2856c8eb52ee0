"""Control limits of the usual charts, three standard deviations from the centre.

Limits describe what the process did while the data were taken. They are no tolerance, and they
mean little while a point lies outside them: find its cause first, then compute again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, NoReturn, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text
from pairwright.quality.constants import chart_constants

Floats: TypeAlias = NDArray[np.float64]
Chart: TypeAlias = Literal["xbar_r", "xbar_s", "individuals", "c", "p"]
CHARTS: Final[tuple[str, ...]] = ("xbar_r", "xbar_s", "individuals", "c", "p")


@dataclass(frozen=True, slots=True)
class ControlLimits:
    """Limits in the unit of the data; the spread is None where the chart has none.

    `sigma` is the standard deviation of one value, within the subgroup; of one count (c) or of one
    share at the mean number inspected (p). `points` are what is plotted, `lower_each` and
    `upper_each` the limits of each point (they differ where the numbers inspected differ),
    `outside` the places of the points beyond them, `spread_outside` of the ranges or sds.
    """

    chart: Chart
    centre: float
    lower: float
    upper: float
    spread_centre: float | None
    spread_lower: float | None
    spread_upper: float | None
    sigma: float
    points: tuple[float, ...]
    lower_each: tuple[float, ...]
    upper_each: tuple[float, ...]
    outside: tuple[int, ...]
    spread_outside: tuple[int, ...]


def subgroup_limits(groups: Sequence[Sequence[float]], *, spread: Literal["range", "sd"]) -> ControlLimits:
    """Limits of the mean and the spread of subgroups, in the unit of the data. [-]

    Parameters
    ----------
    groups : sequence of sequences of float
        Subgroups of equal size, at least two values each, in order of time. [-]
    spread : str
        ``range`` or ``sd``: which spread the second chart shows. [-]

    Returns
    -------
    ControlLimits
        Of the means, and of the ranges or standard deviations. [-]

    Notes
    -----
    Means: grand mean -/+ A2 mean range, or -/+ A3 mean sd. Ranges: D3 and D4 times the mean range;
    sds: B3 and B4 times the mean sd. sigma = mean range/d2, or mean sd/c4. Above ten values in a
    subgroup the range wastes what they say; use the sd.

    References
    ----------
    .. [1] D. C. Montgomery, Introduction to Statistical Quality Control, chapter 6.
    .. [2] ISO 7870-2, Shewhart control charts.

    Examples
    --------
    >>> found = subgroup_limits([[1.0, 3.0], [2.0, 4.0], [2.0, 2.0]], spread="range")
    >>> round(found.centre, 3), round(found.upper, 3), round(found.sigma, 3)
    (2.333, 4.84, 1.182)
    """
    values = np.asarray(groups, dtype=np.float64)
    k = chart_constants(values.shape[1])
    means = values.mean(axis=1)
    centre = float(means.mean())
    if spread == "range":
        spreads = values.max(axis=1) - values.min(axis=1)
        half, low, high, unbias = k.A2, k.D3, k.D4, k.d2
    else:
        spreads = values.std(axis=1, ddof=1)
        half, low, high, unbias = k.A3, k.B3, k.B4, k.c4
    mean_spread = float(spreads.mean())
    return _limits(
        "xbar_r" if spread == "range" else "xbar_s", means, centre,
        half=np.full(means.size, half * mean_spread), sigma=mean_spread / unbias,
        spreads=spreads, spread=(mean_spread, low * mean_spread, high * mean_spread),
    )  # fmt: skip


def individual_limits(values: Sequence[float]) -> ControlLimits:
    """Limits of single values and of their moving range, in the unit of the data. [-]

    Parameters
    ----------
    values : sequence of float
        At least two, in order of time. [-]

    Returns
    -------
    ControlLimits
        Of the values, and of the range of two neighbours. [-]

    Notes
    -----
    Mean -/+ 3 MR/d2 with d2 for two values; MR up to D4 MR. Neighbours that follow each other (slow
    drift, one batch of lacquer) make the moving range, and so the limits, too narrow.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.

    Examples
    --------
    >>> found = individual_limits([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(found.centre, 2), round(found.upper, 2), round(found.lower, 2)
    (50.81, 55.8, 45.82)
    """
    points = np.asarray(values, dtype=np.float64)
    moving = np.abs(np.diff(points))
    k = chart_constants(2)
    mean_range = float(moving.mean())
    return _limits(
        "individuals", points, float(points.mean()),
        half=np.full(points.size, k.E2 * mean_range), sigma=mean_range / k.d2,
        spreads=moving, spread=(mean_range, k.D3 * mean_range, k.D4 * mean_range),
    )  # fmt: skip


def count_limits(counts: Sequence[float]) -> ControlLimits:
    """Limits of counts of faults in equal areas of opportunity. [-]

    Parameters
    ----------
    counts : sequence of float
        Faults in each; whole numbers. [-]

    Returns
    -------
    ControlLimits
        Of the counts; the lower limit is at least 0. [-]

    Notes
    -----
    Mean -/+ 3 times its root (Poisson). Below a mean of about 5 the true chance of a false alarm is
    well above that of three sd on the upper side.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1.

    Examples
    --------
    >>> found = count_limits([16, 14, 18, 16])
    >>> found.lower, found.upper
    (4.0, 28.0)
    """
    points = np.asarray(counts, dtype=np.float64)
    centre = float(points.mean())
    sigma = math.sqrt(centre)
    return _limits("c", points, centre, half=np.full(points.size, 3.0 * sigma), sigma=sigma, floor=0.0)


def share_limits(bad: Sequence[float], inspected: Sequence[float]) -> ControlLimits:
    """Limits of the share of bad pieces. [-]

    Parameters
    ----------
    bad : sequence of float
        Bad pieces in each sample; whole numbers. [-]
    inspected : sequence of float
        Pieces in each sample. [-]

    Returns
    -------
    ControlLimits
        Of the share; `lower` and `upper` at the mean number inspected, `lower_each` and
        `upper_each` at each sample's own. [-]

    Notes
    -----
    p = all bad/all inspected; p -/+ 3 sqrt(p (1 - p)/n), kept within 0 and 1. Needs n p of about 5
    or more; below, the lower limit is 0 and says nothing.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2.

    Examples
    --------
    >>> found = share_limits([12, 15, 8], [50, 50, 50])
    >>> round(found.centre, 4), round(found.upper, 4), round(found.lower, 4)
    (0.2333, 0.4128, 0.0539)
    """
    faults, sizes = np.asarray(bad, dtype=np.float64), np.asarray(inspected, dtype=np.float64)
    centre = float(faults.sum() / sizes.sum())
    one = math.sqrt(centre * (1.0 - centre))
    sigma = one / math.sqrt(float(sizes.mean()))
    return _limits(
        "p", faults / sizes, centre, half=3.0 * one / np.sqrt(sizes), sigma=sigma, floor=0.0, ceiling=1.0
    )


def _limits(
    chart: Chart,
    points: Floats,
    centre: float,
    *,
    half: Floats,
    sigma: float,
    spreads: Floats | None = None,
    spread: tuple[float, float, float] | None = None,
    floor: float = -math.inf,
    ceiling: float = math.inf,
) -> ControlLimits:
    low, high = np.maximum(centre - half, floor), np.minimum(centre + half, ceiling)
    width = 3.0 * sigma if chart == "p" else float(half[0])
    outside = np.flatnonzero((points < low) | (points > high))
    wild: tuple[int, ...] = ()
    if spreads is not None and spread is not None:
        wild = tuple(map(int, np.flatnonzero((spreads < spread[1]) | (spreads > spread[2]))))
    middle, bottom, top = spread or (None, None, None)
    return ControlLimits(
        chart, centre, max(floor, centre - width), min(ceiling, centre + width), middle, bottom, top, sigma,
        tuple(map(float, points)), tuple(map(float, low)), tuple(map(float, high)),
        tuple(map(int, outside)), wild,
    )  # fmt: skip


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    raise InputError(
        Problem("calc control_limits", field, must_be, "nothing" if got is None else shown(got), do)
    )


def _subgroups(data: Sequence[Any]) -> list[list[float]]:
    for n, row in enumerate(data):
        if not isinstance(row, Sequence) or not all(isinstance(v, int | float) for v in row):
            _wrong(f"data[{n}]", text("a subgroup: a list of numbers"), row,
                   do=text("write [[…], […]], one list for each subgroup"))  # fmt: skip
        if len(row) != len(data[0]) or len(row) < 2:
            _wrong(f"data[{n}]", text("as many values as the first subgroup, at least 2"), row,
                   do=text("leave incomplete subgroups out"))  # fmt: skip
    return [list(row) for row in data]


def _singles(data: Sequence[Any], *, whole: bool) -> list[float]:
    for n, value in enumerate(data):
        good = isinstance(value, int | float) and (not whole or (value >= 0 and value == int(value)))
        if not good:
            must = text("a whole number, at least 0") if whole else text("one number")
            _wrong(f"data[{n}]", must, value, do=text("write a plain list of numbers"))
    return list(data)


def _shares(data: Sequence[Any]) -> tuple[list[float], list[float]]:
    for n, row in enumerate(data):
        good = (
            isinstance(row, Sequence)
            and len(row) == 2
            and all(isinstance(v, int | float) and v == int(v) for v in row)
            and 0 <= row[0] <= row[1]
            and row[1] > 0
        )
        if not good:
            _wrong(f"data[{n}]", text("[bad, inspected]: whole numbers, bad at most inspected"), row,
                   do=text("count again"))  # fmt: skip
    return [row[0] for row in data], [row[1] for row in data]


def _control_limits_law(chart: Chart, data: Sequence[Any]) -> dict[str, Any]:
    match chart:
        case "xbar_r" | "xbar_s":
            found = subgroup_limits(_subgroups(data), spread="range" if chart == "xbar_r" else "sd")
        case "individuals":
            if len(data) < 2:
                _wrong("data", text("at least two values"), data, do=text("collect more values"))
            found = individual_limits(_singles(data, whole=False))
        case "c":
            found = count_limits(_singles(data, whole=True))
        case _:
            found = share_limits(*_shares(data))
    return {
        "centre": found.centre, "lower": found.lower, "upper": found.upper,
        "spread_centre": found.spread_centre, "spread_lower": found.spread_lower,
        "spread_upper": found.spread_upper, "sigma": found.sigma,
        "lower_each": list(found.lower_each), "upper_each": list(found.upper_each),
        "outside": list(found.outside), "spread_outside": list(found.spread_outside),
    }  # fmt: skip


_HANDBOOK: Final = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="control_limits",
        title=text("Control limits of a chart"),
        function=_control_limits_law,
        arguments=(
            Argument("chart", "-", text("xbar_r: means and ranges of subgroups; xbar_s: means and sds; "
                                        "individuals: single values and moving range; c: counts of faults; "
                                        "p: share of bad pieces"), shape="word", choices=CHARTS),
            Argument("data", "-", text("in order of time: a list of subgroups (xbar_r, xbar_s), of values "
                                       "(individuals), of counts (c), of [bad, inspected] (p)"),
                     shape="rows"),
        ),
        results=(
            Result("centre", "-", text("centre line, in the unit of the data")),
            Result("lower", "-", text("lower limit; for p at the mean number inspected")),
            Result("upper", "-", text("upper limit; for p at the mean number inspected")),
            Result("spread_centre", "-", text("mean range, sd or moving range; none for c and p")),
            Result("spread_lower", "-", text("its lower limit")),
            Result("spread_upper", "-", text("its upper limit")),
            Result("sigma", "-", text("sd of one value within its subgroup; of one count; of one share")),
            Result("lower_each", "-", text("lower limit of each point")),
            Result("upper_each", "-", text("upper limit of each point")),
            Result("outside", "-", text("points outside, counted from 0")),
            Result("spread_outside", "-", text("ranges or sds outside, counted from 0")),
        ),
        accuracy=text("factors to 11 digits (printed tables: 3 decimals); exact for independent normal values"),
        sources=(
            Source("published", "D. C. Montgomery, Introduction to Statistical Quality Control, chapters 6, 7"),
            Source("published", "NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2 and 6.3.3"),
            Source("standard", "ISO 7870-2, Shewhart control charts"),
        ),
        worked=Worked(
            {"chart": "individuals", "data": _HANDBOOK},
            {"centre": 50.81, "lower": 45.8159, "upper": 55.8041, "spread_centre": 1.8778,
             "spread_upper": 6.1347},
            tolerance=5e-4,
        ),
    ),
)  # fmt: skip
