"""How a step is done: the recipe's values with their units, programme, materials, cautions, handling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from pairwright.base.words import Amount, Text, text
from pairwright.floor.programme_rules import programme_of
from pairwright.floor.routes import Position, Routes
from pairwright.process import cautions_of, report
from pairwright.process.figure import KeyFigure
from pairwright.reports.names import part_name, quantity_of_unit, station_name, variant_name
from pairwright.works.factory import Caution
from pairwright.works.product import Step
from pairwright.works.record import units_of


@dataclass(frozen=True, slots=True)
class Value:
    """One line of a recipe: what, how much."""

    name: Text
    value: Text | Amount


@dataclass(frozen=True, slots=True)
class Stage:
    """One of several passes with their own values: a grit, a compound."""

    name: str
    values: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class TakesIn:
    """A material or part that the step takes, and how much of it."""

    id: str
    name: str
    amount: Text | Amount
    part: bool  # a part, scanned by its own label


@dataclass(frozen=True, slots=True)
class RepairLine:
    """One step of a spot repair. [s]"""

    name: str
    station: str
    likely: float
    handling: str


@dataclass(frozen=True, slots=True)
class SpotRepair:
    """What a spot repair consists of, where one was decided on."""

    id: str
    name: str
    lines: tuple[RepairLine, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Instructions:
    """How one step is done on one thing.

    `pictures` names figures by what they show and of what: a page draws those it can. `likely`, `least` and
    `next_max` are times in seconds. `sealed` says that the recipe is confidential and not here.
    """

    product: str
    option: str
    name: Text
    part: str
    part_name: str
    side: str | None
    step: str
    step_name: str
    kind: str
    stations: tuple[tuple[str, str], ...]
    programme: str | None
    revision: str | None
    values: tuple[Value, ...]
    stages: tuple[Stage, ...]
    takes_in: tuple[TakesIn, ...]
    keys: tuple[KeyFigure, ...]
    cautions: tuple[Caution, ...]
    handling: str
    pictures: tuple[tuple[str, str], ...]
    likely: float
    reason: Text
    least: float | None
    next_min: float
    next_max: float | None
    carrier: str | None
    returns: str | None
    buffer: str | None
    together: bool
    skill: str | None
    people: int | None
    sealed: bool
    repair: SpotRepair | None = None


# Names of a recipe's fields, as whoever works by it reads them; what is not listed is of no use at a station.
_NAMES: Final[Mapping[str, Text]] = {
    "adhesive": text("Adhesive"),
    "coating": text("Coating"),
    "abrasive": text("Abrasive"),
    "platen": text("Platen temperature"),
    "platen_top": text("Upper platen"),
    "pressure": text("Pressure"),
    "press_force": text("Press force"),
    "force": text("Clamping force"),
    "spread": text("Spread"),
    "hardener": text("Hardener"),
    "lay_up": text("Lay up within"),
    "close": text("Close within"),
    "vent": text("Vent"),
    "feed": text("Feed"),
    "path": text("Path"),
    "passes": text("Passes"),
    "tools": text("Tools"),
    "speed": text("Speed"),
    "dwell": text("Dwell"),
    "overlap": text("Overlap"),
    "width": text("Width of the contact"),
    "fan": text("Width of the fan"),
    "wet": text("Wet film"),
    "flash_off": text("Flash-off"),
    "prepare": text("Prepare"),
    "air": text("Air temperature"),
    "film_temperature": text("Film to reach"),
    "hold": text("Hold"),
    "limit": text("Surface at most"),
    "removal": text("Take off"),
    "reserve": text("Leave at least"),
    "area": text("Area"),
    "pieces": text("Pieces"),
    "opening": text("Open the shell by"),
    "tolerance": text("Tolerance"),
    "gloss_target": text("Gloss to reach"),
    "threshold": text("Hardness to reach"),
    "thickness": text("Thickness"),
    "final": text("Core to come down to"),
    "gap": text("Gap as built"),
    "gap_least": text("Gap at least"),
    "gap_most": text("Gap at most"),
    "lift": text("Weight to lift"),
    "voltage": text("Voltage"),
    "current": text("Current"),
    "note": text("Note"),
}
_FILMS: Final = ("wet", "removal", "reserve")  # micrometres, not millimetres
_STAGES: Final = ("grits", "stages")
_KIND_OF_UNIT: Final[Mapping[str, str]] = {
    "m": "length", "m2": "area", "s": "duration", "K": "temperature", "Pa": "pressure", "N": "force",
    "kg": "mass", "m/s": "speed", "kg/m2": "spread", "rad": "angle", "V": "voltage",
}  # fmt: skip
_SHARES: Final = ("overlap", "hardener")
_PICTURES: Final[Mapping[str, tuple[str, ...]]] = {
    "press": ("stack", "press cycle"),
    "spray": ("film build",),
    "stove": ("film build",),
    "flat": ("film build",),
    "polish": ("film build",),
    "sand": ("film build",),
    "trim": ("profile",),
}


def instructions_of(
    routes: Routes, position: Position, *, step: Step, side: str | None = None
) -> Instructions:
    """How a step is done.

    Parameters
    ----------
    routes : Routes
        Of the works.
    position : Position
        The product, option and part that it is done on.
    step : Step
        The step.
    side : str | None
        Of the item: it decides on the programme.
    """
    works, product = routes.works, position.product
    found = programme_of(routes, position, step=step, station=None, side=side)
    keys, likely, reason = _judged(routes, position, step)
    recipe = step.recipe
    layup = product.parts[position.part].layup
    pictures = _PICTURES.get(step.kind, ())
    return Instructions(
        product.id, product.option, variant_name(works, product.id, product.option), position.part,
        part_name(works, product.id, option=product.option, part=position.part), side, step.id,
        step.name or step.id, step.kind,
        tuple((one.station, station_name(works, one.station)) for one in step.stations),
        None if found is None else found[0], None if found is None else found[1].revision,
        () if recipe is None else tuple(_values(routes, recipe)),
        () if recipe is None else tuple(_stages(routes, recipe)),
        tuple(_takes_in(routes, position, step)), keys, cautions_of(works, step), step.handling,
        tuple((what, f"{product.id}.{position.part}.{step.id}") for what in pictures
              if what != "stack" or layup is not None),
        likely, reason, routes.least.get(position.place(step.id)), float(step.next_min),
        None if step.next_max is None else float(step.next_max), step.takes, step.returns, step.buffer, step.together,
        step.skill, step.people, recipe is None and step.sealed is not None,
    )  # fmt: skip


def _judged(routes: Routes, position: Position, step: Step) -> tuple[tuple[KeyFigure, ...], float, Text]:
    """Key figures, likely time [s] and its reason, of the recipe's physics or as a spot repair states it."""
    product = position.product
    if any(one.id == step.id for one in product.parts[position.part].steps):
        found = report(routes.works, product.id, option=product.option, part=position.part, step=step.id)
        return found.keys, found.timing.likely, found.timing.reason
    likely = 0.0 if isinstance(step.duration, str) else step.duration.likely
    return (), likely, text("stated in the spot repair")


def spot_repair_of(routes: Routes, name: str) -> SpotRepair:
    """A spot repair as a page shows it.

    Parameters
    ----------
    routes : Routes
        Of the works.
    name : str
        Id of the repair.
    """
    repair = routes.works.factory.repairs[name]
    lines = tuple(
        RepairLine(one.name, station_name(routes.works, one.station),
                   0.0 if isinstance(one.duration, str) else one.duration.likely, one.handling)
        for one in repair.steps
    )  # fmt: skip
    known = routes.works.factory.cautions
    return SpotRepair(
        name, repair.name, lines, tuple(c for name in repair.cautions for c in known.get(name, ()))
    )


def _values(routes: Routes, recipe: object) -> Iterator[Value]:
    """The plain fields of a recipe, in its own order."""
    units = units_of(type(recipe))  # type: ignore[arg-type]
    for name, label in _NAMES.items():
        value = getattr(recipe, name, None)
        if value in (None, "", 0):
            continue
        shown = _shown(routes, name, value, unit=str(getattr(units.get(name), "unit", "")))
        if shown is not None:
            yield Value(label, shown)


def _shown(routes: Routes, name: str, value: object, *, unit: str) -> Text | Amount | None:
    if isinstance(value, str):
        material = routes.works.materials.get(value)
        return text("{name}", name=value if material is None else material.name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    if name in _FILMS and unit == "m" and value < 0.002:
        return Amount(float(value), "film")
    if name in _SHARES:
        return Amount(float(value), "share")
    kind = _KIND_OF_UNIT.get(unit)
    if kind is not None:
        return Amount(float(value), kind)
    return (
        Amount(float(value), "number")
        if unit in ("", "-")
        else text("{value} {unit}", value=float(value), unit=unit)
    )


def _stages(routes: Routes, recipe: object) -> Iterator[Stage]:
    for name in _STAGES:
        several: Iterable[object] = getattr(recipe, name, ())
        for one in several:
            material = routes.works.materials.get(str(getattr(one, "abrasive", "")))
            called = str(getattr(one, "abrasive", "")) if material is None else material.name
            values = tuple(v for v in _values(routes, one) if v.name != _NAMES["abrasive"])
            yield Stage(called, values)


def _takes_in(routes: Routes, position: Position, step: Step) -> Iterator[TakesIn]:
    product, works = position.product, routes.works
    for name in step.uses:
        part = product.parts[name]
        if part.steps:
            yield TakesIn(name, part.name, quantity_of_unit("piece", float(part.quantity)), part=True)
    for material, amount in routes.needs.get(position.place(step.id), {}).items():
        known = works.materials[material]
        yield TakesIn(material, known.name, quantity_of_unit(known.unit, amount), part=False)
