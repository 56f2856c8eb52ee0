"""From the texts of a folder to a checked works: every mistake found is told at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.works.checks import cross_check
from pairwright.works.definition import ProductLine, Works
from pairwright.works.draft import Draft, Variant
from pairwright.works.factory import Factory
from pairwright.works.lines import Loc
from pairwright.works.material import AnyMaterial
from pairwright.works.reading import Sheet, read_sheet, unique
from pairwright.works.record import Id
from pairwright.works.revision import is_definition, revision_of
from pairwright.works.variants import Shelf, read_product
from pairwright.works.wording import problems_of

_SECTIONS: Final = (
    "calendars", "crews", "stations", "buffers", "carriers", "programmes", "cautions", "defects", "repairs",
    "limit_samples",
)  # fmt: skip
# Stand-ins for what was refused, so that the rest can still be checked; never part of a works.
_STAND_INS: Final[Mapping[str, Any]] = {
    "name": "?",
    "time_zone": "UTC",
    "climate": {"temperature": "293 K", "humidity": 0.5},
    "calendars": {},
    "stations": {},
}
_MATERIALS: Final[TypeAdapter[AnyMaterial]] = TypeAdapter(AnyMaterial)
_IDS: Final[TypeAdapter[str]] = TypeAdapter(Id)


def load_works(texts: Mapping[str, str]) -> Works:
    """The works of a folder, checked as a whole.

    Parameters
    ----------
    texts : Mapping[str, str]
        Contents by path relative to the folder, with forward slashes: works.toml,
        materials/*.toml, products/*.toml, restricted/*.toml. Others are passed over.

    Returns
    -------
    Works
        Frozen, with every cross-reference leading somewhere.

    Raises
    ------
    InputError
        With every problem of all files.
    """
    texts = {
        path: body.removeprefix("\ufeff")
        for path, body in texts.items()
        if is_definition(path) or (path.startswith("restricted/") and path.endswith(".toml"))
    }
    problems: list[Problem] = []
    if "works.toml" not in texts:
        raise InputError(
            Problem(
                "works.toml",
                "(whole file)",
                text("there: it says what the works is"),
                "nothing",
                text("give the folder of a works, or begin one with `pairwright new`"),
            )
        )
    sheets = {
        path: sheet
        for path in sorted(texts)
        if (sheet := read_sheet(path, texts[path], problems)) is not None
    }
    works = sheets.get("works.toml", Sheet("works.toml", "", {}))
    factory = _read_factory(works, problems) if "works.toml" in sheets else None
    materials, places = _read_materials(sheets, problems)
    listed = works.tree.get("restricted", {})
    readable = "works.toml" in sheets and isinstance(listed, dict)
    shelf = Shelf(listed if readable else None, texts, sheets)
    lines, variants, sealed = _read_products(sheets, shelf, problems=problems)
    if factory is not None:
        names = {section: _ids(works.tree.get(section)) for section in _SECTIONS}
        names["materials"] = frozenset(places)
        names["products"] = frozenset(
            path[len("products/") : -len(".toml")] for path in texts if path.startswith("products/")
        )
        draft = Draft(
            works, factory, materials, places, variants, sheets, names, frozenset(texts) - frozenset(sheets)
        )
        problems.extend(cross_check(draft))
    if problems or factory is None:
        raise InputError(unique(problems))
    return Works(
        factory=factory,
        materials=materials,
        products=lines,
        variants={(v.product.id, v.option): v.product for v in variants},
        texts=dict(texts),
        revision=revision_of(texts, factory.restricted),
        sealed=sealed,
    )


def _ids(section: object) -> frozenset[str]:
    return frozenset(section) if isinstance(section, dict) else frozenset()


def _read_factory(sheet: Sheet, problems: list[Problem]) -> Factory | None:
    tree = dict(sheet.tree)
    try:
        return Factory.model_validate(tree)
    except ValidationError as error:
        problems.extend(problems_of(error, Factory, tree=tree, place=lambda loc: (sheet, loc)))
        for one in error.errors(include_url=False):
            _leave_out(tree, one["loc"])
    try:
        return Factory.model_validate({**_STAND_INS, **tree})
    except ValidationError:
        return None


def _leave_out(tree: dict[str, Any], loc: Loc) -> None:
    """Take a refused entry of a section away, or the section where it is refused as a whole."""
    match loc:
        case (str(section), entry, *_) if section in _SECTIONS and isinstance(tree.get(section), dict):
            tree[section] = {k: v for k, v in tree[section].items() if k != entry}
        case (str(section), *_):
            tree.pop(section, None)
        case _:
            pass


def _read_materials(
    sheets: Mapping[str, Sheet], problems: list[Problem]
) -> tuple[dict[str, AnyMaterial], dict[str, tuple[Sheet, Loc]]]:
    found: dict[str, AnyMaterial] = {}
    places: dict[str, tuple[Sheet, Loc]] = {}
    for path, sheet in sheets.items():
        if not path.startswith("materials/"):
            continue
        for name, table in sheet.tree.items():
            if name in places:
                first = places[name][0].where((name,))
                problems.append(
                    sheet.problem(
                        (name,),
                        text("named once; it stands in {place} too", place=first),
                        got=name,
                        do=text("rename one of the two"),
                    )
                )
                continue
            places[name] = (sheet, (name,))
            material = _read_material(sheet, name, table=table, problems=problems)
            if material is not None:
                found[name] = material
    return found, places


def _read_material(sheet: Sheet, name: str, *, table: object, problems: list[Problem]) -> AnyMaterial | None:
    try:
        _IDS.validate_python(name)
    except ValidationError as error:
        problems.extend(problems_of(error, str, tree=name, place=lambda _: (sheet, (name,))))
    try:
        return _MATERIALS.validate_python(table)
    except ValidationError as error:
        problems.extend(problems_of(error, AnyMaterial, tree=table, place=lambda loc: (sheet, (name, *loc))))
        return None


def _read_products(
    sheets: Mapping[str, Sheet], shelf: Shelf, *, problems: list[Problem]
) -> tuple[dict[str, ProductLine], tuple[Variant, ...], frozenset[str]]:
    lines: dict[str, ProductLine] = {}
    variants: list[Variant] = []
    sealed: frozenset[str] = frozenset()
    for path, sheet in sheets.items():
        if path.startswith("products/"):
            read = read_product(sheet, shelf, problems=problems)
            variants.extend(read.variants)
            sealed |= read.sealed
            if read.line is not None:
                lines[read.line.id] = read.line
    return lines, tuple(variants), sealed
