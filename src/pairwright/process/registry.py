"""One kind of step, one module: which functions answer for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

from pairwright.base.findings import Finding
from pairwright.process import (
    clamp,
    flat,
    glue_up,
    join,
    polish,
    press,
    rest,
    sand,
    spray,
    stove,
    trim,
    work,
)
from pairwright.process.context import StepContext
from pairwright.process.figure import Shown
from pairwright.process.material_use import Use
from pairwright.process.timing import Timing
from pairwright.works.product import WORK_KINDS

FindingsOf: TypeAlias = Callable[[StepContext], list[Finding]]


def _no_use(_: StepContext) -> list[Use]:
    return []


def _no_heat(_: StepContext) -> float:
    return 0.0


@dataclass(frozen=True, slots=True)
class Kind:
    """What a kind of step can say.

    `timing` is None where no law gives the time and the works states it. `minimum` says that the
    computed time is the least that nature allows, so that a shorter stated one is a mistake.
    `consumption` is per item in the materials' units; `heat` is what the process puts into one
    item [J].
    """

    findings: FindingsOf
    shown: Callable[[StepContext], Shown]
    timing: Callable[[StepContext], Timing] | None = None
    minimum: bool = False
    consumption: Callable[[StepContext], list[Use]] = _no_use
    heat: Callable[[StepContext], float] = _no_heat


_WORK: Final = Kind(work.findings, work.shown)

KINDS: Final[dict[str, Kind]] = {
    "press": Kind(press.findings, press.shown, press.timing, True, press.consumption, press.heat),
    "trim": Kind(trim.findings, trim.shown, trim.timing),
    "glue-up": Kind(glue_up.findings, glue_up.shown, glue_up.timing, consumption=glue_up.consumption),
    "clamp": Kind(clamp.findings, clamp.shown, clamp.timing, True),
    "sand": Kind(sand.findings, sand.shown, sand.timing, consumption=sand.consumption),
    "spray": Kind(spray.findings, spray.shown, spray.timing, consumption=spray.consumption),
    "stove": Kind(stove.findings, stove.shown, stove.timing, True, heat=stove.heat),
    "flat": Kind(flat.findings, flat.shown, flat.timing, consumption=flat.consumption),
    "rest": Kind(rest.findings, rest.shown, rest.timing, True),
    "polish": Kind(polish.findings, polish.shown, polish.timing, consumption=polish.consumption),
    "join": Kind(join.findings, join.shown),
    **dict.fromkeys(WORK_KINDS, _WORK),
}


def kind_of(context: StepContext) -> Kind:
    """The kind of a step."""
    return KINDS[context.step.kind]
