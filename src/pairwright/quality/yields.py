"""Yield of a chain of steps: what arrives good at the end without a touch of rework."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


@dataclass(frozen=True, slots=True)
class RolledYield:
    """Good at the first go through all steps, the same per step, faults per piece. [-]"""

    rolled: float
    normalised: float
    faults_per_unit: float


def rolled_yield(yields: Sequence[float]) -> RolledYield:
    """Yield of a chain of steps at the first go. [-]

    Parameters
    ----------
    yields : sequence of float
        Good at the first go at each step, above 0. [-]

    Returns
    -------
    RolledYield
        Product of all; its m-th root; minus its logarithm. [-]

    Notes
    -----
    Steps are independent. A pair needs both halves: its yield is that of one half squared where the
    halves fail independently.

    References
    ----------
    .. [1] D. C. Montgomery, Introduction to Statistical Quality Control, chapter 1: faults per piece
       are Poisson, so that exp(-DPU) have none.

    Examples
    --------
    >>> found = rolled_yield([0.98, 0.95, 0.99, 0.97])
    >>> [round(v, 7) for v in (found.rolled, found.normalised, found.faults_per_unit)]
    [0.8940393, 0.972387, 0.1120055]
    """
    faults = -math.fsum(math.log(y) for y in yields)
    return RolledYield(math.exp(-faults), math.exp(-faults / len(yields)), faults)


def _rolled_yield_law(yields: Sequence[float]) -> dict[str, Any]:
    found = rolled_yield(yields)
    return {"rolled": found.rolled, "normalised": found.normalised, "faults_per_unit": found.faults_per_unit}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="rolled_yield",
        title=text("Yield of a chain of steps at the first go"),
        function=_rolled_yield_law,
        arguments=(
            Argument("yields", "-", text("good at the first go, step by step"),
                     Span(0.0, 1.0, open_low=True), shape="numbers"),
        ),
        results=(
            Result("rolled", "-", text("good after all steps without rework")),
            Result("normalised", "-", text("the same yield at each step that gives the rolled one")),
            Result("faults_per_unit", "-", text("faults for each piece, -ln of the rolled yield")),
        ),
        accuracy=text("exact for independent steps"),
        sources=(Source("closed form", "product of the yields"),),
        worked=Worked(
            {"yields": [0.98, 0.95, 0.99, 0.97]},
            {"rolled": 0.8940393, "normalised": 0.9723870, "faults_per_unit": 0.1120055},
            tolerance=1e-6,
        ),
    ),
)  # fmt: skip
