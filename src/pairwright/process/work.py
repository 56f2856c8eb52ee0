"""Work whose time is stated: finishing, winding, building, testing, inspecting, packing."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.process.context import StepContext
from pairwright.process.figure import Shown
from pairwright.process.lift import lift_findings
from pairwright.works.recipe import WorkRecipe

TOUCH_VOLTAGE: Final = 50.0  # alternating; a comparison figure [V]
TOUCH: Final = Source("from memory", "IEC 60364-4-41, conventional touch voltage limit of 50 V alternating")


def findings(context: StepContext) -> list[Finding]:
    """What is lifted; a voltage that can hurt."""
    if context.step.recipe is None:
        return []
    recipe = context.recipe(WorkRecipe)
    found = lift_findings(context, recipe.lift)
    if recipe.voltage is not None and recipe.voltage > TOUCH_VOLTAGE:
        what = text(
            "works at {voltage}, above the {limit} that is usually compared with: guard it as the local code and "
            "licensed practice say",
            voltage=Amount(recipe.voltage, "voltage"), limit=Amount(TOUCH_VOLTAGE, "voltage"),
        )  # fmt: skip
        found.append(context.finding("voltage_to_guard", "note", what, TOUCH))
    return found


def shown(context: StepContext) -> Shown:
    """Key figures of the work, where it states any."""
    if context.step.recipe is None:
        return Shown()
    recipe = context.recipe(WorkRecipe)
    keys = [
        (name, Amount(value, kind))
        for name, value, kind in (
            (text("lifted"), recipe.lift, "mass"),
            (text("voltage"), recipe.voltage, "voltage"),
        )
        if value is not None
    ]
    return Shown((), tuple(keys))
