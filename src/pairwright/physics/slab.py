"""Heat in a flat slab, both faces alike: the exact series."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

CARSLAW: Final = Source(
    "published", "Carslaw and Jaeger 1959, Conduction of Heat in Solids, 2nd ed., section 3.4 and 3.11"
)
INCROPERA: Final = Source(
    "published", "Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., section 5.5, Ex. 5.4"
)
_EARLY: Final = 0.02  # Fourier number below which the two faces do not yet feel each other (to 1e-12)


def rise_fraction(fourier: float, position: float = 0.0) -> float:
    """Share of a step at both faces that has arrived. [-]

    Parameters
    ----------
    fourier : float
        Diffusivity times time over half the thickness squared. [-]
    position : float
        Distance from the mid-plane over half the thickness, -1 to 1. [-]

    Returns
    -------
    float
        (T - T0)/(Ts - T0). [-]

    References
    ----------
    .. [1] Carslaw and Jaeger, 1959, section 3.4 (series) and 3.3 (early times).

    Examples
    --------
    >>> round(rise_fraction(0.5), 5)
    0.62922
    """
    if fourier <= 0.0:
        return 1.0 if abs(position) >= 1.0 else 0.0
    if fourier < _EARLY:
        root = 2.0 * math.sqrt(fourier)
        return math.erfc((1.0 - position) / root) + math.erfc((1.0 + position) / root)
    total, n = 0.0, 0
    while True:
        odd = 2 * n + 1
        damp = math.exp(-odd * odd * math.pi**2 * fourier / 4.0)
        if damp < 1e-17:
            return 1.0 - 4.0 / math.pi * total
        total += (-1) ** n / odd * damp * math.cos(odd * math.pi * position / 2.0)
        n += 1


def convective_root(biot: float, n: int = 1) -> float:
    """The n-th root of zeta tan(zeta) = Bi. [-]

    Parameters
    ----------
    biot : float
        Heat transfer times half the thickness over conductivity. [-]
    n : int
        Which root, from 1. [-]

    Returns
    -------
    float
        Between (n - 1) pi and (n - 1/2) pi. [-]

    Examples
    --------
    >>> round(convective_root(1.0), 4)
    0.8603
    """
    low, high = (n - 1) * math.pi, (n - 0.5) * math.pi
    for _ in range(80):
        middle = 0.5 * (low + high)
        if middle * math.sin(middle) * (-1) ** (n - 1) < biot * math.cos(middle) * (-1) ** (n - 1):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def convective_coefficient(zeta: float) -> float:
    """Weight of a root in the series. [-]

    Parameters
    ----------
    zeta : float
        The root. [-]

    Returns
    -------
    float
        4 sin(zeta)/(2 zeta + sin(2 zeta)). [-]

    Examples
    --------
    >>> round(convective_coefficient(convective_root(1.0)), 4)
    1.1191
    """
    return 4.0 * math.sin(zeta) / (2.0 * zeta + math.sin(2.0 * zeta))


def convective_fraction(fourier: float, biot: float, *, position: float = 0.0) -> float:
    """Share of a step of the surroundings that has arrived. [-]

    Parameters
    ----------
    fourier : float
        Diffusivity times time over half the thickness squared. [-]
    biot : float
        Heat transfer times half the thickness over conductivity. [-]
    position : float
        Distance from the mid-plane over half the thickness, -1 to 1. [-]

    Returns
    -------
    float
        (T - T0)/(Ts - T0). [-]

    References
    ----------
    .. [1] Incropera et al., 6th ed., Eqs. 5.39 and 5.57 (early times).

    Examples
    --------
    >>> round(80 * convective_fraction(5.64, 0.313) - 20, 1)
    43.0
    """
    if fourier <= 0.0 or biot == 0.0:
        return 0.0
    if fourier < _EARLY:
        return _half_space(fourier, biot, 1.0 - position) + _half_space(fourier, biot, 1.0 + position)
    return 1.0 - math.fsum(_convective_terms(fourier, biot, position))


def _convective_terms(fourier: float, biot: float, position: float) -> Iterator[float]:
    n = 0
    while True:
        n += 1
        zeta = convective_root(biot, n)
        damp = math.exp(-zeta * zeta * fourier)
        yield convective_coefficient(zeta) * damp * math.cos(zeta * position)
        if damp < 1e-17:
            return


def _half_space(fourier: float, biot: float, depth: float) -> float:
    """A deep body heated through a film: what has arrived at a depth (over half the thickness)."""
    root = math.sqrt(fourier)
    reach = depth / (2.0 * root)
    z = reach + biot * root
    return math.erfc(reach) - math.exp(-reach * reach) * _scaled_erfc(z)


def _scaled_erfc(z: float) -> float:
    """exp(z^2) erfc(z) without overflow."""
    if z < 20.0:
        return math.exp(z * z) * math.erfc(z)
    v = 1.0 / (z * z)
    return (1.0 - v * (0.5 - v * (0.75 - v * 1.875))) / (z * math.sqrt(math.pi))


def slab_temperature(
    thickness: float,
    diffusivity: float,
    *,
    initial: float,
    surface: float,
    time: float,
    position: float = 0.0,
    conductivity: float | None = None,
    heat_transfer: float | None = None,
) -> float:
    """Temperature in a slab whose two faces are stepped alike. [K]

    Parameters
    ----------
    thickness : float
        Whole thickness; a slab heated from one face and insulated on the other is half of one
        twice as thick. [m]
    diffusivity : float
        Heat diffusivity. [m2/s]
    initial : float
        Temperature at the start. [K]
    surface : float
        Temperature of the faces, or of the surroundings with `heat_transfer`. [K]
    time : float
        Since the step. [s]
    position : float
        Distance from the mid-plane. [m]
    conductivity : float, optional
        With `heat_transfer`: conductivity of the slab. [W/(m*K)]
    heat_transfer : float, optional
        With `conductivity`: film coefficient of both faces. [W/(m2*K)]

    Returns
    -------
    float
        Temperature. [K]

    Notes
    -----
    Exact for constant properties. Below a Fourier number of 0.02 the two faces are summed as deep
    bodies, exact to 1e-12.

    References
    ----------
    .. [1] Carslaw and Jaeger 1959, sections 3.4 and 3.11; Incropera et al., Ex. 5.4.

    Examples
    --------
    >>> T = slab_temperature(0.020, 1.6e-7, initial=293.15, surface=393.15, time=469.0)
    >>> round(T - 273.15, 1)
    100.0
    """
    half = 0.5 * thickness
    fourier, place = diffusivity * time / half**2, position / half
    if conductivity is None or heat_transfer is None:
        share = rise_fraction(fourier, place)
    else:
        share = convective_fraction(fourier, heat_transfer * half / conductivity, position=place)
    return initial + (surface - initial) * share


def _slab_law(**inputs: Any) -> Mapping[str, float]:
    problems = []
    if abs(inputs["position"]) > 0.5 * inputs["thickness"]:
        problems.append(
            Problem("calc slab_temperature", "position", text("inside the slab, measured from mid-plane"),
                    shown(inputs["position"]), text("give at most half the thickness"))
        )  # fmt: skip
    if (inputs["conductivity"] is None) != (inputs["heat_transfer"] is None):
        missing = "conductivity" if inputs["conductivity"] is None else "heat_transfer"
        problems.append(
            Problem("calc slab_temperature", missing, text("given for a convective face"), "nothing",
                    text("give conductivity and heat_transfer together, or neither"))
        )  # fmt: skip
    if problems:
        raise InputError(problems)
    thickness, diffusivity = inputs.pop("thickness"), inputs.pop("diffusivity")
    return {"temperature": slab_temperature(thickness, diffusivity, **inputs)}


LAWS: tuple[Law, ...] = (
    Law(
        "slab_temperature",
        text("Temperature in a slab heated alike on both faces"),
        _slab_law,
        (
            Argument("thickness", "m", text("whole thickness"), POSITIVE),
            Argument("diffusivity", "m2/s", text("heat diffusivity"), POSITIVE),
            Argument("initial", "K", text("temperature at the start"), POSITIVE),
            Argument("surface", "K", text("of the faces, or of the air at a convective face"), POSITIVE),
            Argument("time", "s", text("since the step"), NOT_NEGATIVE),
            Argument("position", "m", text("from the mid-plane"), default=0.0),
            Argument("conductivity", "W/(m*K)", text("for a convective face, with heat_transfer"), POSITIVE,
                     default=None),
            Argument("heat_transfer", "W/(m2*K)", text("film coefficient of both faces, with conductivity"),
                     NOT_NEGATIVE, default=None),
        ),
        (Result("temperature", "K", text("at the position and time")),),
        text("exact for constant properties"),
        (CARSLAW, INCROPERA),
        Worked({"thickness": 0.080, "diffusivity": 18.8e-6, "initial": 253.15, "surface": 333.15,
                "time": 480.0,
                "position": 0.0, "conductivity": 63.9, "heat_transfer": 500.0}, {"temperature": 316.05}),
    ),
)  # fmt: skip
