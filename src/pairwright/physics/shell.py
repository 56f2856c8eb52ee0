"""Opening a curved shell: stress in a thick curved beam, give of a U with legs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import ANY, NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

WINKLER: Final = Source(
    "published", "Shigley, Mechanical Engineering Design, 9th ed., section 3-18 (curved beams), Fig. 3-35"
)
THIN_RING: Final = Source(
    "closed form",
    "Castigliano's theorem on a half ring with straight legs, bending only; quarter ring as in "
    "University of Washington lecture notes",
)


@dataclass(frozen=True, slots=True)
class CurvedSection:
    """A rectangular section of a curved beam.

    `neutral_radius`, `eccentricity` (centroid less neutral) [m], `area` [m2], `inner_radius`,
    `outer_radius` [m].
    """

    inner_radius: float
    outer_radius: float
    area: float
    neutral_radius: float
    eccentricity: float

    def stress(self, radius: float, *, axial_force: float = 0.0, moment: float = 0.0) -> float:
        """Hoop stress at a radius. [Pa]

        Parameters
        ----------
        radius : float
            Where. [m]
        axial_force : float
            Tension positive. [N]
        moment : float
            About the centroid; positive straightens, tension inside. [N*m]
        """
        bend = moment * (self.neutral_radius - radius) / (self.area * self.eccentricity * radius)
        return axial_force / self.area + bend


def curved_section(inner_radius: float, outer_radius: float, *, width: float) -> CurvedSection:
    """Neutral radius and eccentricity of a rectangular curved section.

    Parameters
    ----------
    inner_radius : float
        Of the bend. [m]
    outer_radius : float
        Of the bend. [m]
    width : float
        Along the bend's axis. [m]

    Returns
    -------
    CurvedSection
        With r_n = h/ln(r_o/r_i) and e = r_c - r_n, without loss of digits in thin shells.

    References
    ----------
    .. [1] Shigley, Mechanical Engineering Design, 9th ed., 2011, section 3-18.

    Examples
    --------
    >>> section = curved_section(2.0, 6.0, width=0.75)
    >>> round(section.neutral_radius, 3), round(section.eccentricity, 3)
    (3.641, 0.359)
    """
    h, centre = outer_radius - inner_radius, 0.5 * (outer_radius + inner_radius)
    u = 0.5 * h / centre
    if u < 0.02:  # the difference would lose digits: 1 - u/atanh(u) as a series, good to 1e-15 here
        share = u * u * (1.0 / 3.0 + u * u * (4.0 / 45.0 + u * u * (44.0 / 945.0 + u * u * 428.0 / 14175.0)))
    else:
        share = 1.0 - u / math.atanh(u)
    return CurvedSection(inner_radius, outer_radius, width * h, centre * (1.0 - share), centre * share)


def radial_stress(moment: float, *, width: float, thickness: float, radius: float) -> float:
    """Largest stress through the thickness of a bent curved beam. [Pa]

    Parameters
    ----------
    moment : float
        Positive straightens: tension through the thickness. [N*m]
    width : float
        Along the bend's axis. [m]
    thickness : float
        Of the shell. [m]
    radius : float
        To the mid-surface. [m]

    Returns
    -------
    float
        3 M/(2 b h R). [Pa]

    Notes
    -----
    Compare with the strength of wood across the grain: American beech 6.96 MPa radial.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, chapter 9 (curved beams; from memory).

    Examples
    --------
    >>> round(radial_stress(100.0, width=1.0, thickness=0.018, radius=0.15))
    55556
    """
    return 1.5 * moment / (width * thickness * radius)


def shell_opening(leg: float, radius: float, *, stiffness: float, force: float) -> float:
    """Opening between the tips of a U pulled apart. [m]

    Parameters
    ----------
    leg : float
        Length of each straight leg. [m]
    radius : float
        Of the half ring, to the mid-surface. [m]
    stiffness : float
        E I of the whole width. [N*m2]
    force : float
        At each tip, opposed, across the U. [N]

    Returns
    -------
    float
        2 P L^3/(3 E I) + (P R/(E I)) (pi L^2 + 4 L R + pi R^2/2). [m]

    Notes
    -----
    Thin ring, bending only, small opening; for thickness over radius below about 1/10 the error
    stays near 1 %. For wide shells use the plate stiffness D11 times the width.

    References
    ----------
    .. [1] Castigliano's theorem; quarter-ring coefficients as in University of Washington notes.

    Examples
    --------
    >>> round(shell_opening(0.25, 0.15, stiffness=4860.0, force=1000.0) * 1000, 3)
    13.924
    """
    legs = 2.0 * leg**3 / 3.0
    ring = radius * (math.pi * leg * leg + 4.0 * leg * radius + 0.5 * math.pi * radius * radius)
    return force * (legs + ring) / stiffness


def opening_force(leg: float, radius: float, *, stiffness: float, opening: float) -> float:
    """Force at each tip that opens a U by so much. [N]

    Parameters
    ----------
    leg : float
        Length of each straight leg. [m]
    radius : float
        Of the half ring, to the mid-surface. [m]
    stiffness : float
        E I of the whole width. [N*m2]
    opening : float
        Between the tips. [m]

    Returns
    -------
    float
        Force. [N]

    Examples
    --------
    >>> round(opening_force(0.25, 0.15, stiffness=4860.0, opening=0.013924))
    1000
    """
    return opening / shell_opening(leg, radius, stiffness=stiffness, force=1.0)


def opening_moment(leg: float, radius: float, *, force: float) -> float:
    """Largest bending moment in a U pulled apart at its tips. [N*m]

    Parameters
    ----------
    leg : float
        Length of each straight leg. [m]
    radius : float
        Of the half ring, to the mid-surface. [m]
    force : float
        At each tip. [N]

    Returns
    -------
    float
        P (L + R), at the crown; it straightens, so it pulls on the inside. [N*m]

    Examples
    --------
    >>> opening_moment(0.25, 0.15, force=100.0)
    40.0
    """
    return force * (leg + radius)


def quarter_ring(radius: float, *, stiffness: float, force: float) -> tuple[float, float, float]:
    """Give of a thin quarter ring, one end fixed, loaded at the other.

    Parameters
    ----------
    radius : float
        To the mid-surface. [m]
    stiffness : float
        E I. [N*m2]
    force : float
        At the free end. [N]

    Returns
    -------
    tuple of float
        Under a tangential force: along it (3 pi/4 - 2); under a radial force: along it (pi/4);
        across, either way (1/2); each times P R^3/(E I). [m]

    Examples
    --------
    >>> [round(c, 5) for c in quarter_ring(1.0, stiffness=1.0, force=1.0)]
    [0.35619, 0.7854, 0.5]
    """
    unit = force * radius**3 / stiffness
    return (0.75 * math.pi - 2.0) * unit, 0.25 * math.pi * unit, 0.5 * unit


def _curved_beam_law(**inputs: Any) -> Mapping[str, float]:
    inner, outer = inputs["inner_radius"], inputs["outer_radius"]
    if outer <= inner:
        raise InputError(
            Problem("calc curved_beam", "outer_radius", text("above inner_radius"), shown(outer),
                    text("swap the radii or correct them"))
        )  # fmt: skip
    section = curved_section(inner, outer, width=inputs["width"])
    loads = {"axial_force": inputs["axial_force"], "moment": inputs["moment"]}
    return {
        "neutral_radius": section.neutral_radius,
        "eccentricity": section.eccentricity,
        "inner_stress": section.stress(inner, **loads),
        "outer_stress": section.stress(outer, **loads),
    }


LAWS: tuple[Law, ...] = (
    Law(
        "curved_beam",
        text("Stress in a thick curved beam of rectangular section"),
        _curved_beam_law,
        (
            Argument("inner_radius", "m", text("inside of the bend"), POSITIVE),
            Argument("outer_radius", "m", text("outside of the bend"), POSITIVE),
            Argument("width", "m", text("along the bend's axis"), POSITIVE),
            Argument("axial_force", "N", text("tension positive"), ANY),
            Argument("moment", "N*m", text("about the centroid; positive straightens"), ANY),
        ),
        (
            Result("neutral_radius", "m", text("where bending stress is zero")),
            Result("eccentricity", "m", text("centroid less neutral radius")),
            Result("inner_stress", "Pa", text("at the inner radius, tension positive")),
            Result("outer_stress", "Pa", text("at the outer radius, tension positive")),
        ),
        text("plane sections stay plane; no stress through the thickness; good to a few per cent"),
        (WINKLER,),
        Worked({"inner_radius": 2.0, "outer_radius": 6.0, "width": 0.75, "axial_force": 5000.0,
                "moment": 20000.0},
               {"neutral_radius": 3.641, "eccentricity": 0.359, "inner_stress": 16900.0,
                "outer_stress": -5630.0},
               5e-3),
    ),
    Law(
        "shell_opening",
        text("Opening of a U-shaped shell pulled apart at its tips"),
        lambda leg, radius, stiffness, force: {
            "opening": shell_opening(leg, radius, stiffness=stiffness, force=force)
        },
        (
            Argument("leg", "m", text("length of each straight leg"), NOT_NEGATIVE),
            Argument("radius", "m", text("of the half ring, to the mid-surface"), POSITIVE),
            Argument("stiffness", "N*m2", text("E I of the whole width"), POSITIVE),
            Argument("force", "N", text("at each tip, opposed"), ANY),
        ),
        (Result("opening", "m", text("between the tips")),),
        text("thin ring, bending only, small opening: about 1 % below thickness over radius 1/10"),
        (THIN_RING,),
        Worked({"leg": 0.25, "radius": 0.15, "stiffness": 4860.0, "force": 1000.0}, {"opening": 0.013924}),
    ),
)  # fmt: skip
