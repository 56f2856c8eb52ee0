"""How wood grows and shrinks with its moisture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.findings import Finding
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.species import (
    FIBRE_SATURATION,
    SPECIES_NAMES,
    TABLE_MOVEMENT,
    TABLE_SHRINKAGE,
    species,
)

DIRECTIONS: Final = ("radial", "tangential")
# from memory: wood along the grain moves about 0.1 to 0.2 % from green to ovendry
LONGITUDINAL_MOVEMENT: Final = 0.005


def wood_movement(coefficient: float, dimension: float, *, moisture_from: float, moisture_to: float) -> float:
    """Change of a dimension with moisture, positive grows. [m]

    Parameters
    ----------
    coefficient : float
        Strain per unit moisture fraction; 100 times the handbook's number per %. [-]
    dimension : float
        Size at the first moisture. [m]
    moisture_from : float
        Moisture before, dry basis. [-]
    moisture_to : float
        Moisture after, dry basis. [-]

    Returns
    -------
    float
        Change of size. [m]

    Notes
    -----
    dD = D C (M_to - M_from). Range: 6 to 14 % moisture; beyond fibre saturation wood no longer
    moves. Accuracy about 10 % for a species, more for one board. In a cross-ply panel the
    movement in the plane is restrained, through the thickness it is not.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, chapter 13, Table 13-5.

    Examples
    --------
    >>> round(wood_movement(0.190, 0.020, moisture_from=0.08, moisture_to=0.12), 6)
    0.000152
    """
    return dimension * coefficient * (moisture_to - moisture_from)


def partial_shrinkage(shrinkage: float, moisture: float) -> float:
    """Shrinkage from green to a moisture, of the green size. [-]

    Parameters
    ----------
    shrinkage : float
        Shrinkage from green to ovendry. [-]
    moisture : float
        Moisture reached, dry basis. [-]

    Returns
    -------
    float
        Shrinkage; 0 above 30 % moisture. [-]

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, chapter 4, Table 4-3 and the equation beside it.

    Examples
    --------
    >>> round(partial_shrinkage(0.119, 0.12), 4)
    0.0714
    """
    return shrinkage * max(0.0, FIBRE_SATURATION - moisture) / FIBRE_SATURATION


def _movement_law(**inputs: Any) -> Mapping[str, float]:
    wood = species(inputs["species"], where="calc wood_movement")
    coefficient = wood.movement[DIRECTIONS.index(inputs["direction"])]
    change = wood_movement(
        coefficient, inputs["dimension"],
        moisture_from=inputs["moisture_from"], moisture_to=inputs["moisture_to"],
    )  # fmt: skip
    return {"change": change, "coefficient": coefficient}


def _unconfirmed(inputs: Mapping[str, Any]) -> list[Finding]:
    source: Source = species(inputs["species"]).movement_source
    if source.kind != "from memory":
        return []
    note = text("movement of {species} is recalled, not read in a published text", species=inputs["species"])
    return [Finding("not_confirmed", "note", "wood_movement", note, source)]


_RANGE = Span(0.06, 0.14)

LAWS: tuple[Law, ...] = (
    Law(
        "wood_movement",
        text("Growth and shrinkage of wood with moisture"),
        _movement_law,
        (
            Argument("species", "-", text("the wood"), shape="word", choices=SPECIES_NAMES),
            Argument("direction", "-", text("across the rings or along them"), shape="word",
                     choices=DIRECTIONS),
            Argument("dimension", "m", text("size at the first moisture"), POSITIVE),
            Argument("moisture_from", "-", text("moisture before, dry basis"), Span(0.0, 2.0), _RANGE),
            Argument("moisture_to", "-", text("moisture after, dry basis"), Span(0.0, 2.0), _RANGE),
        ),
        (
            Result("change", "m", text("change of size, positive grows")),
            Result("coefficient", "-", text("strain per unit of moisture fraction")),
        ),
        text("about 10 % for a species, more for a single board"),
        (TABLE_MOVEMENT, TABLE_SHRINKAGE),
        Worked(
            {"species": "beech, American", "direction": "radial", "dimension": 0.020,
             "moisture_from": 0.08, "moisture_to": 0.12},
            {"change": 0.000152},
        ),
        also=_unconfirmed,
    ),
)  # fmt: skip
