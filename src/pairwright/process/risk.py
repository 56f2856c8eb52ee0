"""Cutting through: how a probability becomes a finding, the same for veneer and film."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding, Severity
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.process.context import StepContext
from pairwright.process.figure import Curve, Figure, KeyFigure, Level
from pairwright.process.surface import Mark, Place, cut_through, left, places_of

WARN: Final = 0.01  # one piece in a hundred
SEEN: Final = 1e-6
WRONG: Final = 0.20  # one in five: the recipe will not work
NORMAL: Final = Source(
    "published", "JCGM 100:2008, 5.1.2: independent, normal scatter of every coat and removal"
)

PLACES: Final[dict[Place, Text]] = {
    "flat": text("on the flat"), "edge": text("at edges"), "corner": text("at corners")
}  # fmt: skip
_KEYS: Final[dict[Place, Text]] = {
    "flat": text("probability of cutting through, flat"),
    "edge": text("probability of cutting through, edges"),
    "corner": text("probability of cutting through, corners"),
}
_LEFT: Final[dict[Place, Text]] = {
    "flat": text("film left"), "edge": text("film left at edges"), "corner": text("film left at corners")
}  # fmt: skip


def cut_keys(marks: tuple[Mark, ...]) -> tuple[KeyFigure, ...]:
    """Probability of cutting through at each place that is judged."""
    return tuple((_KEYS[place], chance_of(cut_through(marks, place=place))) for place in places_of(marks))


def left_keys(marks: tuple[Mark, ...]) -> tuple[KeyFigure, ...]:
    """What is left of the film at each place that is judged."""
    return tuple(
        (_LEFT[place], Amount(left(marks, 0.0, place=place).mean, "film")) for place in places_of(marks)
    )


def chance_of(probability: float) -> Amount:
    """A probability as it is shown: below one in a million it is told as none."""
    return Amount(probability if probability >= SEEN else 0.0, "share")


def severity_of(probability: float) -> Severity | None:
    """Error from one in five, warning from one in a hundred, else nothing."""
    if probability > WRONG:
        return "error"
    return "warning" if probability > WARN else None


def risk_finding(context: StepContext, code: str, *, probability: float, what: Text) -> list[Finding]:
    """A finding where the probability is worth one."""
    severity = severity_of(probability)
    return [] if severity is None else [context.finding(code, severity, what, NORMAL)]


def film_findings(context: StepContext, mark: Mark, *, reserve: float | None) -> list[Finding]:
    """What one removal does to the film: gone through, or less left than the reserve.

    Where a recipe that is not here has coated or flatted before, nothing can be said.
    """
    if context.surface.sealed:
        what = text("an earlier recipe for this surface is not here: what is left of the film is not judged")
        return [context.finding("film_not_judged", "note", what)]
    marks = (*context.surface.film, mark)
    found: list[Finding] = []
    for place in places_of(marks):
        chance = cut_through(marks, place=place)
        rest = left(marks, 0.0, place=place)
        what = text(
            "{place} the uppermost coat is cut through with a probability of {chance}; {mean} ± {sd} of film "
            "are left",
            place=PLACES[place], chance=chance_of(chance), mean=Amount(rest.mean, "film"), sd=Amount(rest.sd, "film"),
        )  # fmt: skip
        found.extend(risk_finding(context, "film_cut_through", probability=chance, what=what))
    if reserve is not None:
        rest = left(marks, reserve)
        what = text(
            "{mean} ± {sd} of film are left; less than the reserve of {reserve} with a probability of {chance}",
            mean=Amount(rest.mean, "film"), sd=Amount(rest.sd, "film"), reserve=Amount(reserve, "film"),
            chance=chance_of(rest.probability_below_reserve),
        )  # fmt: skip
        found.extend(
            risk_finding(context, "film_below_reserve", probability=rest.probability_below_reserve, what=what)
        )
    return found


def build_figure(marks: tuple[Mark, ...], *, reserve: float | None, title: Text, says: Text) -> Figure:
    """What is left after each step, on the flat and at edges, with its scatter and the reserve."""
    stages = [marks[:n] for n in range(1, len(marks) + 1)]
    curves = []
    for place in places_of(marks):
        states = [left(stage, 0.0, place=place) for stage in stages]
        curves.append(
            Curve(PLACES[place], tuple(float(n) for n in range(len(stages))), tuple(s.mean for s in states),
                  tuple(s.sd for s in states))
        )  # fmt: skip
    levels = () if reserve is None else (Level(text("least to be left"), reserve),)
    return Figure(
        title, says, text("step"), "number", text("left on the surface"), "film", tuple(curves), levels,
        tuple(m.step for m in marks),
    )  # fmt: skip
