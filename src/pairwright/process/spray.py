"""Spraying one coat: the gun's path, the lacquer it takes, the recoat window that follows."""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.film import Coat
from pairwright.physics.lacquer import dry_film, lacquer_volume
from pairwright.physics.path import PathTime, path_time
from pairwright.physics.solvent import TOLUENE_LEL, TOLUENE_MOLAR_MASS, dilution_air, vapour_of
from pairwright.process.context import SPREAD, StepContext, source_of
from pairwright.process.figure import KeyFigure, Shown
from pairwright.process.material_use import Use, in_unit
from pairwright.process.programme import passes_text
from pairwright.process.ranges import outside
from pairwright.process.risk import NORMAL, build_figure
from pairwright.process.surface import Mark, left
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import (
    FlatRecipe,
    PolishRecipe,
    RestRecipe,
    SandRecipe,
    SprayRecipe,
    StoveRecipe,
)
from pairwright.works.record import Times

BALANCE: Final = Source("published", "coating-coverage note: volume = area x wet film / transfer efficiency")


def gun_path(recipe: SprayRecipe) -> PathTime:
    """The gun's lanes over the area. [s]"""
    return path_time(recipe.area, recipe.fan, overlap=recipe.overlap, feed=recipe.feed, passes=recipe.passes)


def timing(context: StepContext) -> Timing:
    """Prepare, spray every lane, let it flash off."""
    recipe = context.recipe(SprayRecipe)
    path = gun_path(recipe)
    fixed = recipe.prepare + recipe.flash_off
    reason = text(
        "{passes} of a {fan} fan over {area} at {feed}: {time}; prepare {prepare}, flash off {flash}",
        passes=passes_text(recipe.passes), fan=Amount(recipe.fan, "length"), area=Amount(recipe.area, "area"),
        feed=Amount(recipe.feed, "speed"), time=Amount(path.time, "duration"),
        prepare=Amount(recipe.prepare, "duration"), flash=Amount(recipe.flash_off, "duration"),
    )  # fmt: skip
    return scattered(path.time, fixed, scatter=recipe.scatter, reason=reason)


def findings(context: StepContext) -> list[Finding]:
    """The recoat window to the next coat; the pot life; what the laws cover."""
    return [*_recoat_findings(context), *_pot_life(context), *_range_findings(context)]


def _range_findings(context: StepContext) -> list[Finding]:
    recipe = context.recipe(SprayRecipe)
    solids = context.coating(recipe.coating).solids
    given = {
        "dry_film": dry_film(recipe.wet, solids),
        "volume_solids": solids,
        "transfer_efficiency": recipe.transfer_efficiency,
    }
    return outside(context, "lacquer_volume", given)


def _pot_life(context: StepContext) -> list[Finding]:
    recipe = context.recipe(SprayRecipe)
    coating = context.coating(recipe.coating)
    needed = gun_path(recipe).time * (1.0 + SPREAD * recipe.scatter) + recipe.prepare
    if coating.pot_life is None or needed <= coating.pot_life:
        return []
    what = text(
        "mixing to the last lane takes up to {needed}; {coating} has a pot life of {life}",
        needed=Amount(needed, "duration"), coating=coating.name, life=Amount(coating.pot_life, "duration"),
    )  # fmt: skip
    return [context.finding("pot_life_exceeded", "error", what, source_of(coating, "pot_life"))]


def gap_to_touch(context: StepContext) -> float | None:
    """Least time that the route leaves before the film is touched again. [s]

    None where nothing touches it in the part's route, or where stove or rest dry it first. Steps
    between count with their stated low time; computed ones are not counted.
    """
    least = float(context.step.next_min)
    for step in context.later:
        if isinstance(step.recipe, StoveRecipe | RestRecipe):
            return None
        if isinstance(step.recipe, SprayRecipe | FlatRecipe | SandRecipe | PolishRecipe):
            return least
        stated = step.duration.low if isinstance(step.duration, Times) else 0.0
        least += float(step.next_min + stated)
    return None


def gap_to_next_coat(context: StepContext) -> float | None:
    """Most time that the route allows to the next coat; infinite where nothing bounds it. [s]

    None where no further coat follows in the part's route, or where the film is flatted or
    sanded before, so that the next coat keys to it. The window is counted from the coat,
    or from the end of the last stove. Only stated longest waits are counted, not the steps between.
    """
    most = _most(context.step.next_max)
    for step in context.later:
        if isinstance(step.recipe, FlatRecipe | SandRecipe):
            return None
        if isinstance(step.recipe, SprayRecipe):
            return most
        most = _most(step.next_max) + (0.0 if isinstance(step.recipe, StoveRecipe) else most)
    return None


def _most(wait: float | None) -> float:
    return math.inf if wait is None else wait


def _recoat_findings(context: StepContext) -> list[Finding]:
    recipe = context.recipe(SprayRecipe)
    coating = context.coating(recipe.coating)
    found: list[Finding] = []
    least, most = gap_to_touch(context), gap_to_next_coat(context)
    if coating.recoat_min is not None and least is not None and least + recipe.flash_off < coating.recoat_min:
        what = text(
            "the route lets the coat be touched after {least}; {coating} asks for at least {wanted}",
            least=Amount(least + recipe.flash_off, "duration"), coating=coating.name,
            wanted=Amount(coating.recoat_min, "duration"),
        )  # fmt: skip
        found.append(context.finding("recoat_too_early", "error", what, source_of(coating, "recoat_min")))
    if coating.recoat_max is not None and most is not None and most > coating.recoat_max:
        what = text(
            "nothing in the route brings the next coat within {wanted} of {coating}: state a longest wait, or flat "
            "the coat in between",
            wanted=Amount(coating.recoat_max, "duration"), coating=coating.name,
        )  # fmt: skip
        found.append(context.finding("recoat_too_late", "warning", what, source_of(coating, "recoat_max")))
    return found


def consumption(context: StepContext) -> list[Use]:
    """Lacquer with what is lost beside the piece. [m3]"""
    recipe = context.recipe(SprayRecipe)
    coating = context.coating(recipe.coating)
    volume = lacquer_volume(
        recipe.area, dry_film(recipe.wet, coating.solids), volume_solids=coating.solids,
        transfer_efficiency=recipe.transfer_efficiency,
    )  # fmt: skip
    return [in_unit(recipe.coating, context.works.materials, kind="volume", amount=volume)]


def solvent_keys(context: StepContext) -> list[KeyFigure]:
    """Vapour that one item's coat sets free, and the air that a published rule would dilute it with.

    Where the coating does not state its solvent, it is taken as the one that asks for the most air
    among those with a published limit at hand: on the safe side. A figure to compare, no clearance.
    """
    recipe = context.recipe(SprayRecipe)
    coating = context.coating(recipe.coating)
    if coating.solvent_share <= 0.0:
        return []
    volume = lacquer_volume(
        recipe.area, dry_film(recipe.wet, coating.solids), volume_solids=coating.solids,
        transfer_efficiency=recipe.transfer_efficiency,
    )  # fmt: skip
    mass = volume * coating.density * coating.solvent_share
    limit = TOLUENE_LEL if coating.solvent_limit is None else float(coating.solvent_limit)
    molar = TOLUENE_MOLAR_MASS if coating.solvent_molar_mass is None else float(coating.solvent_molar_mass)
    room = context.works.factory.climate.temperature
    vapour = vapour_of(mass, molar_mass=molar, temperature=room)
    air = text("air that keeps it below a quarter of the lower explosive limit, m³, to compare only")
    return [
        (text("solvent set free by one item"), Amount(mass, "mass")),
        (air, Amount(dilution_air(vapour, explosive_limit=limit), "number", 3)),
    ]


def shown(context: StepContext) -> Shown:
    """Film build up to this coat."""
    if context.surface.sealed:
        return Shown()  # the film below is unknown
    recipe = context.recipe(SprayRecipe)
    coating = context.coating(recipe.coating)
    mark = Mark(
        context.part_id, context.step.id, Coat(recipe.wet, coating.solids, recipe.wet_sd), recipe.edge_factor,
        recipe.coating, recipe.corner_factor,
    )  # fmt: skip
    surface = context.surface.after(mark, on_veneer=False)
    rest = left(surface.film, 0.0)
    says = text(
        "This coat brings {dry} of dry film; {whole} are on the part then, with a standard deviation of {sd}.",
        dry=Amount(dry_film(recipe.wet, coating.solids), "film"), whole=Amount(rest.mean, "film"),
        sd=Amount(rest.sd, "film"),
    )  # fmt: skip
    figure = build_figure(surface.film, reserve=context.part.reserve, title=text("Film build"), says=says)
    keys = (
        (text("wet film"), Amount(recipe.wet, "film")),
        (text("dry film of this coat"), Amount(dry_film(recipe.wet, coating.solids), "film")),
        (text("film on the part"), Amount(rest.mean, "film")),
        *solvent_keys(context),
    )
    return Shown((figure,), keys, (source_of(coating, "solids"), NORMAL, BALANCE))
