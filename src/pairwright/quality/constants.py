"""Constants of the control charts, from the normal distribution itself instead of a printed table.

The range W of n independent standard normal values has mean d2 and standard deviation d3; their
standard deviation s has mean c4. All other constants of the charts follow from these three.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

_REACH: Final = 9.0  # beyond it a normal value has a probability below 1e-18
_NODES: Final = 160  # of each quadrature: 12 digits up to n = 100, 8 at n = 500


@dataclass(frozen=True, slots=True)
class ChartConstants:
    """Constants for subgroups of n values. [-]

    `d2`, `d3` mean and sd of the range, `c4` mean of the sd, all in sd of the values; the others
    are factors on the mean range (`A2`, `D3`, `D4`, `E2`) or on the mean sd (`A3`, `B3`, `B4`).
    """

    n: int
    d2: float
    d3: float
    c4: float
    A2: float
    A3: float
    B3: float
    B4: float
    D3: float
    D4: float
    E2: float


@cache
def chart_constants(n: int) -> ChartConstants:
    """Constants of the charts for subgroups of n values. [-]

    Parameters
    ----------
    n : int
        Values in a subgroup, at least 2. [-]

    Returns
    -------
    ChartConstants
        All of them. [-]

    Notes
    -----
    P(W <= w) = n times the integral of phi(x) (Phi(x + w) - Phi(x))^(n - 1); d2 and d3 are the
    first two moments of 1 - P by Gauss-Legendre quadrature. c4 is sqrt(2/(n - 1)) Gamma(n/2) /
    Gamma((n - 1)/2). A2 = 3/(d2 sqrt n), A3 = 3/(c4 sqrt n), E2 = 3/d2, D3 and D4 = 1 -/+ 3 d3/d2,
    B3 and B4 = 1 -/+ 3 sqrt(1 - c4^2)/c4; a negative lower factor is 0. Accuracy 1e-11 up to n = 100.

    References
    ----------
    .. [1] H. L. Harter, Tables of range and studentized range, Ann. Math. Stat. 31 (1960).
    .. [2] ASTM E2587, Standard practice for use of control charts, table of factors.

    Examples
    --------
    >>> five = chart_constants(5)
    >>> [round(v, 4) for v in (five.d2, five.d3, five.c4, five.A2, five.D4)]
    [2.3259, 0.8641, 0.94, 0.5768, 2.1145]
    """
    if n < 2:
        raise ValueError("a subgroup has at least two values")
    first, second = _range_moments(n)
    d2, d3 = first, math.sqrt(second - first * first)
    c4 = math.sqrt(2.0 / (n - 1)) * math.exp(math.lgamma(0.5 * n) - math.lgamma(0.5 * (n - 1)))
    ranges, deviations = 3.0 * d3 / d2, 3.0 * math.sqrt(1.0 - c4 * c4) / c4
    root = math.sqrt(n)
    return ChartConstants(
        n, d2, d3, c4,
        A2=3.0 / (d2 * root), A3=3.0 / (c4 * root),
        B3=max(0.0, 1.0 - deviations), B4=1.0 + deviations,
        D3=max(0.0, 1.0 - ranges), D4=1.0 + ranges, E2=3.0 / d2,
    )  # fmt: skip


def mean_range_factor(n: int, *, groups: int = 1) -> float:
    """Divisor that turns the mean of a few ranges into a standard deviation. [-]

    Parameters
    ----------
    n : int
        Values in each group, at least 2. [-]
    groups : int
        Groups whose ranges are averaged. [-]

    Returns
    -------
    float
        d2* = sqrt(d2^2 + d3^2/groups); it tends to d2. [-]

    References
    ----------
    .. [1] A. J. Duncan, Quality Control and Industrial Statistics, table of d2*.

    Examples
    --------
    >>> [round(1.0 / mean_range_factor(n), 4) for n in (2, 3, 10)]
    [0.7071, 0.5231, 0.3146]
    """
    found = chart_constants(n)
    return math.sqrt(found.d2**2 + found.d3**2 / groups)


def _range_moments(n: int) -> tuple[float, float]:
    """First and second moment of the range of n standard normal values."""
    from scipy.special import ndtr

    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    x, at_x = _REACH * nodes, _REACH * weights
    w, at_w = _REACH * (nodes + 1.0), _REACH * weights
    density = np.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi)
    inside = ndtr(x[:, None] + w[None, :]) - ndtr(x)[:, None]
    beyond = 1.0 - n * ((at_x * density) @ inside ** (n - 1))
    return float(at_w @ beyond), float(2.0 * (at_w * w) @ beyond)
