"""Which duration counts: a station's own, the step's, a sealed one, or the computed one."""

from __future__ import annotations

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.words import Amount, Text, text
from pairwright.process.context import StepContext
from pairwright.process.registry import kind_of
from pairwright.process.timing import Timing
from pairwright.works.product import Alternative
from pairwright.works.record import Times


def timings_of(context: StepContext) -> list[tuple[str | None, Timing]]:
    """The duration at each of the step's stations; one without a station for a pure wait."""
    if not context.step.stations:
        return [(None, timing_of(context, None))]
    return [(a.station, timing_of(context, a)) for a in context.step.stations]


def timing_of(context: StepContext, alternative: Alternative | None) -> Timing:
    """The duration at one station. [s]"""
    step = context.step
    own = None if alternative is None else alternative.duration
    if isinstance(own, Times) and alternative is not None:
        name = context.works.factory.stations[alternative.station].name
        return _stated(own, text("stated for {station}", station=name))
    if own is None and isinstance(step.duration, Times):
        return _stated(step.duration, text("stated in the step"))
    return computed_timing(context)


def computed_timing(context: StepContext) -> Timing:
    """The duration that the laws give, or the sealed one where the recipe is not here. [s]"""
    step = context.step
    if step.recipe is None and step.sealed is not None:
        where = text(
            "sealed: the recipe is in {file}, which is not here", file=step.restricted or "restricted/"
        )
        return _stated(step.sealed, where)
    timing = kind_of(context).timing
    if timing is None:
        raise InputError(
            Problem(context.subject, "duration", text("stated: no law gives the time of this kind"), "computed",
                    text("state a time, or low, likely and high"))
        )  # fmt: skip
    return timing(context)


def _stated(times: Times, reason: Text) -> Timing:
    return Timing(times.low, times.likely, times.high, reason, computed=False)


def stated_findings(context: StepContext, timings: list[tuple[str | None, Timing]]) -> list[Finding]:
    """A stated time shorter than what the recipe's own physics needs; a recipe that is not here."""
    step, kind = context.step, kind_of(context)
    if context.sealed:
        what = text("the recipe is in {file}, which is not here: nothing about it is judged",
                    file=step.restricted or "restricted/")  # fmt: skip
        return [context.finding("recipe_sealed", "note", what)]
    if step.recipe is None or kind.timing is None or not kind.minimum:
        return []
    stated = [t for _, t in timings if not t.computed]
    if not stated:
        return []
    needed = kind.timing(context)
    shortest = min(stated, key=lambda t: t.likely)
    if shortest.likely >= needed.likely:
        return []
    what = text(
        "{stated} is stated; the recipe needs {needed}: {reason}",
        stated=Amount(shortest.likely, "duration"), needed=Amount(needed.likely, "duration"), reason=needed.reason,
    )  # fmt: skip
    return [context.finding("stated_time_too_short", "error", what)]
