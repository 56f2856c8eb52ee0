"""The usual cautions of a step, as the works states them."""

from __future__ import annotations

from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.factory import Caution
from pairwright.works.product import Step

# Kinds of step that commonly hurt people: crushing, heat, steam, vapour, dust, cutters.
WITH_HAZARD: Final = ("press", "trim", "glue-up", "clamp", "sand", "spray", "stove", "flat", "polish", "test")


def cautions_of(works: Works, step: Step) -> tuple[Caution, ...]:
    """The cautions of a step's kind, then those that the step names, each once."""
    found: list[Caution] = []
    for name in (step.kind, *step.cautions):
        for caution in works.factory.cautions.get(name, ()):
            if caution not in found:
                found.append(caution)
    return tuple(found)


def caution_findings(works: Works, product: str | None = None) -> list[Finding]:
    """Kinds of step in use, or used for one product, that can hurt somebody and carry no caution."""
    used: dict[str, bool] = {}
    for variant in works.variants.values():
        for part in variant.parts.values() if product in (None, variant.id) else ():
            for step in part.steps:
                if step.kind in WITH_HAZARD:
                    used[step.kind] = used.get(step.kind, True) and bool(cautions_of(works, step))
    return [
        Finding(
            "caution_missing",
            "note",
            f"cautions.{kind}",
            text("steps of kind {kind} can hurt somebody and not all of them carry a caution", kind=kind),
            COMMON_PRACTICE,
        )
        for kind, stated in used.items()
        if not stated
    ]
