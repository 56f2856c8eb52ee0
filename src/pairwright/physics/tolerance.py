"""Tolerance chains in one dimension: worst case, root sum of squares, Monte Carlo."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.laws import NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

Shape: TypeAlias = Literal["normal", "uniform", "triangular"]
SHAPES: Final[tuple[str, ...]] = ("normal", "uniform", "triangular")
# Half width over standard deviation.
_HALF_WIDTHS: Final[Mapping[str, float]] = {
    "normal": 3.0, "uniform": math.sqrt(3.0), "triangular": math.sqrt(6.0)
}  # fmt: skip
_TERMS: Final = 8192  # of the Fourier series
_CHUNK: Final = 16384  # draws at a time: stays in the cache of one core


@dataclass(frozen=True, slots=True)
class Contributor:
    """One link: nominal [m], half width of its tolerance [m], sensitivity [-], distribution.

    A normal link has a standard deviation of a third of the half width, unless `sd` [m] states the
    measured one. `shift` [m] is the mean of what is made less the nominal size.
    """

    nominal: float
    tolerance: float
    sensitivity: float = 1.0
    distribution: Shape = "normal"
    sd: float | None = None
    shift: float = 0.0

    @property
    def spread(self) -> float:
        """Standard deviation of the link itself [m]."""
        return self.tolerance / _HALF_WIDTHS[self.distribution] if self.sd is None else self.sd


@dataclass(frozen=True, slots=True)
class Chain:
    """What a chain closes to [m], and the share of variance of each link [-].

    `mean` is `nominal` with the measured shifts of the links.
    """

    nominal: float
    worst_low: float
    worst_high: float
    rss_low: float
    rss_high: float
    mc_low: float
    mc_high: float
    mc_sd: float
    sd: float
    contributions: tuple[float, ...]
    mean: float


def tolerance_chain(
    contributors: Sequence[Contributor],
    *,
    seed: int = 1,
    samples: int = 1_000_000,
    coverage: float = 0.95,
) -> Chain:
    """Closing size of a chain: worst case, RSS, Monte Carlo. [m]

    Parameters
    ----------
    contributors : Sequence[Contributor]
        The links. [-]
    seed : int
        Of the Monte Carlo draw: the same seed gives the same numbers. [-]
    samples : int
        Number of draws. [-]
    coverage : float
        Coverage probability of the Monte Carlo interval. [-]

    Returns
    -------
    Chain
        Limits, interval, contributions. [-]

    Notes
    -----
    Worst case: every link at its limit. RSS: root of the sum of squared half widths, the limit at
    which every link at its own limit is the rare case; where all links are normal it is 3 sd.
    Monte Carlo: probabilistically symmetric interval of the drawn values (JCGM 101, 7.7.2). Every
    distribution here is symmetric, so each draw is used with its mirror image, which halves the
    noise variance at no cost. It lies about the mean, which measured shifts move off nominal; worst
    case and RSS are the drawing's. Links are independent; parts cut in one set-up are not.

    References
    ----------
    .. [1] JCGM 101:2008, 5.9.2, 6.4 and 7.

    Examples
    --------
    >>> four = [Contributor(0.0, math.sqrt(3.0), distribution="uniform")] * 4
    >>> chain = tolerance_chain(four)
    >>> round(chain.mc_high, 1), chain.contributions[0]
    (3.9, 0.25)
    """
    nominal = math.fsum(c.sensitivity * c.nominal for c in contributors)
    middle = nominal + math.fsum(c.sensitivity * c.shift for c in contributors)
    arms = [abs(c.sensitivity) * c.tolerance for c in contributors]
    variances = [(c.sensitivity * c.spread) ** 2 for c in contributors]
    variance = math.fsum(variances)
    worst, rss = math.fsum(arms), math.sqrt(math.fsum(a * a for a in arms))
    drawn = draw(contributors, seed=seed, samples=samples)
    mc_sd = math.sqrt(float(drawn @ drawn) / samples)  # the mean is 0 by the mirror images
    half = mirrored_half_width(drawn, coverage)
    shares = tuple(v / variance if variance > 0.0 else 0.0 for v in variances)
    return Chain(
        nominal, nominal - worst, nominal + worst, nominal - rss, nominal + rss,
        middle - half, middle + half, mc_sd, math.sqrt(variance), shares, middle,
    )  # fmt: skip


def draw(contributors: Sequence[Contributor], *, seed: int, samples: int) -> NDArray[np.float64]:
    """Drawn deviations of the closing size from nominal. [m]

    Parameters
    ----------
    contributors : Sequence[Contributor]
        The links. [-]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]

    Returns
    -------
    ndarray, shape (samples,)
        Deviations. [m]

    Notes
    -----
    Normal links are summed before drawing: a sum of independent normals is one normal.

    Examples
    --------
    >>> draw([Contributor(1.0, 0.3)], seed=1, samples=3).shape
    (3,)
    """
    rng = np.random.default_rng(seed)
    normal = math.sqrt(math.fsum(
        (c.sensitivity * c.spread) ** 2 for c in contributors if c.distribution == "normal"
    ))  # fmt: skip
    others = [c for c in contributors if c.distribution != "normal" and c.spread > 0.0]
    total = np.empty(samples)
    for start in range(0, samples, _CHUNK):
        part = total[start : start + _CHUNK]
        rng.standard_normal(out=part)
        part *= normal
        for c in others:
            half = abs(c.sensitivity) * c.spread * _HALF_WIDTHS[c.distribution]
            if c.distribution == "uniform":
                part += (2.0 * half) * (rng.random(part.size) - 0.5)
            else:
                part += half * (rng.random(part.size) - rng.random(part.size))
    return total


def symmetric_interval(drawn: NDArray[np.float64], coverage: float) -> tuple[float, float]:
    """Probabilistically symmetric coverage interval of drawn values. [m]

    Parameters
    ----------
    drawn : ndarray
        Values, shape (n,). [m]
    coverage : float
        Coverage probability, such as 0.95. [-]

    Returns
    -------
    tuple of float
        Low and high end. [m]

    Notes
    -----
    Order statistics r and r + q of the sorted values with q = pM and r = (M - q)/2, both to the
    nearest whole number.

    References
    ----------
    .. [1] JCGM 101:2008, 7.7.2.

    Examples
    --------
    >>> symmetric_interval(np.arange(1.0, 101.0), 0.90)
    (5.0, 95.0)
    """
    count = int(drawn.size)
    inside = min(count - 1, int(coverage * count + 0.5))
    first = max(1, int((count - inside) / 2 + 0.5))
    last = min(count, first + inside)
    ends = np.partition(drawn, (first - 1, last - 1))
    return float(ends[first - 1]), float(ends[last - 1])


def mirrored_half_width(drawn: NDArray[np.float64], coverage: float) -> float:
    """Half width of the interval of drawn deviations and their mirror images. [m]

    Parameters
    ----------
    drawn : ndarray
        Deviations of a symmetric variable from its centre, shape (n,). [m]
    coverage : float
        Coverage probability. [-]

    Returns
    -------
    float
        Half width. [m]

    Examples
    --------
    >>> mirrored_half_width(np.arange(-100.0, 0.0), 0.95)
    95.0
    """
    count = int(drawn.size)
    place = min(count, max(1, int(coverage * count + 0.5))) - 1
    size = np.abs(drawn)
    size.partition(place)
    return float(size[place])


def share_within(drawn: NDArray[np.float64], low: float, *, high: float) -> float:
    """Share of drawn values inside limits. [-]

    Parameters
    ----------
    drawn : ndarray
        Values, shape (n,). [m]
    low : float
        Lower limit. [m]
    high : float
        Upper limit. [m]

    Returns
    -------
    float
        Share. [-]

    Examples
    --------
    >>> share_within(np.array([0.1, 0.2, 0.3, 0.4]), 0.15, high=0.35)
    0.5
    """
    return float(np.count_nonzero((drawn >= low) & (drawn <= high))) / drawn.size


def fraction_within(contributors: Sequence[Contributor], limit: float) -> float:
    """Share of closing sizes within a limit about their mean, not drawn but summed. [-]

    Parameters
    ----------
    contributors : Sequence[Contributor]
        The links. [-]
    limit : float
        Half width, above 0. [m]

    Returns
    -------
    float
        Probability. [-]

    Notes
    -----
    The characteristic function of a sum is the product of those of the links: a bell, sin(x)/x and its
    square. Its Fourier series on a period wider than the sum's range gives the probability; within 1e-4
    for one uniform link alone, within 1e-8 for three links or one normal among them.

    References
    ----------
    .. [1] J. Gil-Pelaez, "Note on the inversion theorem", Biometrika 38 (1951) 481-482.

    Examples
    --------
    >>> round(fraction_within([Contributor(0.1, 3.0)] * 4, 2.0 * 1.959964), 6)
    0.95
    """
    series = _series(contributors)
    return 1.0 if series is None else _within(series, limit)


def half_width_of(contributors: Sequence[Contributor], fraction: float) -> float:
    """Half width about the mean that holds a share of closing sizes. [m]

    Parameters
    ----------
    contributors : Sequence[Contributor]
        The links. [-]
    fraction : float
        Wanted share, between 0 and 1. [-]

    Returns
    -------
    float
        Half width, by halving. [m]

    Examples
    --------
    >>> flat = [Contributor(0.0, math.sqrt(3.0), distribution="uniform")] * 4
    >>> round(half_width_of(flat, 0.95), 5)  # exactly 3.879407
    3.87941
    """
    series = _series(contributors)
    if series is None:
        return 0.0
    low, high = 0.0, 0.5 * series[0]
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _within(series, middle) < fraction else (low, middle)
    return 0.5 * (low + high)


def _series(contributors: Sequence[Contributor]) -> tuple[float, NDArray[np.float64]] | None:
    """Period of the sum and its Fourier coefficients; None where nothing scatters."""
    normal = math.sqrt(math.fsum(
        (c.sensitivity * c.spread) ** 2 for c in contributors if c.distribution == "normal"
    ))  # fmt: skip
    flat = [(abs(c.sensitivity) * c.spread * _HALF_WIDTHS[c.distribution], c.distribution)
            for c in contributors if c.distribution != "normal" and c.spread > 0.0]  # fmt: skip
    reach = 9.0 * normal + math.fsum(half for half, _ in flat)
    if reach == 0.0:
        return None
    period = 2.2 * reach
    t = (2.0 * math.pi / period) * np.arange(1, _TERMS + 1)
    wave = np.exp(-0.5 * (normal * t) ** 2)
    for half, shape in flat:  # numpy's sinc has pi inside
        wave *= (
            np.sinc(half * t / math.pi) if shape == "uniform" else np.sinc(half * t / (2.0 * math.pi)) ** 2
        )
    return period, wave


def _within(series: tuple[float, NDArray[np.float64]], limit: float) -> float:
    period, wave = series
    if limit >= 0.5 * period:
        return 1.0
    k = np.arange(1, wave.size + 1)
    waves = float(np.sum(wave * np.sin((2.0 * math.pi * limit / period) * k) / k))
    return min(1.0, max(0.0, 2.0 * limit / period + 2.0 / math.pi * waves))


def _tolerance_chain_law(
    contributors: Sequence[Mapping[str, Any]], seed: int, samples: int
) -> dict[str, Any]:
    chain = tolerance_chain([Contributor(**c) for c in contributors], seed=seed, samples=samples)
    return {
        "nominal": chain.nominal, "worst_low": chain.worst_low, "worst_high": chain.worst_high,
        "rss_low": chain.rss_low, "rss_high": chain.rss_high,
        "mc_low": chain.mc_low, "mc_high": chain.mc_high,
        "mc_sd": chain.mc_sd, "sd": chain.sd, "mean": chain.mean,
        "contributions": list(chain.contributions),
    }  # fmt: skip


_LINK: Final = (
    Argument("nominal", "m", text("nominal size")),
    Argument("tolerance", "m", text("half width of the tolerance"), must=NOT_NEGATIVE),
    Argument("sensitivity", "-", text("change of the closing size per change of this one"),
             default=1.0),
    Argument("distribution", "-", text("shape of its scatter; a normal one has sd = tolerance/3"),
             shape="word", choices=SHAPES, default="normal"),
    Argument("sd", "m", text("measured standard deviation, in place of the one from the tolerance"),
             must=NOT_NEGATIVE, default=None),
    Argument("shift", "m", text("measured mean less the nominal size"), default=0.0),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="tolerance_chain",
        title=text("Tolerance chain: worst case, root sum of squares, Monte Carlo"),
        function=_tolerance_chain_law,
        arguments=(
            Argument("contributors", "-", text("the links of the chain"), shape="table", columns=_LINK),
            Argument("seed", "-", text("of the Monte Carlo draw"), must=NOT_NEGATIVE, shape="whole",
                     default=1),
            Argument("samples", "-", text("number of draws"), must=Span(1, 20_000_000), shape="whole",
                     range=Span(10_000), default=1_000_000),
        ),
        results=(
            Result("nominal", "m", text("closing size with every link at nominal")),
            Result("worst_low", "m", text("every link at its worst limit, low")),
            Result("worst_high", "m", text("every link at its worst limit, high")),
            Result("rss_low", "m", text("root sum of squares of the half widths, low")),
            Result("rss_high", "m", text("root sum of squares of the half widths, high")),
            Result("mc_low", "m", text("95 % interval of the drawn values, low end")),
            Result("mc_high", "m", text("95 % interval of the drawn values, high end")),
            Result("mc_sd", "m", text("standard deviation of the drawn values")),
            Result("sd", "m", text("standard deviation by propagation")),
            Result("mean", "m", text("closing size with every link at its mean")),
            Result("contributions", "-", text("share of the variance, link by link")),
        ),
        accuracy=text(
            "worst case and root sum of squares exact; Monte Carlo ends to about 0.003 "
            "standard deviations at 1 000 000 draws"
        ),
        sources=(
            Source("standard", "JCGM 101:2008, 7 (procedure) and 9.2 (additive model examples)"),
            Source("standard", "JCGM 100:2008, 5.1.2 (independent inputs)"),
        ),
        worked=Worked(
            {"contributors": [
                {"nominal": 0.0, "tolerance": 1.7320508, "distribution": "uniform"}] * 4},
            {"mc_low": -3.88, "mc_high": 3.88, "worst_high": 6.9282, "sd": 2.0},
            tolerance=5e-3,
        ),
    ),
)  # fmt: skip
