"""Capability: how the scatter of a process fits into its limits, and how sure that is.

The standard deviation here is that of *all* values about their mean (n - 1), so long-term scatter is
inside: strictly the indices are those of performance. For the short-term figure give the mean and
the within-subgroup sigma of `control_limits` instead of the data.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NoReturn

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import ANY, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text
from pairwright.quality.shapes import (
    POSITIVE_SHAPES,
    SHAPES,
    Floats,
    Percentiles,
    Shape,
    fitted,
    of_moments,
    tail,
)

_ENOUGH: Final = 741  # 1/0.00135: fewer, and the outer percentiles lie outside the data
_FEW: Final = 30  # below, Bissell's interval is an approximation of doubtful quality


@dataclass(frozen=True, slots=True)
class Capability:
    """Indices with their interval [-], share outside the limits [ppm]; None without that limit."""

    cp: float | None
    cpk: float
    cp_low: float | None
    cp_high: float | None
    cpk_low: float
    cpk_high: float
    ppm: float


def normal_capability(
    lower: float | None,
    upper: float | None,
    *,
    mean: float,
    sd: float,
    n: int,
    confidence: float = 0.95,
) -> Capability:
    """Capability of a normal process. [-]

    Parameters
    ----------
    lower : float or None
        Lower limit, None where there is none. [-]
    upper : float or None
        Upper limit, None where there is none; one of both is needed. [-]
    mean : float
        Of the values, in the unit of the limits. [-]
    sd : float
        Of the values, above 0. [-]
    n : int
        Number of values behind the sd, at least 2. [-]
    confidence : float
        Of the two-sided intervals. [-]

    Returns
    -------
    Capability
        Cp = (U - L)/6s, Cpk = min(U - m, m - L)/3s, their intervals, expected ppm outside. [-]

    Notes
    -----
    Cp's interval is exact (chi-square with n - 1 degrees of freedom); Cpk's is Bissell's normal
    approximation, Cpk -/+ z sqrt(1/(9n) + Cpk^2/(2(n - 1))), good from about 30 values on.

    References
    ----------
    .. [1] A. F. Bissell, How reliable is your capability index?, Applied Statistics 39 (1990) 331-340.
    .. [2] D. C. Montgomery, Introduction to Statistical Quality Control, chapter 8.

    Examples
    --------
    >>> found = normal_capability(38.0, 62.0, mean=50.0, sd=1.75, n=20)
    >>> [round(v, 2) for v in (found.cp, found.cp_low, found.cp_high)]
    [2.29, 1.56, 3.01]
    """
    from scipy.special import ndtri

    arms = [mean - lower] if lower is not None else []
    arms += [upper - mean] if upper is not None else []
    cpk = min(arms) / (3.0 * sd)
    half = float(ndtri(0.5 + 0.5 * confidence)) * math.sqrt(1.0 / (9.0 * n) + cpk * cpk / (2.0 * (n - 1)))
    cp = None if lower is None or upper is None else (upper - lower) / (6.0 * sd)
    small, large = sd_factors(n, confidence=confidence)
    return Capability(
        cp, cpk, None if cp is None else cp * small, None if cp is None else cp * large,
        cpk - half, cpk + half, 1e6 * math.fsum(tail(arm / sd) for arm in arms),
    )  # fmt: skip


def sd_factors(n: int, *, confidence: float) -> tuple[float, float]:
    """What an inverse sample sd is multiplied with to bound the true inverse sd. [-]

    Parameters
    ----------
    n : int
        Values behind the sd. [-]
    confidence : float
        Of the two-sided interval. [-]

    Returns
    -------
    tuple of float
        sqrt(chi2/(n - 1)) at both tails. [-]

    Examples
    --------
    >>> [
    ...     round(v * v * 19, 2) for v in sd_factors(20, confidence=0.95)
    ... ]  # chi-square tables: 8.91, 32.85
    [8.91, 32.85]
    """
    from scipy.special import chdtri

    tail = 0.5 * (1.0 - confidence)
    return (
        math.sqrt(float(chdtri(n - 1, 1.0 - tail)) / (n - 1)),
        math.sqrt(float(chdtri(n - 1, tail)) / (n - 1)),
    )


def percentile_indices(
    lower: float | None, upper: float | None, *, places: Percentiles
) -> tuple[float | None, float]:
    """Indices of a process of any shape, from its percentiles. [-]

    Parameters
    ----------
    lower : float or None
        Lower limit, None where there is none. [-]
    upper : float or None
        Upper limit, None where there is none. [-]
    places : Percentiles
        Of the process, in the unit of the limits. [-]

    Returns
    -------
    tuple
        (U - L)/(x99.865 - x0.135), None without both limits; and the smaller of
        (U - x50)/(x99.865 - x50) and (x50 - L)/(x50 - x0.135). [-]

    References
    ----------
    .. [1] ISO 22514-2, Process capability and performance of time-dependent process models.

    Examples
    --------
    >>> wide, near = percentile_indices(0.4, 2.5, places=Percentiles(0.472369, 1.0, 2.116988))
    >>> round(wide, 4), round(near, 4)
    (1.2769, 1.1372)
    """
    arms = [(upper - places.middle) / (places.high - places.middle)] if upper is not None else []
    arms += [(places.middle - lower) / (places.middle - places.low)] if lower is not None else []
    both = None if lower is None or upper is None else (upper - lower) / (places.high - places.low)
    return both, min(arms)


def percentile_capability(
    lower: float | None,
    upper: float | None,
    *,
    shape: Shape,
    confidence: float = 0.95,
    seed: int = 1,
    resamples: int = 1000,
) -> Capability:
    """Capability from percentiles, whatever the distribution. [-]

    Parameters
    ----------
    lower : float or None
        Lower limit, None where there is none. [-]
    upper : float or None
        Upper limit, None where there is none; one of both is needed. [-]
    shape : Shape
        How the values are spread. [-]
    confidence : float
        Of the two-sided intervals. [-]
    seed : int
        Of the resampling: the same seed gives the same interval. [-]
    resamples : int
        How often. [-]

    Returns
    -------
    Capability
        Indices, intervals, ppm outside (by the shape; counted where as measured). [-]

    Notes
    -----
    Intervals by the bootstrap's percentiles: as measured redraws the data, a fitted shape draws from
    itself and is fitted anew. As measured needs some 1000 values before x0.135 lies among them;
    below, the outermost value stands for it and the indices flatter the process.

    References
    ----------
    .. [1] ISO 22514-2, Process capability and performance of time-dependent process models.
    .. [2] B. Efron, R. J. Tibshirani, An Introduction to the Bootstrap, 1993, chapters 6 and 13.

    Examples
    --------
    >>> found = percentile_capability(0.7, 1.4, shape=of_moments("lognormal", 1.0, sd=0.1, n=50))
    >>> round(found.cp, 2), round(found.cpk, 2), found.cpk_low < found.cpk < found.cpk_high
    (1.16, 1.15, True)
    """
    cp, cpk = percentile_indices(lower, upper, places=shape.percentiles())
    rng = np.random.default_rng(seed)
    drawn = []
    for _ in range(resamples):
        places = shape.again(rng).percentiles()
        if places.low < places.middle < places.high:
            drawn.append(percentile_indices(lower, upper, places=places))
    ends = (0.5 * (1.0 - confidence), 0.5 * (1.0 + confidence))
    near = _between([k for _, k in drawn], ends)
    wide = _between([c for c, _ in drawn if c is not None], ends) if cp is not None else None
    share = 0.0 if lower is None else shape.below(lower)
    share += 0.0 if upper is None else shape.above(upper)
    cp_low, cp_high = wide or (None, None)
    return Capability(cp, cpk, cp_low, cp_high, near[0], near[1], 1e6 * share)


def _between(values: Sequence[float], ends: tuple[float, float]) -> tuple[float, float]:
    low, high = np.quantile(values, ends)
    return float(low), float(high)


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    raise InputError(Problem("calc capability", field, must_be, "nothing" if got is None else shown(got), do))


def _capability_law(
    lower: float | None,
    upper: float | None,
    data: Sequence[float] | None,
    mean: float | None,
    sd: float | None,
    n: int | None,
    method: str,
    distribution: str | None,
    confidence: float,
    seed: int,
) -> dict[str, Any]:
    _check_limits(lower, upper)
    _check_source(data, mean, sd, n)
    values = None if data is None else np.asarray(data, dtype=np.float64)
    if values is not None:
        mean, sd, n = float(values.mean()), float(values.std(ddof=1)), values.size
        if sd <= 1e-13 * max(1e-300, abs(mean)):
            _wrong("data", text("values that differ"), data, do=text("read with a finer instrument"))
    if mean is None or sd is None or n is None:
        raise AssertionError("checked above")
    if method == "normal":
        if distribution not in (None, "normal"):
            _wrong("distribution", text("left out, or normal, for the method normal"), distribution,
                   do=text("choose the method percentile"))  # fmt: skip
        found = normal_capability(lower, upper, mean=mean, sd=sd, n=n, confidence=confidence)
    else:
        shape = _shape(distribution, values, mean=mean, sd=sd, n=n)
        rounds = max(200, min(1000, 10_000_000 // n))
        found = percentile_capability(
            lower, upper, shape=shape, confidence=confidence, seed=seed, resamples=rounds
        )
    return {
        "cp": found.cp, "cpk": found.cpk, "cp_low": found.cp_low, "cp_high": found.cp_high,
        "cpk_low": found.cpk_low, "cpk_high": found.cpk_high, "ppm": found.ppm,
        "mean": mean, "sd": sd, "n": n,
    }  # fmt: skip


def _check_limits(lower: float | None, upper: float | None) -> None:
    if lower is None and upper is None:
        _wrong("lower", text("a limit, here or in upper"), None, do=text("state at least one limit"))
    if lower is not None and upper is not None and lower >= upper:
        _wrong("upper", text("above the lower limit, {lower}", lower=lower), upper, do=text("exchange them"))


def _check_source(data: object, mean: object, sd: object, n: object) -> None:
    given = {"mean": mean, "sd": sd, "n": n}
    stated = [name for name, value in given.items() if value is not None]
    if data is not None and stated:
        _wrong(stated[0], text("left out where data are given"), given[stated[0]],
               do=text("give the data, or mean, sd and n"))  # fmt: skip
    if data is None and len(stated) < 3:
        missing = next(name for name, value in given.items() if value is None)
        _wrong(missing if stated else "data", text("given: data, or mean, sd and n"), None,
               do=text("give the data, or mean, sd and n"))  # fmt: skip


def _shape(name: str | None, values: Floats | None, *, mean: float, sd: float, n: int) -> Shape:
    if values is None:
        if name not in (None, "normal", "lognormal"):
            _wrong("distribution", text("normal or lognormal where there are no data"), name,
                   do=text("give the data"))  # fmt: skip
        if name == "lognormal" and mean <= 0.0:
            _wrong("mean", text("above 0 for the distribution lognormal"), mean, do=text("choose another"))
        return of_moments(name or "normal", mean, sd=sd, n=n)
    if name in POSITIVE_SHAPES and values.min() <= 0.0:
        _wrong(f"data[{int(values.argmin())}]", text("above 0 for the distribution {name}", name=name or ""),
               float(values.min()), do=text("choose another distribution"))  # fmt: skip
    return fitted(name or "as_measured", values)


def _few(inputs: Mapping[str, Any]) -> list[Finding]:
    n = len(inputs["data"]) if inputs["data"] is not None else inputs["n"]
    as_measured = (
        inputs["method"] == "percentile"
        and inputs["data"] is not None
        and inputs["distribution"] in (None, "as_measured")
    )
    if as_measured and n < _ENOUGH:
        said = text(
            "{n} values: fewer than {least}, so the outermost ones stand for the 0.135 and 99.865 % places; "
            "state a distribution, or take the indices as too good",
            n=n, least=_ENOUGH,
        )  # fmt: skip
        return [Finding("few_measurements", "warning", "capability", said, LAWS[0].sources[2])]
    if n < _FEW:
        said = text("{n} values: the interval is wide, and approximate below {least}", n=n, least=_FEW)
        return [Finding("few_measurements", "note", "capability", said, LAWS[0].sources[0])]
    return []


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="capability",
        title=text("Capability of a process"),
        function=_capability_law,
        arguments=(
            Argument("lower", "-", text("lower limit; none where there is none"), ANY, default=None),
            Argument("upper", "-", text("upper limit; none where there is none"), ANY, default=None),
            Argument("data", "-", text("the values; their sd is that of all values about their mean (n - 1), "
                                       "so it holds long-term scatter too"),
                     shape="numbers", least=2, default=None),
            Argument("mean", "-", text("in place of data: mean of the values"), ANY, default=None),
            Argument("sd", "-", text("in place of data: their sd, overall or within subgroups as you choose"),
                     POSITIVE, default=None),
            Argument("n", "-", text("in place of data: how many values"), Span(2), shape="whole",
                     default=None),
            Argument("method", "-", text("normal: mean and sd; percentile: 0.135, 50 and 99.865 %"),
                     shape="word", choices=("normal", "percentile"), default="normal"),
            Argument("distribution", "-", text("for percentile: as measured (with data) or normal (without) "
                                               "unless stated"),
                     shape="word", choices=SHAPES, default=None),
            Argument("confidence", "-", text("of the two-sided intervals"),
                     Span(0.0, 1.0, open_low=True, open_high=True), Span(0.5, 0.999), default=0.95),
            Argument("seed", "-", text("of the resampling behind the percentile intervals"), Span(0.0),
                     shape="whole", default=1),
        ),
        results=(
            Result("cp", "-", text("(upper - lower)/6 sd, or over the 99.73 % span; none with one limit")),
            Result("cpk", "-", text("distance to the nearer limit over 3 sd, or over the half span there")),
            Result("cp_low", "-", text("interval of cp, low end")),
            Result("cp_high", "-", text("interval of cp, high end")),
            Result("cpk_low", "-", text("interval of cpk, low end")),
            Result("cpk_high", "-", text("interval of cpk, high end")),
            Result("ppm", "-", text("expected outside the limits, in a million; counted where as measured")),
            Result("mean", "-", text("mean of the values")),
            Result("sd", "-", text("sd that was used")),
            Result("n", "-", text("number of values")),
        ),
        accuracy=text("cp exact for normal values; cpk's interval to about 0.03 at 20 values; percentile "
                      "intervals by 1000 resamples; a chart must show a steady process first"),
        sources=(
            Source("published", "A. F. Bissell, How reliable is your capability index?, Applied Statistics "
                                "39 (1990) 331-340"),
            Source("published", "D. C. Montgomery, Introduction to Statistical Quality Control, chapter 8"),
            Source("standard", "ISO 22514-2, capability and performance of time-dependent process models"),
        ),
        worked=Worked(
            {"lower": 38.0, "upper": 62.0, "mean": 50.0, "sd": 1.75, "n": 20},
            {"cp": 2.29, "cp_low": 1.57, "cp_high": 3.01},
            tolerance=4e-3,
        ),
        also=_few,
    ),
)  # fmt: skip
