"""The press cycle of a step: from recipe, layup and materials to heat and cure.

Equal inputs are computed once: many options press the same stack.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from pairwright.base.errors import InputError, Problem
from pairwright.base.findings import Finding
from pairwright.base.words import Amount, Text, text
from pairwright.physics.heat import PERFECT
from pairwright.physics.press import CAP, Glue, Ply, PressCycle, PressStack, press_cycle
from pairwright.physics.wood import EQ_CONDUCTIVITY, MOISTURE_LIMIT
from pairwright.process.context import StepContext
from pairwright.process.figure import Curve, Level
from pairwright.process.kinetics import kinetics_of
from pairwright.process.outline import middle_length
from pairwright.process.ranges import outside
from pairwright.process.sheet import Leaf, leaves
from pairwright.works.product import Layup
from pairwright.works.recipe import PressRecipe


@dataclass(frozen=True, slots=True)
class PressInputs:
    """What the press cycle depends on.

    The stack; temperatures of the bottom and the top platen, at the start, over time [K]; cure
    wanted [-]; contact with the platens [W/(m2*K)]; factor of the conductivity [-].
    """

    stack: PressStack
    platen: tuple[float, float]
    initial: float
    target_cure: float
    one_sided: bool
    ramp: tuple[tuple[float, ...], ...] = ()
    contact: float = PERFECT
    conductivity_factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Heated:
    """A cycle, or in words why there is none."""

    cycle: PressCycle | None
    why: str = ""


@lru_cache(maxsize=512)
def heated(inputs: PressInputs) -> Heated:
    """The press cycle of these inputs."""
    try:
        cycle = press_cycle(
            inputs.stack, platen=inputs.platen, initial=inputs.initial, target_cure=inputs.target_cure,
            one_sided=inputs.one_sided, ramp=inputs.ramp or None, contact=inputs.contact,
            conductivity_factor=inputs.conductivity_factor,
        )  # fmt: skip
    except InputError as error:
        return Heated(None, error.problems[0].got)
    return Heated(cycle)


def layup_of(context: StepContext) -> Layup:
    """The layup that is pressed, of two plies or more; otherwise an `InputError`."""
    layup = context.part.layup
    if layup is None or len(layup.plies) < 2:
        raise InputError(
            Problem(f"{context.product.id}.{context.part_id}", "layup", text("two or more plies for a press step"),
                    "nothing" if layup is None else str(len(layup.plies)), text("state the layup of the part"))
        )  # fmt: skip
    return layup


def plies_of(context: StepContext) -> tuple[Leaf, ...]:
    """The plies that are pressed, from the inner face out."""
    return leaves(context, layup_of(context))


def inputs_of(context: StepContext) -> PressInputs:
    """What the press cycle of a step depends on."""
    recipe = context.recipe(PressRecipe)
    adhesive = context.adhesive(recipe.adhesive)
    kinetics = kinetics_of(context)
    glue = Glue(
        kinetics.rate_constant, kinetics.activation_energy, kinetics.order,
        recipe.spread if recipe.spread is not None else adhesive.spread, adhesive.water,
    )  # fmt: skip
    plies = tuple(
        Ply(leaf.veneer.thickness, leaf.wood.specific_gravity, leaf.veneer.moisture)
        for leaf in plies_of(context)
    )
    return PressInputs(
        PressStack(plies, glue), platens_of(recipe), recipe.initial, recipe.target_cure, recipe.sides == "one",
        tuple((p.time, p.temperature, p.temperature if p.top is None else p.top) for p in recipe.ramp),
        PERFECT if recipe.contact is None else recipe.contact, recipe.conductivity_factor,
    )  # fmt: skip


def platens_of(recipe: PressRecipe) -> tuple[float, float]:
    """Temperature of the bottom and the top platen. [K]"""
    return recipe.platen, recipe.platen if recipe.platen_top is None else recipe.platen_top


def platen_text(recipe: PressRecipe) -> Text:
    """The heat of the platens in words: even, unequal, or a ramp."""
    bottom, top = platens_of(recipe)
    if recipe.ramp:
        last = recipe.ramp[-1]
        return text(
            "platens rising to {platen} within {time}", platen=Amount(last.temperature, "temperature"),
            time=Amount(last.time, "duration"),
        )  # fmt: skip
    if bottom != top and recipe.sides == "two":
        return text(
            "{bottom} below and {top} above",
            bottom=Amount(bottom, "temperature"),
            top=Amount(top, "temperature"),
        )
    return text("{platen}", platen=Amount(bottom, "temperature"))


def platen_curves(recipe: PressRecipe, end: float) -> tuple[Curve, ...]:
    """The course of the platens to be drawn beside the glue lines, where it is a ramp."""
    if not recipe.ramp:
        return ()
    times = [float(point.time) for point in recipe.ramp]
    sides = [(text("platen"), [float(point.temperature) for point in recipe.ramp])]
    if any(point.top is not None for point in recipe.ramp):
        tops = [float(p.temperature if p.top is None else p.top) for p in recipe.ramp]
        sides.append((text("upper platen"), tops))
    at = [0.0, *(t for t in times if 0.0 < t < end), end]
    return tuple(Curve(name, tuple(at), tuple(held(times, values, t) for t in at)) for name, values in sides)


def held(times: Sequence[float], values: Sequence[float], at: float) -> float:
    """A value between points, and beyond them as the nearest one.

    >>> held([0.0, 60.0], [300.0, 400.0], 30.0), held([0.0, 60.0], [300.0, 400.0], 90.0)
    (350.0, 400.0)
    """
    for (t0, one), (t1, other) in pairwise(zip(times, values, strict=True)):
        if t0 <= at <= t1:
            return one + (other - one) * (at - t0) / (t1 - t0)
    return values[0] if at < times[0] else values[-1]


def platen_levels(recipe: PressRecipe) -> tuple[Level, ...]:
    """The even temperatures of the platens across the figure."""
    bottom, top = platens_of(recipe)
    if recipe.ramp:
        return ()
    if bottom == top or recipe.sides == "one":
        return (Level(text("platen"), bottom),)
    return Level(text("lower platen"), bottom), Level(text("upper platen"), top)


def pressed_area(context: StepContext) -> float:
    """Area of the middle surface of the stack. [m2]"""
    profile = context.part.profile
    if profile is not None:
        return middle_length(profile, inputs_of(context).stack.thickness) * float(profile.height)
    recipe = context.recipe(PressRecipe)
    if recipe.projected_area is None:
        raise InputError(
            Problem(context.subject, "projected_area", text("stated for a part without a profile"), "nothing",
                    text("state the profile of the part, or the projected area"))
        )  # fmt: skip
    return float(recipe.projected_area)


def range_findings(context: StepContext) -> list[Finding]:
    """Where the recipe leaves the range for which the press law is published."""
    inputs = inputs_of(context)
    glue = inputs.stack.glue
    given = {
        "plies": [{"thickness": p.thickness, "moisture": p.moisture} for p in inputs.stack.plies],
        "glue": {"rate_constant": glue.rate_constant, "activation_energy": glue.activation_energy,
                 "order": glue.order, "spread": glue.spread, "water": glue.water},
        "platen": max(inputs.platen), "initial": inputs.initial, "target_cure": inputs.target_cure,
    }  # fmt: skip
    found = outside(context, "press_cycle", given)
    wettest = max(inputs.stack.moistures())
    if wettest > MOISTURE_LIMIT:
        what = text(
            "the glue's water brings a ply to {moisture} moisture; conductivity is published below {limit}",
            moisture=Amount(wettest, "share"), limit=Amount(MOISTURE_LIMIT, "share"),
        )  # fmt: skip
        found.append(context.finding("out_of_range", "warning", what, EQ_CONDUCTIVITY))
    return found


def longest() -> float:
    """Longest press cycle that is looked at. [s]"""
    return CAP
