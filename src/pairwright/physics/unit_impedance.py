"""Impedance of a drive unit, and what trials on it tell: added mass, known volume, three points."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

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
