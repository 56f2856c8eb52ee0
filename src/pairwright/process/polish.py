"""Machine polishing: passes with compounds over the whole area."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.film import Removal
from pairwright.physics.gloss import gloss_geometry, ideal_gloss
from pairwright.process.context import StepContext
from pairwright.process.figure import KeyFigure, Shown
from pairwright.process.flat import is_last_removal
from pairwright.process.material_use import Use
from pairwright.process.programme import (
    abrasion_findings,
    dwell_findings,
    lanes,
    path_reason,
    removal_findings,
    sequence,
    worn,
)
from pairwright.process.risk import NORMAL, build_figure, chance_of, cut_keys, film_findings, left_keys
from pairwright.process.sand import PRESTON
from pairwright.process.surface import Mark, coefficient_of, depth_of, left
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import PolishRecipe

CLEAR_INDEX: Final = 1.50  # refractive index of a clear film, an ideal one
GLOSS: Final = Source(
    "standard", "ISO 2813: 100 units is polished black glass of index 1.567; Fresnel's equations"
)


def timing(context: StepContext) -> Timing:
    """Every stage over the whole area, and preparing."""
    recipe = context.recipe(PolishRecipe)
    time, passes = sequence(recipe, recipe.stages)
    reason = path_reason(recipe, time=time, passes=passes, fixed=recipe.prepare)
    return scattered(time, recipe.prepare, scatter=recipe.scatter, reason=reason)


def _mark(context: StepContext, recipe: PolishRecipe) -> Mark:
    depth = depth_of(recipe.stages, context.works, coating=context.coating(recipe.coating))
    taken = Removal(depth, recipe.removal_sd * depth)
    return Mark(context.part_id, context.step.id, taken, recipe.edge_factor, corner=recipe.corner_factor)


def findings(context: StepContext) -> list[Finding]:
    """Going through the film, less than the reserve, a gloss no film can show."""
    recipe = context.recipe(PolishRecipe)
    coating = context.coating(recipe.coating)
    unknown = [g.abrasive for g in recipe.stages if coefficient_of(g, context.works, coating) is None]
    found = [
        *removal_findings(context, unknown),
        *dwell_findings(context, recipe, recipe.stages),
        *abrasion_findings(context, recipe.stages),
    ]
    if not context.surface.film and not context.surface.sealed:
        return [
            *found,
            context.finding(
                "nothing_to_polish", "warning", text("no coat is on the part when it is polished")
            ),
        ]
    reserve = recipe.reserve
    if is_last_removal(context) and context.part.reserve is not None:
        reserve = max(reserve, context.part.reserve)
    found.extend(film_findings(context, _mark(context, recipe), reserve=reserve))
    found.extend(_gloss_findings(context, recipe))
    return found


def index_of(context: StepContext) -> float:
    """Refractive index of the film: the coating's own, else that of a usual clear one. [-]"""
    stated = context.coating(context.recipe(PolishRecipe).coating).refractive_index
    return CLEAR_INDEX if stated is None else float(stated)


def _gloss_findings(context: StepContext, recipe: PolishRecipe) -> list[Finding]:
    """A gloss no film can show; a gloss that is read better at another angle."""
    if recipe.gloss_target is None:
        return []
    index, angle, wanted = index_of(context), recipe.gloss_angle, float(recipe.gloss_target)
    ideal = ideal_gloss(index, float(angle))
    found: list[Finding] = []
    if wanted > ideal:
        what = text(
            "the gloss wanted is {wanted} units; a perfect clear film of index {index} shows {ideal} at {angle}°",
            wanted=wanted, index=index, ideal=ideal, angle=angle,
        )  # fmt: skip
        found.append(context.finding("gloss_above_ideal", "note", what, GLOSS))
    if angle == 60 and gloss_geometry(wanted) != 60:
        what = text(
            "{wanted} units at 60° are told apart better at {angle}°: state the gloss wanted and the angle so",
            wanted=wanted, angle=gloss_geometry(wanted),
        )  # fmt: skip
        found.append(context.finding("gloss_at_other_angle", "note", what, GLOSS))
    return found


def gloss_keys(context: StepContext) -> list[KeyFigure]:
    """The gloss wanted, and what a perfect film shows at each angle."""
    recipe = context.recipe(PolishRecipe)
    if recipe.gloss_target is None:
        return []
    wanted = text("gloss wanted at {angle}°, units", angle=recipe.gloss_angle)
    ideals = [
        (text("a perfect film at {angle}°, units", angle=angle),
         Amount(ideal_gloss(index_of(context), float(angle)), "number", 3))
        for angle in (20, 60, 85)
    ]  # fmt: skip
    return [(wanted, Amount(float(recipe.gloss_target), "number", 3)), *ideals]


def consumption(context: StepContext) -> list[Use]:
    """Pads and compounds by their life. [pieces]"""
    recipe = context.recipe(PolishRecipe)
    return worn(context, [(g.abrasive, lanes(recipe, g.passes).moving) for g in recipe.stages])


def shown(context: StepContext) -> Shown:
    """Film build step by step to the end."""
    if context.surface.sealed:
        return Shown()  # the film below is unknown
    recipe = context.recipe(PolishRecipe)
    mark = _mark(context, recipe)
    marks = (*context.surface.film, mark)
    rest = left(marks, recipe.reserve)
    says = text(
        "After polishing {mean} of film are left, with a standard deviation of {sd}; {reserve} must remain.",
        mean=Amount(rest.mean, "film"), sd=Amount(rest.sd, "film"), reserve=Amount(recipe.reserve, "film"),
    )  # fmt: skip
    figure = build_figure(marks, reserve=recipe.reserve, title=text("Film build"), says=says)
    taken = mark.change.mean if isinstance(mark.change, Removal) else 0.0
    keys = (
        (text("taken off"), Amount(taken, "film")),
        *left_keys(marks),
        (text("probability of less than the reserve"), chance_of(rest.probability_below_reserve)),
        *cut_keys(marks),
        *gloss_keys(context),
    )
    return Shown((figure,), keys, (PRESTON, NORMAL))
