"""Bending a stack of veneers: the tightest radius, spring-back, spring-in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.laminate import glued_stiffness

BEAM: Final = Source("closed form", "beam theory: the plies' stored moment released into the glued section")
SANNE: Final = Source(
    "published",
    "Sanne, Ahn-Ercan, Pfriem, Forests 11(7) (2020) 725: beech, 2 to 16 plies, elastic range; "
    "the die's radius matters little for the prediction",
)
BOATBUILDING: Final = Source("published", "boatbuilding rule y = x/n^2: 3 in camber, 4 plies gives 3/16 in")
BENT_BEECH: Final = Source(
    "published",
    "data sheet of bending wood: normal beech, thickness over tightest radius 1/60, elastic limit 59 and "
    "breaking 74 N/mm2, modulus 11000 N/mm2, 730 kg/m3; lengthwise-compressed beech 1/10",
)
SPRING_IN: Final = Source("closed form", "corner of a shell with unequal strain along and through: geometry")


@dataclass(frozen=True, slots=True)
class BendingLimit:
    """How tightly a wood bends dry: radius over thickness.

    `elastic` [-] where it begins to stay bent, `breaking` [-] where it begins to break.
    """

    wood: str
    elastic: float
    breaking: float
    source: Source


# Dry beech: 59/11000 = 0.536 % is the elastic limit, so R/t = 93; 1/60 is the breaking region.
LIMITS: Final[dict[str, BendingLimit]] = {
    "beech": BendingLimit("beech", 11000.0 / (2.0 * 59.0), 60.0, BENT_BEECH),
    "beech, compressed lengthwise": BendingLimit(
        "beech, compressed lengthwise", 3900.0 / (2.0 * 31.0), 10.0, BENT_BEECH
    ),
}
# Other woods and bending across the grain: no published figure found; state it in the materials.


def bending_strain(thickness: float, radius: float) -> float:
    """Strain at the faces of a bent ply. [-]

    Parameters
    ----------
    thickness : float
        Of the ply. [m]
    radius : float
        To the ply's mid-surface. [m]

    Returns
    -------
    float
        t/(2R). [-]

    Examples
    --------
    >>> bending_strain(1.5e-3, 0.060)
    0.0125
    """
    return thickness / (2.0 * radius)


def minimum_bend_radius(thickness: float, limit_strain: float) -> float:
    """Tightest radius to the ply's mid-surface. [m]

    Parameters
    ----------
    thickness : float
        Of the ply. [m]
    limit_strain : float
        Strain at the face that must not be passed: elastic limit or breaking, say which. [-]

    Returns
    -------
    float
        t/(2 strain). [m]

    Notes
    -----
    Dry beech: elastic limit 0.536 % (R = 93 t), breaking region 0.83 % (R = 60 t). Wet or
    steamed wood bends to half or less (from memory).

    References
    ----------
    .. [1] Data sheet of bending wood, see `BENT_BEECH`.

    Examples
    --------
    >>> round(minimum_bend_radius(1.5e-3, 1 / 120), 6)
    0.09
    """
    return thickness / (2.0 * limit_strain)


def spring_back(plies: Sequence[tuple[float, float]]) -> float:
    """Share of the mould's curvature lost when the press opens. [-]

    Parameters
    ----------
    plies : sequence of pairs
        Modulus along the bend and thickness, from one face to the other. [Pa, m]

    Returns
    -------
    float
        sum(E t^3/12) over the glued section's stiffness about its elastic centroid. [-]

    Notes
    -----
    Plies bent elastically store their own moment; glued together without slip they release it
    into the whole section. n equal plies lose 1/n^2. Independent of radius and thickness, as
    measured on beech within the elastic range. Creep in soft glues opens the part further, hot
    pressing relaxes the moment and opens it less; moisture lost after pressing closes it
    (`spring_in`). In measured shells stray fibre angle and moisture dominate: expect the
    model to be short of reality there. No published table of measured spring-back by plies and
    radius could be read: measure three moulds of one's own.

    References
    ----------
    .. [1] Sanne, Ahn-Ercan, Pfriem, Forests 11(7), 2020, 725 (conditions and conclusion).

    Examples
    --------
    >>> round(spring_back([(12e9, 1.5e-3)] * 4), 6)
    0.0625
    """
    return math.fsum(E * t**3 / 12.0 for E, t in plies) / glued_stiffness(plies)


def free_radius(mould_radius: float, fraction: float) -> float:
    """Radius after spring-back. [m]

    Parameters
    ----------
    mould_radius : float
        Radius in the mould, to the elastic centroid. [m]
    fraction : float
        Share of curvature lost, below 1. [-]

    Returns
    -------
    float
        Radius outside. [m]

    Examples
    --------
    >>> round(free_radius(0.300, 1 / 16), 4)
    0.32
    """
    return mould_radius / (1.0 - fraction)


def spring_in(angle: float, *, along: float, through: float) -> float:
    """Change of a bend's turning angle by unequal strain, positive closes.

    Parameters
    ----------
    angle : float
        Turning angle of the bend, in any unit of angle. [-]
    along : float
        Strain along the bend. [-]
    through : float
        Strain through the thickness. [-]

    Returns
    -------
    float
        angle (along - through)/(1 + through), in the unit of `angle`. [-]

    Notes
    -----
    Exact geometry for strain that is even along the bend. Drying shrinks the thickness more than
    the length: the bend closes, against the elastic spring-back that opens it.

    Examples
    --------
    >>> round(spring_in(90.0, along=0.0, through=-0.0076), 3)
    0.689
    """
    return angle * (along - through) / (1.0 + through)


def mould_radius_for(wanted: float, fraction: float) -> float:
    """Mould radius that springs back to the wanted radius. [m]

    Parameters
    ----------
    wanted : float
        Radius of the finished shell, to the elastic centroid. [m]
    fraction : float
        Share of curvature lost. [-]

    Returns
    -------
    float
        Radius of the mould, to the same surface. [m]

    Examples
    --------
    >>> round(mould_radius_for(0.32, 1 / 16), 4)
    0.3
    """
    return wanted * (1.0 - fraction)


def _spring_back_law(**inputs: Any) -> Mapping[str, float]:
    fraction = spring_back([(row["E"], row["thickness"]) for row in inputs["plies"]])
    return {"fraction": fraction, "free_radius": free_radius(inputs["mould_radius"], fraction)}


def _spring_in_law(**inputs: Any) -> Mapping[str, float]:
    along, through = (
        inputs[name] * inputs["moisture_change"] for name in ("movement_along", "movement_through")
    )
    return {"change_deg": spring_in(inputs["angle_deg"], along=along, through=through)}


LAWS: tuple[Law, ...] = (
    Law(
        "spring_back",
        text("Elastic opening of a bent laminate when the press opens"),
        _spring_back_law,
        (
            Argument("plies", "-", text("from one face to the other"), shape="table", least=2, columns=(
                Argument("E", "Pa", text("modulus along the bend"), POSITIVE),
                Argument("thickness", "m", text("thickness of the ply"), POSITIVE),
            )),
            Argument("mould_radius", "m", text("radius in the mould, to the elastic centroid"), POSITIVE),
        ),
        (
            Result("fraction", "-", text("share of curvature lost")),
            Result("free_radius", "m", text("radius outside the mould")),
        ),
        text("elastic, no slip in the glue; in measured shells fibre angle and moisture often do more"),
        (SANNE, BOATBUILDING, BEAM),
        Worked({"plies": [{"E": 12e9, "thickness": 0.0015}] * 4, "mould_radius": 0.3},
               {"fraction": 0.0625, "free_radius": 0.32}, 1e-9),
    ),
    Law(
        "spring_in",
        text("Closing of a bend by moisture"),
        _spring_in_law,
        (
            Argument("angle_deg", "deg", text("turning angle of the bend"), Span(-360.0, 360.0)),
            Argument("moisture_change", "-", text("moisture after less before, dry basis"), Span(-1.0, 1.0),
                     Span(-0.10, 0.10)),
            Argument("movement_along", "-", text("strain along the bend per unit moisture fraction"),
                     Span(-1.0, 1.0)),
            Argument("movement_through", "-", text("strain through the thickness per unit moisture fraction"),
                     Span(-0.99, 0.99)),
        ),
        (Result("change_deg", "deg", text("positive closes the bend")),),
        text("exact geometry; as good as the movements, about 10 %"),
        (SPRING_IN,),
        Worked({"angle_deg": 90.0, "moisture_change": -0.04, "movement_along": 0.0, "movement_through": 0.19},
               {"change_deg": 0.689}),
    ),
    Law(
        "minimum_bend_radius",
        text("Tightest radius of a ply"),
        lambda thickness, limit_strain: {"radius": minimum_bend_radius(thickness, limit_strain)},
        (
            Argument("thickness", "m", text("of the ply"), POSITIVE, Span(0.0, 0.006)),
            Argument("limit_strain", "-", text("strain that must not be passed: elastic or breaking"),
                     Span(0.0, 1.0, open_low=True), Span(0.001, 0.02)),
        ),
        (Result("radius", "m", text("to the ply's mid-surface")),),
        text("radius is linear in thickness; limits scatter by 20 % and more between pieces"),
        (BENT_BEECH, BEAM),
        Worked({"thickness": 0.0015, "limit_strain": 1.0 / 120.0}, {"radius": 0.090}),
    ),
)  # fmt: skip
