"""How far a number found from some runs may be off: 95 % intervals without assuming a shape."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final

LEVEL: Final = 0.95


def quantile_interval(values: Sequence[int], share: float) -> tuple[int | None, int | None]:
    """The values between which a quantile lies in 95 of 100 samplings; None: too few to say.

    Parameters
    ----------
    values : sequence of int
        Sorted. [-]
    share : float
        Of the distribution below the quantile. [-]

    Notes
    -----
    The number of values below the quantile is binomial, so ranks with at most 2.5 % on either side
    bound it, whatever the distribution. Ties make the interval wider than need be, never narrower.

    References
    ----------
    .. [1] W. J. Conover, Practical Nonparametric Statistics, 3rd ed. 1999, section 3.2 (from memory).

    Examples
    --------
    >>> quantile_interval(list(range(1, 101)), 0.5)
    (40, 61)
    >>> quantile_interval(list(range(1, 11)), 0.9)
    (7, None)
    """
    n, tail = len(values), (1.0 - LEVEL) / 2.0
    below = 0.0  # P(count <= rank - 1), count the number of values below the quantile
    low: int | None = None
    high: int | None = None
    for rank in range(n + 1):
        if below <= tail and rank >= 1:
            low = rank  # P(count < rank) <= tail: the rank-th value is at or below the quantile
        below += _binomial(n, share, rank)
        if high is None and 1.0 - below <= tail and rank + 1 <= n:
            high = rank + 1
    return (None if low is None else values[low - 1], None if high is None else values[high - 1])


def share_interval(count: int, of: int) -> tuple[float, float]:
    """The exact 95 % interval of a share of which `count` of so many runs were seen. [-]

    Parameters
    ----------
    count : int
        Seen. [-]
    of : int
        Runs, at least one. [-]

    References
    ----------
    .. [1] C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413.

    Examples
    --------
    >>> low, high = share_interval(9, 10)
    >>> round(low, 4), round(high, 4)
    (0.555, 0.9975)
    """
    tail = (1.0 - LEVEL) / 2.0
    low = 0.0 if count == 0 else _solved(lambda p: 1.0 - _at_most(of, p, count - 1), tail)
    high = 1.0 if count == of else 1.0 - _solved(lambda q: _at_most(of, 1.0 - q, count), tail)
    return low, high


def ratio_interval(parts: Sequence[float], wholes: Sequence[float]) -> tuple[float, float] | None:
    """The 95 % interval of the ratio of two sums over independent runs; None with a single run. [-]

    Parameters
    ----------
    parts, wholes : sequence of float
        Of each run, such as time worked and time there. [-]

    Notes
    -----
    Linearised about the ratio (delta method), with Student's t of one less than the runs.
    """
    n, whole = len(parts), math.fsum(wholes)
    if n < 2 or whole <= 0:
        return None
    from scipy.special import stdtrit

    ratio = math.fsum(parts) / whole
    spread = math.fsum((a - ratio * b) ** 2 for a, b in zip(parts, wholes, strict=True))
    half = float(stdtrit(n - 1, 1.0 - (1.0 - LEVEL) / 2.0)) * math.sqrt(spread * n / (n - 1)) / whole
    return max(0.0, ratio - half), min(1.0, ratio + half)


def _binomial(n: int, p: float, k: int) -> float:
    """P(count = k). [-]"""
    if p <= 0.0 or p >= 1.0:
        return float(k == (0 if p <= 0.0 else n))
    log = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    return math.exp(log + k * math.log(p) + (n - k) * math.log1p(-p))


def _at_most(n: int, p: float, k: int) -> float:
    return math.fsum(_binomial(n, p, i) for i in range(k + 1))


def _solved(rising: Callable[[float], float], wanted: float) -> float:
    """Where a function that rises from 0 to 1 over [0, 1] reaches a value, by halving. [-]"""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        if rising(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
