"""Distributions for capability: how the values of a process are spread, fitted or as measured."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
SHAPES: Final[tuple[str, ...]] = (
    "as_measured", "normal", "lognormal", "folded_normal", "rayleigh", "exponential",
)  # fmt: skip
POSITIVE_SHAPES: Final[tuple[str, ...]] = ("lognormal", "folded_normal", "rayleigh", "exponential")
_PLACES: Final = (0.0013498980316300946, 0.5, 0.9986501019683699)  # of a normal value at -3, 0, 3 sd


@dataclass(frozen=True, slots=True)
class Percentiles:
    """Places below which 0.135, 50 and 99.865 % of the values lie, in the unit of the data."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Shape:
    """A distribution of n values: its quantile function and the shares below and above a place [-].

    `data` are the values themselves where the shape is as measured.
    """

    name: str
    n: int
    quantile: Callable[[Floats], Floats]
    below: Callable[[float], float]
    above: Callable[[float], float]
    data: Floats | None = None

    def percentiles(self) -> Percentiles:
        """The three places that the indices ask for, in the unit of the data."""
        low, middle, high = self.quantile(np.array(_PLACES))
        return Percentiles(float(low), float(middle), float(high))

    def again(self, rng: np.random.Generator) -> Shape:
        """The same kind of shape from n values drawn anew."""
        drawn = self.quantile(rng.random(self.n)) if self.data is None else rng.choice(self.data, self.n)
        return fitted(self.name, drawn)


def tail(z: float) -> float:
    """Chance of a standard normal value above a point. [-]

    Parameters
    ----------
    z : float
        The point. [-]

    Returns
    -------
    float
        1 - Phi. [-]

    Examples
    --------
    >>> round(2e6 * tail(3.0), 1)
    2699.8
    """
    return 0.5 * math.erfc(z / math.sqrt(2.0))


def fitted(name: str, data: Floats) -> Shape:
    """The distribution of that shape that makes the data likeliest. [-]

    Parameters
    ----------
    name : str
        One of `SHAPES`; ``as_measured`` interpolates the sorted data. [-]
    data : ndarray
        Shape (n,); above 0 except for normal and as_measured. [-]

    Returns
    -------
    Shape
        Quantiles and shares. [-]

    Notes
    -----
    Maximum likelihood in closed form: lognormal from the logarithms; Rayleigh (distance of a bore
    from its place) s^2 = mean x^2/2; folded normal (form errors about 0) s^2 = mean x^2; exponential
    by the mean. Normal and lognormal divide by n - 1. As measured puts the i-th of n at (i - 1/2)/n.

    Examples
    --------
    >>> round(fitted("exponential", np.array([0.5, 1.5])).percentiles().high, 3)
    6.608
    """
    if name == "as_measured":
        return _as_measured(data)
    if name in ("normal", "lognormal"):
        values = np.log(data) if name == "lognormal" else data
        return _normal(name, float(values.mean()), float(values.std(ddof=1)), data.size)
    if name == "folded_normal":
        return _folded(math.sqrt(float(np.mean(data * data))), data.size)
    return _powered(name, float(np.mean(data ** (2.0 if name == "rayleigh" else 1.0))), data.size)


def of_moments(name: str, mean: float, *, sd: float, n: int) -> Shape:
    """A normal or lognormal distribution with a given mean and sd. [-]

    Parameters
    ----------
    name : str
        ``normal`` or ``lognormal``. [-]
    mean : float
        Of the values; above 0 for lognormal. [-]
    sd : float
        Of the values. [-]
    n : int
        Values behind both. [-]

    Returns
    -------
    Shape
        Quantiles and shares. [-]

    Examples
    --------
    >>> found = of_moments("lognormal", 1.0, sd=0.1, n=50).percentiles()
    >>> round(found.middle, 4), round(found.high, 4)
    (0.995, 1.3422)
    """
    if name == "normal":
        return _normal(name, mean, sd, n)
    spread = math.log1p((sd / mean) ** 2)
    return _normal(name, math.log(mean) - 0.5 * spread, math.sqrt(spread), n)


def _normal(name: str, mean: float, sd: float, n: int) -> Shape:
    from scipy.special import ndtri

    log = name == "lognormal"

    def place(x: float) -> float:
        if not log:
            return (x - mean) / sd
        return (math.log(x) - mean) / sd if x > 0.0 else -math.inf

    def quantile(p: Floats) -> Floats:
        values: Floats = mean + sd * ndtri(p)
        return np.exp(values) if log else values

    return Shape(name, n, quantile, lambda x: tail(-place(x)), lambda x: tail(place(x)))


def _folded(size: float, n: int) -> Shape:
    from scipy.special import ndtri

    return Shape(
        "folded_normal", n,
        lambda p: size * ndtri(0.5 * (1.0 + p)),
        lambda x: math.erf(max(x, 0.0) / (size * math.sqrt(2.0))),
        lambda x: 2.0 * tail(max(x, 0.0) / size),
    )  # fmt: skip


def _powered(name: str, mean: float, n: int) -> Shape:
    power = 2.0 if name == "rayleigh" else 1.0  # both are Weibull shapes of known power
    return Shape(
        name, n,
        lambda p: (-mean * np.log1p(-p)) ** (1.0 / power),
        lambda x: -math.expm1(-(max(x, 0.0) ** power) / mean),
        lambda x: math.exp(-(max(x, 0.0) ** power) / mean),
    )  # fmt: skip


def _as_measured(data: Floats) -> Shape:
    ranked = np.sort(data)
    marks = (np.arange(ranked.size) + 0.5) / ranked.size
    return Shape(
        "as_measured", ranked.size,
        lambda p: np.interp(p, marks, ranked),
        lambda x: float(np.count_nonzero(ranked < x)) / ranked.size,
        lambda x: float(np.count_nonzero(ranked > x)) / ranked.size,
        ranked,
    )  # fmt: skip
