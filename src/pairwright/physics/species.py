"""Woods by name: specific gravity, movement, stiffness, each row with its source.

Names are the handbook's ("birch, yellow"), genus first. Numbers that were not read in a public
text are marked "from memory": editable starting values, never a published reference.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.sources import Source
from pairwright.base.words import text

HANDBOOK: Final = "Wood Handbook, USDA Forest Products Laboratory, FPL-GTR-190 (2010)"
TABLE_SHRINKAGE: Final = Source("published", f"{HANDBOOK}, Table 4-3")
TABLE_MOVEMENT: Final = Source("published", f"{HANDBOOK}, Table 13-5")
TABLE_STRENGTH: Final = Source("published", f"{HANDBOOK}, Table 5-3a")
MEMORY: Final = Source("from memory", f"{HANDBOOK}, figures recalled and not confirmed")
MEMORY_EUROPE: Final = Source("from memory", "European species, figures recalled and not confirmed")
DERIVED: Final = Source(
    "from memory", "movement derived from recalled shrinkage, see movement_from_shrinkage"
)

FIBRE_SATURATION: Final = 0.30  # moisture fraction at which shrinkage begins, handbook convention


@dataclass(frozen=True, slots=True)
class Species:
    """One wood.

    `specific_gravity` is on ovendry mass and volume at 12 % moisture [-]; `shrinkage` is green to
    ovendry (radial, tangential) [-]; `movement` is strain per unit moisture fraction (radial,
    tangential) [-]; `stiffness` is the bending modulus along the grain at 12 % [Pa]; `rupture` the
    bending strength [Pa]; 0 where none is held.
    """

    name: str
    specific_gravity: float
    shrinkage: tuple[float, float]
    movement: tuple[float, float]
    stiffness: float
    rupture: float
    gravity_source: Source
    shrinkage_source: Source
    movement_source: Source
    stiffness_source: Source


def movement_from_shrinkage(shrinkage: float) -> float:
    """Strain per unit moisture fraction about 10 % moisture. [-]

    Parameters
    ----------
    shrinkage : float
        Shrinkage from green to ovendry, of the green size. [-]

    Returns
    -------
    float
        Movement, of the size at 10 % moisture. [-]

    Notes
    -----
    Shrinkage is taken as linear below 30 % moisture, S = S0 (30 - M)/30; the size at 10 % is
    the reference. Reproduces the handbook's Table 13-5 from its Table 4-3 to the printed digit
    for most rows. Range: 6 to 14 % moisture.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, chapters 4 and 13.

    Examples
    --------
    >>> round(movement_from_shrinkage(0.073), 3)  # yellow birch, radial
    0.256
    """
    slope = shrinkage / FIBRE_SATURATION
    return slope / (1.0 - slope * (FIBRE_SATURATION - 0.10))


def _american(
    name: str,
    gravity: tuple[float, Source],
    shrinkage: tuple[float, float, Source],
    movement: tuple[float, float, Source],
    bending: tuple[float, float, Source],
) -> Species:
    """A row as the handbook prints it: %, 1/% moisture, GPa, MPa."""
    return Species(
        name, gravity[0], (shrinkage[0] / 100, shrinkage[1] / 100),
        (round(movement[0] * 100, 6), round(movement[1] * 100, 6)), bending[0] * 1e9, bending[1] * 1e6,
        gravity[1], shrinkage[2], movement[2], bending[2],
    )  # fmt: skip


def _recalled(name: str, gravity: float, radial: float, tangential: float, gpa: float, mpa: float) -> Species:
    """A wood known from memory only; movement follows from its shrinkage [%]."""
    shrinkage = (radial / 100, tangential / 100)
    return Species(
        name, gravity, shrinkage,
        (movement_from_shrinkage(shrinkage[0]), movement_from_shrinkage(shrinkage[1])),
        gpa * 1e9, mpa * 1e6, MEMORY_EUROPE, MEMORY_EUROPE, DERIVED, MEMORY_EUROPE,
    )  # fmt: skip


_S, _C, _B, _M = TABLE_SHRINKAGE, TABLE_MOVEMENT, TABLE_STRENGTH, MEMORY
_ROWS: Final = (
    _american("beech, American", (0.64, _B), (5.5, 11.9, _S), (0.00190, 0.00431, _C), (11.9, 103, _B)),
    _american("birch, yellow", (0.62, _B), (7.3, 9.5, _S), (0.00256, 0.00338, _C), (13.9, 114, _B)),
    _american("walnut, black", (0.55, _M), (5.5, 7.8, _S), (0.00190, 0.00274, _C), (11.6, 101, _M)),
    _american("cherry, black", (0.50, _B), (3.7, 7.1, _S), (0.00126, 0.00248, _C), (10.3, 85, _B)),
    _american("oak, white", (0.68, _M), (5.6, 10.5, _S), (0.00180, 0.00365, _C), (12.3, 105, _M)),
    _american("maple, sugar", (0.63, _M), (4.8, 9.9, _M), (0.00165, 0.00353, _C), (12.6, 109, _M)),
    _american("ash, white", (0.60, _B), (4.9, 7.8, _M), (0.00169, 0.00274, _M), (12.0, 106, _B)),
    _american("alder, red", (0.41, _M), (4.4, 7.3, _M), (0.00151, 0.00256, _M), (9.5, 68, _M)),
    _american("yellow-poplar", (0.42, _M), (4.6, 8.2, _M), (0.00158, 0.00289, _M), (10.9, 70, _M)),
    _american("basswood, American", (0.37, _M), (6.6, 9.3, _M), (0.00230, 0.00330, _M), (10.1, 60, _M)),
    _american("spruce, Sitka", (0.40, _M), (4.3, 7.5, _M), (0.00148, 0.00263, _M), (10.8, 70, _M)),
    _american("Douglas-fir, coast", (0.48, _M), (4.8, 7.6, _M), (0.00165, 0.00267, _M), (13.4, 85, _M)),
    _recalled("beech, European", 0.634, 5.8, 11.8, 14.0, 120),
    _recalled("birch", 0.58, 5.3, 7.8, 14.5, 120),
    _recalled("ash, European", 0.61, 4.9, 8.0, 13.0, 118),
    _recalled("oak, European", 0.60, 4.6, 9.0, 12.5, 95),
    _recalled("walnut, European", 0.58, 5.4, 7.5, 12.5, 125),
    _recalled("okoume", 0.39, 4.1, 6.4, 9.0, 70),
)

SPECIES: Final[dict[str, Species]] = {row.name: row for row in _ROWS}
SPECIES_NAMES: Final[tuple[str, ...]] = tuple(sorted(SPECIES))


def species(name: str, *, where: str = "species") -> Species:
    """The wood of this name; an unknown name is an error that lists the known ones.

    Parameters
    ----------
    name : str
        As the handbook writes it, genus first.
    where : str
        Named in the error.
    """
    try:
        return SPECIES[name]
    except KeyError:
        raise InputError(
            Problem(where, "species", text("one of {names}", names="; ".join(SPECIES_NAMES)), shown(name),
                    text("choose a listed wood, or state its properties in the materials"))
        ) from None  # fmt: skip
