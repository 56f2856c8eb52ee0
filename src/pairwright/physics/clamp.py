"""Glue-up pressure: force of a clamped joint, spacing of the clamps."""

from __future__ import annotations

import math
from typing import Any, Final

from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


def clamp_force(pressure: float, length: float, *, width: float) -> float:
    """Force that puts a pressure on a glue line. [N]

    Parameters
    ----------
    pressure : float
        Pressure the adhesive asks for. [Pa]
    length : float
        Of the glue line. [m]
    width : float
        Of the glue line. [m]

    Returns
    -------
    float
        Total force over all clamps. [N]

    Examples
    --------
    >>> clamp_force(0.8e6, 0.5, width=0.02)
    8000.0
    """
    return pressure * length * width


def glue_line_pressure(force: float, length: float, *, width: float) -> float:
    """Mean pressure that a force puts on a glue line. [Pa]

    Parameters
    ----------
    force : float
        Total force over all clamps. [N]
    length : float
        Of the glue line. [m]
    width : float
        Of the glue line. [m]

    Returns
    -------
    float
        Mean pressure. [Pa]

    Examples
    --------
    >>> glue_line_pressure(8000.0, 0.5, width=0.02)
    800000.0
    """
    return force / (length * width)


def clamp_spacing(cover: float, *, spread_angle: float = math.pi / 4) -> float:
    """Largest spacing of clamps whose pressure cones still meet. [m]

    Parameters
    ----------
    cover : float
        Distance from the clamp face to the glue line: the stock, and a caul if there is one. [m]
    spread_angle : float
        Half angle at which the force spreads in the wood. [rad]

    Returns
    -------
    float
        Largest spacing between clamp centres, pad width not counted. [m]

    Notes
    -----
    2 x cover x tan(angle). The 45 degree spread is the bench rule, from memory.

    Examples
    --------
    >>> round(clamp_spacing(0.060), 3)
    0.12
    """
    return 2.0 * cover * math.tan(spread_angle)


def clamps_needed(
    pressure: float, length: float, *, width: float, cover: float, clamp_capacity: float
) -> int:
    """Fewest clamps by spacing and by force. [-]

    Parameters
    ----------
    pressure : float
        Pressure the adhesive asks for. [Pa]
    length : float
        Of the glue line. [m]
    width : float
        Of the glue line. [m]
    cover : float
        Distance from the clamp face to the glue line. [m]
    clamp_capacity : float
        Force that one clamp gives. [N]

    Returns
    -------
    int
        Number of clamps, at least one. [-]

    Examples
    --------
    >>> clamps_needed(0.8e6, 0.9, width=0.02, cover=0.06, clamp_capacity=2500.0)
    8
    """
    by_spacing = math.ceil(length / clamp_spacing(cover) - 1e-9)
    by_force = math.ceil(clamp_force(pressure, length, width=width) / clamp_capacity - 1e-9)
    return max(1, by_spacing, by_force)


def _clamp_force_law(pressure: float, length: float, width: float) -> dict[str, Any]:
    return {"force": clamp_force(pressure, length, width=width)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="clamp_force",
        title=text("Clamp force of a glue line"),
        function=_clamp_force_law,
        arguments=(
            Argument("pressure", "Pa", text("pressure the adhesive asks for"), must=NOT_NEGATIVE,
                     range=Span(0.1e6, 1.75e6)),
            Argument("length", "m", text("length of the glue line"), must=POSITIVE),
            Argument("width", "m", text("width of the glue line"), must=POSITIVE),
        ),
        results=(Result("force", "N", text("total force over all clamps")),),
        accuracy=text(
            "exact for the mean pressure; between clamps the pressure sags unless the spacing keeps "
            "to twice the distance from clamp to glue line"
        ),
        sources=(
            Source("closed form", "force = pressure x area"),
            Source("from memory", "Wood Handbook ch. 10: 0.7 MPa light to 1.7 MPa dense woods"),
        ),
        worked=Worked({"pressure": 0.8e6, "length": 0.5, "width": 0.02}, {"force": 8000.0}),
    ),
)  # fmt: skip
