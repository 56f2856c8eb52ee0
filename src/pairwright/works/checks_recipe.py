"""Whether recipes name materials of the right kind and state what their computation needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, TypeAlias

from pairwright.base.errors import Problem
from pairwright.base.words import text
from pairwright.works.draft import Draft, Variant, unknown
from pairwright.works.lines import Loc
from pairwright.works.material import Adhesive, Coating
from pairwright.works.product import COMPUTED_KINDS, Step

Named: TypeAlias = Iterator[tuple[Loc, str]]

# recipe field -> kind of material it names
_KINDS: Final[Mapping[str, str]] = {
    "adhesive": "adhesive",
    "coating": "coating",
    "abrasive": "abrasive",
    "wood": "wood",
    "metal": "metal",
}
_HOT: Final = ("rate_constant", "activation_energy", "order")
_COLD: Final[Mapping[str, tuple[str, ...]]] = {
    "glue-up": ("reference_temperature", "open_time"),
    "clamp": ("reference_temperature", "clamp_time"),
}
_REST: Final[Mapping[str, tuple[str, ...]]] = {
    "hard": ("coating", "threshold"),
    "cooled": ("air", "initial", "final", "heat_transfer"),
    "levelled": ("wood", "thickness"),
}
_HARDNESS: Final = ("hardness_final", "hardness_rate", "hardness_power")


def check_recipes(draft: Draft) -> Iterator[Problem]:
    """Every recipe that names the wrong thing or leaves a needed one out."""
    yield from _woods(draft)
    for variant in draft.variants:
        for part, index, step in variant.steps():
            loc: Loc = ("parts", part, "steps", index)
            yield from _duration(variant, loc, step=step)
            for place, name in _named(step):
                yield from _material(
                    draft, variant, loc=(*loc, *place), name=name, kind=_KINDS[str(place[-1])]
                )
            yield from _adhesive(draft, variant, loc=(*loc, "recipe", "adhesive"), step=step)
            yield from _rest(draft, variant, loc=(*loc, "recipe"), step=step)


def _woods(draft: Draft) -> Iterator[Problem]:
    for name, material in draft.materials.items():
        if material.kind != "veneer":
            continue
        sheet, loc = draft.material_places[name]
        wood = draft.materials.get(material.wood)
        if draft.lacks_material(material.wood):
            known = [m for m, v in draft.materials.items() if v.kind == "wood"]
            what = text("a wood of the materials")
            yield unknown(sheet, (*loc, "wood"), what=what, got=material.wood, known=known)
        elif wood is not None and wood.kind != "wood":
            yield sheet.problem(
                (*loc, "wood"),
                text("a material of kind {kinds}", kinds="wood"),
                got=f"{material.wood} ({wood.kind})",
                do=text("name the wood it is cut from"),
            )


def computed(step: Step) -> bool:
    """Whether the step's duration is to be computed at one of its stations, or where it rests."""
    stated = [a.duration or step.duration for a in step.stations] or [step.duration]
    return "computed" in stated


def _duration(variant: Variant, loc: Loc, *, step: Step) -> Iterator[Problem]:
    if not computed(step):
        return
    if step.kind not in COMPUTED_KINDS:
        yield variant.problem(
            (*loc, "duration"),
            text("stated in a step of kind {kind}: there is no law for its time", kind=step.kind),
            do=text('state a time such as "25 min", or low, likely and high'),
        )
    elif step.recipe is None and step.restricted is None:
        yield variant.problem(
            (*loc, "recipe"),
            text("there, as the duration is computed from it"),
            do=text("add the recipe, or state the duration"),
        )


def _named(step: Step) -> Named:
    """Every material that a recipe names, with its place in the step."""
    recipe = step.recipe
    for key in _KINDS:
        name = getattr(recipe, key, None)
        if isinstance(name, str):
            yield ("recipe", key), name
    for key in ("grits", "stages"):
        for number, grit in enumerate(getattr(recipe, key, ())):
            yield ("recipe", key, number, "abrasive"), grit.abrasive


def _material(draft: Draft, variant: Variant, *, loc: Loc, name: str, kind: str) -> Iterator[Problem]:
    material = draft.materials.get(name)
    if draft.lacks_material(name):
        known = [m for m, v in draft.materials.items() if v.kind == kind]
        what = text("a material of kind {kinds}", kinds=kind)
        yield unknown(variant, loc, what=what, got=name, known=known)
    elif material is not None and material.kind != kind:
        yield variant.problem(
            loc,
            text("a material of kind {kinds}", kinds=kind),
            got=f"{name} ({material.kind})",
            do=text("name a material of that kind"),
        )


def _adhesive(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    adhesive = draft.materials.get(getattr(step.recipe, "adhesive", ""))
    if not isinstance(adhesive, Adhesive) or step.kind not in ("press", "glue-up", "clamp"):
        return
    setting = "hot" if step.kind == "press" else "cold"
    name = getattr(step.recipe, "adhesive", "")
    if adhesive.setting != setting:
        yield variant.problem(
            loc,
            text("an adhesive that sets {setting}", setting=setting),
            got=f"{name} ({adhesive.setting})",
            do=text("name another adhesive"),
        )
    elif computed(step):
        needs = _COLD[step.kind] if setting == "cold" else _HOT if adhesive.fit is None else ()
        yield from _complete(draft, name, needs=needs, step=step)
        yield from _kinetics(draft, name, adhesive)


def _kinetics(draft: Draft, name: str, adhesive: Adhesive) -> Iterator[Problem]:
    """Kinetics are stated once; a level of hardener that counts has its reference and its power."""
    sheet, loc = draft.material_places[name]
    both = [key for key in _HOT if getattr(adhesive, key) is not None]
    if adhesive.fit is not None and both:
        yield sheet.problem(
            (*loc, both[0]),
            text("left out beside a fit, which gives it"),
            do=text("keep the fit or the constants, not both"),
        )
    stated = [getattr(adhesive, key) is not None for key in ("hardener_reference", "hardener_power")]
    if any(stated) and not (all(stated) and adhesive.hardener):
        yield sheet.problem(
            (*loc, "hardener_power"),
            text("stated together with hardener and hardener_reference"),
            do=text("state all three, or only the hardener"),
        )


def _complete(draft: Draft, name: str, *, needs: tuple[str, ...], step: Step) -> Iterator[Problem]:
    """Properties that a computed step needs of a material."""
    sheet, loc = draft.material_places[name]
    for key in needs:
        if getattr(draft.materials[name], key) is None:
            yield sheet.problem(
                (*loc, key),
                text("stated, as a step of kind {kind} computes its time from it", kind=step.kind),
                do=text("add it from the data sheet or a trial, with its source"),
            )


def _rest(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    if step.kind != "rest" or step.recipe is None or not computed(step):
        return
    for key in _REST[step.recipe.until]:
        if getattr(step.recipe, key) is None:
            yield variant.problem(
                (*loc, key),
                text("stated in a rest until {until}", until=step.recipe.until),
                do=text("add it"),
            )
    name = step.recipe.coating
    coating = None if name is None else draft.materials.get(name)
    if step.recipe.until == "hard" and name is not None and isinstance(coating, Coating):
        yield from _complete(draft, name, needs=() if coating.hardness_readings else _HARDNESS, step=step)
