"""A closed box that leaks: the third-order response, and what the leak costs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.box import closed_box

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class LeakyBox:
    """Half-power frequency [Hz], peak [dB], loss at the tight box's resonance [dB]."""

    half_power_frequency: float
    peak_db: float
    loss_db: float


def leaky_response(
    frequency: Floats,
    *,
    resonance: float,
    compliance_volume: float,
    total_q: float,
    box_volume: float,
    leakage_q: float,
) -> Complexes:
    """Response of a drive unit in a closed box with a leak. [-]

    Parameters
    ----------
    frequency : ndarray
        Shape (n_freq,). [Hz]
    resonance : float
        Of the drive unit. [Hz]
    compliance_volume : float
        Its compliance as an air volume. [m3]
    total_q : float
        Its total quality factor. [-]
    box_volume : float
        Net inner volume. [m3]
    leakage_q : float
        Of the leak at the resonance in the tight box. [-]

    Returns
    -------
    ndarray, shape (n_freq,)
        Pressure against that far above resonance. [-]

    Notes
    -----
    The leak is a resistance beside the box's compliance. With s over the drive unit's angular resonance,
    T = leakage_q/sqrt(1 + a), a = Vas/Vb: T s^3/((s^2 + s/Q + 1)(1 + T s) + a T s). What the leak itself
    radiates is counted: it takes back what the cone gives.

    References
    ----------
    .. [1] R. H. Small, "Vented-box loudspeaker systems, part I", J. Audio Eng. Soc. 21 (1973) 363-372
       (leakage as a resistance of the enclosure).

    Examples
    --------
    >>> f = np.array([20.0, 2000.0])
    >>> tight = leaky_response(
    ...     f,
    ...     resonance=28.0,
    ...     compliance_volume=0.05,
    ...     total_q=0.4,
    ...     box_volume=0.0236,
    ...     leakage_q=1e9,
    ... )
    >>> [round(20.0 * math.log10(abs(h)), 2) for h in tight]
    [-15.84, -0.0]
    """
    s = 1j * np.asarray(frequency, dtype=np.float64) / resonance
    a = compliance_volume / box_volume
    T = leakage_q / math.sqrt(1.0 + a)
    return np.asarray(
        T * s**3 / ((s * s + s / total_q + 1.0) * (1.0 + T * s) + a * T * s), dtype=np.complex128
    )


def leaky_box(
    resonance: float, compliance_volume: float, *, total_q: float, box_volume: float, leakage_q: float
) -> LeakyBox:
    """What a leak does to a drive unit in a closed box. [-]

    Parameters
    ----------
    resonance : float
        Of the drive unit. [Hz]
    compliance_volume : float
        Its compliance as an air volume. [m3]
    total_q : float
        Its total quality factor. [-]
    box_volume : float
        Net inner volume. [m3]
    leakage_q : float
        Of the leak at the resonance in the tight box; 5-20 in a sound box (common practice). [-]

    Returns
    -------
    LeakyBox
        Half-power frequency, peak, loss against the tight box at its resonance. [-]

    Notes
    -----
    The half-power frequency is the highest at which the response is 3.01 dB down.

    Examples
    --------
    >>> box = leaky_box(28.0, 0.050, total_q=0.40, box_volume=0.0236, leakage_q=7.0)
    >>> round(box.half_power_frequency, 1), round(box.loss_db, 2)
    (53.1, 0.65)
    """
    tight = closed_box(resonance, compliance_volume, total_q=total_q, box_volume=box_volume)
    a = compliance_volume / box_volume
    T = leakage_q / math.sqrt(1.0 + a)
    # denominator c3 s^3 + c2 s^2 + c1 s + c0
    c3, c2, c1, c0 = T, 1.0 + T / total_q, 1.0 / total_q + T * (1.0 + a), 1.0
    # 1/|H|^2 with w = 1/(frequency ratio)^2
    inverse = np.array([c0 * c0, c1 * c1 - 2.0 * c0 * c2, c2 * c2 - 2.0 * c1 * c3, c3 * c3]) / (T * T)
    crossing = [w.real for w in np.roots(inverse - np.array([0.0, 0.0, 0.0, 2.0]))
                if abs(w.imag) < 1e-7 * abs(w) and w.real > 0.0]  # fmt: skip
    turning = [
        w.real for w in np.roots(np.polyder(inverse)) if abs(w.imag) < 1e-6 * (1.0 + abs(w)) and w.real > 0.0
    ]
    least = min([1.0, *(float(np.polyval(inverse, w)) for w in turning)])
    at = np.array([tight.system_resonance])
    leaking = leaky_response(at, resonance=resonance, compliance_volume=compliance_volume, total_q=total_q,
                             box_volume=box_volume, leakage_q=leakage_q)  # fmt: skip
    loss = 20.0 * math.log10(tight.system_q / float(np.abs(leaking)[0]))
    return LeakyBox(resonance / math.sqrt(min(crossing)), -10.0 * math.log10(least), loss)


def _law(**given: float) -> dict[str, Any]:
    found = leaky_box(given["resonance"], given["compliance_volume"], total_q=given["total_q"],
                      box_volume=given["box_volume"], leakage_q=given["leakage_q"])  # fmt: skip
    return {
        "half_power_frequency": found.half_power_frequency,
        "peak_db": found.peak_db,
        "loss_db": found.loss_db,
    }


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="leaky_box",
        title=text("Closed box with a leak"),
        function=_law,
        arguments=(
            Argument("resonance", "Hz", text("of the drive unit"), must=POSITIVE, range=Span(5.0, 500.0)),
            Argument("compliance_volume", "m3", text("its compliance as an air volume"), must=POSITIVE),
            Argument("total_q", "-", text("its total quality factor, source resistance included"), must=POSITIVE,
                     range=Span(0.1, 2.0)),
            Argument("box_volume", "m3", text("net inner volume"), must=POSITIVE),
            Argument("leakage_q", "-", text("of the leak at the resonance in the tight box"), must=POSITIVE,
                     range=Span(1.0), default=7.0),
        ),
        results=(
            Result("half_power_frequency", "Hz", text("highest frequency 3.01 dB below the passband")),
            Result("peak_db", "dB", text("peak above the passband, 0 where there is none")),
            Result("loss_db", "dB", text("against the tight box, at its resonance")),
        ),
        accuracy=text("exact for small signals and a leak that is a pure resistance; a leak at a gasket also whistles"),
        sources=(Source("published", "R. H. Small, J. Audio Eng. Soc. 21 (1973) 363-372 (leakage as a resistance)"),
                 Source("closed form", "for a tight box the closed box")),
        worked=Worked({"resonance": 28.0, "compliance_volume": 0.050, "total_q": 0.40, "box_volume": 0.0236,
                       "leakage_q": 1e12}, {"half_power_frequency": 49.5, "peak_db": 0.0, "loss_db": 0.0},
                      tolerance=2e-3),
    ),
)  # fmt: skip
