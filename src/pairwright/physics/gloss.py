"""Gloss: what an ideal film can show, and which angle to read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

ISO_2813: Final = Source(
    "standard", "ISO 2813:2014: 100 units is black glass of index 1.567; choice of the angle"
)
FRESNEL: Final = Source("closed form", "Fresnel's equations, unpolarised light on a smooth face")

STANDARD_INDEX: Final = 1.567  # polished black glass, assigned 100 gloss units (ISO 2813)


def fresnel_reflectance(index: float, angle_deg: float) -> float:
    """Reflectance of a smooth surface for unpolarised light. [-]

    Parameters
    ----------
    index : float
        Refractive index of the film. [-]
    angle_deg : float
        Angle of incidence from the normal. [deg]

    Returns
    -------
    float
        Reflected share. [-]

    References
    ----------
    .. [1] Fresnel equations; ISO 2813:2014 uses them for its standards.

    Examples
    --------
    >>> round(fresnel_reflectance(1.567, 60.0), 6)
    0.100056
    """
    angle = math.radians(angle_deg)
    cos_in = math.cos(angle)
    cos_out = math.sqrt(1.0 - (math.sin(angle) / index) ** 2)
    across = (cos_in - index * cos_out) / (cos_in + index * cos_out)
    along = (index * cos_in - cos_out) / (index * cos_in + cos_out)
    return 0.5 * (across**2 + along**2)


def ideal_gloss(index: float, angle_deg: float) -> float:
    """Gloss of a perfectly smooth clear film, the upper bound. [-]

    Parameters
    ----------
    index : float
        Refractive index of the film. [-]
    angle_deg : float
        Angle of the glossmeter: 20, 60 or 85. [deg]

    Returns
    -------
    float
        Gloss units. [-]

    Notes
    -----
    A reading above this means a reflecting ground under the film or a wrong calibration.

    Examples
    --------
    >>> round(ideal_gloss(1.50, 60.0), 2)
    89.14
    """
    standard = fresnel_reflectance(STANDARD_INDEX, angle_deg)
    return 100.0 * fresnel_reflectance(index, angle_deg) / standard


def gloss_geometry(reading_60: float) -> int:
    """Which angle to read, after a first reading at 60 degrees. [deg]

    Parameters
    ----------
    reading_60 : float
        Gloss units at 60 degrees. [-]

    Returns
    -------
    int
        20 above 70 units, 85 below 10, else 60. [deg]

    References
    ----------
    .. [1] ISO 2813:2014, choice of geometry.

    Examples
    --------
    >>> gloss_geometry(88.0), gloss_geometry(35.0), gloss_geometry(6.0)
    (20, 60, 85)
    """
    if reading_60 > 70.0:
        return 20
    return 85 if reading_60 < 10.0 else 60


def _gloss_law(**inputs: Any) -> Mapping[str, float]:
    index, angle = inputs["index"], inputs["angle_deg"]
    gloss = ideal_gloss(index, angle)
    at_sixty = ideal_gloss(index, 60.0)
    return {
        "gloss": gloss,
        "reflectance": fresnel_reflectance(index, angle),
        "read_at_deg": gloss_geometry(at_sixty if inputs["reading_60"] is None else inputs["reading_60"]),
    }


LAWS: tuple[Law, ...] = (
    Law(
        "ideal_gloss",
        text("Gloss of a perfect clear film, and the angle to read at"),
        _gloss_law,
        (
            Argument("index", "-", text("refractive index of the film"), Span(1.0, 4.0, open_low=True),
                     Span(1.3, 1.8)),
            Argument("angle_deg", "deg", text("angle of the glossmeter from the normal"), Span(0.0, 89.0),
                     Span(20.0, 85.0), default=60.0),
            Argument("reading_60", "-", text("a first reading at 60 degrees, gloss units"), Span(0.0),
                     Span(0.0, 200.0), default=None),
        ),
        (
            Result("gloss", "-", text("gloss units: what the film can show at most")),
            Result("reflectance", "-", text("share of the light reflected")),
            Result("read_at_deg", "deg", text("20 above 70 units at 60 degrees, 85 below 10, else 60")),
        ),
        text("exact for a smooth face; a reading above it means a reflecting ground or a wrong calibration"),
        (ISO_2813, FRESNEL),
        Worked({"index": 1.50, "angle_deg": 20.0}, {"gloss": 82.05, "read_at_deg": 20}, 1e-3),
    ),
)  # fmt: skip
