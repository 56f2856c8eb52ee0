"""What a step uses up: the record that the process modules hand to the plan."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MaterialNeed:
    """So much of a material for each item (or set) that a step is done on, in the material's unit."""

    product: str
    option: str
    part: str
    step: str
    material: str
    amount: float
