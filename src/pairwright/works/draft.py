"""A definition while it is being checked: what could be read, and where everything stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from pairwright.base.errors import Problem
from pairwright.base.words import Text, text
from pairwright.works.factory import Factory
from pairwright.works.lines import Loc
from pairwright.works.material import AnyMaterial
from pairwright.works.product import PRODUCT_KEYS, Part, Product, Step
from pairwright.works.reading import Sheet, near


@dataclass(frozen=True, slots=True)
class Origin:
    """Where the pieces of a product in one option were written.

    `raw` holds, for each part, the place of each kept step in the file's own list;
    `recipes` the sheet of a restricted recipe, by part and that place.
    """

    sheet: Sheet
    option: str
    raw: Mapping[str, Sequence[int]]
    recipes: Mapping[tuple[str, int], Sheet]

    def written(self, loc: Loc) -> tuple[Sheet, Loc]:
        """The sheet and place where a place of the record was written."""
        match loc:
            case ("parts", str(part), "steps", int(index), *rest) if index < len(self.raw.get(part, ())):
                place = self.raw[part][index]
                recipe = self.recipes.get((part, place))
                if recipe is not None and rest[:1] == ["recipe"]:
                    return recipe, tuple(rest[1:])
                return self.sheet, (part, "steps", place, *rest)
            case ("parts", *rest):
                return self.sheet, tuple(rest)
            case ("option_name",):
                return self.sheet, ("options", self.option, "name")
            case ("binding",) if self.sheet.at(("options", self.option, "binding")) is not None:
                return self.sheet, ("options", self.option, "binding")
            case _:
                return self.sheet, loc


@dataclass(frozen=True, slots=True)
class Variant:
    """A product in one option, without its refused pieces, and where it was written."""

    product: Product
    origin: Origin
    broken: frozenset[str] = frozenset()  # parts of which a piece was refused

    @property
    def option(self) -> str:
        """The option."""
        return self.origin.option

    def steps(self) -> Iterator[tuple[str, int, Step]]:
        """Part, place in the route and step, of all parts."""
        for name, part in self.product.parts.items():
            for index, step in enumerate(part.steps):
                yield name, index, step

    def sound_parts(self) -> Iterator[tuple[str, Part]]:
        """Parts that were read as a whole."""
        for name, part in self.product.parts.items():
            if name not in self.broken:
                yield name, part

    def problem(self, loc: Loc, must_be: Text, *, got: object = None, do: Text) -> Problem:
        """A message about a place of the record."""
        sheet, written = self.origin.written(loc)
        return sheet.problem(written, must_be, got=got, do=do)


@dataclass(frozen=True, slots=True)
class Draft:
    """Everything that could be read. `names` holds the ids of refused entries too."""

    works: Sheet
    factory: Factory
    materials: Mapping[str, AnyMaterial]
    material_places: Mapping[str, tuple[Sheet, Loc]]
    variants: tuple[Variant, ...]
    sheets: Mapping[str, Sheet]
    names: Mapping[str, frozenset[str]] = field(default_factory=dict)
    unread: frozenset[str] = frozenset()  # files that are no TOML

    def lacks_material(self, name: str) -> bool:
        """Whether a material is nowhere; with an unread file of materials nobody can tell."""
        return name not in self.known("materials") and not any(
            p.startswith("materials/") for p in self.unread
        )

    def known(self, section: str) -> frozenset[str]:
        """Ids of a section of works.toml, or of ``materials`` and ``products``."""
        return self.names.get(section, frozenset())

    def part_names(self, product: str) -> frozenset[str]:
        """Parts of a product in any of its options."""
        sheet = self.sheets.get(f"products/{product}.toml")
        tables = sheet.tree.items() if sheet is not None else ()
        return frozenset(k for k, v in tables if k not in PRODUCT_KEYS and isinstance(v, dict))


class Speaker(Protocol):
    """What can tell a problem about one of its places: a sheet, or a variant."""

    def problem(self, loc: Loc, must_be: Text, *, got: object = None, do: Text) -> Problem:
        """A five-part message."""


def unknown(speaker: Speaker, loc: Loc, *, what: Text, got: str, known: Iterable[str]) -> Problem:
    """A name that leads nowhere, with the names that look like it."""
    names = sorted(known)
    alike = near(got, names)
    shown_names = names if len(names) <= 8 else alike
    must_be = (
        text("{what} ({names})", what=what, names=", ".join(shown_names))
        if shown_names
        else text("{what} that is defined", what=what)
    )
    do = (
        text("write {name}, or define {missing}", name=alike[0], missing=got)
        if alike
        else text("define it, or name another")
    )
    return speaker.problem(loc, must_be, got=got, do=do)
