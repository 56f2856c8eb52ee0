"""What the steps before have left on the surface: face veneer, coats, what abrasion took off.

The surface of a part begins with its own layup, or comes with the body that is built into it:
the first used part that has a layup. Coats and removals are collected in the order of the route.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final, Literal, TypeAlias

from pairwright.physics.abrasion import abrasion_depth
from pairwright.physics.film import Coat, FilmBuild, Removal, cut_through_probability, film_build
from pairwright.works.definition import Works
from pairwright.works.material import Abrasive, Coating, Veneer
from pairwright.works.product import Part, Product
from pairwright.works.recipe import FlatRecipe, Grit, PolishRecipe, Recipe, SandRecipe, SprayRecipe

Place: TypeAlias = Literal["flat", "edge", "corner"]


@dataclass(frozen=True, slots=True)
class Mark:
    """One change of the surface.

    Which step, what it put on or took off on the flat, its factors at edges and at corners [-]; without
    a factor of their own, corners are as edges.
    """

    part: str
    step: str
    change: Coat | Removal
    edge: float
    coating: str = ""
    corner: float | None = None

    def at(self, place: Place) -> Coat | Removal:
        """The same change as it is on the flat, at an edge or at a corner."""
        if place == "flat":
            return self.change
        factor = self.corner if place == "corner" and self.corner is not None else self.edge
        if isinstance(self.change, Coat):
            return Coat(self.change.wet * factor, self.change.solids, self.change.sd * factor)
        return Removal(self.change.mean * factor, self.change.sd * factor)


@dataclass(frozen=True, slots=True)
class Surface:
    """Face veneer [m], what sanding took off it, and the film on top, in order."""

    veneer: str | None = None
    thickness: float = 0.0
    sanded: tuple[Mark, ...] = ()
    film: tuple[Mark, ...] = ()
    borrowed: bool = False  # the film came with a built-in part that has no layup
    sealed: bool = False  # a recipe that is not here has changed it: its film is unknown

    def after(self, mark: Mark, *, on_veneer: bool) -> Surface:
        """The surface after one more change."""
        if on_veneer:
            return replace(self, sanded=(*self.sanded, mark))
        if self.borrowed and isinstance(mark.change, Coat):
            return replace(self, film=(mark,), borrowed=False)
        return replace(self, film=(*self.film, mark))


BARE: Final = Surface()
SURFACE_KINDS: Final = ("spray", "flat", "sand", "polish")


def places_of(marks: tuple[Mark, ...]) -> tuple[Place, ...]:
    """Where the film is judged: on the flat, at edges, and at corners where any step states them."""
    return ("flat", "edge", "corner") if any(m.corner is not None for m in marks) else ("flat", "edge")


def left(marks: tuple[Mark, ...], reserve: float, *, place: Place = "flat") -> FilmBuild:
    """What is left of a film after its marks, on the flat, at an edge or at a corner. [m]"""
    changes = [m.at(place) for m in marks]
    return film_build(
        [c for c in changes if isinstance(c, Coat)],
        [c for c in changes if isinstance(c, Removal)],
        reserve=reserve,
    )


def top_layer(marks: tuple[Mark, ...]) -> tuple[Mark, ...]:
    """The marks since the uppermost coating began: what abrasion must not go through."""
    coats = [n for n, m in enumerate(marks) if isinstance(m.change, Coat)]
    if not coats:
        return marks
    first = coats[-1]
    for n in reversed(coats):
        if marks[n].coating != marks[coats[-1]].coating:
            break
        first = n
    return marks[first:]


def cut_through(marks: tuple[Mark, ...], *, place: Place = "flat") -> float:
    """Probability that the uppermost coating is gone somewhere at such a place. [-]"""
    changes = [m.at(place) for m in top_layer(marks)]
    return cut_through_probability(
        [c for c in changes if isinstance(c, Coat)], [c for c in changes if isinstance(c, Removal)]
    )


def veneer_marks(surface: Surface) -> tuple[Mark, ...]:
    """The face veneer as a coat of its own thickness, then what was sanded off."""
    whole = Mark("", "", Coat(surface.thickness, 1.0, 0.0), 1.0)
    return (whole, *surface.sanded)


def coefficient_of(grit: Grit, works: Works, coating: Coating | None = None) -> float | None:
    """Removal per pressure and path: the abrasive's own, else the coating's. [1/Pa]"""
    abrasive = works.materials.get(grit.abrasive)
    if isinstance(abrasive, Abrasive) and abrasive.removal is not None:
        return float(abrasive.removal)
    return None if coating is None or coating.preston is None else float(coating.preston)


def depth_of(grits: tuple[Grit, ...], works: Works, *, coating: Coating | None = None) -> float:
    """Depth that a sequence of abrasives takes off, fresh. [m]"""
    return sum(
        abrasion_depth(
            coefficient_of(g, works, coating) or 0.0, g.pressure, speed=g.speed, time=g.dwell * g.passes
        )
        for g in grits
    )


def mark_of(works: Works, recipe: Recipe | None, *, part: str, step: str) -> Mark | None:
    """What a step does to the surface, or None."""
    match recipe:
        case SprayRecipe():
            coating = works.materials.get(recipe.coating)
            solids = coating.solids if isinstance(coating, Coating) else 0.0
            coat = Coat(recipe.wet, solids, recipe.wet_sd)
            return Mark(part, step, coat, recipe.edge_factor, recipe.coating, recipe.corner_factor)
        case FlatRecipe():
            taken = Removal(recipe.removal, recipe.removal_sd)
            return Mark(part, step, taken, recipe.edge_factor, corner=recipe.corner_factor)
        case SandRecipe():
            depth = depth_of(recipe.grits, works)
            taken = Removal(depth, recipe.removal_sd * depth)
            return Mark(part, step, taken, recipe.edge_factor, corner=recipe.corner_factor)
        case PolishRecipe():
            coating = works.materials.get(recipe.coating)
            depth = depth_of(recipe.stages, works, coating=coating if isinstance(coating, Coating) else None)
            taken = Removal(depth, recipe.removal_sd * depth)
            return Mark(part, step, taken, recipe.edge_factor, corner=recipe.corner_factor)
        case _:
            return None


def surfaces(works: Works, product: Product, part_id: str) -> Iterator[Surface]:
    """The surface of a part as each step of its route finds it, and as the last one leaves it."""
    part = product.parts[part_id]
    surface = _own(works, part)
    for step in part.steps:
        surface = _built_in(works, product, surface, step.uses)
        yield surface
        if step.recipe is None and step.restricted is not None and step.kind in SURFACE_KINDS:
            surface = replace(surface, sealed=True)
        mark = mark_of(works, step.recipe, part=part_id, step=step.id)
        if mark is not None:
            bare = not any(isinstance(m.change, Coat) for m in surface.film)
            surface = surface.after(mark, on_veneer=isinstance(mark.change, Removal) and bare)
    yield surface


def surface_before(works: Works, product: Product, *, part_id: str, index: int) -> Surface:
    """The surface of a part when a step of its route begins; after the last one for its length."""
    return next(islice(surfaces(works, product, part_id), index, None))


def _own(works: Works, part: Part) -> Surface:
    if part.layup is None:
        return BARE
    outer = part.layup.plies[-1].veneer
    veneer = works.materials.get(outer)
    return Surface(outer, veneer.thickness) if isinstance(veneer, Veneer) else BARE


def _built_in(works: Works, product: Product, surface: Surface, uses: tuple[str, ...]) -> Surface:
    """The surface that comes with the parts a step uses, where the part has none of its own yet."""
    if surface.veneer is not None or (surface.film and not surface.borrowed):
        return surface
    finished = [
        surface_before(works, product, part_id=name, index=len(product.parts[name].steps))
        for name in uses
        if name in product.parts
    ]
    for one in finished:
        if one.veneer is not None:
            return one
    for one in finished:
        if one.film and not surface.film:
            return replace(one, borrowed=True)
    return surface
