"""The resonance peak of a measured impedance: where it is, its sides, whether it is even."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE
from pairwright.base.words import Amount, text
from pairwright.physics.unit_impedance import UNEVEN, three_points

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]


def find_peak(measured: Complexes, resistance: float | None = None) -> tuple[float, int]:
    """Coil resistance to begin with, and the place of the resonance peak. [ohm, -]

    Parameters
    ----------
    measured : ndarray
        Complex impedance, or its magnitude as complex numbers, shape (n_freq,). [ohm]
    resistance : float, optional
        Where it is known. [ohm]

    Returns
    -------
    tuple
        Resistance and index of the peak: the highest one where the impedance is nearly real. [ohm, -]

    Examples
    --------
    >>> find_peak(np.array([6.0, 9.0, 30.0, 8.0, 7.0, 9.0], dtype=complex), 5.8)
    (5.8, 2)
    """
    size = np.abs(measured)
    inner = [
        n for n in range(1, size.size - 1) if size[n] >= size[n - 1] and size[n] > size[n + 1]
    ]  # fmt: skip
    if not inner:
        raise InputError(
            Problem("impedance fit", "measured", text("a curve with a resonance peak inside its range"), "none",
                    text("measure from well below resonance to well above it"))
        )  # fmt: skip
    peak = max(inner, key=lambda n: float(measured[n].real) - 0.5 * abs(float(measured[n].imag)))
    re = resistance if resistance is not None else 0.97 * min(float(size.min()), float(size[0]))
    return re, peak


@dataclass(frozen=True, slots=True)
class ThreePoints:
    """Resonance [Hz] and quality factors [-] by three points, and their asymmetry [-]."""

    resonance: float
    lower: float
    upper: float
    peak: float  # [ohm]
    mechanical_q: float
    electrical_q: float
    asymmetry: float
    findings: tuple[Finding, ...]


def read_three_points(frequency: Floats, magnitude: Floats, *, resistance: float) -> ThreePoints:
    """Quality factors from the magnitude alone, with the check of its symmetry. [-]

    Parameters
    ----------
    frequency : ndarray
        Rising, shape (n_freq,). [Hz]
    magnitude : ndarray
        Of the impedance, shape (n_freq,). [ohm]
    resistance : float
        Of the coil, at its temperature. [ohm]

    Returns
    -------
    ThreePoints
        Peak, the two frequencies beside it, quality factors; a finding ``measurement_uneven`` where
        sqrt(f1 f2) lies more than 2 % from the peak: inductance, a box or a poor reading. [-]

    Notes
    -----
    The peak by a parabola over log frequency through what lies within 5 % of it, three points at
    least; the sides by linear interpolation of log magnitude.

    References
    ----------
    .. [1] Small 1972.

    Examples
    --------
    >>> from pairwright.physics.unit_impedance import impedance
    >>> f = np.geomspace(5.0, 500.0, 400)
    >>> z = impedance(f, resistance=5.8, resonance=40.0, mechanical_q=3.5, electrical_q=0.5)
    >>> found = read_three_points(f, np.abs(z), resistance=5.8)
    >>> round(found.mechanical_q, 2), round(found.electrical_q, 3), found.findings
    (3.5, 0.5, ())
    """
    at, level = np.log(frequency), np.log(magnitude)
    _, n = find_peak(magnitude.astype(np.complex128), resistance)
    near = _top(level, n)
    bend = np.polyfit(at[near] - at[n], level[near], 2)
    shift = float(np.clip(-0.5 * bend[1] / bend[0], at[near][0] - at[n], at[near][-1] - at[n]))
    resonance = math.exp(float(at[n]) + shift)
    peak = math.exp(float(np.polyval(bend, shift)))
    wanted = 0.5 * (math.log(peak) + math.log(resistance))
    if peak <= resistance:
        raise _no_side(peak, resistance)
    lower = _crossing(at[: n + 1][::-1], level[: n + 1][::-1], wanted)
    upper = _crossing(at[n:], level[n:], wanted)
    if lower is None or upper is None:
        raise _no_side(peak, resistance)
    mechanical, electrical, off = three_points(
        resistance, peak, resonance=resonance, lower=math.exp(lower), upper=math.exp(upper)
    )
    findings: tuple[Finding, ...] = ()
    if abs(off) > UNEVEN:
        findings = (Finding("measurement_uneven", "warning", "drive unit",
                            text("the resonance is uneven by {off} (limit {limit}): three points mislead here, use "
                                 "the fit of the whole curve", off=Amount(off, "share"), limit=Amount(UNEVEN, "share")),
                            COMMON_PRACTICE),)  # fmt: skip
    return ThreePoints(
        resonance, math.exp(lower), math.exp(upper), peak, mechanical, electrical, off, findings
    )


def _top(level: Floats, peak: int) -> slice:
    """The points around the peak within 5 % of it, one on each side at least."""
    first, last = peak - 1, peak + 1
    while first > 0 and level[first - 1] > level[peak] - 0.05:
        first -= 1
    while last < level.size - 1 and level[last + 1] > level[peak] - 0.05:
        last += 1
    return slice(first, last + 1)


def _crossing(at: Floats, level: Floats, wanted: float) -> float | None:
    """Where a falling row first passes a level, linear between points."""
    under = np.flatnonzero(level < wanted)
    if not under.size:
        return None
    n = int(under[0])
    share = (level[n - 1] - wanted) / (level[n - 1] - level[n])
    return float(at[n - 1] + share * (at[n] - at[n - 1]))


def _no_side(peak: float, resistance: float) -> InputError:
    return InputError(
        Problem("three points", "magnitude", text("a peak whose sides fall to sqrt(peak x resistance)"),
                f"{peak:.4g} / {resistance:.4g}", text("measure further down and up, or correct the resistance"))
    )  # fmt: skip
