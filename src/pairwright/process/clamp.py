"""Held under pressure until the adhesive carries the load."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.physics.clamp import glue_line_pressure
from pairwright.physics.glue import GlueSheet, clamp_time, cure_time, pressure_margin
from pairwright.process.cold_glue import room_findings, rooms, sheet_of
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import KeyFigure, Shown
from pairwright.process.need import need
from pairwright.process.timing import Timing, ranged
from pairwright.works.recipe import ClampRecipe


def _sheet(context: StepContext, recipe: ClampRecipe) -> GlueSheet:
    adhesive = context.adhesive(recipe.adhesive)
    need(adhesive, "clamp_time", where=context.subject, must_be=text("stated for an adhesive that is clamped"),
         do=text("copy the clamp time and its temperature from the data sheet"))  # fmt: skip
    return sheet_of(adhesive)


def timing(context: StepContext) -> Timing:
    """The sheet's clamp time in this room; the coldest and the warmest day give the range."""
    recipe = context.recipe(ClampRecipe)
    sheet = _sheet(context, recipe)
    coldest, usual, warmest = rooms(context, sheet)
    hold = clamp_time(sheet, usual)
    reason = text(
        "{adhesive} is clamped for {stated} at {reference}, that is {hold} at {usual}; load {load}",
        adhesive=context.adhesive(recipe.adhesive).name, stated=Amount(sheet.clamp_time, "duration"),
        reference=Amount(sheet.reference_temperature, "temperature"), hold=Amount(hold, "duration"),
        usual=Amount(usual, "temperature"), load=Amount(recipe.load, "duration"),
    )  # fmt: skip
    return ranged(
        hold, recipe.load, scatter=recipe.scatter, shortest=clamp_time(sheet, warmest),
        longest=clamp_time(sheet, coldest), reason=reason,
    )  # fmt: skip


def pressure(recipe: ClampRecipe) -> float:
    """Mean pressure on the glue line. [Pa]"""
    return glue_line_pressure(recipe.force, recipe.area, width=1.0)


def findings(context: StepContext) -> list[Finding]:
    """Pressure against what the adhesive asks for; the room."""
    recipe = context.recipe(ClampRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    found = room_findings(context, adhesive)
    have = pressure(recipe)
    low, high = pressure_margin(_sheet(context, recipe), have)
    for code, margin, field in (
        ("clamp_pressure_low", low, "pressure_low"),
        ("clamp_pressure_high", high, "pressure_high"),
    ):
        if margin < 0.0:
            wanted = getattr(adhesive, field)
            found.append(
                context.finding(
                    code,
                    "error" if code == "clamp_pressure_low" else "warning",
                    text("{force} on {area} presses with {have}; {adhesive} asks for {wanted}",
                         force=Amount(recipe.force, "force"), area=Amount(recipe.area, "area"),
                         have=Amount(have, "pressure"), adhesive=adhesive.name,
                         wanted=text("at least {p}", p=Amount(wanted, "pressure")) if field == "pressure_low"
                         else text("at most {p}", p=Amount(wanted, "pressure"))),
                    source_of(adhesive, field),
                )
            )  # fmt: skip
    return found


def shown(context: StepContext) -> Shown:
    """Key figures: pressure, clamp time over the year, full strength."""
    recipe = context.recipe(ClampRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    sheet = _sheet(context, recipe)
    coldest, usual, warmest = rooms(context, sheet)
    keys: list[KeyFigure] = [
        (text("pressure on the glue line"), Amount(pressure(recipe), "pressure")),
        (text("clamp time in the usual room"), Amount(clamp_time(sheet, usual), "duration")),
    ]
    if coldest < usual:
        keys.append((text("clamp time on the coldest day"), Amount(clamp_time(sheet, coldest), "duration")))
    if warmest > usual:
        keys.append((text("clamp time on the warmest day"), Amount(clamp_time(sheet, warmest), "duration")))
    if adhesive.cure_time is not None:
        keys.append((text("full strength after release"), Amount(cure_time(sheet, usual), "duration")))
    return Shown((), tuple(keys), (source_of(adhesive, "clamp_time"),))
