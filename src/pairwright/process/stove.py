"""Warm air drying: the coldest film at its temperature for a time, the wood not too hot."""

from __future__ import annotations

import math
from functools import lru_cache

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.stove import LAWS, Layer
from pairwright.physics.stovecycle import StoveCycle, stove_cycle
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import Curve, Figure, KeyFigure, Level, Shown
from pairwright.process.ranges import outside
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import SprayRecipe, StoveRecipe


@lru_cache(maxsize=256)
def stoved(recipe: StoveRecipe) -> StoveCycle:
    """The stay in the stove. The first of several layers is the film."""
    return stove_cycle(
        [Layer(y.thickness, y.conductivity, y.density, y.heat_capacity) for y in recipe.layers],
        recipe.initial, air=recipe.air, heat_transfer=recipe.heat_transfer, target=recipe.film_temperature,
        hold=recipe.hold, film_layers=1 if len(recipe.layers) > 1 else 0, limit=recipe.limit,
    )  # fmt: skip


def _reached(cycle: StoveCycle) -> bool:
    return math.isfinite(cycle.reach)


def timing(context: StepContext) -> Timing:
    """Warming until the coldest film is at its temperature, then the hold."""
    recipe = context.recipe(StoveRecipe)
    cycle = stoved(recipe)
    if not _reached(cycle):
        reason = text(
            "the film never reaches {target} in air of {air}; until it warms no further and the hold are planned",
            target=Amount(recipe.film_temperature, "temperature"), air=Amount(recipe.air, "temperature"),
        )  # fmt: skip
        return scattered(cycle.history[-1][0], recipe.hold, scatter=recipe.scatter, reason=reason)
    reason = text(
        "in air of {air} the coldest film is at {target} after {reach}, then held for {hold}",
        air=Amount(recipe.air, "temperature"), target=Amount(recipe.film_temperature, "temperature"),
        reach=Amount(cycle.reach, "duration"), hold=Amount(recipe.hold, "duration"),
    )  # fmt: skip
    return scattered(cycle.reach, recipe.hold, scatter=recipe.scatter, reason=reason)


def hottest_surface(cycle: StoveCycle) -> float:
    """Highest temperature of the surface during the stay. [K]"""
    return max(row[1] for row in cycle.history)


def findings(context: StepContext) -> list[Finding]:
    """Hold not reached; surface or film too hot."""
    recipe = context.recipe(StoveRecipe)
    cycle = stoved(recipe)
    found: list[Finding] = outside(
        context, "stove_temperature", {"initial": recipe.initial, "air": recipe.air}
    )
    if not _reached(cycle):
        what = text(
            "air of {air} never brings the film to {target}",
            air=Amount(recipe.air, "temperature"), target=Amount(recipe.film_temperature, "temperature"),
        )  # fmt: skip
        found.append(context.finding("hold_not_reached", "error", what, LAWS[0].sources[0]))
    hottest = hottest_surface(cycle)
    if hottest > recipe.limit:
        what = text(
            "the surface gets to {hottest}; the body bears {limit}",
            hottest=Amount(hottest, "temperature"), limit=Amount(recipe.limit, "temperature"),
        )  # fmt: skip
        found.append(context.finding("surface_too_hot", "error", what))
    coating = None if recipe.coating is None else context.coating(recipe.coating)
    if coating is not None and coating.stove_limit is not None and hottest > coating.stove_limit:
        what = text(
            "the film gets to {hottest}; {coating} bears {limit}",
            hottest=Amount(hottest, "temperature"), coating=coating.name,
            limit=Amount(coating.stove_limit, "temperature"),
        )  # fmt: skip
        found.append(context.finding("film_too_hot", "error", what, source_of(coating, "stove_limit")))
    return found


def heat(context: StepContext) -> float:
    """Heat taken up by the part, for each square metre of its sprayed area. [J]"""
    recipe = context.recipe(StoveRecipe)
    return stoved(recipe).heat * coated_area(context)


def coated_area(context: StepContext) -> float:
    """Area of the last coat before this step; 0 where none was sprayed. [m2]"""
    areas = [
        step.recipe.area
        for step in context.part.steps[: context.index]
        if isinstance(step.recipe, SprayRecipe)
    ]
    return areas[-1] if areas else 0.0


def shown(context: StepContext) -> Shown:
    """Temperature of the film, under it, and of the core."""
    recipe = context.recipe(StoveRecipe)
    cycle = stoved(recipe)
    times = tuple(row[0] for row in cycle.history)
    names = (text("film surface"), text("under the film"), text("under the next layer"), text("core"))
    columns = (1, 2, 3, 4) if len(recipe.layers) > 2 else (1, 2, 4) if len(recipe.layers) > 1 else (1, 4)
    curves = tuple(Curve(names[c - 1], times, tuple(row[c] for row in cycle.history)) for c in columns)
    levels = (
        Level(text("air"), recipe.air),
        Level(text("film temperature wanted"), recipe.film_temperature),
        Level(text("most that the body bears"), recipe.limit),
    )
    margin = Amount(recipe.limit - hottest_surface(cycle), "temperature_difference")
    target = Amount(recipe.film_temperature, "temperature")
    says = (
        text("The film is at {target} after {reach}; the surface stays {margin} below what the body bears.",
             target=target, reach=Amount(cycle.reach, "duration"), margin=margin)
        if _reached(cycle)
        else text("The film never gets to {target}; the surface stays {margin} below what the body bears.",
                  target=target, margin=margin)
    )  # fmt: skip
    figure = Figure(text("Temperatures in the stove"), says, text("time in the stove"), "duration",
                    text("temperature"), "temperature", curves, levels)  # fmt: skip
    keys: list[KeyFigure] = [
        (text("hottest surface"), Amount(hottest_surface(cycle), "temperature")),
        (text("core at the end"), Amount(cycle.core, "temperature")),
    ]
    if _reached(cycle):
        keys.insert(0, (text("film at its temperature after"), Amount(cycle.reach, "duration")))
    sources: tuple[Source, ...] = LAWS[0].sources
    return Shown((figure,), tuple(keys), sources)
