"""Sanding of wood and veneer by a programme."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.film import Coat
from pairwright.process.context import StepContext
from pairwright.process.figure import Figure, Shown
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
from pairwright.process.risk import (
    NORMAL,
    PLACES,
    build_figure,
    chance_of,
    cut_keys,
    film_findings,
    risk_finding,
)
from pairwright.process.surface import (
    Mark,
    Place,
    coefficient_of,
    cut_through,
    left,
    mark_of,
    places_of,
    veneer_marks,
)
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import SandRecipe

PRESTON = Source(
    "published", "F. W. Preston, J. Soc. Glass Technol. 11 (1927) 214-256; coefficient as measured here"
)


def timing(context: StepContext) -> Timing:
    """Every grit over the whole area, and the fixture."""
    recipe = context.recipe(SandRecipe)
    time, passes = sequence(recipe, recipe.grits)
    reason = path_reason(recipe, time=time, passes=passes, fixed=recipe.fixture)
    return scattered(time, recipe.fixture, scatter=recipe.scatter, reason=reason)


def _mark(context: StepContext, recipe: SandRecipe) -> Mark:
    mark = mark_of(context.works, recipe, part=context.part_id, step=context.step.id)
    return mark if mark is not None else Mark(context.part_id, context.step.id, Coat(0.0, 0.0), 1.0)


def findings(context: StepContext) -> list[Finding]:
    """Going through the face veneer, or through a film where there is one."""
    recipe = context.recipe(SandRecipe)
    unknown = [g.abrasive for g in recipe.grits if coefficient_of(g, context.works) is None]
    found = [
        *removal_findings(context, unknown),
        *dwell_findings(context, recipe, recipe.grits),
        *abrasion_findings(context, recipe.grits),
    ]
    mark = _mark(context, recipe)
    if context.surface.sealed or any(isinstance(m.change, Coat) for m in context.surface.film):
        return [*found, *film_findings(context, mark, reserve=None)]
    if context.surface.veneer is None:
        return found
    marks = (*veneer_marks(context.surface), mark)
    for place in places_of(marks):
        found.extend(_veneer(context, marks, place=place))
    rest = left(marks, recipe.reserve)
    what = text(
        "{mean} ± {sd} of the face veneer are left; less than {reserve} with a probability of {chance}",
        mean=Amount(rest.mean, "length"), sd=Amount(rest.sd, "length"), reserve=Amount(recipe.reserve, "length"),
        chance=chance_of(rest.probability_below_reserve),
    )  # fmt: skip
    chance = rest.probability_below_reserve
    return [*found, *risk_finding(context, "veneer_below_reserve", probability=chance, what=what)]


def _veneer(context: StepContext, marks: tuple[Mark, ...], *, place: Place) -> list[Finding]:
    chance, rest = cut_through(marks, place=place), left(marks, 0.0, place=place)
    what = text(
        "{place} the face veneer of {whole} is cut through with a probability of {chance}; {mean} ± {sd} are left",
        place=PLACES[place], whole=Amount(context.surface.thickness, "length"), chance=chance_of(chance),
        mean=Amount(rest.mean, "length"), sd=Amount(rest.sd, "length"),
    )  # fmt: skip
    return risk_finding(context, "veneer_cut_through", probability=chance, what=what)


def consumption(context: StepContext) -> list[Use]:
    """Abrasives by their life. [pieces]"""
    recipe = context.recipe(SandRecipe)
    return worn(context, [(g.abrasive, lanes(recipe, g.passes).moving) for g in recipe.grits])


def shown(context: StepContext) -> Shown:
    """What is left of the face veneer, sanding by sanding."""
    recipe = context.recipe(SandRecipe)
    mark = _mark(context, recipe)
    if context.surface.veneer is None:
        taken = mark.change.mean if not isinstance(mark.change, Coat) else 0.0
        return Shown((), ((text("taken off"), Amount(taken, "length")),), (PRESTON,))
    marks = (*veneer_marks(context.surface), mark)
    rest = left(marks, recipe.reserve)
    says = text(
        "Sanding leaves {mean} of the {whole} face veneer; {reserve} must remain.",
        mean=Amount(rest.mean, "length"), whole=Amount(context.surface.thickness, "length"),
        reserve=Amount(recipe.reserve, "length"),
    )  # fmt: skip
    figure: Figure = build_figure(marks, reserve=recipe.reserve, title=text("Face veneer left"), says=says)
    keys = (
        (text("veneer left"), Amount(rest.mean, "length")),
        (text("probability of less than the reserve"), chance_of(rest.probability_below_reserve)),
        *cut_keys(marks),
    )
    return Shown((figure,), keys, (PRESTON, NORMAL))
