"""What every step uses up is listed once per option, as its recipe says."""

from __future__ import annotations

from pairwright.process import consumption, requirements
from pairwright.sample import layout
from pairwright.works import load_works


def test_the_needs_of_a_works_are_those_of_its_steps() -> None:
    works = load_works(layout(pairs=2))

    found = requirements(works)

    for (product, option), variant in works.variants.items():
        for part, record in variant.parts.items():
            for step in record.steps:
                listed = tuple(
                    (n.material, n.amount)
                    for n in found
                    if (n.product, n.option, n.part, n.step) == (product, option, part, step.id)
                )
                assert listed == consumption(works, product, option=option, part=part, step=step.id)
    assert {n.material for n in found} >= {"walnut-leaf", "press-resin", "carton-tall"}
