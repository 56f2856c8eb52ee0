"""A wait whose end is computed: until hard, until cooled, until the moisture has levelled."""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.time import DAY
from pairwright.base.words import Amount, Text, text
from pairwright.physics.slab import LAWS as SLAB_LAWS
from pairwright.physics.slab import slab_temperature
from pairwright.process.context import StepContext
from pairwright.process.figure import Curve, Figure, Level, Shown
from pairwright.process.rest_hard import hard_findings, shown_hard, until_hard
from pairwright.process.rest_slab import time_to_share
from pairwright.process.timing import Timing, ranged
from pairwright.works.recipe import RestRecipe

_NEARLY: Final = 0.99  # of the final hardness: planned where the threshold is never reached
_POINTS: Final = 41


def _stated(context: StepContext, recipe: RestRecipe, field: str) -> float:
    value = getattr(recipe, field)
    if value is None:
        raise InputError(
            Problem(context.subject, f"recipe.{field}", text("stated for a rest until {until}", until=recipe.until),
                    "nothing", text("state it in the recipe"))
        )  # fmt: skip
    return float(value)


def _airs(context: StepContext, recipe: RestRecipe) -> tuple[float, float, float]:
    """Coldest, usual and warmest air of the rest: its own where it states one. [K]"""
    if recipe.air is not None:
        return (recipe.air,) * 3
    climate = context.works.factory.climate
    usual = climate.temperature
    return min(climate.coldest or usual, usual), usual, max(climate.warmest or usual, usual)


def timing(context: StepContext) -> Timing:
    """The wait, and how the room and the material make it shorter or longer."""
    recipe = context.recipe(RestRecipe)
    match recipe.until:
        case "hard":
            return until_hard(context, recipe, _airs(context, recipe))
        case "cooled":
            return _until_cooled(context, recipe)
        case "levelled":
            return _until_levelled(context, recipe)


def _until_cooled(context: StepContext, recipe: RestRecipe) -> Timing:
    coldest, usual, warmest = _airs(context, recipe)
    times = [cooling_time(context, recipe, air=air) for air in (coldest, usual, warmest)]
    finite = [t for t in times if math.isfinite(t)]
    likely = times[1] if math.isfinite(times[1]) else max(finite, default=float(DAY))
    longest = times[2] if math.isfinite(times[2]) else likely
    reason = text(
        "the core cools from {initial} to {final} in air of {air} in {time}",
        initial=Amount(_stated(context, recipe, "initial"), "temperature"),
        final=Amount(_stated(context, recipe, "final"), "temperature"), air=Amount(usual, "temperature"),
        time=Amount(times[1], "duration"),
    )  # fmt: skip
    return ranged(
        likely,
        0.0,
        scatter=recipe.scatter,
        shortest=min(times[0], likely),
        longest=max(longest, likely),
        reason=reason,
    )


def _slab(recipe: RestRecipe, thickness: float) -> float:
    """Thickness of the slab with both faces free that behaves alike. [m]"""
    return thickness * (1.0 if recipe.faces == 2 else 2.0)


def cooling_time(context: StepContext, recipe: RestRecipe, *, air: float) -> float:
    """Time until the core has cooled; infinite where the air is not cold enough. [s]"""
    initial, final = _stated(context, recipe, "initial"), _stated(context, recipe, "final")
    layer = recipe.layer
    if layer is None:
        raise InputError(
            Problem(context.subject, "recipe.layer", text("stated for a rest until cooled"), "nothing",
                    text("state conductivity, density and heat capacity of the body"))
        )  # fmt: skip
    if final >= initial:
        return 0.0
    if air >= final:
        return math.inf
    thickness = recipe.thickness if recipe.thickness is not None else layer.thickness
    return time_to_share(
        _slab(recipe, thickness), layer.conductivity / (layer.density * layer.heat_capacity),
        share=(initial - final) / (initial - air), conductivity=layer.conductivity,
        heat_transfer=_stated(context, recipe, "heat_transfer"),
    )  # fmt: skip


def levelling_time(context: StepContext, recipe: RestRecipe) -> float:
    """Time until so much of a moisture difference is gone in the middle. [s]"""
    if recipe.wood is None:
        raise InputError(
            Problem(context.subject, "recipe.wood", text("stated for a rest until levelled"), "nothing",
                    text("name the wood whose moisture levels"))
        )  # fmt: skip
    wood = context.wood(recipe.wood)
    thickness = _stated(context, recipe, "thickness")
    return time_to_share(_slab(recipe, thickness), wood.moisture_diffusivity, share=recipe.levelling)


def _until_levelled(context: StepContext, recipe: RestRecipe) -> Timing:
    likely = levelling_time(context, recipe)
    reason = text(
        "{share} of a moisture difference is gone in the middle of {thickness} after {time}",
        share=Amount(recipe.levelling, "share"), thickness=Amount(_stated(context, recipe, "thickness"), "length"),
        time=Amount(likely, "duration"),
    )  # fmt: skip
    return ranged(likely, 0.0, scatter=recipe.scatter, shortest=likely, longest=likely, reason=reason)


def findings(context: StepContext) -> list[Finding]:
    """Ends that are never reached; a next step that may not wait so long."""
    recipe = context.recipe(RestRecipe)
    _, usual, warmest = _airs(context, recipe)
    if recipe.until == "hard":
        return hard_findings(context, recipe, usual)
    if recipe.until == "cooled" and math.isinf(cooling_time(context, recipe, air=warmest)):
        never = math.isinf(cooling_time(context, recipe, air=usual))
        what = text(
            "in air of {air} the core never cools to {final}",
            air=Amount(usual if never else warmest, "temperature"),
            final=Amount(_stated(context, recipe, "final"), "temperature"),
        )  # fmt: skip
        return [context.finding("cooling_not_reached", "error" if never else "warning", what)]
    return []


def shown(context: StepContext) -> Shown:
    """Growth of hardness, fall of the core's temperature, or levelling of moisture."""
    recipe = context.recipe(RestRecipe)
    end = timing(context).likely
    times = tuple(1.5 * end * n / (_POINTS - 1) for n in range(_POINTS))
    levels = [Level(text("end of the rest"), end, upright=True)]
    match recipe.until:
        case "hard":
            return shown_hard(context, recipe, air=_airs(context, recipe)[1], end=end)
        case "cooled":
            return _shown_cooled(context, recipe, times, levels)
        case "levelled":
            keys = ((text("moisture levelled after"), Amount(end, "duration")),)
            return Shown((), keys, SLAB_LAWS[0].sources)


def _figure(title: Text, says: Text, curve: Curve, *, y_kind: str, levels: list[Level]) -> Figure:
    return Figure(title, says, text("time of rest"), "duration", curve.name, y_kind, (curve,), tuple(levels))


def _shown_cooled(
    context: StepContext, recipe: RestRecipe, times: tuple[float, ...], levels: list[Level]
) -> Shown:
    layer, air = recipe.layer, _airs(context, recipe)[1]
    if layer is None:
        return Shown()
    thickness = _slab(recipe, recipe.thickness if recipe.thickness is not None else layer.thickness)
    core = tuple(
        slab_temperature(
            thickness, layer.conductivity / (layer.density * layer.heat_capacity), surface=air, time=t,
            initial=_stated(context, recipe, "initial"), conductivity=layer.conductivity,
            heat_transfer=_stated(context, recipe, "heat_transfer"),
        )
        for t in times
    )  # fmt: skip
    end, final = levels[0].value, _stated(context, recipe, "final")
    says = (
        text("The core is down to {final} after {time}.", final=Amount(final, "temperature"),
             time=Amount(end, "duration"))
        if math.isfinite(cooling_time(context, recipe, air=air))
        else text("In air of {air} the core never gets down to {final}.", air=Amount(air, "temperature"),
                  final=Amount(final, "temperature"))
    )  # fmt: skip
    curve = Curve(text("core temperature"), times, core)
    figure = _figure(text("Cooling of the core"), says, curve, y_kind="temperature",
                     levels=[*levels, Level(text("core wanted"), final), Level(text("air"), air)])  # fmt: skip
    return Shown((figure,), ((text("cool enough after"), Amount(end, "duration")),), SLAB_LAWS[0].sources)
