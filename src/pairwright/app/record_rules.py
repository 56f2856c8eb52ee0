"""What this works adds to the rules of its record: which of what people want to record it refuses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pairwright.base.findings import Finding
from pairwright.base.quantities import QuantityError, unit
from pairwright.base.words import text

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.floor import Event, Rule, State
    from pairwright.works import Works


def works_rules(opened: Opened) -> tuple[Rule, ...]:
    """The rules of a works: each takes the state and an event, and says what speaks against it.

    Parameters
    ----------
    opened : Opened
        The works; its durations and needs are computed only if a rule asks for them.
    """
    return (_orders_and_units(opened.works),)


def _orders_and_units(works: Works) -> Rule:
    def rule(state: State, event: Event) -> Sequence[Finding]:
        del state
        data = event.data
        if event.kind == "ordered":
            return _order(works, data["order"], data["product"], option=data.get("option", ""))
        if event.kind in ("received", "purchased") and "material" in data and "unit" in data:
            name = event.subject or str(data.get("purchase", data["material"]))
            return _unit(works, name, data["material"], given=data["unit"])
        return ()

    return rule


def _order(works: Works, order: str, product: str, *, option: str) -> Sequence[Finding]:
    if (product, option) in works.variants:
        return ()
    options = [o for p, o in works.variants if p == product]
    return (
        Finding(
            "unknown_option", "error", order,
            text("product {product} has no option {option}: choose one of {names}",
                 product=product, option=option or "-", names=", ".join(options) or "-"),
        ),
    )  # fmt: skip


def _unit(works: Works, name: str, material: str, *, given: str) -> Sequence[Finding]:
    wanted = works.materials[material].unit if material in works.materials else given
    if same_kind(given, wanted):
        return ()
    return (
        Finding(
            "unit_differs", "error", name,
            text("{material} is counted in {unit}, not in {other}: give the quantity in {unit}",
                 material=material, unit=wanted, other=given),
        ),
    )  # fmt: skip


def same_kind(one: str, other: str) -> bool:
    """Whether a quantity in one unit can be told in the other."""
    if one == other:
        return True
    try:
        first, second = unit(one), unit(other)
    except QuantityError:
        return False
    return first.dimension == second.dimension and not (first.offset or second.offset)
