"""The steps of making: what each kind of step takes, needs, and may do wrong."""

from pairwright.process.cautions import cautions_of
from pairwright.process.figure import Curve, Figure, Level, StepReport
from pairwright.process.judge import check, consumption, durations, energy, report
from pairwright.process.requirement import requirements
from pairwright.process.timing import Timing

__all__ = [
    "Curve",
    "Figure",
    "Level",
    "StepReport",
    "Timing",
    "cautions_of",
    "check",
    "consumption",
    "durations",
    "energy",
    "report",
    "requirements",
]
