"""Abrasion: how deep sanding and polishing cut, how an abrasive wears."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

from pairwright.base.laws import NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


def abrasion_depth(coefficient: float, pressure: float, *, speed: float, time: float) -> float:
    """Depth removed by abrasion, after Preston. [m]

    Parameters
    ----------
    coefficient : float
        Preston coefficient of this abrasive on this surface, calibrated. [m2/N]
    pressure : float
        Contact pressure. [Pa]
    speed : float
        Relative speed in the contact. [m/s]
    time : float
        Time in contact of the point in question. [s]

    Returns
    -------
    float
        Depth. [m]

    Notes
    -----
    k p v t. Linear until the abrasive loads or dulls, or the film softens by friction heat. No
    coefficient for a lacquer film is published: it comes from the works' own trial panel.

    References
    ----------
    .. [1] F. W. Preston, "The theory and design of plate glass polishing machines",
       J. Soc. Glass Technol. 11 (1927) 214-256.

    Examples
    --------
    >>> round(abrasion_depth(1e-13, 20e3, speed=2.0, time=3600.0) * 1e6, 3)
    14.4
    """
    return coefficient * pressure * speed * time


def preston_coefficient(depth: float, pressure: float, *, speed: float, time: float) -> float:
    """Preston coefficient from a trial. [m2/N]

    Parameters
    ----------
    depth : float
        Depth that the trial took off. [m]
    pressure : float
        Contact pressure of the trial. [Pa]
    speed : float
        Relative speed of the trial. [m/s]
    time : float
        Time in contact. [s]

    Returns
    -------
    float
        Coefficient, to be stored as measured. [m2/N]

    Examples
    --------
    >>> round(preston_coefficient(14.4e-6, 20e3, speed=2.0, time=3600.0) * 1e13, 6)
    1.0
    """
    return depth / (pressure * speed * time)


def depth_spread(
    depth: float,
    *,
    pressure_cv: float = 0.0,
    speed_cv: float = 0.0,
    time_cv: float = 0.0,
    coefficient_cv: float = 0.0,
) -> float:
    """Standard deviation of a depth from the scatter of its causes. [m]

    Parameters
    ----------
    depth : float
        Mean depth. [m]
    pressure_cv : float
        Relative sd of the pressure, from the force window. [-]
    speed_cv : float
        Relative sd of the speed. [-]
    time_cv : float
        Relative sd of the time in contact: overlap and dwell. [-]
    coefficient_cv : float
        Relative sd of the coefficient: grit, wear, temperature. [-]

    Returns
    -------
    float
        Standard deviation. [m]

    Notes
    -----
    Exact for a product of independent factors: cv^2 + 1 is the product of (cv_i^2 + 1).

    Examples
    --------
    >>> round(depth_spread(10e-6, pressure_cv=0.1, coefficient_cv=0.2) * 1e6, 4)
    2.245
    """
    factors = (pressure_cv, speed_cv, time_cv, coefficient_cv)
    return depth * math.sqrt(math.prod(1.0 + cv * cv for cv in factors) - 1.0)


def worn_rate(time: float, *, lasting: float, fresh: float, decay: float) -> float:
    """Removal rate of an abrasive that has worked for a time. [m/s]

    Parameters
    ----------
    time : float
        Time in work since new. [s]
    lasting : float
        Rate that a dull abrasive keeps (a). [m/s]
    fresh : float
        What a new abrasive has on top of that (b). [m/s]
    decay : float
        How fast the extra is lost (c). [1/s]

    Returns
    -------
    float
        a + b exp(-c t). [m/s]

    Notes
    -----
    The form is published for wide belts on beech and oak; the three constants are fitted to the
    works' own belts. Any unit of rate serves.

    References
    ----------
    .. [1] Ockajova et al., BioResources 11(2) (2016) 5242 (form; 480 min, 6.6-18.6 kPa).

    Examples
    --------
    >>> worn_rate(0.0, lasting=1.0, fresh=2.0, decay=0.001)
    3.0
    """
    return lasting + fresh * math.exp(-decay * time)


def worn_depth(start: float, time: float, *, lasting: float, fresh: float, decay: float) -> float:
    """Depth cut by a wearing abrasive between two moments. [m]

    Parameters
    ----------
    start : float
        Time in work before this job. [s]
    time : float
        Time in work on this job. [s]
    lasting : float
        Rate that a dull abrasive keeps. [m/s]
    fresh : float
        What a new abrasive has on top. [m/s]
    decay : float
        How fast the extra is lost. [1/s]

    Returns
    -------
    float
        Integral of the rate. [m]

    Examples
    --------
    >>> worn_depth(0.0, 10.0, lasting=1.0, fresh=0.0, decay=0.1)
    10.0
    """
    extra = fresh * time if decay == 0.0 else (
        fresh / decay * math.exp(-decay * start) * -math.expm1(-decay * time)
    )  # fmt: skip
    return lasting * time + extra


def time_to_depth(depth: float, start: float, *, lasting: float, fresh: float, decay: float) -> float:
    """Time that a worn abrasive needs for a depth. [s]

    Parameters
    ----------
    depth : float
        Depth to take off. [m]
    start : float
        Time in work before this job. [s]
    lasting : float
        Rate that a dull abrasive keeps. [m/s]
    fresh : float
        What a new abrasive has on top. [m/s]
    decay : float
        How fast the extra is lost. [1/s]

    Returns
    -------
    float
        Time; infinity where it never gets there. [s]

    Examples
    --------
    >>> round(time_to_depth(3.0, 0.0, lasting=1.0, fresh=2.0, decay=0.0), 9)
    1.0
    """
    if depth <= 0.0:
        return 0.0

    def left(time: float) -> float:
        return depth - worn_depth(start, time, lasting=lasting, fresh=fresh, decay=decay)

    now = worn_rate(start, lasting=lasting, fresh=fresh, decay=decay)
    if now <= 0.0 or (lasting <= 0.0 and decay > 0.0
                      and depth >= fresh / decay * math.exp(-decay * start)):  # fmt: skip
        return math.inf
    return _bisect(left, depth / now)


def abrasive_life(*, lasting: float, fresh: float, decay: float, least: float) -> float:
    """Time in work after which an abrasive cuts slower than allowed. [s]

    Parameters
    ----------
    lasting : float
        Rate that a dull abrasive keeps. [m/s]
    fresh : float
        What a new abrasive has on top. [m/s]
    decay : float
        How fast the extra is lost. [1/s]
    least : float
        Slowest rate the works accepts. [m/s]

    Returns
    -------
    float
        Life; 0 where a new one is already too slow, infinity where it never gets so slow. [s]

    Examples
    --------
    >>> round(abrasive_life(lasting=1.0, fresh=2.0, decay=0.001, least=2.0), 1)
    693.1
    """
    if least <= lasting:
        return math.inf
    if least >= lasting + fresh:
        return 0.0
    return math.log(fresh / (least - lasting)) / decay


def _bisect(falling: Callable[[float], float], guess: float) -> float:
    high = guess
    while falling(high) > 0.0:
        high *= 2.0
    low = 0.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if falling(middle) > 0.0 else (low, middle)
        if high - low <= 1e-12 * high:
            break
    return high


def _abrasion_depth_law(coefficient: float, pressure: float, speed: float, time: float) -> dict[str, Any]:
    return {"depth": abrasion_depth(coefficient, pressure, speed=speed, time=time)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="abrasion_depth",
        title=text("Depth removed by sanding or polishing"),
        function=_abrasion_depth_law,
        arguments=(
            Argument("coefficient", "m2/N", text("Preston coefficient, from a trial"), must=NOT_NEGATIVE),
            Argument("pressure", "Pa", text("contact pressure"), must=NOT_NEGATIVE,
                     range=Span(0.0, 100e3)),
            Argument("speed", "m/s", text("relative speed in the contact"), must=NOT_NEGATIVE,
                     range=Span(0.0, 40.0)),
            Argument("time", "s", text("time in contact"), must=NOT_NEGATIVE),
        ),
        results=(Result("depth", "m", text("depth removed")),),
        accuracy=text(
            "linear while the abrasive is fresh and the film cool; no coefficient for lacquer is "
            "published, so the works calibrates it"
        ),
        sources=(
            Source("published", "F. W. Preston, J. Soc. Glass Technol. 11 (1927) 214-256: dz/dt = k p v"),
            Source("from memory", "optical glass 1e-13 to 1e-12 m2/N, an order of size only"),
        ),
        worked=Worked(
            {"coefficient": 1e-13, "pressure": 20e3, "speed": 2.0, "time": 3600.0}, {"depth": 14.4e-6}
        ),
    ),
)  # fmt: skip
