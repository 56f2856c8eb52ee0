"""How often a step is done for one good set: items, scrap and rework."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.works.product import Part, Product, Step


@dataclass(frozen=True, slots=True)
class Runs:
    """How often one step of a part is done per good set, rework included. [-]"""

    part: str
    step: Step
    runs: float


def _starts(part: Part) -> list[float]:
    """Items that reach each step per good item at the end: scrap at a step costs all before it."""
    reach, found = 1.0, []
    for step in reversed(part.steps):
        reach /= max(1e-9, 1.0 - step.scrap)
        found.append(reach)
    return found[::-1]


def _repeats(part: Part) -> list[float]:
    """How often an item that reaches a step does it: a failed one goes back to where rework says."""
    repeats = [1.0] * len(part.steps)
    places = {step.id: n for n, step in enumerate(part.steps)}
    for n, step in enumerate(part.steps):
        if step.rework is None or step.rework.to not in places:
            continue
        again = 1.0 / max(1e-9, 1.0 - step.rework.chance)
        for k in range(places[step.rework.to], n + 1):
            repeats[k] *= again
    return repeats


def runs_per_set(product: Product) -> tuple[Runs, ...]:
    """Every step of every part that is made, with how often it is done per good set. [-]

    Parameters
    ----------
    product : Product
        The product in one option.

    Notes
    -----
    Scrap and rework are expected values of independent steps. An item that is scrapped takes the
    parts built into it along; a half that is scrapped does not take its mate. A step done together
    scraps, in expectation, as if it were one item.
    """
    found: list[Runs] = []
    _walk(product, product.root, count=float(len(product.sides())), found=found)
    return tuple(found)


def _walk(product: Product, name: str, *, count: float, found: list[Runs]) -> None:
    part = product.parts[name]
    share = 1.0 / len(product.sides()) if name == product.root else 1.0
    for step, start, repeat in zip(part.steps, _starts(part), _repeats(part), strict=True):
        items = count * start * (share if step.together else 1.0)
        found.append(Runs(name, step, items * repeat))
        for used in step.uses:
            inner = product.parts.get(used)
            if inner is not None and inner.steps:
                _walk(product, used, count=items * inner.quantity, found=found)
