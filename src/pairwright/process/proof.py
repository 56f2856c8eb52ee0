"""What a machine's log proves of a cure: the model fed with what the machine really did.

Three answers: good (the log shows that the recipe's goal was reached), bad (it shows that it was not)
and not proven (it does not show either). What can't be shown is never good.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal, TypeAlias

from pairwright.base.words import Amount, Text, text
from pairwright.physics.stove import Layer, stove_history, time_at_temperature
from pairwright.process.context import StepContext, context_of
from pairwright.process.figure import Curve, Figure, Level
from pairwright.process.press_heat import heated, held, inputs_of
from pairwright.works.definition import Works
from pairwright.works.recipe import PressRecipe, StoveRecipe

Verdict: TypeAlias = Literal["good", "bad", "not proven"]
Points: TypeAlias = Sequence[tuple[float, float]]  # time from the start [s], value in base SI
LONGEST: Final = 60.0  # without a sample for longer, a cure is not proven [s]: the house's own number
_MOST: Final = 200  # points of a course that the model is fed with


@dataclass(frozen=True, slots=True)
class Proof:
    """What was judged and how it came out; `figure` lays the log over the model."""

    verdict: Verdict
    says: Text
    figure: Figure | None = None


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay in a press or a stove, and what the machine logged of it.

    `length` from start to finish [s]; by quantity the usable samples, time from the start [s] and
    value in base SI.
    """

    length: float
    courses: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]

    def course(self, *names: str) -> tuple[tuple[float, float], ...]:
        """The samples of the first of these quantities that was logged."""
        by_name = dict(self.courses)
        return next((by_name[name] for name in names if by_name.get(name)), ())


def quantity_of(works: Works, product: str, *, option: str, part: str, step: str) -> str | None:
    """The quantity that proves the cure of a step: platen of a press, air of a stove; else None."""
    recipe = context_of(works, product, option=option, part=part, step=step).step.recipe
    if isinstance(recipe, PressRecipe):
        return "platen"
    return "air" if isinstance(recipe, StoveRecipe) else None


def proof_of(works: Works, product: str, *, option: str, part: str, step: str, stay: Stay) -> Proof:
    """Whether a log shows that a press or stove step did what its recipe asks.

    Parameters
    ----------
    works : Works
        The definition.
    product, option, part, step : str
        The step.
    stay : Stay
        What the machine logged.

    Notes
    -----
    The measured course takes the place of the recipe's in the model of the step. A stretch of more
    than a minute without a usable sample leaves the cure unproven, whatever the rest looks like.
    """
    context = context_of(works, product, option=option, part=part, step=step)
    if isinstance(context.step.recipe, PressRecipe):
        return _pressed(context, stay)
    if isinstance(context.step.recipe, StoveRecipe):
        return _stoved(context.step.recipe, stay)
    return Proof("not proven", text("no log proves a step of this kind"))


def _pressed(context: StepContext, stay: Stay) -> Proof:
    inputs, lower = inputs_of(context), stay.course("platen", "lower platen")
    upper = stay.course("upper platen") or lower
    unproven = _unproven(text("platen"), (lower, upper), stay.length)
    if unproven is not None:
        return unproven
    times = [t for t, _ in _thinned(lower)]
    ramp = tuple((t, _at(lower, t), _at(upper, t)) for t in times)
    if times[0] > 0.0:
        ramp = ((0.0, ramp[0][1], ramp[0][2]), *ramp)
    found = heated(replace(inputs, ramp=ramp)).cycle
    figure = _press_figure(context, lower, stay.length)
    wanted = Amount(inputs.target_cure, "share")
    if found is None:
        what = text("with the platens as logged no glue line gets to a cure of {wanted}", wanted=wanted)
        return Proof("bad", what, figure)
    asked, was = Amount(found.open_time, "duration"), Amount(stay.length, "duration")
    if found.open_time > stay.length:
        what = text(
            "with the platens as logged the coldest glue line takes {asked} to a cure of {wanted}; "
            "the press opened after {was}",
            asked=asked, wanted=wanted, was=was,
        )  # fmt: skip
        return Proof("bad", what, figure)
    what = text(
        "with the platens as logged the coldest glue line had a cure of {wanted} after {asked}; "
        "the press opened after {was}",
        wanted=wanted, asked=asked, was=was,
    )  # fmt: skip
    return Proof("good", what, figure)


def _press_figure(context: StepContext, logged: Points, length: float) -> Figure:
    recipe = context.recipe(PressRecipe)
    planned = (
        Curve(text("platen, by the recipe"), (0.0, length), (recipe.platen, recipe.platen))
        if not recipe.ramp
        else Curve(text("platen, by the recipe"), tuple(p.time for p in recipe.ramp),
                   tuple(p.temperature for p in recipe.ramp))
    )  # fmt: skip
    says = text("The platen as it was logged, laid over what the recipe asks for.")
    return Figure(text("Platen: logged and asked for"), says, text("time from closing"), "duration",
                  text("temperature"), "temperature", (*_drawn(text("platen, logged"), logged), planned))  # fmt: skip


def _stoved(recipe: StoveRecipe, stay: Stay) -> Proof:
    air = stay.course("air")
    unproven = _unproven(text("air"), (air,), stay.length)
    if unproven is not None:
        return unproven
    layers = [Layer(y.thickness, y.conductivity, y.density, y.heat_capacity) for y in recipe.layers]
    course = _thinned(air)
    times = sorted({0.0, *(t for t, _ in course if 0.0 <= t <= stay.length), stay.length})
    rows = stove_history(layers, recipe.initial, air=course, heat_transfer=recipe.heat_transfer, times=times)
    place = 1 if len(layers) > 1 else 0
    film = [float(row[place]) for row in rows]
    hottest = max(float(row[0]) for row in rows)
    stood = time_at_temperature(times, film, threshold=recipe.film_temperature)
    figure = _stove_figure(recipe, air, times, film)
    if hottest > recipe.limit:
        what = text(
            "with the air as logged the surface got to {hottest}; the body bears {limit}",
            hottest=Amount(hottest, "temperature"), limit=Amount(recipe.limit, "temperature"),
        )  # fmt: skip
        return Proof("bad", what, figure)
    what = text(
        "with the air as logged the film was at {wanted} or above for {stood}; the recipe asks for {hold}",
        wanted=Amount(recipe.film_temperature, "temperature"), stood=Amount(stood, "duration"),
        hold=Amount(recipe.hold, "duration"),
    )  # fmt: skip
    return Proof("good" if stood >= recipe.hold else "bad", what, figure)


def _stove_figure(recipe: StoveRecipe, air: Points, times: Sequence[float], film: Sequence[float]) -> Figure:
    says = text("The air as it was logged, and the film that the model makes of it.")
    curves = (*_drawn(text("air, logged"), air), Curve(text("film, computed"), tuple(times), tuple(film)))
    levels = (
        Level(text("air, by the recipe"), recipe.air),
        Level(text("film temperature wanted"), recipe.film_temperature),
    )
    return Figure(text("Stove: logged and asked for"), says, text("time in the stove"), "duration",
                  text("temperature"), "temperature", curves, levels)  # fmt: skip


def _unproven(what: Text, courses: Sequence[Points], length: float) -> Proof | None:
    """Why the logs prove nothing, or None where they cover the stay."""
    if not all(courses):
        return Proof("not proven", text("the {what} was not logged", what=what))
    for course in courses:
        marks = [0.0, *(t for t, _ in course), length]
        start, end = max(pairwise(marks), key=lambda pair: pair[1] - pair[0])
        if end - start > LONGEST:
            says = text(
                "the {what} was not logged for {gap}, from {start} after the start on", what=what,
                gap=Amount(end - start, "duration"), start=Amount(start, "duration"),
            )  # fmt: skip
            return Proof("not proven", says, None)
    return None


def _thinned(points: Points) -> list[tuple[float, float]]:
    every = max(1, -(-len(points) // _MOST))
    return [*points[:-1:every], points[-1]] if len(points) > 1 else list(points)


def _at(points: Points, time: float) -> float:
    return held([t for t, _ in points], [value for _, value in points], time)


def _drawn(name: Text, points: Points) -> tuple[Curve, ...]:
    """A course as curves, broken where there is a gap."""
    runs: list[list[tuple[float, float]]] = []
    for point in points:
        if not runs or point[0] - runs[-1][-1][0] > LONGEST:
            runs.append([])
        runs[-1].append(point)
    return tuple(Curve(name, tuple(t for t, _ in run), tuple(v for _, v in run)) for run in runs)
