"""Fractional-octave bands and the A-weighting."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

OCTAVE: Final = 10.0**0.3  # the base-ten octave ratio G
REFERENCE: Final = 1000.0  # Hz
_POLES: Final = (20.598997, 107.65265, 737.86223, 12194.217)  # Hz, double, single, single, double


@dataclass(frozen=True, slots=True)
class Band:
    """Exact mid-band frequency and band edges [Hz]."""

    centre: float
    lower: float
    upper: float


def band_edges(fraction: int, index: int) -> Band:
    """Exact mid-band frequency and edges of a fractional-octave band. [Hz]

    Parameters
    ----------
    fraction : int
        Bands per octave: 1, 3, 6, 12, 24. [-]
    index : int
        The integer x of the standard; 0 lies at or just above 1 kHz. [-]

    Returns
    -------
    Band
        Centre, lower and upper edge. [Hz]

    References
    ----------
    .. [1] IEC 61260-1:2014, 5.2-5.5: G = 10^(3/10); odd fractions fr G^(x/b), even ones
       fr G^((2x+1)/(2b)); edges fm G^(-/+ 1/(2b)).

    Examples
    --------
    >>> band = band_edges(3, 0)
    >>> round(band.lower, 3), round(band.upper, 3)
    (891.251, 1122.018)
    """
    step = index / fraction if fraction % 2 else (2 * index + 1) / (2 * fraction)
    centre = REFERENCE * OCTAVE**step
    half = OCTAVE ** (0.5 / fraction)
    return Band(centre, centre / half, centre * half)


def a_weighting(frequency: float) -> float:
    """A-weighting. [dB]

    Parameters
    ----------
    frequency : float
        Exact frequency, not the nominal one. [Hz]

    Returns
    -------
    float
        Level, 0 at 1 kHz. [dB]

    References
    ----------
    .. [1] IEC 61672-1:2013, annex E and Table 3.

    Examples
    --------
    >>> round(a_weighting(1000.0), 6), round(a_weighting(10.0**2), 1)
    (0.0, -19.1)
    """
    return _a_level(frequency) - _a_level(REFERENCE)


def _a_level(frequency: float) -> float:
    f1, f2, f3, f4 = (pole * pole for pole in _POLES)
    f = frequency * frequency
    return 20.0 * math.log10(f4 * f * f / ((f + f1) * math.sqrt((f + f2) * (f + f3)) * (f + f4)))


def _band_edges_law(fraction: int, index: int) -> dict[str, Any]:
    band = band_edges(fraction, index)
    return {"centre": band.centre, "lower": band.lower, "upper": band.upper}


def _a_weighting_law(frequency: float) -> dict[str, Any]:
    return {"level_db": a_weighting(frequency)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="band_edges",
        title=text("Fractional-octave band"),
        function=_band_edges_law,
        arguments=(
            Argument("fraction", "-", text("bands per octave"), must=Span(1, 192), shape="whole",
                     range=Span(1, 48)),
            Argument("index", "-", text("the integer x of IEC 61260-1"), must=Span(-2000, 2000),
                     shape="whole"),
        ),
        results=(
            Result("centre", "Hz", text("exact mid-band frequency")),
            Result("lower", "Hz", text("lower edge")),
            Result("upper", "Hz", text("upper edge")),
        ),
        accuracy=text("exact by definition; nominal frequencies on plots are rounded"),
        sources=(Source("standard", "IEC 61260-1:2014, 5.2-5.5"),),
        worked=Worked({"fraction": 3, "index": 0},
                      {"centre": 1000.0, "lower": 891.2509, "upper": 1122.0185}, tolerance=1e-6),
    ),
    Law(
        name="a_weighting",
        title=text("A-weighting of a frequency"),
        function=_a_weighting_law,
        arguments=(
            Argument("frequency", "Hz", text("exact frequency"), must=POSITIVE,
                     range=Span(10.0, 20000.0)),
        ),
        results=(Result("level_db", "dB", text("weighting, 0 at 1 kHz")),),
        accuracy=text("the standard's table within its rounding to 0.1 dB; a nominal in place of an "
                      "exact frequency moves it by up to 0.1 dB"),
        sources=(Source("standard", "IEC 61672-1:2013, annex E and Table 3"),),
        worked=Worked({"frequency": 10.0 ** 3.3}, {"level_db": 1.2}, tolerance=0.02),
    ),
)  # fmt: skip
