"""What a step is judged in: the works, the product, the part, the place in its route.

A `StepContext` finds materials by the kind that a recipe needs, knows what the steps before it
have left on the surface, and names the step as findings do.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeVar

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding, Severity
from pairwright.base.sources import SOURCE_KINDS, WORKS, Source, SourceKind
from pairwright.base.words import Text, text
from pairwright.process.surface import Surface, surface_before, surfaces
from pairwright.works.definition import Works
from pairwright.works.material import Adhesive, Coating, Material, Veneer, Wood
from pairwright.works.product import Part, Product, Step
from pairwright.works.recipe import Recipe

SPREAD: Final = 2.0  # standard deviations from likely to low and to high: about 19 of 20 lie between

AnyRecipe = TypeVar("AnyRecipe", bound=Recipe)
OneMaterial = TypeVar("OneMaterial", bound=Material)


@dataclass(frozen=True, slots=True)
class StepContext:
    """One step of one product in one option, with what surrounds it."""

    works: Works
    product: Product
    part_id: str
    index: int
    surface: Surface  # as the steps before this one left it

    @property
    def part(self) -> Part:
        """The part whose route this is."""
        return self.product.parts[self.part_id]

    @property
    def step(self) -> Step:
        """The step."""
        return self.part.steps[self.index]

    @property
    def later(self) -> tuple[Step, ...]:
        """The steps of the part after this one."""
        return self.part.steps[self.index + 1 :]

    @property
    def subject(self) -> str:
        """The step's name in findings: ``alder.walnut.shell.press``."""
        return f"{self.product.id}.{self.product.option}.{self.part_id}.{self.step.id}"

    @property
    def sealed(self) -> bool:
        """Whether the recipe is confidential and not here."""
        return self.step.recipe is None and self.step.sealed is not None

    def recipe(self, kind: type[AnyRecipe]) -> AnyRecipe:
        """The recipe, of the kind that the step's kind has."""
        recipe = self.step.recipe
        if not isinstance(recipe, kind):
            raise InputError(
                Problem(self.subject, "recipe", text("stated for a computed duration"), shown(recipe),
                        text("state the recipe, or the duration, or a sealed duration"))
            )  # fmt: skip
        return recipe

    def finding(self, code: str, severity: Severity, what: Text, source: Source = WORKS) -> Finding:
        """A finding about this step."""
        return Finding(code, severity, self.subject, what, source)

    def wood(self, name: str) -> Wood:
        """The wood of this id."""
        return self._material(name, Wood)

    def veneer(self, name: str) -> Veneer:
        """The veneer of this id."""
        return self._material(name, Veneer)

    def adhesive(self, name: str) -> Adhesive:
        """The adhesive of this id."""
        return self._material(name, Adhesive)

    def coating(self, name: str) -> Coating:
        """The coating of this id."""
        return self._material(name, Coating)

    def _material(self, name: str, kind: type[OneMaterial]) -> OneMaterial:
        return material_of(self.works, name, kind=kind, where=self.subject)


def material_of(works: Works, name: str, *, kind: type[OneMaterial], where: str) -> OneMaterial:
    """A material of the works that is of the kind a recipe needs; otherwise an `InputError`."""
    found = works.materials.get(name)
    if not isinstance(found, kind):
        raise InputError(
            Problem(where, name, text("a material of kind {kind}", kind=kind.__name__.lower()),
                    shown(None if found is None else found.kind),
                    text("name such a material, or add it to materials/"))
        )  # fmt: skip
    return found


def source_of(material: Material, field: str) -> Source:
    """Where a property of a material comes from, as its file states it.

    >>> from pairwright.works.material import Article
    >>> str(source_of(Article(name="nut", source="data sheet: N 7", kind="article"), "price"))
    'data sheet: nut, price: N 7'
    """
    stated = material.sources.get(field, material.source)
    kind, _, rest = stated.partition(":")
    label = f"{material.name}, {field.replace('_', ' ')}"
    name = kind.strip()
    found: SourceKind = "works"
    for one in SOURCE_KINDS:
        if name == one:
            found = one  # type: ignore[assignment]
    if found == "works" and name not in ("works", ""):
        return Source("published" if name == "handbook" else "works", f"{label}: {stated}")
    return Source(found, f"{label}: {rest.strip()}" if rest.strip() else label)


def contexts(works: Works, product: str | None = None) -> Iterator[StepContext]:
    """Every step of every product in every option, in the order of the definition; or of one product.

    Parameters
    ----------
    works : Works
        The definition.
    product : str, optional
        Only the steps of the product with this id; an unknown one is an `InputError`.
    """
    variants = [one for one in works.variants.values() if product in (None, one.id)]
    if not variants and product is not None:
        known = sorted({one.id for one in works.variants.values()})
        raise InputError(
            Problem("works", "product", text("one of {names}", names=", ".join(known)), shown(product),
                    text("name a product of the works"))
        )  # fmt: skip
    for variant in variants:
        for part_id, part in variant.parts.items():
            found = surfaces(works, variant, part_id)
            for index, surface in zip(range(len(part.steps)), found, strict=False):
                yield StepContext(works, variant, part_id, index, surface)


def context_of(works: Works, product: str, *, option: str, part: str, step: str) -> StepContext:
    """The context of a named step; an unknown name is an `InputError`."""
    variant = works.variants.get((product, option))
    if variant is not None and part in variant.parts:
        for index, one in enumerate(variant.parts[part].steps):
            if one.id == step:
                return StepContext(
                    works, variant, part, index, surface_before(works, variant, part_id=part, index=index)
                )
    raise InputError(
        Problem(f"{product}.{option}.{part}", "step", text("a step of this product, option and part"),
                shown(step), text("see check --json for the names"))
    )  # fmt: skip
