"""The part's layup as a glued sheet: stiffness, movement with moisture.

x runs along the bend, y along the part's height. A veneer moves across its grain as wood does
tangentially, and through its thickness as wood does radially (rotary cut).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from pairwright.base.sources import Source
from pairwright.physics.laminate import CLASSICAL, Lamina, Laminate, laminate, turned_stiffness
from pairwright.physics.warp import panel_movement
from pairwright.process.climate import moistures
from pairwright.process.context import StepContext
from pairwright.works.material import Veneer, Wood
from pairwright.works.product import Layup


@dataclass(frozen=True, slots=True)
class Leaf:
    """One ply with its materials; `angle` of the grain from the bend [rad]."""

    veneer: Veneer
    wood: Wood
    angle: float

    def lamina(self, moisture_change: float = 0.0) -> Lamina:
        """The ply for lamination theory, with its free strain for a change of moisture."""
        wood = self.wood
        strain = (wood.movement_along * moisture_change, wood.movement_tangential * moisture_change)
        return Lamina(
            wood.modulus_along, wood.modulus_across, wood.shear_modulus, wood.poisson, self.veneer.thickness,
            self.angle, strain,
        )  # fmt: skip

    def limit(self, *, elastic: bool) -> float | None:
        """Strain that bending must not pass; None where the material states none. [-]

        Along and across the grain as stated; between them by the square of the cosine, which is
        an interpolation of the works, not a published law.
        """
        share = math.cos(self.angle) ** 2
        if elastic:
            return float(self.wood.elastic_strain) if share > 0.5 else None
        return float(share * self.wood.limit_strain + (1.0 - share) * self.wood.limit_strain_across)


def leaves(context: StepContext, layup: Layup) -> tuple[Leaf, ...]:
    """The plies of a layup with their veneers and woods, from the inner face out."""
    found = []
    for ply in layup.plies:
        veneer = context.veneer(ply.veneer)
        found.append(Leaf(veneer, context.wood(veneer.wood), ply.grain))
    return tuple(found)


@lru_cache(maxsize=256)
def glued(plies: tuple[Lamina, ...]) -> Laminate:
    """The glued sheet."""
    return laminate(plies)


@lru_cache(maxsize=256)
def modulus_along(ply: Lamina) -> float:
    """Modulus of a ply along the bend. [Pa]"""
    import numpy as np

    return float(1.0 / np.linalg.inv(turned_stiffness(ply))[0, 0])


def coupling(plies: tuple[Lamina, ...]) -> float:
    """How unbalanced a sheet is: stretch and bending coupled, 0 for a symmetrical one. [-]

    Largest entry of B over thickness times the largest entry of A.
    """
    import numpy as np

    sheet = glued(plies)
    return float(np.abs(sheet.B).max() / (sheet.thickness * np.abs(sheet.A).max()))


@dataclass(frozen=True, slots=True)
class Movement:
    """How far a panel moves over the year: `span` of `size` [m], and by which law."""

    span: float
    size: float
    source: Source


def height_movement(context: StepContext) -> Movement | None:
    """Movement of the part along its height over the climate of the works; None without a layup."""
    layup, profile = context.part.layup, context.part.profile
    if layup is None or profile is None:
        return None
    moist = moistures(context.works.factory.climate)
    plies = tuple(leaf.lamina(moist.dampest - moist.driest) for leaf in leaves(context, layup))
    _, strain = panel_movement(plies)
    return Movement(abs(strain) * profile.height, profile.height, CLASSICAL)
