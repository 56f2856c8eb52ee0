"""Preferred values of parts: the series, the nearest one, two that together come nearer."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

Joined: TypeAlias = Literal["alone", "sum", "reciprocal"]

SERIES: Final[tuple[str, ...]] = ("E6", "E12", "E24", "E48", "E96", "E192")
# Tolerances that the letters stand for, relative half widths (IEC 60062).
LETTERS: Final[dict[str, float]] = {"F": 0.01, "G": 0.02, "J": 0.05, "K": 0.10, "M": 0.20}
_TWO_FIGURES: Final = (
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
    3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
)  # fmt: skip
_EXCEPTION: Final = {185: 9.20}  # of E192; rounding would give 9.19 (from memory)


@dataclass(frozen=True, slots=True)
class Combination:
    """One or two parts of preferred value, in the unit of the wanted value [-].

    `deviation` is the value over the wanted one, less 1 [-]; `joined` says whether the values add (coils and
    resistors in series, capacitors side by side) or their reciprocals.
    """

    parts: tuple[float, ...]
    joined: Joined
    value: float
    deviation: float


@cache
def preferred_values(series: str) -> tuple[float, ...]:
    """Values of a series in the decade from 1. [-]

    Parameters
    ----------
    series : str
        ``E6``, ``E12``, ``E24``, ``E48``, ``E96``, ``E192``. [-]

    Returns
    -------
    tuple of float
        Rising, from 1 up to below 10. [-]

    Notes
    -----
    Up to E24 the standard's table, which is not the rounded formula; from E48 on 10^(n/N) to three
    figures, with the one exception of E192 (from memory): 9.20.

    References
    ----------
    .. [1] IEC 60063.

    Examples
    --------
    >>> preferred_values("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    """
    if series not in SERIES:
        raise InputError(Problem("preferred values", "series", text("one of {names}", names=", ".join(SERIES)),
                                 shown(series), text("choose a series")))  # fmt: skip
    count = int(series[1:])
    if count <= 24:
        return _TWO_FIGURES[:: 24 // count]
    step = 192 // count
    return tuple(_EXCEPTION.get(n, round(10.0 ** (n / 192.0), 2)) for n in range(0, 192, step))


def nearest_preferred(value: float, series: str) -> float:
    """Preferred value with the least relative deviation. [-]

    Parameters
    ----------
    value : float
        Wanted, above 0, in any unit. [-]
    series : str
        Such as ``E12``. [-]

    Returns
    -------
    float
        Nearest value, in the unit of the wanted one; the lower one of two as near. [-]

    Examples
    --------
    >>> nearest_preferred(15.83e-6, "E12")
    1.5e-05
    """
    scale = 10.0 ** math.floor(math.log10(value))
    near = [s * p for s in (0.1 * scale, scale, 10.0 * scale) for p in preferred_values(series)]
    return _clean(min(near, key=lambda v: (abs(v - value), v)))


def _clean(value: float) -> float:
    """Without the rounding of a power of ten: 1.5e-05, not 1.5000000000000002e-05."""
    return float(f"{value:.6g}")


def two_preferred(value: float, series: str, *, joined: Joined = "sum", ratio: float = 100.0) -> Combination:
    """One part, or two, whose joint value comes nearest. [-]

    Parameters
    ----------
    value : float
        Wanted, above 0, in any unit. [-]
    series : str
        Such as ``E12``. [-]
    joined : str
        ``sum`` where the values add, ``reciprocal`` where their reciprocals do, ``alone`` for one
        part. [-]
    ratio : float
        Largest value over the smaller one: a part that adds less than its mate's tolerance is no
        use. [-]

    Returns
    -------
    Combination
        One part where it is as near as two. [-]

    Examples
    --------
    >>> two_preferred(15.83e-6, "E6")
    Combination(parts=(1.5e-05, 6.8e-07), joined='sum', value=1.568e-05, deviation=-0.00947567909...)
    """
    single = nearest_preferred(value, series)
    best = Combination((single,), "alone", single, single / value - 1.0)
    if joined == "alone":
        return best
    # reciprocals of a series are taken as they are: with 1/v in place of v both cases are one sum
    aim = value if joined == "sum" else 1.0 / value
    rows = _reachable(value, series, ratio)
    sizes = sorted(rows if joined == "sum" else [1.0 / r for r in rows])
    for size in sizes:
        rest = aim - size
        if rest <= 0.0:
            continue
        least = size / ratio * (1.0 - 1e-9)  # a ratio met exactly is met
        n = bisect_left(sizes, max(rest, least))
        for other in sizes[max(0, n - 1) : n + 1]:
            if not least <= other <= size:
                continue
            total = size + other if joined == "sum" else 1.0 / (size + other)
            if abs(total / value - 1.0) < abs(best.deviation) - 1e-12:
                parts = (size, other) if joined == "sum" else (1.0 / size, 1.0 / other)
                best = Combination((_clean(parts[0]), _clean(parts[1])), joined, total, total / value - 1.0)
    return best


def _reachable(value: float, series: str, ratio: float) -> list[float]:
    """Preferred values within the decades that two parts can use."""
    low = math.floor(math.log10(value / ratio)) - 1
    high = math.floor(math.log10(value * ratio)) + 1
    return [_clean(p * 10.0**d) for d in range(low, high + 1) for p in preferred_values(series)]


def _preferred_value_law(value: float, series: str, joined: str) -> dict[str, Any]:
    found = two_preferred(value, series, joined=joined)  # type: ignore[arg-type]
    single = nearest_preferred(value, series)
    return {
        "nearest": single, "nearest_deviation": single / value - 1.0, "parts": list(found.parts),
        "value": found.value, "deviation": found.deviation,
    }  # fmt: skip


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="preferred_value",
        title=text("Preferred values nearest to a wanted one"),
        function=_preferred_value_law,
        arguments=(
            Argument("value", "-", text("wanted, in any unit"), must=POSITIVE),
            Argument("series", "-", text("E6 to E192"), shape="word", choices=SERIES, default="E12"),
            Argument("joined", "-", text("how two parts are joined: alone for one only, sum where values add, "
                                         "reciprocal where their reciprocals add"),
                     shape="word", choices=("alone", "sum", "reciprocal"), default="alone"),
        ),
        results=(
            Result("nearest", "-", text("nearest single value")),
            Result("nearest_deviation", "-", text("its relative deviation")),
            Result("parts", "-", text("one or two values that come nearest together")),
            Result("value", "-", text("what they make")),
            Result("deviation", "-", text("its relative deviation")),
        ),
        accuracy=text("the standard's values; the parts' own tolerance comes on top"),
        sources=(Source("standard", "IEC 60063, series E6 to E192"),
                 Source("from memory", "IEC 60063: 9.20 in E192 where the formula gives 9.19")),
        worked=Worked({"value": 15.83, "series": "E12"},
                      {"nearest": 15.0, "nearest_deviation": -0.0524321}, tolerance=1e-5),
    ),
)  # fmt: skip
