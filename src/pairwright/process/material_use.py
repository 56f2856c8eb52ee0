"""What a step uses up, in the unit in which the material is bought."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeAlias

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.works.material import AnyMaterial, Coating

Use: TypeAlias = tuple[str, float]  # material id, amount in the material's unit


def in_unit(material_id: str, materials: Mapping[str, AnyMaterial], *, kind: str, amount: float) -> Use:
    """An amount of a material in its own unit.

    Parameters
    ----------
    material_id : str
        The material.
    materials : Mapping[str, AnyMaterial]
        All of them.
    kind : str
        ``area`` [m2], ``mass`` [kg], ``volume`` [m3] or ``pieces``.
    amount : float
        In base SI.
    """
    material = materials[material_id]
    density = material.density if isinstance(material, Coating) else None
    match kind, material.unit:
        case ("area", "m2") | ("mass", "kg") | ("pieces", "piece"):
            return material_id, amount
        case "volume", "L":
            return material_id, amount * 1000.0
        case "volume", "kg" if density is not None:
            return material_id, amount * density
        case "mass", "L" if density is not None:
            return material_id, amount / density * 1000.0
        case _:
            raise InputError(
                Problem(f"materials.{material_id}", "unit", text("a unit in which {kind} can be counted", kind=kind),
                        material.unit, text("state m2 for veneer, kg for adhesive, L or kg for lacquer"))
            )  # fmt: skip


def gathered(uses: Iterable[Use]) -> tuple[Use, ...]:
    """Uses of the same material added up, in order of first appearance.

    >>> gathered([("glue", 0.1), ("lacquer", 0.2), ("glue", 0.3)])
    (('glue', 0.4), ('lacquer', 0.2))
    """
    total: dict[str, float] = {}
    for material, amount in uses:
        total[material] = total.get(material, 0.0) + amount
    return tuple(total.items())
