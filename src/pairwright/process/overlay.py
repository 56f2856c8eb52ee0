"""A thermocouple's log laid over a press step: left-overs, corrected constants, what to write into the recipe."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.heat import Faces
from pairwright.physics.thermocouple import Log, Overlay, PressHeat, lay_over
from pairwright.process.context import StepContext, context_of
from pairwright.process.figure import Curve, Figure, KeyFigure
from pairwright.process.press_heat import PressInputs, inputs_of
from pairwright.works.definition import Works
from pairwright.works.recipe import PressRecipe

MEASURED: Final = Source("measured", "thermocouple log of a press cycle")
WIDE: Final = (
    0.15  # relative uncertainty from which a corrected constant is said to be vague: common practice
)
_POINTS: Final = 200  # of a measured platen course
Course: TypeAlias = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sensor:
    """One column of a log.

    A glue `line` counted from the inner face, from 1, or a `depth` from it [m]; `readings` [K], NaN
    where missing.
    """

    name: str
    line: int | None
    depth: float | None
    readings: Course


@dataclass(frozen=True, slots=True)
class PressLog:
    """What a logger wrote: `times` since closing [s], sensors, course of the platens where logged [K]."""

    times: Course
    sensors: tuple[Sensor, ...]
    platen: Course | None = None
    platen_top: Course | None = None


@dataclass(frozen=True, slots=True)
class StepOverlay:
    """The overlay of one step: what was found, a figure, key figures, findings, changes for the recipe."""

    overlay: Overlay
    figure: Figure
    keys: tuple[KeyFigure, ...]
    findings: tuple[Finding, ...]
    changes: tuple[tuple[str, str], ...]


def overlay(works: Works, product: str, *, option: str, part: str, step: str, log: PressLog) -> StepOverlay:
    """Lay a log over a press step.

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option.
    part : str
        The part.
    step : str
        The press step.
    log : PressLog
        What the thermocouples read.

    Notes
    -----
    Logged platens take the place of the recipe's; a log that begins when the press closes gives the
    temperature at the start. `changes` are paths and values below the step's recipe, to be taken
    over by a person.
    """
    context = context_of(works, product, option=option, part=part, step=step)
    recipe, inputs = context.recipe(PressRecipe), inputs_of(context)
    found = lay_over(
        heat_of(inputs, log), log_of(inputs, log), factor=inputs.conductivity_factor, contact=inputs.contact
    )
    changes = [("conductivity_factor", f"{found.factor.value:.3g}")]
    if found.resistance.told:
        changes.append(("contact", f"{found.contact:.3g} W/(m2*K)"))
    return StepOverlay(
        found, _figure(found), _keys(found), tuple(_findings(context, recipe, found)), tuple(changes)
    )


def log_of(inputs: PressInputs, log: PressLog) -> Log:
    """The log by depth, as the laws read it."""
    borders = np.cumsum([ply.thickness for ply in inputs.stack.plies])
    depths = []
    for sensor in log.sensors:
        if sensor.line is not None and not 1 <= sensor.line < len(borders):
            raise InputError(
                Problem("thermocouple log", sensor.name, text("one of the glue lines 1 to {n}", n=len(borders) - 1),
                        shown(sensor.line), text("count lines from the inner face"))
            )  # fmt: skip
        depths.append(
            float(borders[sensor.line - 1]) if sensor.line is not None else float(sensor.depth or 0.0)
        )
    readings = np.array([sensor.readings for sensor in log.sensors], dtype=np.float64).T
    names = tuple(sensor.name for sensor in log.sensors)
    return Log(names, tuple(depths), np.array(log.times, dtype=np.float64), readings)


def heat_of(inputs: PressInputs, log: PressLog) -> PressHeat:
    """What the press did: by the log where it says so, otherwise by the recipe."""
    initial = inputs.initial
    if log.times[:1] == (0.0,):
        first = [s.readings[0] for s in log.sensors if math.isfinite(s.readings[0])]
        initial = math.fsum(first) / len(first) if first else initial
    if log.platen is None:
        if inputs.ramp:
            times, bottom, top = zip(*((p[0], p[1], p[-1]) for p in inputs.ramp), strict=True)
        else:
            times, bottom, top = (0.0,), inputs.platen[:1], inputs.platen[1:]
        return PressHeat(inputs.stack, initial, Faces(times, bottom, top), inputs.one_sided)
    every = max(1, -(-len(log.times) // _POINTS))
    upper = log.platen if log.platen_top is None else log.platen_top
    rows = [
        (t, b, a)
        for t, b, a in list(zip(log.times, log.platen, upper, strict=True))[::every]
        if math.isfinite(b) and math.isfinite(a)
    ]
    if not rows:
        raise InputError(
            Problem("thermocouple log", "platen", text("read at least once"), "nothing",
                    text("leave the column out: then the recipe's platen counts"))
        )  # fmt: skip
    times, bottom, top = zip(*rows, strict=True)
    return PressHeat(inputs.stack, initial, Faces(times, bottom, top), inputs.one_sided)


def _keys(found: Overlay) -> tuple[KeyFigure, ...]:
    keys: list[KeyFigure] = [
        (text("left over before, root mean square"), Amount(found.rms_before, "temperature_difference")),
        (text("left over after, root mean square"), Amount(found.rms_after, "temperature_difference")),
        (text("factor of the conductivity"), Amount(found.factor.value, "number", 3)),
        (text("its standard uncertainty"), Amount(found.factor.uncertainty, "number", 2)),
    ]
    if found.resistance.told:
        keys += [
            (text("contact with the platens, W/(m²·K)"), Amount(found.contact, "number", 3)),
            (text("standard uncertainty of the contact"), Amount(_contact_sd(found), "number", 2)),
        ]
    return tuple(keys)


def _contact_sd(found: Overlay) -> float:
    """Of 1/R, to first order. [W/(m2*K)]"""
    return found.resistance.uncertainty / found.resistance.value**2


def _findings(context: StepContext, recipe: PressRecipe, found: Overlay) -> list[Finding]:
    said = [_corrected(context, recipe, found)]
    if not found.resistance.told:
        what = text(
            "the log cannot tell the contact with the platens from the conductivity: only the latter is corrected"
        )
        said.append(context.finding("thermocouple_doubtful", "note", what, MEASURED))
    if found.factor.uncertainty > WIDE * found.factor.value:
        what = text(
            "the factor of the conductivity is {factor} ± {sd}: log more sensors, or from closing on",
            factor=Amount(found.factor.value, "number", 3), sd=Amount(found.factor.uncertainty, "number", 2),
        )  # fmt: skip
        said.append(context.finding("thermocouple_doubtful", "warning", what, MEASURED))
    return said


def _corrected(context: StepContext, recipe: PressRecipe, found: Overlay) -> Finding:
    contact: Text = (
        text("and a contact of {contact} ± {sd} W/(m²·K)", contact=Amount(found.contact, "number", 3),
             sd=Amount(_contact_sd(found), "number", 2))
        if found.resistance.told
        else text("with the contact as it was")
    )  # fmt: skip
    what = text(
        "over the log the model is off by {before}, and by {after} with a factor of {factor} ± {sd} on the "
        "conductivity {contact}; the recipe has {was}",
        before=Amount(found.rms_before, "temperature_difference", 2),
        after=Amount(found.rms_after, "temperature_difference", 2),
        factor=Amount(found.factor.value, "number", 3), sd=Amount(found.factor.uncertainty, "number", 2),
        contact=contact, was=Amount(recipe.conductivity_factor, "number", 3),
    )  # fmt: skip
    return context.finding("thermocouple_differs", "note", what, MEASURED)


def _figure(found: Overlay) -> Figure:
    log = found.log
    times = tuple(float(t) for t in log.times)
    curves: list[Curve] = []
    for n, name in enumerate(log.names):
        read = [(t, float(T)) for t, T in zip(times, log.temperatures[:, n], strict=True) if math.isfinite(T)]
        curves.append(
            Curve(text("{sensor}, read", sensor=name), tuple(t for t, _ in read), tuple(T for _, T in read))
        )
        for said, model in (
            (text("{sensor}, as the recipe has it", sensor=name), found.before),
            (text("{sensor}, corrected", sensor=name), found.after),
        ):
            curves.append(Curve(said, times, _column(model[:, n])))
    says = text(
        "The model is off by {before} as the recipe has it, by {after} when corrected.",
        before=Amount(found.rms_before, "temperature_difference", 2),
        after=Amount(found.rms_after, "temperature_difference", 2),
    )  # fmt: skip
    return Figure(text("Thermocouples over the model"), says, text("time from closing"), "duration",
                  text("temperature"), "temperature", tuple(curves))  # fmt: skip


def _column(values: Iterable[float]) -> Course:
    return tuple(float(v) for v in values)
