"""Putting parts together: what is lifted, and wood against metal at the joint over the year."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics import fit
from pairwright.physics.species import TABLE_MOVEMENT
from pairwright.process.climate import moistures
from pairwright.process.context import StepContext, material_of, source_of
from pairwright.process.figure import Shown
from pairwright.process.lift import lift_findings
from pairwright.process.ranges import outside
from pairwright.works.material import Metal, Wood
from pairwright.works.recipe import JoinRecipe

_CORNERS: Final[dict[str, Text]] = {
    "dry and cold": text("dry and cold"),
    "dry and warm": text("dry and warm"),
    "damp and cold": text("damp and cold"),
    "damp and warm": text("damp and warm"),
}


def climates(context: StepContext) -> tuple[fit.Climate, tuple[fit.Climate, ...]]:
    """The climate in which the joint is made, and the corners of the works' range.

    Wood is built in at the part's stated moisture; where none is stated, at that of the usual air.
    """
    climate = context.works.factory.climate
    moist = moistures(climate)
    usual = climate.temperature
    cold, warm = min(climate.coldest or usual, usual), max(climate.warmest or usual, usual)
    built = context.part.moisture if context.part.moisture is not None else moist.usual
    made = fit.Climate("as made", built, usual)
    corners = (
        fit.Climate("dry and cold", moist.driest, cold),
        fit.Climate("dry and warm", moist.driest, warm),
        fit.Climate("damp and cold", moist.dampest, cold),
        fit.Climate("damp and warm", moist.dampest, warm),
    )
    return made, corners


def gap_over_year(context: StepContext, recipe: JoinRecipe) -> fit.GapRange | None:
    """Smallest and largest gap of the joint over the climate of the works; None where none is stated."""
    if recipe.wood is None or recipe.dimension is None or recipe.gap is None:
        return None
    wood = context.wood(recipe.wood)
    movement = wood.movement_tangential if recipe.direction == "tangential" else wood.movement_radial
    metal = None
    if recipe.metal is not None:
        metal = material_of(context.works, recipe.metal, kind=Metal, where=context.subject)
    made, corners = climates(context)
    return fit.gap_range(
        fit.Side(recipe.dimension + recipe.gap, movement=movement),
        fit.Side(recipe.dimension, expansion=0.0 if metal is None else metal.expansion),
        made=made, climates=corners,
    )  # fmt: skip


def _movement_source(wood: Wood, direction: str) -> Source:
    return source_of(wood, f"movement_{direction}")


def findings(context: StepContext) -> list[Finding]:
    """The lift; a gap that leaves its limits somewhere in the year."""
    if context.step.recipe is None:
        return []
    recipe = context.recipe(JoinRecipe)
    found = lift_findings(context, recipe.lift)
    gap = gap_over_year(context, recipe)
    if gap is None or recipe.wood is None or recipe.gap is None:
        return found
    made, corners = climates(context)
    for corner in corners[::2]:
        given = {"moisture_from": made.moisture, "moisture_to": corner.moisture}
        found.extend(outside(context, "wood_movement", given))
    source = _movement_source(context.wood(recipe.wood), recipe.direction)
    least = recipe.gap_least if recipe.gap_least is not None else 0.0
    if gap.smallest < least:
        what = text(
            "built with {gap}, the joint closes to {smallest} where it is {where}; at least {least} must remain",
            gap=Amount(recipe.gap, "length"), smallest=Amount(gap.smallest, "length"), where=_CORNERS[gap.smallest_at],
            least=Amount(least, "length"),
        )  # fmt: skip
        found.append(context.finding("gap_too_small", "error", what, source))
    if recipe.gap_most is not None and gap.largest > recipe.gap_most:
        what = text(
            "built with {gap}, the joint opens to {largest} where it is {where}; at most {most} may show",
            gap=Amount(recipe.gap, "length"), largest=Amount(gap.largest, "length"), where=_CORNERS[gap.largest_at],
            most=Amount(recipe.gap_most, "length"),
        )  # fmt: skip
        found.append(context.finding("gap_too_large", "warning", what, source))
    return found


def shown(context: StepContext) -> Shown:
    """Key figures: the gap as built and over the year."""
    if context.step.recipe is None:
        return Shown()
    recipe = context.recipe(JoinRecipe)
    gap = gap_over_year(context, recipe)
    if gap is None:
        return Shown()
    keys = (
        (text("gap as built"), Amount(gap.as_made, "length")),
        (text("smallest gap of the year"), Amount(gap.smallest, "length")),
        (text("largest gap of the year"), Amount(gap.largest, "length")),
    )
    return Shown((), keys, (TABLE_MOVEMENT,))
