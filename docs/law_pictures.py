"""A picture for each law of the physics book: how its answer moves with one of its arguments.

The first argument that is a number and moves a number of the answer is swept, within what is possible
and what the source covers, the others stay as in the worked number. Drawn by the program's own figures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from pairwright.base.errors import InputError
from pairwright.base.laws import Argument, Law, ask
from pairwright.base.words import ENGLISH, Text, text
from pairwright.process import Curve, Figure, Level
from pairwright.render.curves import curve_figure
from pairwright.render.palette import PRINT, figure_rules

POINTS = 25
FONT = "system-ui, 'Segoe UI', Roboto, sans-serif"


def picture(law: Law) -> tuple[str, str] | None:
    """The drawing as SVG and its sentence, or None where no single number moves another."""
    worked = dict(law.worked.inputs)
    for argument in law.arguments:
        if argument.shape != "number" or not isinstance(worked.get(argument.name), int | float):
            continue
        at = float(worked[argument.name])
        xs = _sweep(argument, at)
        answers = [(x, _answer(law, {**worked, argument.name: x})) for x in xs]
        kept = [(x, a) for x, a in answers if a is not None]
        for result in law.results:
            ys = [a.get(result.name) for _, a in kept]
            if (
                len(kept) > POINTS // 2
                and all(_is_number(y) for y in ys)
                and max(ys) - min(ys) > 1e-9 * abs(max(ys))
            ):
                return _drawn(law, argument, result.text, result.unit, [x for x, _ in kept], ys, at)
    return None


def _answer(law: Law, inputs: Mapping[str, Any]) -> Mapping[str, Any] | None:
    try:
        return ask(law, inputs).result
    except InputError:
        return None


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _sweep(argument: Argument, at: float) -> list[float]:
    """Half to one and a half times the worked value, cut to what the source covers."""
    low, high = (0.5 * at, 1.5 * at) if at else (-1.0, 1.0)
    low, high = min(low, high), max(low, high)
    for span in (argument.must, argument.range):
        if span is not None:
            low = low if span.low is None else max(low, span.low)
            high = high if span.high is None else min(high, span.high)
    return [low + (high - low) * n / (POINTS - 1) for n in range(POINTS)] if high > low else []


def _drawn(
    law: Law, argument: Argument, result: Text, unit: str, xs: list[float], ys: list[Any], at: float
) -> tuple[str, str]:
    says = text(
        "{result} [{unit}] over {argument} [{argument_unit}]; the upright line is the worked number.",
        result=str(result), unit=unit, argument=argument.name, argument_unit=argument.unit,
    )  # fmt: skip
    figure = Figure(
        law.title, says, text("{name} [{unit}]", name=argument.name, unit=argument.unit), "number",
        text("{result} [{unit}]", result=str(result), unit=unit), "number",
        (Curve(result, tuple(xs), tuple(float(y) for y in ys)),),
        (Level(text("worked number"), at, upright=True),),
    )  # fmt: skip
    drawn = curve_figure(figure, ENGLISH, id=f"law-{law.name}")
    return drawn.resolved(figure_rules(PRINT, FONT)), drawn.sentence
