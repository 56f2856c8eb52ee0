"""Gluing bracing, baffles and metal parts: spread, place and close within the open time."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.glue import glue_mass, open_time
from pairwright.process.cold_glue import room_findings, rooms, sheet_of
from pairwright.process.context import SPREAD, StepContext, source_of
from pairwright.process.figure import Shown
from pairwright.process.material_use import Use, in_unit
from pairwright.process.opening import opening_findings
from pairwright.process.timing import Timing, scattered
from pairwright.works.recipe import GlueUpRecipe

SHIFT: Final = Source("works", "time on the data sheet, halved by each stated warmth")


def laying(recipe: GlueUpRecipe) -> tuple[float, float]:
    """Time to spread the glue and to place the pieces. [s]"""
    faces = 2 if recipe.sides == "two" else 1
    return recipe.area * faces / recipe.spread_rate, recipe.pieces * recipe.place


def timing(context: StepContext) -> Timing:
    """Open the shell, spread, place each piece."""
    recipe = context.recipe(GlueUpRecipe)
    spread, place = laying(recipe)
    laid = text(
        "spread {area} in {spread}, place the pieces ({pieces}) in {place}",
        area=Amount(recipe.area * (2 if recipe.sides == "two" else 1), "area"), spread=Amount(spread, "duration"),
        pieces=recipe.pieces, place=Amount(place, "duration"),
    )  # fmt: skip
    opened = text("open the shell in {open}; {laid}", open=Amount(recipe.open_fixture, "duration"), laid=laid)
    reason = opened if recipe.open_fixture else laid
    return scattered(spread + place, recipe.open_fixture, scatter=recipe.scatter, reason=reason)


def findings(context: StepContext) -> list[Finding]:
    """Open time against the time that the glue lies open; the room; the opened shell."""
    recipe = context.recipe(GlueUpRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    found = room_findings(context, adhesive)
    source = source_of(adhesive, "open_time")
    if adhesive.open_time is None:
        found.append(
            context.finding("open_time_not_stated", "warning",
                            text("{adhesive} states no open time: laying it cannot be judged", adhesive=adhesive.name),
                            source)
        )  # fmt: skip
    else:
        found.extend(_open_time(context, recipe, source))
    if recipe.opening is not None:
        found.extend(opening_findings(context, recipe.opening))
    return found


def _open_time(context: StepContext, recipe: GlueUpRecipe, source: Source) -> list[Finding]:
    adhesive = context.adhesive(recipe.adhesive)
    sheet = sheet_of(adhesive)
    _, usual, warmest = rooms(context, sheet)
    likely = sum(laying(recipe)) + context.step.next_min
    high = likely * (1.0 + SPREAD * recipe.scatter)
    allowed, least = open_time(sheet, usual), open_time(sheet, warmest)
    if likely <= allowed and high <= least:
        return []
    what = text(
        "the glue lies open for {likely}, up to {high}; {adhesive} allows {allowed} at {usual} and {least} "
        "at {warmest}",
        likely=Amount(likely, "duration"), high=Amount(high, "duration"), adhesive=adhesive.name,
        allowed=Amount(allowed, "duration"), usual=Amount(usual, "temperature"), least=Amount(least, "duration"),
        warmest=Amount(warmest, "temperature"),
    )  # fmt: skip
    return [context.finding("open_time_exceeded", "error" if likely > allowed else "warning", what, source)]


def consumption(context: StepContext) -> list[Use]:
    """Adhesive spread. [kg]"""
    recipe = context.recipe(GlueUpRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    mass = glue_mass(adhesive.spread, recipe.area, lines=2 if recipe.sides == "two" else 1)
    return [in_unit(recipe.adhesive, context.works.materials, kind="mass", amount=mass)]


def shown(context: StepContext) -> Shown:
    """Key figures: how long the glue lies open, how long it may."""
    recipe = context.recipe(GlueUpRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    sheet = sheet_of(adhesive)
    coldest, usual, warmest = rooms(context, sheet)
    keys = [
        (text("glue lies open"), Amount(sum(laying(recipe)) + context.step.next_min, "duration")),
        (text("adhesive"), Amount(dict(consumption(context))[recipe.adhesive], "mass")),
    ]
    if adhesive.open_time is not None:
        keys.append((text("open time in the usual room"), Amount(open_time(sheet, usual), "duration")))
        if warmest > usual:
            keys.append((text("open time on the warmest day"), Amount(open_time(sheet, warmest), "duration")))
        if coldest < usual:
            keys.append((text("open time on the coldest day"), Amount(open_time(sheet, coldest), "duration")))
    return Shown((), tuple(keys), (source_of(adhesive, "open_time"), SHIFT))
