"""How many sds from the mean of a sample a share of all pieces surely lies.

A limit for good units is set from the good units measured so far as mean + k sd; k is larger than
the normal quantile because mean and sd are themselves uncertain.
"""

from __future__ import annotations

import math
from typing import Any, Final

from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


def one_sided_factor(n: int, *, share: float, confidence: float) -> float:
    """Factor k: mean + k sd lies above a share of all values. [-]

    Parameters
    ----------
    n : int
        Values behind mean and sd, at least 2. [-]
    share : float
        Of all values, between 0 and 1. [-]
    confidence : float
        That it is so, between 0 and 1. [-]

    Returns
    -------
    float
        Non-central t quantile over sqrt n; exact for normal values. [-]

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.

    Examples
    --------
    >>> round(one_sided_factor(43, share=0.90, confidence=0.99), 4)
    1.874
    """
    from scipy.special import nctdtrit, ndtri

    root = math.sqrt(n)
    return float(nctdtrit(n - 1, root * float(ndtri(share)), confidence)) / root


def two_sided_factor(n: int, *, share: float, confidence: float) -> float:
    """Factor k: mean -/+ k sd encloses a share of all values. [-]

    Parameters
    ----------
    n : int
        Values behind mean and sd, at least 2. [-]
    share : float
        Of all values, between 0 and 1. [-]
    confidence : float
        That it is so, between 0 and 1. [-]

    Returns
    -------
    float
        Howe's approximation: sqrt((n - 1)(1 + 1/n)/chi2) z. [-]

    Notes
    -----
    Within 1 % of the exact factor from 10 values on; too small by a few % at 3.

    References
    ----------
    .. [1] W. G. Howe, Two-sided tolerance limits for normal populations, JASA 64 (1969) 610-620.
    .. [2] NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.

    Examples
    --------
    >>> round(two_sided_factor(43, share=0.90, confidence=0.99), 4)
    2.2173
    """
    from scipy.special import chdtri, ndtri

    z = float(ndtri(0.5 * (1.0 + share)))
    return z * math.sqrt((n - 1) * (1.0 + 1.0 / n) / float(chdtri(n - 1, confidence)))


def variables_acceptance(n: int, k: float, *, fraction: float) -> float:
    """Chance that a lot passes a plan by measurement: (limit - mean)/sd at least k. [-]

    Parameters
    ----------
    n : int
        Values measured. [-]
    k : float
        Acceptability constant. [-]
    fraction : float
        Share of all values beyond the limit. [-]

    Returns
    -------
    float
        Of passing; one limit, normal values, sd from the sample. [-]

    References
    ----------
    .. [1] ISO 3951-1, s-method (its form; no table value of it was available).

    Examples
    --------
    >>> [round(variables_acceptance(20, 1.82, fraction=p), 4) for p in (0.01, 0.05)]
    [0.9226, 0.3452]
    """
    from scipy.special import nctdtr, ndtri

    root = math.sqrt(n)
    return 1.0 - float(nctdtr(n - 1, -root * float(ndtri(fraction)), k * root))


def _factor_law(n: int, share: float, confidence: float, sides: str) -> dict[str, Any]:
    factor = one_sided_factor if sides == "one" else two_sided_factor
    return {"factor": factor(n, share=share, confidence=confidence)}


_INSIDE: Final = Span(0.0, 1.0, open_low=True, open_high=True)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="tolerance_factor",
        title=text("Sds from the mean within which a share of all pieces lies"),
        function=_factor_law,
        arguments=(
            Argument("n", "-", text("values behind the mean and the sd"), Span(2, 100_000), Span(10),
                     shape="whole"),
            Argument("share", "-", text("of all pieces"), _INSIDE, Span(0.5, 0.999)),
            Argument("confidence", "-", text("that it is so"), _INSIDE, Span(0.5, 0.999)),
            Argument("sides", "-", text("one: a limit above or below; two: both"), shape="word",
                     choices=("one", "two"), default="one"),
        ),
        results=(Result("factor", "-", text("k: the limit is mean + k sd")),),
        accuracy=text("one side exact for normal values; two sides to 1 % (Howe)"),
        sources=(
            Source("published", "NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3"),
            Source("published", "W. G. Howe, JASA 64 (1969) 610-620"),
        ),
        worked=Worked(
            {"n": 43, "share": 0.90, "confidence": 0.99}, {"factor": 1.8740}, tolerance=1e-4
        ),
    ),
)  # fmt: skip
