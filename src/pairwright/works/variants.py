"""A product file read once per option: words filled in, steps of other options left out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any, Final

from pydantic import ValidationError

from pairwright.base.errors import Problem
from pairwright.base.words import text
from pairwright.works.definition import ProductLine
from pairwright.works.draft import Origin, Variant
from pairwright.works.lines import Loc
from pairwright.works.placeholders import fill
from pairwright.works.product import PRODUCT_KEYS, Option, Product
from pairwright.works.reading import Sheet, near
from pairwright.works.revision import recipe_digest
from pairwright.works.wording import problems_of

_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_RESTRICTED: Final = re.compile(r"restricted/[^/]+\.toml")


@dataclass(frozen=True, slots=True)
class Shelf:
    """The restricted recipes: what works.toml lists, what is here, what could be parsed.

    `listed` is None where works.toml could not be read.
    """

    listed: Mapping[str, Any] | None
    texts: Mapping[str, str]
    sheets: Mapping[str, Sheet]


@dataclass(frozen=True, slots=True)
class Read:
    """What became of a product file."""

    line: ProductLine | None
    variants: tuple[Variant, ...]
    sealed: frozenset[str]


def read_product(sheet: Sheet, shelf: Shelf, *, problems: list[Problem]) -> Read:
    """Every option of a product file as a checked record.

    Parameters
    ----------
    sheet : Sheet
        The product file.
    shelf : Shelf
        Restricted recipes.
    problems : list[Problem]
        Takes what is wrong.
    """
    problems.extend(_check_top(sheet))
    options = _read_options(sheet, problems)
    sealed: set[str] = set()
    variants: list[Variant] = []
    for name, option in (options or {"standard": Option(name="standard")}).items():
        maker = _Maker(sheet, name, option, shelf, problems)
        variant = maker.variant()
        sealed |= maker.sealed
        if variant is not None and options:
            variants.append(variant)
    if not variants:
        return Read(None, (), frozenset(sealed))
    first = variants[0].product
    line = ProductLine(first.id, first.name, first.kind, first.handed, options)
    return Read(line, tuple(variants), frozenset(sealed))


def _check_top(sheet: Sheet) -> Iterator[Problem]:
    stem = PurePosixPath(sheet.path).stem
    if sheet.tree.get("id", stem) != stem:
        yield sheet.problem(
            ("id",), text("{name}, like the file", name=stem), do=text("rename the file or the product")
        )
    for key, value in sheet.tree.items():
        if key in PRODUCT_KEYS or isinstance(value, dict):
            continue
        alike = near(key, PRODUCT_KEYS, 1)
        yield sheet.problem(
            (key,),
            text("a known field ({names}) or the table of a part", names=", ".join(PRODUCT_KEYS)),
            got=key,
            do=text("write {name}, or leave it out", name=alike[0]) if alike else text("leave it out"),
        )
    words = sheet.tree.get("values", {})
    if not isinstance(words, dict) or not all(isinstance(v, str) for v in words.values()):
        yield sheet.problem(
            ("values",), text("a table of texts"), do=text("write each word as a text in quotation marks")
        )


def _read_options(sheet: Sheet, problems: list[Problem]) -> dict[str, Option]:
    tables = sheet.tree.get("options")
    if not isinstance(tables, dict) or not tables:
        problems.append(
            sheet.problem(
                ("options",),
                text("at least one option"),
                do=text("add a table such as [options.standard] with a name"),
            )
        )
        return {}
    found: dict[str, Option] = {}
    for name, table in tables.items():
        try:
            found[name] = Option.model_validate(table)
        except ValidationError as error:
            problems.extend(problems_of(error, Option, tree=table, place=_under(sheet, ("options", name))))
        if not re.fullmatch(r"[a-z0-9][a-z0-9.-]{0,39}", name):
            problems.append(
                sheet.problem(
                    ("options", name),
                    text("an id of small letters, digits, point and hyphen, such as walnut"),
                    got=name,
                    do=text("rename it"),
                )
            )
    return found


def _under(sheet: Sheet, base: Loc) -> Any:
    return lambda loc: (sheet, (*base, *loc))


class _Maker:
    """Makes one variant of a product file."""

    def __init__(
        self, sheet: Sheet, name: str, option: Option, shelf: Shelf, problems: list[Problem]
    ) -> None:
        self.sheet, self.name, self.option, self.shelf, self.problems = sheet, name, option, shelf, problems
        self.raw: dict[str, list[int]] = {}
        self.recipes: dict[tuple[str, int], Sheet] = {}
        self.origin = Origin(sheet, name, self.raw, self.recipes)
        self.sealed: set[str] = set()
        self.broken: set[str] = set()
        shared = sheet.tree.get("values", {})
        common = shared if isinstance(shared, dict) else {}
        self.words = {
            **{k: v for k, v in common.items() if isinstance(v, str)},
            **option.values,
            "option": name,
        }

    def variant(self) -> Variant | None:
        tree = self._tree()
        product = self._validated(tree)
        if product is None:
            product = self._validated(tree, again=True)
        if product is None:
            return None
        return Variant(product, self.origin, frozenset(self.broken))

    def _tree(self) -> dict[str, Any]:
        top = self.sheet.tree
        kept = {
            key: value
            for key, value in top.items()
            if key in PRODUCT_KEYS and key not in ("id", "options", "values")
        }
        found = {key: self._filled(value, (key,)) for key, value in kept.items()}
        if self.option.binding is not None:
            found["binding"] = self.option.binding
        found |= {"id": PurePosixPath(self.sheet.path).stem, "option": self.name}
        found["option_name"] = self.option.name
        found["parts"] = {
            key: self._part(key, value)
            for key, value in top.items()
            if key not in PRODUCT_KEYS and isinstance(value, dict) and self._mine(value)
        }
        return found

    def _mine(self, table: Mapping[str, Any]) -> bool:
        """Whether a part or step belongs to this option; odd lists are left for the record to refuse."""
        only, leave = table.get("only"), table.get("except")
        if isinstance(only, list) and only and self.name not in only:
            return False
        return not (isinstance(leave, list) and self.name in leave)

    def _part(self, name: str, table: Mapping[str, Any]) -> dict[str, Any]:
        part = {k: self._filled(v, (name, k)) for k, v in table.items() if k != "steps"}
        steps = table.get("steps")
        if not isinstance(steps, list):
            return part if steps is None else {**part, "steps": steps}
        places = [n for n, s in enumerate(steps) if not isinstance(s, dict) or self._mine(s)]
        self.raw[name] = places
        part["steps"] = [self._step(name, n, steps[n]) for n in places]
        return part

    def _filled(self, value: Any, loc: Loc) -> Any:
        def unknown(place: Loc, found: str) -> None:
            self.problems.append(
                self.sheet.problem(
                    place,
                    text("without unknown words in braces ({names})", names=", ".join(sorted(self.words))),
                    got=found,
                    do=text("add it to the values of option {option}", option=self.name),
                )
            )

        return fill(value, self.words, unknown=unknown, loc=loc)

    def _step(self, part: str, place: int, table: Any) -> Any:
        loc: Loc = (part, "steps", place)
        step = self._filled(table, loc)
        if not isinstance(step, dict):
            return step
        if "restricted" in step:
            self.problems.append(
                self.sheet.problem(
                    (*loc, "restricted"),
                    text("left out"),
                    do=text('write recipe = "restricted/NAME.toml" instead'),
                )
            )
        if isinstance(step.get("recipe"), str):
            path = step.pop("recipe")
            step["restricted"] = path
            self._open(path, step, part=part, place=place)
        return step

    def _open(self, path: str, step: dict[str, Any], *, part: str, place: int) -> None:
        """Put a restricted recipe into its step, or seal the step where the recipe is absent.

        An encrypted recipe would be opened here: with a key its text joins `shelf.texts` before
        the works is read, without one it counts as absent.
        """
        loc: Loc = (part, "steps", place, "recipe")
        if self.shelf.listed is None:
            return
        if not _RESTRICTED.fullmatch(path) or path not in self.shelf.listed:
            self.problems.append(
                self.sheet.problem(
                    loc,
                    text("a table, or a file of restricted/ that works.toml lists under [restricted]"),
                    got=path,
                    do=text("list the file with its digest, or write the recipe as a table"),
                )
            )
        elif path not in self.shelf.texts:
            self.sealed.add(path)
            if step.get("duration", "computed") == "computed" and "sealed" not in step:
                self.problems.append(
                    self.sheet.problem(
                        (part, "steps", place, "sealed"),
                        text("the times low, likely and high, as {path} is absent", path=path),
                        do=text("state the sealed times, or bring the recipe"),
                    )
                )
        elif (found := recipe_digest(self.shelf.texts[path])) != self.shelf.listed[path]:
            if not _DIGEST.fullmatch(str(self.shelf.listed[path])):
                return  # told where it is listed
            self.problems.append(
                Problem(
                    path,
                    "(digest)",
                    text("{digest}, as works.toml lists it", digest=str(self.shelf.listed[path])),
                    found,
                    text("list the new digest in works.toml, or restore the recipe"),
                )
            )
        elif path in self.shelf.sheets:
            self.recipes[part, place] = self.shelf.sheets[path]
            step["recipe"] = self.shelf.sheets[path].tree

    def _validated(self, tree: dict[str, Any], *, again: bool = False) -> Product | None:
        try:
            return Product.model_validate(tree)
        except ValidationError as error:
            if not again:
                self.problems.extend(problems_of(error, Product, tree=tree, place=self.origin.written))
                self._leave_out(tree, [one["loc"] for one in error.errors(include_url=False)])
            return None

    def _leave_out(self, tree: dict[str, Any], refused: list[Loc]) -> None:
        """Take the refused pieces away, so that the rest can be checked too."""
        steps: set[tuple[str, int]] = set()
        for loc in refused:
            match loc:
                case ("parts", str(part), "steps", int(index), *_):
                    steps.add((part, index))
                    self.broken.add(part)
                case ("parts", str(part), "[key]") | ("parts", str(part)):
                    tree["parts"].pop(part, None)
                case ("parts", str(part), key, *_) if isinstance(tree["parts"].get(part), dict):
                    tree["parts"][part].pop(key, None)
                    tree["parts"][part].setdefault("name", part)
                    self.broken.add(part)
                case _:
                    pass
        for part, index in sorted(steps, reverse=True):
            if part in tree["parts"] and index < len(tree["parts"][part].get("steps", [])):
                del tree["parts"][part]["steps"][index]
                del self.raw[part][index]
