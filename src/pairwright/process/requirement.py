"""What every step of a works uses up, for a plan that counts material."""

from __future__ import annotations

from pairwright.process.judge import consumption
from pairwright.works.definition import Works
from pairwright.works.need import MaterialNeed


def requirements(works: Works) -> tuple[MaterialNeed, ...]:
    """Needs of every step per item, in the materials' units.

    Parameters
    ----------
    works : Works
        The definition.

    Notes
    -----
    A step done for the whole set needs it once for the set. Sealed recipes count with what their
    steps state beside the recipe.
    """
    found: list[MaterialNeed] = []
    for (product, option), variant in works.variants.items():
        for part, record in variant.parts.items():
            for step in record.steps:
                uses = consumption(works, product, option=option, part=part, step=step.id)
                found.extend(
                    MaterialNeed(product, option, part, step.id, material, amount)
                    for material, amount in uses
                    if amount > 0
                )
    return tuple(found)
