"""What a definition says of its routes, for everybody who reads it: plan, audit, reports."""

from __future__ import annotations

from pairwright.works.product import Product


def made_parts(product: Product) -> tuple[str, ...]:
    """Parts with steps of their own, in the order of the file; the others are bought."""
    return tuple(name for name, part in product.parts.items() if part.steps)


def step_index(product: Product, part: str, *, step: str) -> int:
    """Place of a step in the route of its part, from 0; raises `KeyError` where there is none."""
    for index, one in enumerate(product.parts[part].steps):
        if one.id == step:
            return index
    raise KeyError(step)


def set_parts(product: Product) -> frozenset[str]:
    """Parts that belong to the set as a whole, because a step done together uses them."""
    found: set[str] = set()
    waiting = [
        used for part in product.parts.values() for step in part.steps if step.together for used in step.uses
    ]
    while waiting:
        name = waiting.pop()
        if name in found or name not in product.parts:
            continue
        found.add(name)
        waiting.extend(used for step in product.parts[name].steps for used in step.uses)
    return frozenset(found)
