"""What a person lifts, against a reference mass: a figure to compare, never a clearance."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.process.context import StepContext

REFERENCE_MASS: Final = 25.0  # [kg]
LIFTING: Final = Source("from memory", "ISO 11228-1, reference mass of 25 kg")


def lift_findings(context: StepContext, mass: float | None) -> list[Finding]:
    """A load above the reference mass for one person lifting now and then, close to the body."""
    if mass is None or mass <= REFERENCE_MASS:
        return []
    what = text(
        "a person lifts {mass}; the reference mass is {reference} under good conditions: use a hoist, a table or "
        "two people, as the local code says",
        mass=Amount(mass, "mass"), reference=Amount(REFERENCE_MASS, "mass"),
    )  # fmt: skip
    return [context.finding("lift_too_heavy", "warning", what, LIFTING)]
