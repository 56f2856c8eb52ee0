"""Where a recipe leaves the range for which a law's source vouches: a finding, never silence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.findings import Finding
from pairwright.base.laws import Law, out_of_range
from pairwright.physics import abrasion, bending, lacquer, movement, presslaw, pressure, stove, wood
from pairwright.process.context import StepContext

_LAWS: Final[dict[str, Law]] = {
    law.name: law
    for laws in (
        abrasion.LAWS, bending.LAWS, lacquer.LAWS, movement.LAWS, presslaw.LAWS, pressure.LAWS, stove.LAWS,
        wood.LAWS,
    )
    for law in laws
}  # fmt: skip


def outside(context: StepContext, law: str, inputs: Mapping[str, Any]) -> list[Finding]:
    """Findings for every input outside what the law's source covers, about this step.

    Parameters
    ----------
    context : StepContext
        The step.
    law : str
        Name of a law of the handbook.
    inputs : Mapping[str, Any]
        Its arguments in base SI; those left out are not judged.
    """
    return out_of_range(_LAWS[law], inputs, context.subject)
