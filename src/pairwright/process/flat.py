"""Flatting a film level."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.physics.film import Removal
from pairwright.process.context import StepContext
from pairwright.process.figure import Shown
from pairwright.process.material_use import Use
from pairwright.process.programme import lanes, path_reason, worn
from pairwright.process.risk import NORMAL, build_figure, cut_keys, film_findings, left_keys
from pairwright.process.surface import Mark, left
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import FlatRecipe, PolishRecipe, SprayRecipe


def timing(context: StepContext) -> Timing:
    """All passes over the area, and preparing."""
    recipe = context.recipe(FlatRecipe)
    time = lanes(recipe, recipe.passes).time
    reason = path_reason(recipe, time=time, passes=recipe.passes, fixed=recipe.prepare)
    return scattered(time, recipe.prepare, scatter=recipe.scatter, reason=reason)


def is_last_removal(context: StepContext) -> bool:
    """Whether nothing later in the part's route sprays, flats or polishes."""
    return not any(isinstance(s.recipe, SprayRecipe | FlatRecipe | PolishRecipe) for s in context.later)


def _mark(context: StepContext, recipe: FlatRecipe) -> Mark:
    taken = Removal(recipe.removal, recipe.removal_sd)
    return Mark(context.part_id, context.step.id, taken, recipe.edge_factor, corner=recipe.corner_factor)


def findings(context: StepContext) -> list[Finding]:
    """Going through the coat; less than the part's reserve once nothing follows."""
    recipe = context.recipe(FlatRecipe)
    if not context.surface.film and not context.surface.sealed:
        return [
            context.finding("nothing_to_flat", "warning", text("no coat is on the part when it is flatted"))
        ]
    reserve = context.part.reserve if is_last_removal(context) else None
    return film_findings(context, _mark(context, recipe), reserve=reserve)


def consumption(context: StepContext) -> list[Use]:
    """The abrasive by its life. [pieces]"""
    recipe = context.recipe(FlatRecipe)
    return worn(context, [(recipe.abrasive, lanes(recipe, recipe.passes).moving)])


def shown(context: StepContext) -> Shown:
    """Film build step by step up to here."""
    if context.surface.sealed:
        return Shown()  # the film below is unknown
    recipe = context.recipe(FlatRecipe)
    marks = (*context.surface.film, _mark(context, recipe))
    rest = left(marks, 0.0)
    says = text(
        "After flatting {mean} of film are left, with a standard deviation of {sd}.",
        mean=Amount(rest.mean, "film"), sd=Amount(rest.sd, "film"),
    )  # fmt: skip
    figure = build_figure(marks, reserve=context.part.reserve, title=text("Film build"), says=says)
    keys = (
        (text("taken off"), Amount(recipe.removal, "film")),
        *left_keys(marks),
        *cut_keys(marks),
    )
    return Shown((figure,), keys, (NORMAL,))
