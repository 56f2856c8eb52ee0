"""A rest until the film is hard: growth as stated, or fitted to the house's own readings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.time import DAY
from pairwright.base.words import Amount, Text, text
from pairwright.physics.hardness import LAWS, days_to_hardness, hardness, ready_day
from pairwright.physics.hardness_fit import HardnessGrowth, fit_growth
from pairwright.physics.shift import q10_shift
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import Curve, Figure, KeyFigure, Level, Shown
from pairwright.process.need import need
from pairwright.process.timing import Timing, ranged
from pairwright.works.material import Coating
from pairwright.works.recipe import RestRecipe

_NEARLY: Final = 0.99  # of the final hardness: planned where the threshold is never reached
_LONGEST: Final = 3.0  # times the likely rest, where the readings leave the end open
_POINTS: Final = 41


@dataclass(frozen=True, slots=True)
class Growth:
    """How a film hardens: H = final (1 - exp(-rate t^power)), t in days; the fit it comes from."""

    final: float
    rate: float
    power: float
    fit: HardnessGrowth | None
    readings: int


def coating_of(context: StepContext, recipe: RestRecipe) -> Coating:
    """The coating whose hardness counts; otherwise an `InputError`."""
    if recipe.coating is None:
        raise InputError(
            Problem(context.subject, "recipe.coating", text("stated for a rest until hard"), "nothing",
                    text("name the coating whose hardness counts"))
        )  # fmt: skip
    return context.coating(recipe.coating)


@lru_cache(maxsize=64)
def _fitted(readings: tuple[tuple[float, float], ...], sd: float | None) -> HardnessGrowth:
    return fit_growth(readings, reading_sd=sd)


def growth_of(context: StepContext, coating: Coating) -> Growth:
    """The growth by the readings where there are any, otherwise as stated."""
    if coating.hardness_readings:
        readings = tuple((float(r.day), float(r.hardness)) for r in coating.hardness_readings)
        try:
            fit = _fitted(readings, coating.hardness_sd)
        except InputError as error:
            problem = error.problems[0]
            raise InputError(
                Problem(
                    context.subject,
                    f"{coating.name}: hardness_readings",
                    problem.must_be,
                    problem.got,
                    problem.do,
                )
            ) from None
        return Growth(fit.final, fit.rate, fit.exponent, fit, len(readings))

    def stated(field: str) -> float:
        return need(coating, field, where=context.subject, must_be=text("stated for a rest until hard"),
                    do=text("state two or more pendulum readings, or the growth fitted to them"))  # fmt: skip

    return Growth(stated("hardness_final"), stated("hardness_rate"), stated("hardness_power"), None, 0)


def _source(coating: Coating) -> Source:
    return source_of(coating, "hardness_readings" if coating.hardness_readings else "hardness_rate")


def _threshold(context: StepContext, recipe: RestRecipe) -> float:
    if recipe.threshold is None:
        raise InputError(
            Problem(context.subject, "recipe.threshold", text("stated for a rest until hard"), "nothing",
                    text("state it in the recipe"))
        )  # fmt: skip
    return float(recipe.threshold)


def shift_of(coating: Coating, air: float) -> float:
    """How much faster the film hardens in this air than at its reference. [-]"""
    if coating.hardness_temperature is None or not coating.hardness_doubling:
        return 1.0
    return q10_shift(air, coating.hardness_temperature, factor=2.0 ** (10.0 / coating.hardness_doubling))


def _time(growth: Growth, coating: Coating, threshold: float, air: float) -> float:
    """Time to a hardness in air of a temperature; infinite where it is never reached. [s]"""
    shift = shift_of(coating, air)
    days = days_to_hardness(threshold, growth.final, rate=growth.rate, exponent=growth.power, shift=shift)
    return days * DAY


def until_hard(context: StepContext, recipe: RestRecipe, airs: tuple[float, float, float]) -> Timing:
    """The wait, its scatter by the room's air and by what the readings leave open."""
    coating = coating_of(context, recipe)
    growth, threshold = growth_of(context, coating), _threshold(context, recipe)
    within = threshold < growth.final
    used = threshold if within else _NEARLY * growth.final
    longest, likely, shortest = (_time(growth, coating, used, air) for air in airs)
    low, high = _doubt(growth, used)
    down, up = math.hypot(likely - shortest, low * likely), math.hypot(longest - likely, high * likely)
    reason = (
        text("{coating} grows to a hardness of {threshold} of its {final} in {time} at {air}",
             coating=coating.name, threshold=threshold, final=growth.final, time=Amount(likely, "duration"),
             air=Amount(airs[1], "temperature"))
        if within
        else text("{coating} ends at {final} and never reaches {threshold}: the time to 99 % of its end is planned",
                  coating=coating.name, threshold=threshold, final=growth.final)
    )  # fmt: skip
    if growth.fit is not None:
        reason = text("{time}; growth fitted to {n} readings", time=reason, n=growth.readings)
    return ranged(
        likely, 0.0, scatter=recipe.scatter, shortest=likely - down, longest=likely + up, reason=reason
    )


def _doubt(growth: Growth, threshold: float) -> tuple[float, float]:
    """How far the readings leave the day open, down and up, over the day. [-]"""
    if growth.fit is None:
        return 0.0, 0.0
    ready = ready_day(growth.fit, threshold)
    if ready.day <= 0.0 or math.isinf(ready.day):
        return 0.0, 0.0
    return 1.0 - ready.low / ready.day, min(ready.high / ready.day, _LONGEST) - 1.0


def hard_findings(context: StepContext, recipe: RestRecipe, air: float) -> list[Finding]:
    """A hardness that is never reached; growth that is not carried to this room; readings that say little."""
    coating = coating_of(context, recipe)
    growth, threshold = growth_of(context, coating), _threshold(context, recipe)
    if threshold >= growth.final:
        what = text(
            "{coating} grows to {final} at most; {threshold} is never reached",
            coating=coating.name, final=growth.final, threshold=threshold,
        )  # fmt: skip
        return [context.finding("hardness_not_reached", "error", what, source_of(coating, "hardness_final"))]
    return [*_open(context, coating, growth, threshold), *_not_carried_over(context, coating, air)]


def _open(context: StepContext, coating: Coating, growth: Growth, threshold: float) -> list[Finding]:
    _, high = _doubt(growth, threshold)
    if high < _LONGEST - 1.0:
        return []
    what = text(
        "{n} readings of {coating} leave open when it reaches {threshold}: read again on a later day",
        n=growth.readings, coating=coating.name, threshold=threshold,
    )  # fmt: skip
    return [context.finding("hardness_uncertain", "warning", what, _source(coating))]


def _not_carried_over(context: StepContext, coating: Coating, air: float) -> list[Finding]:
    reference = coating.hardness_temperature
    if coating.hardness_doubling or reference is None or abs(air - reference) < 0.5:
        return []
    what = text(
        "{coating} does not state how its hardening moves with temperature: the growth at {reference} is used at {air}",
        coating=coating.name, reference=Amount(reference, "temperature"), air=Amount(air, "temperature"),
    )  # fmt: skip
    return [
        context.finding("times_not_carried_over", "warning", what, source_of(coating, "hardness_doubling"))
    ]


def shown_hard(context: StepContext, recipe: RestRecipe, *, air: float, end: float) -> Shown:
    """The growth, the readings that it was fitted to, the hardness wanted."""
    coating = coating_of(context, recipe)
    growth, threshold = growth_of(context, coating), _threshold(context, recipe)
    times = tuple(1.5 * end * n / (_POINTS - 1) for n in range(_POINTS))
    shift = shift_of(coating, air)
    grown = tuple(
        hardness(t / DAY * shift, growth.final, rate=growth.rate, exponent=growth.power) for t in times
    )
    curves = [Curve(text("hardness"), times, grown)]
    if growth.fit is not None:
        # a reading at the reference is as old here as the film that is just as hard
        days = tuple(float(r.day) * DAY / shift for r in coating.hardness_readings)
        curves.append(Curve(text("read"), days, tuple(float(r.hardness) for r in coating.hardness_readings)))
    levels = (
        Level(text("end of the rest"), end, upright=True), Level(text("hardness wanted"), threshold)
    )  # fmt: skip
    figure = Figure(
        text("Growth of hardness"), _says(coating, growth, threshold, end), text("time of rest"), "duration",
        text("hardness"), "number", tuple(curves), levels,
    )  # fmt: skip
    keys: list[KeyFigure] = [
        (text("hard enough after"), Amount(end, "duration")),
        (text("final hardness"), Amount(growth.final, "number")),
    ]
    if growth.fit is not None:
        ready = ready_day(growth.fit, threshold)
        for name, day in (
            (text("at the earliest, of 95 %"), ready.low),
            (text("at the latest, of 95 %"), ready.high),
        ):
            if math.isfinite(day):
                keys.append((name, Amount(day * DAY / shift, "duration")))
    return Shown((figure,), tuple(keys), (_source(coating), *LAWS[0].sources))


def _says(coating: Coating, growth: Growth, threshold: float, end: float) -> Text:
    named: dict[str, str | float] = {"coating": coating.name, "threshold": threshold, "final": growth.final}
    if threshold < growth.final:
        return text(
            "{coating} reaches {threshold} of its {final} after {time}.",
            time=Amount(end, "duration"),
            **named,
        )
    return text("{coating} grows to {final} and never reaches {threshold}.", **named)
