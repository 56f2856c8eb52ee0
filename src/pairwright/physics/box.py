"""Closed and vented boxes: resonance, quality, half-power frequency, peak."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


@dataclass(frozen=True, slots=True)
class ClosedBox:
    """Resonance [Hz] and quality [-] in the box, half-power frequency [Hz], peak [dB]."""

    system_resonance: float
    system_q: float
    half_power_frequency: float
    peak_db: float


@dataclass(frozen=True, slots=True)
class VentedBox:
    """Half-power frequency [Hz] and peak [dB] of a vented box."""

    half_power_frequency: float
    peak_db: float


def closed_box(resonance: float, compliance_volume: float, *, total_q: float, box_volume: float) -> ClosedBox:
    """Response of a drive unit in a closed box. [-]

    Parameters
    ----------
    resonance : float
        Of the drive unit. [Hz]
    compliance_volume : float
        Its compliance as an air volume. [m3]
    total_q : float
        Its total quality factor, source resistance included. [-]
    box_volume : float
        Net inner volume; some 10-20 % larger with filling (common practice). [m3]

    Returns
    -------
    ClosedBox
        Resonance, quality, half-power frequency, peak. [-]

    References
    ----------
    .. [1] R. H. Small, "Closed-box loudspeaker systems", J. Audio Eng. Soc. 20 (1972) 798-808.

    Examples
    --------
    >>> box = closed_box(28.0, 0.050, total_q=0.40, box_volume=0.02354)
    >>> round(box.system_resonance, 1), round(box.system_q, 3)
    (49.5, 0.707)
    """
    stiffer = math.sqrt(1.0 + compliance_volume / box_volume)
    corner, quality = resonance * stiffer, total_q * stiffer
    return ClosedBox(corner, quality, corner * half_power_ratio(quality), peak_of(quality))


def half_power_ratio(quality: float) -> float:
    """Half-power frequency over resonance of a second-order high-pass. [-]

    Parameters
    ----------
    quality : float
        Quality factor in the box. [-]

    Returns
    -------
    float
        Ratio. [-]

    Examples
    --------
    >>> round(half_power_ratio(0.5), 4)
    1.5538
    """
    a = 1.0 / quality**2 - 2.0
    return math.sqrt(0.5 * (a + math.sqrt(a * a + 4.0)))


def peak_of(quality: float) -> float:
    """Peak of a second-order high-pass above its passband. [dB]

    Parameters
    ----------
    quality : float
        Quality factor in the box. [-]

    Returns
    -------
    float
        Peak; 0 where there is none. [dB]

    Examples
    --------
    >>> round(peak_of(1.0), 3), peak_of(0.6)
    (1.249, 0.0)
    """
    if quality**2 <= 0.5:
        return 0.0
    return 20.0 * math.log10(quality**2 / math.sqrt(quality**2 - 0.25))


def closed_volume(compliance_volume: float, total_q: float, *, system_q: float) -> float:
    """Box volume that gives a quality factor. [m3]

    Parameters
    ----------
    compliance_volume : float
        Compliance as an air volume. [m3]
    total_q : float
        Of the drive unit. [-]
    system_q : float
        Wanted in the box, above that of the drive unit. [-]

    Returns
    -------
    float
        Net volume; infinity where the drive unit alone has as much. [m3]

    Examples
    --------
    >>> round(closed_volume(0.050, 0.40, system_q=0.707107) * 1000, 2)
    23.53
    """
    ratio = (system_q / total_q) ** 2 - 1.0
    return compliance_volume / ratio if ratio > 0.0 else math.inf


def vented_coefficients(
    compliance_ratio: float, tuning_ratio: float, *, total_q: float, leakage_q: float | None = None
) -> tuple[float, float, float]:
    """Coefficients of the fourth-order high-pass of a vented box. [-]

    Parameters
    ----------
    compliance_ratio : float
        Compliance volume over box volume. [-]
    tuning_ratio : float
        Box tuning over resonance. [-]
    total_q : float
        Of the drive unit. [-]
    leakage_q : float, optional
        Of the box's leakage losses; none is lossless. [-]

    Returns
    -------
    tuple of float
        a1, a2, a3 of s^4 + a1 s^3 + a2 s^2 + a3 s + 1 at the mean of resonance and tuning. [-]

    References
    ----------
    .. [1] R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973) 363-372.

    Examples
    --------
    >>> [round(a, 4) for a in vented_coefficients(2**0.5, 1.0, total_q=0.3826834)]
    [2.6131, 3.4142, 2.6131]
    """
    h, root = tuning_ratio, math.sqrt(tuning_ratio)
    leak = 0.0 if leakage_q is None else 1.0 / leakage_q
    a1 = 1.0 / (root * total_q) + root * leak
    a2 = leak / total_q + (compliance_ratio + 1.0 + h * h) / h
    a3 = root / total_q + leak / root
    return a1, a2, a3


def vented_box(
    resonance: float,
    compliance_volume: float,
    *,
    total_q: float,
    box_volume: float,
    box_tuning: float,
    leakage_q: float | None = None,
) -> VentedBox:
    """Response of a drive unit in a vented box. [-]

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
    box_tuning : float
        Resonance of box and vent. [Hz]
    leakage_q : float, optional
        Of the leakage losses, 5-20 in a sound box, 7 the usual assumption; none is lossless. [-]

    Returns
    -------
    VentedBox
        Half-power frequency and peak. [-]

    Notes
    -----
    The half-power frequency is the highest at which the response is 3.01 dB down: what lies
    below is no longer passband, even where the vent lifts it again.

    References
    ----------
    .. [1] A. N. Thiele, "Loudspeakers in vented boxes", Proc. IREE Australia 22 (1961) 487-508,
       reprinted J. Audio Eng. Soc. 19 (1971) 382-392, Table I.
    .. [2] R. H. Small, J. Audio Eng. Soc. 21 (1973) 363-372.

    Examples
    --------
    >>> box = vented_box(30.4, 0.1259, total_q=0.259, box_volume=0.02823, box_tuning=43.2)
    >>> round(box.half_power_frequency, 1)
    53.8
    """
    a1, a2, a3 = vented_coefficients(
        compliance_volume / box_volume, box_tuning / resonance, total_q=total_q, leakage_q=leakage_q
    )
    # 1/|H|^2 as a polynomial of w = (mean frequency/frequency)^2
    inverse = np.array([1.0, a3 * a3 - 2.0 * a2, a2 * a2 + 2.0 - 2.0 * a1 * a3, a1 * a1 - 2.0 * a2, 1.0])
    crossing = np.roots(inverse - np.array([0.0, 0.0, 0.0, 0.0, 2.0]))
    first = min(w.real for w in crossing if abs(w.imag) < 1e-7 * abs(w) and w.real > 0.0)
    turning = np.roots(np.polyder(inverse))
    lows = [
        float(np.polyval(inverse, w.real))
        for w in turning
        if abs(w.imag) < 1e-6 * (1.0 + abs(w)) and w.real > 0.0
    ]
    least = min([1.0, *lows])
    mean = math.sqrt(resonance * box_tuning)
    return VentedBox(mean / math.sqrt(first), -10.0 * math.log10(least))


def _closed_box_law(**inputs: float) -> dict[str, Any]:
    box = closed_box(
        inputs["resonance"], inputs["compliance_volume"], total_q=inputs["total_q"],
        box_volume=inputs["box_volume"],
    )  # fmt: skip
    return {"system_resonance": box.system_resonance, "system_q": box.system_q,
            "half_power_frequency": box.half_power_frequency, "peak_db": box.peak_db}  # fmt: skip


def _vented_box_law(
    resonance: float,
    compliance_volume: float,
    total_q: float,
    box_volume: float,
    box_tuning: float,
    leakage_q: float | None,
) -> dict[str, Any]:
    box = vented_box(
        resonance, compliance_volume, total_q=total_q, box_volume=box_volume,
        box_tuning=box_tuning, leakage_q=leakage_q,
    )  # fmt: skip
    return {"half_power_frequency": box.half_power_frequency, "peak_db": box.peak_db}


_UNIT: Final = (
    Argument("resonance", "Hz", text("of the drive unit"), must=POSITIVE, range=Span(5.0, 500.0)),
    Argument("compliance_volume", "m3", text("its compliance as an air volume"), must=POSITIVE),
    Argument("total_q", "-", text("its total quality factor, source resistance included"),
             must=POSITIVE, range=Span(0.1, 2.0)),
    Argument("box_volume", "m3", text("net inner volume"), must=POSITIVE),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="closed_box",
        title=text("Drive unit in a closed box"),
        function=_closed_box_law,
        arguments=_UNIT,
        results=(
            Result("system_resonance", "Hz", text("resonance in the box")),
            Result("system_q", "-", text("quality factor in the box")),
            Result("half_power_frequency", "Hz", text("3.01 dB below the passband")),
            Result("peak_db", "dB", text("peak above the passband, 0 where there is none")),
        ),
        accuracy=text(
            "exact for small signals; filling makes the box act larger, leaks and warm-up move the "
            "result by several per cent"
        ),
        sources=(Source("published", "R. H. Small, J. Audio Eng. Soc. 20 (1972) 798-808"),),
        worked=Worked(
            {"resonance": 28.0, "compliance_volume": 0.050, "total_q": 0.40, "box_volume": 0.0236},
            {"system_resonance": 49.5, "system_q": 0.707},
            tolerance=2e-3,
        ),
    ),
    Law(
        name="vented_box",
        title=text("Drive unit in a vented box"),
        function=_vented_box_law,
        arguments=(
            *_UNIT,
            Argument("box_tuning", "Hz", text("resonance of box and vent"), must=POSITIVE,
                     range=Span(5.0, 500.0)),
            Argument("leakage_q", "-", text("of the leakage losses; none is lossless"), must=POSITIVE,
                     range=Span(2.0), default=None),
        ),
        results=(
            Result("half_power_frequency", "Hz", text("highest frequency 3.01 dB below the passband")),
            Result("peak_db", "dB", text("peak above the passband, 0 where there is none")),
        ),
        accuracy=text("Thiele's printed ratios within 0.3 %; losses of vent and filling are not counted"),
        sources=(
            Source("published", "A. N. Thiele, J. Audio Eng. Soc. 19 (1971) 382-392, Table I"),
            Source("published", "R. H. Small, J. Audio Eng. Soc. 21 (1973) 363-372"),
        ),
        worked=Worked(
            {"resonance": 30.4, "compliance_volume": 0.1259, "total_q": 0.259,
             "box_volume": 0.02823, "box_tuning": 43.2},
            {"half_power_frequency": 53.8},
            tolerance=2e-3,
        ),
    ),
)  # fmt: skip
