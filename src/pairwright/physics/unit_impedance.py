"""Impedance of a drive unit, and what trials on it tell: added mass, known volume, three points."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import COMMON_PRACTICE, Source
from pairwright.base.words import Amount, text

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class CoilLoss:
    """What the voice coil adds to its resistance.

    `inductance` [H] in series with a second one [H] that a resistance [ohm] bridges. A half
    inductance `factor` (j w)^`power` [-] may stand in their place.
    """

    inductance: float = 0.0
    second: float = 0.0
    bridge: float = 0.0
    factor: float = 0.0
    power: float = 0.7


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value and its standard uncertainty, in the unit of the function that gives it [-]."""

    value: float
    uncertainty: float


def coil_impedance(frequency: Floats, loss: CoilLoss) -> Complexes:
    """What the coil adds to its resistance. [ohm]

    Parameters
    ----------
    frequency : ndarray
        Frequencies, shape (n_freq,). [Hz]
    loss : CoilLoss
        Constants of either model, or of both. [-]

    Returns
    -------
    ndarray, shape (n_freq,)
        Complex impedance. [ohm]

    Notes
    -----
    Two inductances with a bridge (the form is the usual one of the standards for drive units, from
    memory), and the power law whose phase is 90 degrees times the power at every frequency.

    References
    ----------
    .. [1] W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442-450 (power law).

    Examples
    --------
    >>> z = coil_impedance(np.array([1000.0]), CoilLoss(0.3e-3, 0.5e-3, 4.0))
    >>> round(float(z[0].real), 4), round(float(z[0].imag), 4)
    (1.5261, 3.828)
    """
    s = 2j * math.pi * np.asarray(frequency, dtype=np.float64)
    added = s * loss.inductance
    if loss.second > 0.0 and loss.bridge > 0.0:
        added = added + s * loss.second * loss.bridge / (s * loss.second + loss.bridge)
    if loss.factor > 0.0:
        added = added + loss.factor * s**loss.power
    return np.asarray(added, dtype=np.complex128)


def impedance(
    frequency: Floats,
    *,
    resistance: float,
    resonance: float,
    mechanical_q: float,
    electrical_q: float,
    coil: CoilLoss | None = None,
) -> Complexes:
    """Electrical impedance of a drive unit in free air. [ohm]

    Parameters
    ----------
    frequency : ndarray
        Frequencies, shape (n_freq,). [Hz]
    resistance : float
        Of the coil. [ohm]
    resonance : float
        Of the drive unit. [Hz]
    mechanical_q : float
        Mechanical quality factor. [-]
    electrical_q : float
        Electrical quality factor. [-]
    coil : CoilLoss, optional
        Inductance and its loss. [-]

    Returns
    -------
    ndarray, shape (n_freq,)
        Complex impedance. [ohm]

    References
    ----------
    .. [1] Small 1972: Re + Res/(1 + j Qms (f/fs - fs/f)), Res = Re Qms/Qes.

    Examples
    --------
    >>> z = impedance(
    ...     np.array([40.0]), resistance=5.8, resonance=40.0, mechanical_q=3.0, electrical_q=0.5
    ... )
    >>> round(float(z[0].real), 2)
    40.6
    """
    ratio = np.asarray(frequency, dtype=np.float64) / resonance
    motion = resistance * mechanical_q / electrical_q / (1.0 + 1j * mechanical_q * (ratio - 1.0 / ratio))
    total = resistance + motion
    if coil is not None:
        total = total + coil_impedance(frequency, coil)
    return np.asarray(total, dtype=np.complex128)


def three_points(
    resistance: float, peak: float, *, resonance: float, lower: float, upper: float
) -> tuple[float, float, float]:
    """Quality factors from the peak and the two frequencies beside it. [-]

    Parameters
    ----------
    resistance : float
        Of the coil, at its temperature. [ohm]
    peak : float
        Impedance at resonance. [ohm]
    resonance : float
        Frequency of the peak. [Hz]
    lower : float
        Below it, where the impedance is sqrt(peak resistance). [Hz]
    upper : float
        Above it, likewise. [Hz]

    Returns
    -------
    tuple of float
        Mechanical and electrical quality factor; sqrt(lower upper)/resonance - 1, which must be
        near 0: above 1-2 % the inductance or the reading spoils the method. [-]

    References
    ----------
    .. [1] Small 1972.

    Examples
    --------
    >>> qms, qes, off = three_points(
    ...     5.8, 44.2, resonance=40.13514, lower=27.18758, upper=59.24874
    ... )
    >>> round(qms, 4), round(qes, 4), abs(off) < 1e-6
    (3.4558, 0.522, True)
    """
    ratio = peak / resistance
    mechanical = resonance * math.sqrt(ratio) / (upper - lower)
    return mechanical, mechanical / (ratio - 1.0), math.sqrt(lower * upper) / resonance - 1.0


def added_mass(resonance: Estimate, loaded: Estimate, *, mass: Estimate) -> Estimate:
    """Moving mass from the resonance with and without an added mass. [kg]

    Parameters
    ----------
    resonance : Estimate
        Of the bare drive unit. [Hz]
    loaded : Estimate
        With the added mass. [Hz]
    mass : Estimate
        The added mass. [kg]

    Returns
    -------
    Estimate
        Moving mass and its standard uncertainty. [kg]

    Notes
    -----
    Ma/((fs/fm)^2 - 1). First-order propagation: a small added mass makes the frequencies' errors
    large; 0.5 to 1 times the moving mass is about right (common practice).

    Examples
    --------
    >>> m = added_mass(
    ...     Estimate(40.13514, 0.0), Estimate(32.33614, 0.0), mass=Estimate(0.010, 0.0)
    ... )
    >>> round(m.value, 6)
    0.0185
    """
    ratio = (resonance.value / loaded.value) ** 2
    value = mass.value / (ratio - 1.0)
    lever = 2.0 * ratio / (ratio - 1.0)
    relative = math.sqrt(
        (mass.uncertainty / mass.value) ** 2
        + (lever * resonance.uncertainty / resonance.value) ** 2
        + (lever * loaded.uncertainty / loaded.value) ** 2
    )
    return Estimate(value, value * relative)


def known_volume(
    resonance: Estimate,
    boxed: Estimate,
    *,
    electrical_q: Estimate,
    boxed_electrical_q: Estimate,
    volume: Estimate,
) -> Estimate:
    """Compliance as an air volume, from a box of known volume. [m3]

    Parameters
    ----------
    resonance : Estimate
        In free air. [Hz]
    boxed : Estimate
        In the box. [Hz]
    electrical_q : Estimate
        In free air. [-]
    boxed_electrical_q : Estimate
        In the box. [-]
    volume : Estimate
        Net volume of the box. [m3]

    Returns
    -------
    Estimate
        Volume and its standard uncertainty. [m3]

    Notes
    -----
    Vt (fc Qec/(fs Qes) - 1): the change of the air load cancels.

    References
    ----------
    .. [1] Small 1972.

    Examples
    --------
    >>> v = known_volume(
    ...     Estimate(40.13514, 0.0),
    ...     Estimate(72.25086, 0.0),
    ...     electrical_q=Estimate(0.5219626, 0.0),
    ...     boxed_electrical_q=Estimate(0.9396316, 0.0),
    ...     volume=Estimate(0.010, 0.0),
    ... )
    >>> round(v.value * 1000, 4)
    22.4068
    """
    product = boxed.value * boxed_electrical_q.value / (resonance.value * electrical_q.value)
    value = volume.value * (product - 1.0)
    spread = (
        volume.value
        * product
        * math.sqrt(
            sum((e.uncertainty / e.value) ** 2 for e in (resonance, boxed, electrical_q, boxed_electrical_q))
        )
    )
    return Estimate(value, math.hypot(spread, (product - 1.0) * volume.uncertainty))


def _three_points_law(
    resistance: float, peak: float, resonance: float, lower: float, upper: float
) -> dict[str, Any]:
    mechanical, electrical, off = three_points(
        resistance, peak, resonance=resonance, lower=lower, upper=upper
    )
    total = mechanical * electrical / (mechanical + electrical)
    return {"mechanical_q": mechanical, "electrical_q": electrical, "total_q": total, "asymmetry": off}


def _uneven(inputs: Mapping[str, Any]) -> Sequence[Finding]:
    off = math.sqrt(inputs["lower"] * inputs["upper"]) / inputs["resonance"] - 1.0
    if abs(off) <= UNEVEN:
        return []
    return [Finding("measurement_uneven", "warning", "three_points",
                    text("the resonance is uneven by {off} (limit {limit}): three points mislead here, use the fit of "
                         "the whole curve", off=Amount(off, "share"), limit=Amount(UNEVEN, "share")),
                    COMMON_PRACTICE)]  # fmt: skip


def _added_mass_law(**given: float) -> dict[str, Any]:
    if given["loaded"] >= given["resonance"]:
        raise InputError(Problem("calc added_mass", "loaded", text("below the resonance in free air"),
                                 f"{given['loaded']:g} Hz",
                                 text("check that the mass sits on the diaphragm")))  # fmt: skip
    found = added_mass(
        Estimate(given["resonance"], given["resonance_sd"]), Estimate(given["loaded"], given["loaded_sd"]),
        mass=Estimate(given["mass"], given["mass_sd"]),
    )  # fmt: skip
    return {"moving_mass": found.value, "moving_mass_sd": found.uncertainty}


def _small_mass(inputs: Mapping[str, Any]) -> Sequence[Finding]:
    ratio = (inputs["resonance"] / inputs["loaded"]) ** 2 - 1.0
    if MASS_RANGE[0] <= ratio <= MASS_RANGE[1]:
        return []
    return [Finding("measurement_doubtful", "warning", "added_mass",
                    text("the added mass is {ratio} of the moving mass; about half to all of it keeps the errors of "
                         "the frequencies small", ratio=Amount(ratio, "share")), COMMON_PRACTICE)]  # fmt: skip


def _known_volume_law(**given: float) -> dict[str, Any]:
    names = ("resonance", "boxed", "electrical_q", "boxed_electrical_q", "volume")
    free, boxed, quality, boxed_quality, volume = (Estimate(given[n], given[f"{n}_sd"]) for n in names)
    found = known_volume(free, boxed, electrical_q=quality, boxed_electrical_q=boxed_quality, volume=volume)
    return {"compliance_volume": found.value, "compliance_volume_sd": found.uncertainty}


def _with_sd(argument: Argument) -> tuple[Argument, Argument]:
    """An argument and its standard uncertainty."""
    return argument, Argument(f"{argument.name}_sd", argument.unit, text("its standard uncertainty"),
                              must=NOT_NEGATIVE, default=0.0)  # fmt: skip


UNEVEN: Final = 0.02  # sqrt(f1 f2)/fs - 1 beyond which three points mislead (common practice: 1-2 %)
MASS_RANGE: Final = (0.4, 1.2)  # added over moving mass, around the usual 0.5 to 1 (common practice)
_SMALL: Final = Source("published", "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383-395")
_FREE: Final = Argument("resonance", "Hz", text("in free air"), must=POSITIVE, range=Span(5.0, 5000.0))

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="three_points",
        title=text("Quality factors of a drive unit from three points of its impedance"),
        function=_three_points_law,
        arguments=(
            Argument("resistance", "ohm", text("of the voice coil, at its temperature"), must=POSITIVE),
            Argument("peak", "ohm", text("impedance at resonance"), must=POSITIVE),
            _FREE,
            Argument("lower", "Hz", text("below it, where the impedance is sqrt(peak resistance)"), must=POSITIVE),
            Argument("upper", "Hz", text("above it, likewise"), must=POSITIVE),
        ),
        results=(
            Result("mechanical_q", "-", text("mechanical quality factor")),
            Result("electrical_q", "-", text("electrical quality factor")),
            Result("total_q", "-", text("total quality factor")),
            Result("asymmetry", "-", text("sqrt(lower upper)/resonance - 1, near 0 in a sound reading")),
        ),
        accuracy=text("exact without inductance; a kelvin of the coil is 0.39 % of the electrical quality factor"),
        sources=(_SMALL,),
        worked=Worked({"resistance": 5.8, "peak": 44.2, "resonance": 40.13514, "lower": 27.18758,
                       "upper": 59.24874}, {"mechanical_q": 3.455753, "electrical_q": 0.5219626}, tolerance=1e-5),
        also=_uneven,
    ),
    Law(
        name="added_mass",
        title=text("Moving mass of a drive unit by an added mass"),
        function=_added_mass_law,
        arguments=(
            *_with_sd(_FREE),
            *_with_sd(Argument("loaded", "Hz", text("resonance with the mass"), must=POSITIVE)),
            *_with_sd(Argument("mass", "kg", text("added to the diaphragm"), must=POSITIVE)),
        ),
        results=(
            Result("moving_mass", "kg", text("with the air load of the trial")),
            Result("moving_mass_sd", "kg", text("its standard uncertainty")),
        ),
        accuracy=text("exact for one mass on one spring; the compliance must be the same in both readings"),
        sources=(_SMALL,),
        worked=Worked({"resonance": 40.13514, "loaded": 32.33614, "mass": 0.010}, {"moving_mass": 0.0185},
                      tolerance=1e-5),
        also=_small_mass,
    ),
    Law(
        name="known_volume",
        title=text("Compliance of a drive unit by a box of known volume"),
        function=_known_volume_law,
        arguments=(
            *_with_sd(_FREE),
            *_with_sd(Argument("boxed", "Hz", text("resonance in the box"), must=POSITIVE)),
            *_with_sd(Argument("electrical_q", "-", text("electrical quality factor in free air"), must=POSITIVE)),
            *_with_sd(Argument("boxed_electrical_q", "-", text("the same in the box"), must=POSITIVE)),
            *_with_sd(Argument("volume", "m3", text("net volume of the tight, empty box"), must=POSITIVE)),
        ),
        results=(
            Result("compliance_volume", "m3", text("compliance as an air volume")),
            Result("compliance_volume_sd", "m3", text("its standard uncertainty")),
        ),
        accuracy=text("the change of the air load cancels; leaks and filling make the volume seem larger"),
        sources=(_SMALL,),
        worked=Worked({"resonance": 40.13514, "boxed": 72.25086, "electrical_q": 0.5219626,
                       "boxed_electrical_q": 0.9396316, "volume": 0.010}, {"compliance_volume": 22.4068e-3},
                      tolerance=1e-5),
    ),
)  # fmt: skip
