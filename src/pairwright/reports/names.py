"""Names of things as a reader knows them."""

from __future__ import annotations

import math

from pairwright.base.words import Amount, Text, text
from pairwright.works import Works
from pairwright.works.product import Step

_KINDS_OF_UNIT = {"m2": ("area", 1.0), "kg": ("mass", 1.0), "L": ("volume", 1e-3), "m": ("length", 1.0)}


def variant_name(works: Works, product: str, option: str) -> Text:
    """A product in an option: ``Alder, Walnut``."""
    line = works.products.get(product)
    if line is None:
        return text("{product}, {option}", product=product, option=option)
    chosen = line.options.get(option)
    if chosen is None or len(line.options) == 1:
        return text("{product}", product=line.name)
    return text("{product}, {option}", product=line.name, option=chosen.name)


def station_name(works: Works, station: str | None) -> str:
    """A station by its name."""
    found = works.factory.stations.get(station or "")
    return found.name if found is not None else (station or "")


def part_name(works: Works, product: str, *, option: str, part: str) -> str:
    """A part by its name."""
    variant = works.variants.get((product, option))
    found = variant.parts.get(part) if variant is not None else None
    return found.name if found is not None else part


def step_of(works: Works, product: str, *, option: str, part: str, step: str) -> Step | None:
    """A step of a route, or None where there is none."""
    variant = works.variants.get((product, option))
    if variant is None or part not in variant.parts:
        return None
    return next((s for s in variant.parts[part].steps if s.id == step), None)


def step_word(step: str) -> str:
    """A step's id as a word for narrow places: ``clear-2`` becomes ``clear 2``."""
    return step.replace("-", " ")


def quantity_of_unit(unit: str, amount: float, *, whole: bool = False) -> Amount | Text:
    """So much of a material, given the unit in which it is bought; `whole` pieces are rounded up."""
    if unit == "piece":
        count = math.ceil(amount - 1e-9) if whole else amount
        number = Amount(float(count), "number", 3)
        return text("1 piece") if count == 1 else text("{count} pieces", count=number)
    kind, size = _KINDS_OF_UNIT[unit]
    return Amount(amount * size, kind, 3)


def sets_of(works: Works, product: str, *, count: int) -> Text:
    """``3 pairs``, ``1 single``."""
    line = works.products.get(product)
    if line is not None and line.kind == "single":
        return text("1 single") if count == 1 else text("{count} singles", count=count)
    if line is not None and line.kind == "trial":
        return text("1 trial piece") if count == 1 else text("{count} trial pieces", count=count)
    return text("1 pair") if count == 1 else text("{count} pairs", count=count)
