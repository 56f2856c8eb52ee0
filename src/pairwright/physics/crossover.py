"""Passive crossovers: element values, pad, impedance corrector."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

import numpy as np
from numpy.polynomial import polynomial as poly

from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

Kind: TypeAlias = Literal["inductor", "capacitor"]
Position: TypeAlias = Literal["series", "shunt"]
TYPES: Final[tuple[str, ...]] = ("BW1", "BW2", "BW3", "BW4", "LR2", "LR4")
SIDES: Final[tuple[str, ...]] = ("low", "high")


@dataclass(frozen=True, slots=True)
class Element:
    """One element of a ladder: its kind, its position, its value [H] or [F]."""

    kind: Kind
    position: Position
    value: float


@dataclass(frozen=True, slots=True)
class Pad:
    """Series and shunt resistance [ohm]."""

    series: float
    shunt: float


@dataclass(frozen=True, slots=True)
class Corrector:
    """Resistance [ohm] and capacitance [F], in series across the drive unit."""

    series_resistance: float
    series_capacitance: float


def filter_polynomial(kind: str) -> tuple[float, ...]:
    """Denominator of a low-pass prototype, ascending powers. [-]

    Parameters
    ----------
    kind : str
        ``BW1`` to ``BW4`` (Butterworth), ``LR2``, ``LR4`` (Linkwitz-Riley). [-]

    Returns
    -------
    tuple of float
        Coefficients from the constant up. [-]

    References
    ----------
    .. [1] S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2-8.

    Examples
    --------
    >>> filter_polynomial("LR2")
    (1.0, 2.0, 1.0)
    """
    family, order = kind[:2], int(kind[2:])
    stages = order // 2 if family == "LR" else order
    product = np.array([1.0])
    for n in range(stages // 2):
        damping = 2.0 * math.sin(math.pi * (2 * n + 1) / (2 * stages))
        product = poly.polymul(product, [1.0, damping, 1.0])
    if stages % 2:
        product = poly.polymul(product, [1.0, 1.0])
    if family == "LR":
        product = poly.polymul(product, product)
    return tuple(float(c) for c in product)


def ladder(kind: str) -> tuple[float, ...]:
    """Ladder of a prototype for 1 ohm and 1 rad/s, zero source resistance. [-]

    Parameters
    ----------
    kind : str
        As `filter_polynomial`. [-]

    Returns
    -------
    tuple of float
        Inductances and capacitances in turn, from the source to the load. [-]

    Notes
    -----
    Continued fraction of the even over the odd part of the denominator, from the load end.

    Examples
    --------
    >>> [round(v, 4) for v in ladder("BW3")]
    [1.5, 1.3333, 0.5]
    """
    whole = np.array(filter_polynomial(kind))
    even, odd = whole.copy(), whole.copy()
    even[1::2], odd[0::2] = 0.0, 0.0
    order = whole.size - 1
    upper, lower = (even, odd) if order % 2 == 0 else (odd, even)
    values: list[float] = []
    for degree in range(order, 0, -1):
        value = float(upper[degree] / lower[degree - 1])
        values.append(value)
        rest = upper[: degree + 1].copy()
        rest[1:] -= value * lower[:degree]
        upper, lower = lower[:degree], rest[:degree]
    return tuple(reversed(values))


def crossover_values(kind: str, side: str, *, frequency: float, resistance: float) -> tuple[Element, ...]:
    """Element values of a standard crossover branch. [-]

    Parameters
    ----------
    kind : str
        ``BW1`` to ``BW4``, ``LR2``, ``LR4``. [-]
    side : str
        ``low`` or ``high``. [-]
    frequency : float
        Crossover frequency. [Hz]
    resistance : float
        Resistance of the load. [ohm]

    Returns
    -------
    tuple of Element
        From the source to the load. [-]

    Notes
    -----
    Source without resistance, load a pure resistance: a drive unit needs a corrector, or the
    circuit must be computed with its measured impedance. Handbook tables print four decimals.

    References
    ----------
    .. [1] V. Dickason, The Loudspeaker Design Cookbook (tables of first- to fourth-order networks).
    .. [2] S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2-8.

    Examples
    --------
    >>> [
    ...     round(e.value * 1e3, 4)
    ...     for e in crossover_values("LR4", "low", frequency=2e3, resistance=8.0)
    ...     if e.kind == "inductor"
    ... ]
    [1.2004, 0.6002]
    """
    omega = 2.0 * math.pi * frequency
    elements = []
    for n, value in enumerate(ladder(kind)):
        position: Position = "shunt" if n % 2 else "series"
        low: Kind = "capacitor" if n % 2 else "inductor"
        if side == "low":
            size = value / (omega * resistance) if low == "capacitor" else value * resistance / omega
            elements.append(Element(low, position, size))
        elif low == "inductor":
            elements.append(Element("capacitor", position, 1.0 / (value * resistance * omega)))
        else:
            elements.append(Element("inductor", position, resistance / (value * omega)))
    return tuple(elements)


def pad(resistance: float, attenuation_db: float) -> Pad:
    """Pad that attenuates and keeps the load's resistance. [ohm]

    Parameters
    ----------
    resistance : float
        Of the drive unit. [ohm]
    attenuation_db : float
        Above 0. [dB]

    Returns
    -------
    Pad
        Series and shunt resistance. [ohm]

    Examples
    --------
    >>> p = pad(8.0, 6.0)
    >>> round(p.series, 4), round(p.shunt, 5)
    (3.9905, 8.03808)
    """
    k = 10.0 ** (attenuation_db / 20.0)
    return Pad(resistance * (1.0 - 1.0 / k), resistance / (k - 1.0))


def impedance_corrector(resistance: float, inductance: float) -> Corrector:
    """Corrector that makes a coil's impedance a constant resistance. [-]

    Parameters
    ----------
    resistance : float
        Of the voice coil. [ohm]
    inductance : float
        Of the voice coil. [H]

    Returns
    -------
    Corrector
        Resistance and capacitance in series, across the drive unit. [-]

    Notes
    -----
    Exact for a resistance and a pure inductance. With a lossy inductance some 1.25 times the
    resistance is used (common practice); fit the circuit to the measured impedance instead.

    Examples
    --------
    >>> round(impedance_corrector(5.8, 0.5e-3).series_capacitance * 1e6, 5)
    14.86326
    """
    return Corrector(resistance, inductance / resistance**2)


def _crossover_values_law(type: str, side: str, frequency: float, resistance: float) -> dict[str, Any]:
    found = crossover_values(type, side, frequency=frequency, resistance=resistance)
    return {"elements": [{"kind": e.kind, "position": e.position, "value": e.value} for e in found]}


def _pad_law(resistance: float, attenuation_db: float) -> dict[str, Any]:
    found = pad(resistance, attenuation_db)
    return {"series": found.series, "shunt": found.shunt}


def _impedance_corrector_law(resistance: float, inductance: float) -> dict[str, Any]:
    found = impedance_corrector(resistance, inductance)
    return {"series_resistance": found.series_resistance, "series_capacitance": found.series_capacitance}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="crossover_values",
        title=text("Element values of a standard crossover branch"),
        function=_crossover_values_law,
        arguments=(
            Argument("type", "-", text("Butterworth of order 1 to 4, Linkwitz-Riley of order 2 or 4"),
                     shape="word", choices=TYPES),
            Argument("side", "-", text("low-pass or high-pass"), shape="word", choices=SIDES),
            Argument("frequency", "Hz", text("crossover frequency"), must=POSITIVE,
                     range=Span(20.0, 20000.0)),
            Argument("resistance", "ohm", text("of the load"), must=POSITIVE),
        ),
        results=(Result("elements", "-", text("kind, position and value [H, F], source to load")),),
        accuracy=text("exact for a source without resistance and a pure resistance as load"),
        sources=(
            Source("published", "V. Dickason, The Loudspeaker Design Cookbook, tables of networks"),
            Source("published", "S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2-8"),
        ),
        worked=Worked(
            {"type": "LR4", "side": "high", "frequency": 2000.0, "resistance": 8.0},
            {"elements": [
                {"kind": "capacitor", "position": "series", "value": 5.275e-6},
                {"kind": "inductor", "position": "shunt", "value": 0.4001e-3},
                {"kind": "capacitor", "position": "series", "value": 10.551e-6},
                {"kind": "inductor", "position": "shunt", "value": 1.8006e-3}]},
        ),
    ),
    Law(
        name="pad",
        title=text("Pad of a series and a shunt resistance"),
        function=_pad_law,
        arguments=(
            Argument("resistance", "ohm", text("of the drive unit"), must=POSITIVE),
            Argument("attenuation_db", "dB", text("above 0"), must=POSITIVE, range=Span(0.0, 40.0)),
        ),
        results=(
            Result("series", "ohm", text("towards the source")),
            Result("shunt", "ohm", text("across the drive unit")),
        ),
        accuracy=text("exact for a pure resistance as load"),
        sources=(Source("published", "V. Dickason, The Loudspeaker Design Cookbook"),
                 Source("closed form", "voltage divider of constant input resistance")),
        worked=Worked({"resistance": 8.0, "attenuation_db": 6.0}, {"series": 3.99050, "shunt": 8.03808},
                      tolerance=1e-5),
    ),
    Law(
        name="impedance_corrector",
        title=text("Corrector of a voice coil's inductance"),
        function=_impedance_corrector_law,
        arguments=(
            Argument("resistance", "ohm", text("of the voice coil"), must=POSITIVE),
            Argument("inductance", "H", text("of the voice coil"), must=NOT_NEGATIVE),
        ),
        results=(
            Result("series_resistance", "ohm", text("of the corrector")),
            Result("series_capacitance", "F", text("of the corrector")),
        ),
        accuracy=text("exact for a pure inductance; real coils lose, and 1.25 times the resistance is "
                      "then common practice"),
        sources=(Source("closed form", "C = L/R^2 makes the sum R at every frequency"),
                 Source("published", "V. Dickason, The Loudspeaker Design Cookbook")),
        worked=Worked({"resistance": 5.8, "inductance": 0.5e-3},
                      {"series_resistance": 5.8, "series_capacitance": 14.86326e-6}, tolerance=1e-6),
    ),
)  # fmt: skip
