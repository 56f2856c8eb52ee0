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
TABLE_STRENGTH: Final = Source("published", f"{HANDBOOK}, Table 5-3")
SHEET_EUROPE: Final = Source(
    "published", "timber species sheets after Wagenfuehr 1996, Holzatlas; Informationsdienst Holz 1987"
)
MEMORY: Final = Source("from memory", f"{HANDBOOK}, figures recalled and not confirmed")
MEMORY_EUROPE: Final = Source("from memory", "European and African species, figures recalled")
DERIVED: Final = Source("closed form", "movement_from_shrinkage of the shrinkage given")

FIBRE_SATURATION: Final = 0.30  # moisture fraction at which shrinkage begins, handbook convention


@dataclass(frozen=True, slots=True)
class Species:
    """One wood.

    `specific_gravity` is on ovendry mass and volume at 12 % moisture [-]; `shrinkage` is green to
    ovendry (radial, tangential) [-]; `movement` is strain per unit moisture fraction (radial,
    tangential) [-]; `stiffness` is the bending modulus along the grain at 12 % moisture [Pa].
    """

    name: str
    specific_gravity: float
    shrinkage: tuple[float, float]
    movement: tuple[float, float]
    stiffness: float
    gravity_source: Source
    shrinkage_source: Source
    movement_source: Source
    stiffness_source: Source

    def confirmed(self) -> bool:
        """Whether every number of the row was read in a public text or follows from such."""
        sources = (self.gravity_source, self.shrinkage_source, self.movement_source, self.stiffness_source)
        return all(source.kind != "from memory" for source in sources)


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


def _row(
    name: str,
    *,
    gravity: tuple[float, Source],
    shrinkage: tuple[float, float, Source],
    stiffness: tuple[float, Source],
    movement: tuple[float, float, Source] | None = None,
) -> Species:
    """A row in the handbook's units: %, 1/% moisture, GPa; movement follows from shrinkage if not given."""
    free = (shrinkage[0] / 100.0, shrinkage[1] / 100.0)
    if movement is None:
        doubt = shrinkage[2].kind == "from memory"
        source = shrinkage[2] if doubt else DERIVED
        movements = (round(movement_from_shrinkage(free[0]), 4), round(movement_from_shrinkage(free[1]), 4))
    else:
        source = movement[2]
        movements = (round(movement[0] * 100.0, 6), round(movement[1] * 100.0, 6))
    return Species(
        name, gravity[0], free, movements, stiffness[0] * 1e9, gravity[1], shrinkage[2], source, stiffness[1]
    )  # fmt: skip


_S, _C, _B, _M = TABLE_SHRINKAGE, TABLE_MOVEMENT, TABLE_STRENGTH, MEMORY
_E, _X = SHEET_EUROPE, MEMORY_EUROPE
_ROWS: Final = (
    _row("beech, American", gravity=(0.64, _B), shrinkage=(5.5, 11.9, _S), stiffness=(11.9, _B),
         movement=(0.00190, 0.00431, _C)),
    _row("birch, yellow", gravity=(0.62, _B), shrinkage=(7.3, 9.5, _S), stiffness=(13.9, _B),
         movement=(0.00256, 0.00338, _C)),
    _row("birch, paper", gravity=(0.55, _B), shrinkage=(6.3, 8.6, _S), stiffness=(11.0, _B),
         movement=(0.00219, 0.00304, _C)),
    _row("walnut, black", gravity=(0.55, _M), shrinkage=(5.5, 7.8, _S), stiffness=(11.6, _M),
         movement=(0.00190, 0.00274, _C)),
    _row("cherry, black", gravity=(0.50, _B), shrinkage=(3.7, 7.1, _S), stiffness=(10.3, _B),
         movement=(0.00126, 0.00248, _C)),
    _row("oak, white", gravity=(0.68, _M), shrinkage=(5.6, 10.5, _S), stiffness=(12.3, _M),
         movement=(0.00180, 0.00365, _C)),
    _row("maple, sugar", gravity=(0.63, _M), shrinkage=(4.8, 9.9, _M), stiffness=(12.6, _M),
         movement=(0.00165, 0.00353, _C)),
    _row("ash, white", gravity=(0.60, _B), shrinkage=(4.9, 7.8, _S), stiffness=(12.0, _B),
         movement=(0.00169, 0.00274, _C)),
    _row("alder, red", gravity=(0.41, _B), shrinkage=(4.4, 7.3, _S), stiffness=(9.5, _B),
         movement=(0.00151, 0.00256, _C)),
    _row("basswood, American", gravity=(0.37, _B), shrinkage=(6.6, 9.3, _S), stiffness=(10.1, _B),
         movement=(0.00230, 0.00330, _C)),
    _row("yellow-poplar", gravity=(0.42, _M), shrinkage=(4.6, 8.2, _S), stiffness=(10.9, _M)),
    _row("Douglas-fir, coast", gravity=(0.48, _M), shrinkage=(4.8, 7.6, _S), stiffness=(13.4, _M)),
    _row("spruce, Sitka", gravity=(0.40, _M), shrinkage=(4.3, 7.5, _M), stiffness=(10.8, _M)),
    _row("beech, European", gravity=(0.636, _E), shrinkage=(5.8, 11.8, _E), stiffness=(14.0, _E)),
    _row("birch", gravity=(0.58, _E), shrinkage=(5.0, 8.0, _E), stiffness=(16.5, _E)),
    _row("ash, European", gravity=(0.616, _E), shrinkage=(5.0, 8.0, _E), stiffness=(13.4, _E)),
    _row("oak, European", gravity=(0.60, _X), shrinkage=(4.6, 9.0, _X), stiffness=(12.5, _X)),
    _row("walnut, European", gravity=(0.58, _X), shrinkage=(5.4, 7.5, _X), stiffness=(12.5, _X)),
    _row("okoume", gravity=(0.39, _X), shrinkage=(4.1, 6.4, _X), stiffness=(9.0, _X)),
)  # fmt: skip

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
