"""Hot pressing: durations, findings, material and figures of a press step."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE, Source
from pairwright.base.words import Amount, text
from pairwright.physics.glue import glue_mass
from pairwright.physics.press import PressCycle
from pairwright.physics.pressure import RESOLVED, press_force, wall_pressure
from pairwright.physics.steam import BLOW_MDF, IF97
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import Curve, Figure, KeyFigure, Level, Shown
from pairwright.process.kinetics import fit_figure, fit_keys, fit_source, fit_text, kinetics_findings
from pairwright.process.material_use import Use, in_unit
from pairwright.process.outline import courses
from pairwright.process.press_heat import (
    heated,
    inputs_of,
    layup_of,
    longest,
    platen_curves,
    platen_levels,
    platen_text,
    plies_of,
    pressed_area,
    range_findings,
)
from pairwright.process.press_shape import (
    balance_findings,
    bend_findings,
    bent_plies,
    shape_sources,
    spring_findings,
    spring_of,
)
from pairwright.process.press_steam import steam_figure, steam_findings, steam_keys
from pairwright.process.ranges import outside
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import PressRecipe

ALLOWANCE: Final = 0.025  # veneer left over at each edge for trimming, common practice [m]
ALLOWANCE_SOURCE: Final = COMMON_PRACTICE


def timing(context: StepContext) -> Timing:
    """Lay up, close, heat until the coldest glue line is cured, vent, unload."""
    recipe = context.recipe(PressRecipe)
    cycle = heated(inputs_of(context)).cycle
    fixed = recipe.lay_up + recipe.close + recipe.vent + recipe.unload
    if cycle is None:
        reason = text(
            "the coldest glue line does not reach {cure} within {cap} at {platen}: that time is planned",
            cure=Amount(recipe.target_cure, "share"), cap=Amount(longest(), "duration"),
            platen=platen_text(recipe),
        )  # fmt: skip
        return scattered(longest(), fixed, scatter=recipe.scatter, reason=reason)
    reason = text(
        "coldest of {lines} glue lines (line {line} from the inner face) reaches {cure} cure after {time} at {platen}; "
        "lay up {lay_up}, close {close}, vent {vent}, unload {unload}",
        lines=len(cycle.line_cures), line=cycle.coldest_line + 1, cure=Amount(recipe.target_cure, "share"),
        time=Amount(cycle.open_time, "duration"), platen=platen_text(recipe),
        lay_up=Amount(recipe.lay_up, "duration"), close=Amount(recipe.close, "duration"),
        vent=Amount(recipe.vent, "duration"), unload=Amount(recipe.unload, "duration"),
    )  # fmt: skip
    fitted = fit_text(context)
    if fitted is not None:
        reason = text("{time}; {fit}", time=reason, fit=fitted)
    # to the microsecond: compiled and plain loops may differ in the last digit, plans must not
    return scattered(round(cycle.open_time, 6), fixed, scatter=recipe.scatter, reason=reason)


def findings(context: StepContext) -> list[Finding]:
    """Everything that can go wrong in the hot press."""
    found = [
        *bend_findings(context), *balance_findings(context), *spring_findings(context), *range_findings(context),
        *_pressure_findings(context), *_angle_findings(context),
    ]  # fmt: skip
    result = heated(inputs_of(context))
    if result.cycle is None:
        recipe = context.recipe(PressRecipe)
        what = text(
            "within {cap} at {platen} the coldest glue line is not cured: {got}; heat more, press thinner or use a "
            "faster adhesive",
            cap=Amount(longest(), "duration"), platen=platen_text(recipe), got=result.why,
        )  # fmt: skip
        return [*found, context.finding("cure_not_reached", "error", what)]
    return [*found, *steam_findings(context, result.cycle), *kinetics_findings(context, result.cycle)]


def _angle_findings(context: StepContext) -> list[Finding]:
    """A wall so steep that the law of its pressure no longer holds."""
    profile = context.part.profile
    if profile is None:
        return []
    return outside(context, "wall_pressure", {"wall_angle_deg": math.degrees(abs(profile.steepest_wall))})


def _pressure_findings(context: StepContext) -> list[Finding]:
    """Normal pressure on the steepest wall; force of the press."""
    recipe = context.recipe(PressRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    angle = 0.0 if context.part.profile is None else abs(context.part.profile.steepest_wall)
    least = wall_pressure(recipe.pressure, angle)
    found: list[Finding] = []
    if adhesive.pressure_low is not None and least < adhesive.pressure_low:
        what = text(
            "{pressure} along the press axis is {least} on the wall at {angle}; {adhesive} asks for {wanted}",
            pressure=Amount(recipe.pressure, "pressure"), least=Amount(least, "pressure"), angle=Amount(angle, "angle"),
            adhesive=adhesive.name, wanted=Amount(adhesive.pressure_low, "pressure"),
        )  # fmt: skip
        found.append(context.finding("pressure_on_wall", "error", what, RESOLVED))
    if adhesive.pressure_high is not None and recipe.pressure > adhesive.pressure_high:
        what = text(
            "{pressure} is above the {wanted} that {adhesive} bears: it is squeezed out",
            pressure=Amount(recipe.pressure, "pressure"), wanted=Amount(adhesive.pressure_high, "pressure"),
            adhesive=adhesive.name,
        )  # fmt: skip
        found.append(
            context.finding("pressure_too_high", "warning", what, source_of(adhesive, "pressure_high"))
        )
    if recipe.press_force is not None and recipe.projected_area is not None:
        needed = press_force(recipe.pressure, recipe.projected_area)
        if needed > recipe.press_force:
            what = text(
                "{pressure} on {area} takes {needed}; the press gives {given}",
                pressure=Amount(recipe.pressure, "pressure"), area=Amount(recipe.projected_area, "area"),
                needed=Amount(needed, "force"), given=Amount(recipe.press_force, "force"),
            )  # fmt: skip
            found.append(context.finding("press_force_too_low", "error", what))
    return found


def consumption(context: StepContext) -> list[Use]:
    """Veneer of every ply with its allowance, and the adhesive of every glue line."""
    recipe = context.recipe(PressRecipe)
    plies, materials = plies_of(context), context.works.materials
    profile = context.part.profile
    if profile is None:
        areas = [pressed_area(context)] * len(plies)
    else:
        height = profile.height + 2.0 * ALLOWANCE
        found = courses(profile, tuple(leaf.veneer.thickness for leaf in plies))
        areas = [(course.length + 2.0 * ALLOWANCE) * height for course in found]
    uses = [
        in_unit(ply.veneer, materials, kind="area", amount=area)
        for ply, area in zip(layup_of(context).plies, areas, strict=True)
    ]
    spread = inputs_of(context).stack.glue.spread
    mass = sum(glue_mass(spread, min(pair)) for pair in pairwise(areas))
    return [*uses, in_unit(recipe.adhesive, materials, kind="mass", amount=mass)]


def heat(context: StepContext) -> float:
    """Heat that the platens give to one item. [J]"""
    cycle = heated(inputs_of(context)).cycle
    return 0.0 if cycle is None else cycle.energy * pressed_area(context)


def shown(context: StepContext) -> Shown:
    """Temperatures of every glue line, cure of the coldest, steam bound; the shape."""
    recipe = context.recipe(PressRecipe)
    cycle = heated(inputs_of(context)).cycle
    keys: list[KeyFigure] = []
    figures: tuple[Figure, ...] = ()
    if cycle is not None:
        fit = fit_figure(context)
        figures = (
            _temperatures(recipe, cycle), _cures(recipe, cycle), steam_figure(cycle), *(() if fit is None else (fit,))
        )  # fmt: skip
        keys += [
            (text("opens after"), Amount(cycle.open_time, "duration")),
            (text("coldest place at opening"), Amount(cycle.core_temperature, "temperature")),
            *steam_keys(context, cycle),
            (text("wettest ply with the glue's water"), Amount(max(cycle.moistures), "share")),
            (text("heat into one item"), Amount(heat(context), "energy")),
            *fit_keys(context),
        ]
    profile = context.part.profile
    angle = 0.0 if profile is None else abs(profile.steepest_wall)
    keys.append(
        (text("pressure on the steepest wall"), Amount(wall_pressure(recipe.pressure, angle), "pressure"))
    )
    bent = bent_plies(context)
    if bent:
        keys.append((text("largest strain of a bent ply"), Amount(max(b.strain for b in bent), "share")))
    spring = spring_of(context)
    if spring is not None:
        keys += [
            (text("opens by spring-back"), Amount(spring.opens.value, "length")),
            (text("standard deviation of the opening"), Amount(spring.opens.sd, "length", 2)),
            (text("closes by moisture"), Amount(spring.closes.value, "length")),
            (text("standard deviation of the closing"), Amount(spring.closes.sd, "length", 2)),
            (text("mould radius for the tightest bend of {r}", r=Amount(spring.tightest, "length")),
             Amount(spring.mould, "length")),
        ]  # fmt: skip
    sources: tuple[Source, ...] = (fit_source(context), IF97, BLOW_MDF, *shape_sources())
    return Shown(figures, tuple(keys), sources)


def _temperatures(recipe: PressRecipe, cycle: PressCycle) -> Figure:
    times = tuple(float(t) for t in cycle.times)
    curves = tuple(
        Curve(text("glue line {n}", n=n + 1), times, tuple(float(v) for v in cycle.temperatures[:, n]))
        for n in range(cycle.temperatures.shape[1])
    )
    says = text(
        "With platens at {platen} the coldest glue line is at {cold} when the press opens after {time}.",
        platen=platen_text(recipe),
        cold=Amount(float(cycle.line_temperatures[cycle.coldest_line]), "temperature"),
        time=Amount(cycle.open_time, "duration"),
    )  # fmt: skip
    curves, platens = curves + platen_curves(recipe, cycle.open_time), platen_levels(recipe)
    levels = (*platens, Level(text("opens"), cycle.open_time, upright=True))
    return Figure(text("Temperature of every glue line"), says, text("time from closing"), "duration",
                  text("temperature"), "temperature", curves, levels)  # fmt: skip


def _cures(recipe: PressRecipe, cycle: PressCycle) -> Figure:
    times = tuple(float(t) for t in cycle.times)
    coldest = tuple(float(v) for v in cycle.cures[:, cycle.coldest_line])
    says = text(
        "The coldest glue line reaches {cure} of its cure after {time}.",
        cure=Amount(recipe.target_cure, "share"), time=Amount(cycle.open_time, "duration"),
    )  # fmt: skip
    levels = (
        Level(text("cure wanted"), recipe.target_cure),
        Level(text("opens"), cycle.open_time, upright=True),
    )
    curve = Curve(text("glue line {n}, the coldest", n=cycle.coldest_line + 1), times, coldest)
    return Figure(text("Cure of the coldest glue line"), says, text("time from closing"), "duration",
                  text("cure"), "share", (curve,), levels)  # fmt: skip
