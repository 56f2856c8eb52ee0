"""What a sampling plan lets pass: operating characteristic, and what a sample without faults proves.

Hypergeometric for a lot of known size, binomial for a steady process. Probabilities come from ratios
of neighbouring terms, counted from the likeliest one outwards: no factorials, no lost digits.
"""

from __future__ import annotations

import math
from typing import Any, Final, NoReturn, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import FRACTION, NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text

Floats: TypeAlias = NDArray[np.float64]


def acceptance(sample: int, accept: int, *, fraction: float) -> float:
    """Chance that a process passes: at most so many bad in a sample. [-]

    Parameters
    ----------
    sample : int
        Items inspected. [-]
    accept : int
        Largest number of bad ones that passes. [-]
    fraction : float
        Bad in the process. [-]

    Returns
    -------
    float
        Binomial probability. [-]

    Examples
    --------
    >>> [round(acceptance(89, 2, fraction=p), 4) for p in (0.01, 0.02, 0.05)]
    [0.9397, 0.7366, 0.1721]
    """
    if accept >= sample or fraction <= 0.0:
        return 1.0
    if fraction >= 1.0:
        return 0.0
    k = np.arange(sample, dtype=np.float64)
    return _share(0, accept, ratios=(sample - k) / (k + 1.0) * (fraction / (1.0 - fraction)))


def lot_acceptance(sample: int, accept: int, *, bad: int, lot: int) -> float:
    """Chance that a lot passes: at most so many bad in a sample from it. [-]

    Parameters
    ----------
    sample : int
        Items inspected, at most the lot. [-]
    accept : int
        Largest number of bad ones that passes. [-]
    bad : int
        Bad items in the lot. [-]
    lot : int
        Items in the lot. [-]

    Returns
    -------
    float
        Hypergeometric probability. [-]

    Examples
    --------
    >>> round(lot_acceptance(13, 0, bad=2, lot=50), 6)
    0.543673
    """
    fewest, most = max(0, sample + bad - lot), min(sample, bad)
    if accept >= most:
        return 1.0
    if accept < fewest:
        return 0.0
    k = np.arange(fewest, most, dtype=np.float64)
    ratios = (bad - k) * (sample - k) / ((k + 1.0) * (lot - bad - sample + k + 1.0))
    return _share(fewest, accept, ratios=ratios)


def _share(first: int, last: int, *, ratios: Floats) -> float:
    """Share of the terms first..last; `ratios` are those of each next term to the one before."""
    top = int(np.argmax(ratios < 1.0)) if bool((ratios < 1.0).any()) else ratios.size
    after = np.cumprod(ratios[top:])
    before = np.cumprod(1.0 / ratios[:top][::-1])[::-1]
    terms = np.concatenate([before, [1.0], after])
    low, high = float(terms[: last - first + 1].sum()), float(terms[last - first + 1 :].sum())
    return low / (low + high)


def bad_in_lot(fraction: float, lot: int) -> int:
    """Bad items that a fraction of a lot stands for: to the nearest, halves upwards. [-]

    Parameters
    ----------
    fraction : float
        Of the lot. [-]
    lot : int
        Items in the lot. [-]

    Returns
    -------
    int
        Bad items. [-]

    Examples
    --------
    >>> bad_in_lot(0.05, 50), bad_in_lot(0.045, 100), bad_in_lot(0.29, 100)
    (3, 5, 29)
    """
    # 0.045 x 100 is 4.5 in the reader's mind but not in binary: settle it at 12 figures
    return math.floor(float(f"{fraction * lot:.12g}") + 0.5)


def zero_failure_sample(reliability: float, confidence: float) -> int:
    """Items to be tested without one failure to prove a reliability. [-]

    Parameters
    ----------
    reliability : float
        Share of good items to be proved, between 0 and 1. [-]
    confidence : float
        Of the proof, between 0 and 1. [-]

    Returns
    -------
    int
        Smallest n with 1 - R^n at least the confidence. [-]

    References
    ----------
    .. [1] Success-run theorem: n = ln(1 - C)/ln R, rounded up.

    Examples
    --------
    >>> zero_failure_sample(0.95, 0.95), zero_failure_sample(0.9, 0.9)
    (59, 22)
    """
    exact = math.log1p(-confidence) / math.log(reliability)
    return max(1, math.ceil(exact * (1.0 - 1e-12)))


def share_interval(bad: int, sample: int, *, confidence: float) -> tuple[float, float]:
    """Interval of the share of bad items, from a sample. [-]

    Parameters
    ----------
    bad : int
        Found. [-]
    sample : int
        Inspected. [-]
    confidence : float
        Of the two-sided interval; for one bound alone use 2C - 1. [-]

    Returns
    -------
    tuple of float
        Clopper and Pearson's ends: never too short. [-]

    References
    ----------
    .. [1] C. J. Clopper, E. S. Pearson, The use of confidence or fiducial limits, Biometrika 26 (1934).

    Examples
    --------
    >>> round(share_interval(0, 59, confidence=0.90)[1], 6)
    0.049508
    """
    from scipy.special import betaincinv

    tail = 0.5 * (1.0 - confidence)
    low = float(betaincinv(bad, sample - bad + 1, tail)) if bad > 0 else 0.0
    high = float(betaincinv(bad + 1, sample - bad, 1.0 - tail)) if bad < sample else 1.0
    return low, high


def fraction_at(sample: int, accept: int, *, probability: float) -> float:
    """Share of bad items that passes with a given chance. [-]

    Parameters
    ----------
    sample : int
        Items inspected. [-]
    accept : int
        Largest number of bad ones that passes, below the sample. [-]
    probability : float
        Of passing. [-]

    Returns
    -------
    float
        Fraction of the process: at 0.95 the maker's risk point, at 0.10 the buyer's. [-]

    Examples
    --------
    >>> [round(100 * fraction_at(80, 1, probability=p), 3) for p in (0.95, 0.5, 0.1)]
    [0.446, 2.089, 4.775]
    """
    from scipy.special import betaincinv

    return float(betaincinv(accept + 1, sample - accept, 1.0 - probability))


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    raise InputError(Problem("calc operating_characteristic", field, must_be, shown(got), do))


def _characteristic_law(sample: int, accept: int, fraction: float, lot: int | None) -> dict[str, Any]:
    if accept > sample:
        _wrong("accept", text("at most the sample, {sample}", sample=sample), accept,
               do=text("a sample can't hold more bad items than items"))  # fmt: skip
    if lot is None:
        return {"probability": acceptance(sample, accept, fraction=fraction), "bad_in_lot": None}
    if sample > lot:
        _wrong("sample", text("at most the lot, {lot}", lot=lot), sample, do=text("inspect the whole lot"))
    bad = bad_in_lot(fraction, lot)
    return {"probability": lot_acceptance(sample, accept, bad=bad, lot=lot), "bad_in_lot": bad}


def _zero_failure_law(reliability: float, confidence: float) -> dict[str, Any]:
    return {"sample": zero_failure_sample(reliability, confidence)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="operating_characteristic",
        title=text("Chance that a lot passes its sampling plan"),
        function=_characteristic_law,
        arguments=(
            Argument("sample", "-", text("items inspected"), Span(1, 1_000_000), shape="whole"),
            Argument("accept", "-", text("largest number of bad items that passes"), NOT_NEGATIVE,
                     shape="whole"),
            Argument("fraction", "-", text("share of bad items"), FRACTION),
            Argument("lot", "-", text("items in the lot (hypergeometric; fraction x lot is rounded to the "
                                      "nearest item, halves up); none: a steady process (binomial)"),
                     Span(1, 1e12), shape="whole", default=None),
        ),
        results=(
            Result("probability", "-", text("of passing")),
            Result("bad_in_lot", "-", text("bad items in the lot that this was computed for; none without lot")),
        ),
        accuracy=text("exact, to 12 digits; with lots of 20 to 100 state the lot: the binomial passes too many"),
        sources=(
            Source("published", "D. C. Montgomery, Introduction to Statistical Quality Control, chapter 15 "
                                "(n 89, c 2)"),
            Source("closed form", "binomial and hypergeometric distribution"),
        ),
        worked=Worked(
            {"sample": 89, "accept": 2, "fraction": 0.01}, {"probability": 0.9397}, tolerance=6e-5
        ),
    ),
    Law(
        name="zero_failure_sample",
        title=text("Items to test without a failure"),
        function=_zero_failure_law,
        arguments=(
            Argument("reliability", "-", text("share of good items to be proved"),
                     Span(0.0, 1.0, open_low=True, open_high=True)),
            Argument("confidence", "-", text("of the proof"), Span(0.0, 1.0, open_low=True, open_high=True)),
        ),
        results=(Result("sample", "-", text("items that must all be good")),),
        accuracy=text("exact for independent items of a steady process"),
        sources=(Source("closed form", "success-run theorem, n = ln(1 - C)/ln R rounded up"),),
        worked=Worked({"reliability": 0.95, "confidence": 0.95}, {"sample": 59}),
    ),
)  # fmt: skip
