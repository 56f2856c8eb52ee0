"""Pressure in the press: on inclined walls, from the cylinders, from inside at opening."""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

RESOLVED: Final = Source("closed form", "a force along the press axis, resolved on an inclined face")


def wall_pressure(pressure: float, wall_angle: float) -> float:
    """Normal pressure on an inclined wall of a one-axis mould. [Pa]

    Parameters
    ----------
    pressure : float
        Pressure on a face square to the press axis. [Pa]
    wall_angle : float
        Angle of the wall's normal from the press axis; 0 is square to it. [rad]

    Returns
    -------
    float
        p cos(angle). [Pa]

    Notes
    -----
    The closing travel s presses an inclined layer by s cos(angle), so a layer of even stiffness
    carries p cos(angle); friction is left out. A wall at 60 degrees has half the pressure, an
    upright wall none: it needs a split mould or a bag.

    Examples
    --------
    >>> round(wall_pressure(1.2e6, math.radians(60.0)))
    600000
    """
    return pressure * math.cos(wall_angle)


def press_force(pressure: float, projected_area: float) -> float:
    """Force of the press for a pressure on the projected area. [N]

    Parameters
    ----------
    pressure : float
        Pressure on a face square to the press axis. [Pa]
    projected_area : float
        Area seen along the press axis. [m2]

    Returns
    -------
    float
        Force. [N]

    Notes
    -----
    On a curved mould the walls take less than their share and the crown more: for a half cylinder
    the crown bears 4/pi times the force over the projected area, by `wall_pressure`.

    Examples
    --------
    >>> press_force(1.2e6, 0.5)
    600000.0
    """
    return pressure * projected_area


def cylinder_pressure(force: float, *, bore: float, cylinders: int) -> float:
    """Oil pressure of the cylinders for a press force. [Pa]

    Parameters
    ----------
    force : float
        Force of the press. [N]
    bore : float
        Diameter of one cylinder. [m]
    cylinders : int
        How many. [-]

    Returns
    -------
    float
        Oil pressure. [Pa]

    Examples
    --------
    >>> round(cylinder_pressure(600e3, bore=0.10, cylinders=4) / 1e6, 2)
    19.1
    """
    return force / (cylinders * math.pi * bore * bore / 4.0)


LAWS: tuple[Law, ...] = (
    Law(
        "wall_pressure",
        text("Pressure on an inclined wall of a mould"),
        lambda pressure, wall_angle_deg: {"normal_pressure": _wall(pressure, wall_angle_deg)},
        (
            Argument("pressure", "Pa", text("on a face square to the press axis"), Span(0.0),
                     Span(0.0, 10e6)),
            Argument("wall_angle_deg", "deg", text("0 is a face square to the press axis"), Span(0.0, 90.0),
                     Span(0.0, 75.0)),
        ),
        (Result("normal_pressure", "Pa", text("normal to the wall")),),
        text("no friction, stack of even stiffness; unreliable on steep walls"),
        (RESOLVED,),
        Worked({"pressure": 1.2e6, "wall_angle_deg": 60.0}, {"normal_pressure": 0.6e6}),
    ),
)  # fmt: skip


def _wall(pressure: float, degrees: float) -> float:
    return 0.0 if degrees == 90.0 else wall_pressure(pressure, math.radians(degrees))
