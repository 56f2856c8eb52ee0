"""Kinetics of the adhesive in a press step: as stated, or fitted to the data sheet's times."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.kinetics import KineticsFit, fit_sheet, hardener_factor
from pairwright.physics.press import PressCycle
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import Curve, Figure, KeyFigure
from pairwright.process.need import need
from pairwright.works.material import Adhesive, CureFit
from pairwright.works.recipe import PressRecipe

BEYOND: Final = 10.0  # how far outside its points a fit is used without a word [K]


@dataclass(frozen=True, slots=True)
class Kinetics:
    """A [1/s], E [J/mol], n [-]; the fit that they come from; the effect of the hardener on A [-]."""

    rate_constant: float
    activation_energy: float
    order: float
    fit: KineticsFit | None
    hardener: float


@lru_cache(maxsize=256)
def _fitted(fit: CureFit) -> KineticsFit:
    points = [(float(point.temperature), float(point.time)) for point in fit.points]
    return fit_sheet(points, cure=fit.cure, order=fit.order)


def kinetics_of(context: StepContext) -> Kinetics:
    """What the glue of a press step cures by."""
    recipe = context.recipe(PressRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    factor = _factor(recipe, adhesive)
    if adhesive.fit is not None:
        fit = _fitted(adhesive.fit)
        return Kinetics(fit.rate_constant * factor, fit.activation_energy, fit.order, fit, factor)

    def stated(field: str) -> float:
        return need(
            adhesive, field, where=context.subject, must_be=text("stated for an adhesive of the hot press"),
            do=text("fit rate constant, activation energy and order to the data sheet's press times"),
        )  # fmt: skip

    return Kinetics(
        stated("rate_constant") * factor, stated("activation_energy"), stated("order"), None, factor
    )


def _factor(recipe: PressRecipe, adhesive: Adhesive) -> float:
    """How the level of hardener changes the rate, where the works states that it does. [-]"""
    if adhesive.hardener_power is None or adhesive.hardener_reference is None:
        return 1.0
    level = recipe.hardener if recipe.hardener is not None else adhesive.hardener
    if level is None:
        return 1.0
    return hardener_factor(level, adhesive.hardener_reference, power=adhesive.hardener_power)


def fit_text(context: StepContext) -> Text | None:
    """What the kinetics were fitted to, in words; None where they are stated."""
    adhesive = context.adhesive(context.recipe(PressRecipe).adhesive)
    fit = kinetics_of(context).fit
    if fit is None or adhesive.fit is None:
        return None
    if len(adhesive.fit.points) == 2:
        one, two = sorted(adhesive.fit.points, key=lambda point: float(point.temperature))
        return text(
            "kinetics fitted to the data sheet's two points, {t1} at {T1} and {t2} at {T2}",
            t1=Amount(one.time, "duration"), T1=Amount(one.temperature, "temperature"),
            t2=Amount(two.time, "duration"), T2=Amount(two.temperature, "temperature"),
        )  # fmt: skip
    return text(
        "kinetics fitted to the data sheet's {n} points, off by at most {worst}",
        n=len(adhesive.fit.points), worst=Amount(fit.worst, "share", 2),
    )  # fmt: skip


def fit_source(context: StepContext) -> Source:
    """Where the kinetics come from."""
    adhesive = context.adhesive(context.recipe(PressRecipe).adhesive)
    return source_of(adhesive, "fit" if adhesive.fit is not None else "rate_constant")


def kinetics_findings(context: StepContext, cycle: PressCycle) -> list[Finding]:
    """A fit used beyond its points; a hardener whose effect nobody has stated."""
    recipe = context.recipe(PressRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    found: list[Finding] = []
    fit = kinetics_of(context).fit
    if fit is not None:
        at = float(cycle.line_temperatures[cycle.coldest_line])
        if not fit.coldest - BEYOND <= at <= fit.hottest + BEYOND:
            what = text(
                "the coldest glue line is at {at} when it is cured; the kinetics of {adhesive} are fitted to times "
                "between {low} and {high}: beyond them they are a guess",
                at=Amount(at, "temperature"), adhesive=adhesive.name, low=Amount(fit.coldest, "temperature"),
                high=Amount(fit.hottest, "temperature"),
            )  # fmt: skip
            found.append(context.finding("kinetics_outside_range", "warning", what, fit_source(context)))
    if (
        recipe.hardener is not None
        and recipe.hardener != adhesive.hardener
        and adhesive.hardener_power is None
    ):
        what = text(
            "{level} of hardener is used; how it changes the cure of {adhesive} is not stated, so the time is that of "
            "the usual level",
            level=Amount(recipe.hardener, "share"), adhesive=adhesive.name,
        )  # fmt: skip
        found.append(context.finding("hardener_unknown", "warning", what, source_of(adhesive, "hardener")))
    return found


def fit_figure(context: StepContext) -> Figure | None:
    """The fitted line with the data sheet's points; None where the kinetics are stated."""
    adhesive = context.adhesive(context.recipe(PressRecipe).adhesive)
    fit = kinetics_of(context).fit
    if fit is None or adhesive.fit is None:
        return None
    low, high = fit.coldest - BEYOND, fit.hottest + BEYOND
    at = tuple(low + (high - low) * n / 40 for n in range(41))
    points = sorted((float(p.temperature), float(p.time)) for p in adhesive.fit.points)
    line = Curve(text("fitted"), at, tuple(fit.time(T) for T in at))
    sheet = Curve(text("data sheet"), tuple(T for T, _ in points), tuple(t for _, t in points))
    says = text(
        "The kinetics are fitted to {n} times of the data sheet; between {low} and {high} they are read from it, "
        "beyond they are a guess.",
        n=len(points), low=Amount(fit.coldest, "temperature"), high=Amount(fit.hottest, "temperature"),
    )  # fmt: skip
    return Figure(
        text("Time to cure at an even glue-line temperature"), says, text("glue line"), "temperature",
        text("time"), "duration", (line, sheet),
    )  # fmt: skip


def fit_keys(context: StepContext) -> list[KeyFigure]:
    """The fitted constants, and what the hardener does to the rate."""
    kinetics = kinetics_of(context)
    keys: list[KeyFigure] = []
    if kinetics.fit is not None:
        energy = kinetics.fit.activation_energy / 1e3
        keys.append((text("activation energy as fitted, kJ/mol"), Amount(energy, "number", 3)))
    if kinetics.hardener != 1.0:
        keys.append((text("rate by the level of hardener"), Amount(kinetics.hardener, "number", 3)))
    return keys
