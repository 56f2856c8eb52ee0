"""Whether the parts of a product make a tree in which each is bought or made, and used."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from pairwright.base.errors import Problem
from pairwright.base.words import text
from pairwright.works.draft import Draft, Variant, unknown
from pairwright.works.lines import Loc
from pairwright.works.product import PRODUCT_KEYS, Layup, Part, Profile
from pairwright.works.reading import Sheet

MOST_PLIES: Final = 60
_BOUGHT_KINDS: Final = ("article", "metal", "sheet")


def check_parts(draft: Draft) -> Iterator[Problem]:
    """Every contradiction in the parts of the products."""
    for path, sheet in draft.sheets.items():
        if path.startswith("products/"):
            yield from _named_options(sheet)
    for variant in draft.variants:
        yield from _root(variant)
        yield from _uses(draft, variant)
        yield from _cycles(variant)
        for name, part in variant.sound_parts():
            yield from _source_of_part(draft, variant, name=name, part=part)
            yield from _shape(draft, variant, name=name, part=part)


def _named_options(sheet: Sheet) -> Iterator[Problem]:
    """`only` and `except` of parts and steps name options of the product."""
    options = sheet.tree.get("options")
    known = options if isinstance(options, dict) else {}
    for name, part in sheet.tree.items():
        if name in PRODUCT_KEYS or not isinstance(part, dict):
            continue
        places: list[tuple[Loc, Any]] = [((name,), part)]
        steps = part.get("steps")
        if isinstance(steps, list):
            places += [((name, "steps", n), step) for n, step in enumerate(steps)]
        for loc, table in places:
            if isinstance(table, dict):
                yield from _option_lists(sheet, loc, table=table, known=known)


def _option_lists(
    sheet: Sheet, loc: Loc, *, table: dict[str, Any], known: dict[str, Any]
) -> Iterator[Problem]:
    only, leave = _listed(table, "only"), _listed(table, "except")
    for key, names in (("only", only), ("except", leave)):
        for number, name in enumerate(names):
            if isinstance(name, str) and name not in known:
                what = text("an option of the product")
                yield unknown(sheet, (*loc, key, number), what=what, got=name, known=known)
    for name in only:
        if name in leave:
            yield sheet.problem(
                (*loc, "except"),
                text("without the options of only"),
                got=name,
                do=text("keep one of the two"),
            )


def _listed(table: dict[str, Any], key: str) -> list[Any]:
    names = table.get(key)
    return names if isinstance(names, list) else []


def _root(variant: Variant) -> Iterator[Problem]:
    product = variant.product
    root = product.parts.get(product.root)
    if root is None:
        if product.root not in variant.broken:
            what = text("a part of the product")
            yield unknown(variant, ("root",), what=what, got=product.root, known=product.parts)
        return
    if not root.steps and product.root not in variant.broken:
        yield variant.problem(
            ("parts", product.root, "steps"),
            text("a route of steps, as the root part is what the product becomes"),
            do=text("add its steps"),
        )
    if root.quantity != 1:
        yield variant.problem(
            ("parts", product.root, "quantity"), text("1 for the root part"), do=text("leave it out")
        )


def _uses(draft: Draft, variant: Variant) -> Iterator[Problem]:
    product = variant.product
    users: dict[str, str] = {}
    for part, index, step in variant.steps():
        for number, used in enumerate(step.uses):
            loc: Loc = ("parts", part, "steps", index, "uses", number)
            if used not in product.parts:
                yield _lost_part(draft, variant, loc=loc, used=used)
            elif used == product.root:
                yield variant.problem(
                    loc, text("another part than the root"), got=used, do=text("name the part that goes in")
                )
            elif used in users and product.parts[used].steps:
                yield variant.problem(
                    loc,
                    text("a part that nothing else uses; {user} uses it already", user=users[used]),
                    got=used,
                    do=text("use it once and state its quantity, or define a second part"),
                )
            users.setdefault(used, f"{part}.{step.id}")
    if variant.broken or product.root not in product.parts:
        return  # the step that uses it may be among those refused
    for name in product.parts:
        if name != product.root and name not in users:
            yield variant.problem(
                ("parts", name),
                text("used by a step of option {option}", option=variant.option),
                got="no step that uses it",
                do=text("add it to the uses of a step, or leave it out"),
            )


def _lost_part(draft: Draft, variant: Variant, *, loc: Loc, used: str) -> Problem:
    if used in draft.part_names(variant.product.id):
        return variant.problem(
            loc,
            text("a part of option {option}", option=variant.option),
            got=used,
            do=text("leave the step out of this option too, or make the part for it"),
        )
    what = text("a part of the product")
    return unknown(variant, loc, what=what, got=used, known=variant.product.parts)


def _cycles(variant: Variant) -> Iterator[Problem]:
    """Parts that in the end are used to make themselves; each ring is told once."""
    parts = variant.product.parts
    finished: set[str] = set()
    path: list[str] = []
    for start in parts:
        waiting: list[tuple[str, Loc, bool]] = [(start, ("parts", start), False)]
        while waiting:
            name, loc, leaving = waiting.pop()
            if leaving:
                finished.add(path.pop())
            elif name in path:
                ring = " < ".join([*path[path.index(name) :], name])
                yield variant.problem(
                    loc,
                    text("a part that is not made from what uses it ({ring})", ring=ring),
                    got=name,
                    do=text("break the ring"),
                )
            elif name in parts and name not in finished:
                path.append(name)
                waiting.append((name, loc, True))
                waiting.extend(
                    (used, ("parts", name, "steps", index, "uses", number), False)
                    for index, step in enumerate(parts[name].steps)
                    for number, used in enumerate(step.uses)
                )


def _source_of_part(draft: Draft, variant: Variant, *, name: str, part: Part) -> Iterator[Problem]:
    loc: Loc = ("parts", name)
    if part.article is None and not part.steps and name != variant.product.root:
        yield variant.problem(
            loc, text("bought (article) or made (steps)"), got="neither", do=text("state one of them")
        )
    if part.article is not None and part.steps:
        yield variant.problem(
            (*loc, "article"),
            text("left out where the part has steps of its own"),
            do=text("let a step consume the material, or leave the steps out"),
        )
    if part.article is not None:
        material = draft.materials.get(part.article)
        if draft.lacks_material(part.article):
            yield unknown(
                variant,
                (*loc, "article"),
                what=text("a material"),
                got=part.article,
                known=draft.known("materials"),
            )
        elif material is not None and material.kind not in _BOUGHT_KINDS:
            yield variant.problem(
                (*loc, "article"),
                text("a material of kind {kinds}", kinds=", ".join(_BOUGHT_KINDS)),
                got=f"{part.article} ({material.kind})",
                do=text("name the bought piece"),
            )
    if part.handed and not variant.product.handed:
        yield variant.problem(
            (*loc, "handed"), text("false, as the product is not handed"), do=text("leave it out")
        )


def _shape(draft: Draft, variant: Variant, *, name: str, part: Part) -> Iterator[Problem]:
    loc: Loc = ("parts", name)
    if part.leaf and part.layup is None:
        yield variant.problem(
            (*loc, "leaf"),
            text("false without a layup, whose outer veneer the leaves are"),
            do=text("state the layup"),
        )
    if part.layup is None:
        for index, step in enumerate(part.steps):
            if step.kind == "press":
                yield variant.problem(
                    (*loc, "steps", index),
                    text("in a part with a layup, as it presses one"),
                    got=step.id,
                    do=text("state the part's layup"),
                )
    else:
        yield from _layup(draft, variant, loc=(*loc, "layup"), layup=part.layup)
    if part.profile is not None:
        yield from _profile(variant, (*loc, "profile"), profile=part.profile)


def _layup(draft: Draft, variant: Variant, *, loc: Loc, layup: Layup) -> Iterator[Problem]:
    plies = [((*loc, "alternation", n), ply) for n, ply in enumerate(layup.alternation)]
    plies += [((*loc, key), ply) for key, ply in (("inner", layup.inner), ("outer", layup.outer)) if ply]
    if layup.stated is None:
        plies += [((*loc, "plies", n), ply) for n, ply in enumerate(layup.plies)]
    for place, ply in plies:
        material = draft.materials.get(ply.veneer)
        if draft.lacks_material(ply.veneer):
            what = text("a veneer of the materials")
            known = [m for m, v in draft.materials.items() if v.kind == "veneer"]
            yield unknown(variant, (*place, "veneer"), what=what, got=ply.veneer, known=known)
        elif material is not None and material.kind != "veneer":
            yield variant.problem(
                (*place, "veneer"),
                text("a material of kind {kinds}", kinds="veneer"),
                got=f"{ply.veneer} ({material.kind})",
                do=text("name a veneer"),
            )
    count = len(layup.plies)
    if count > MOST_PLIES or (layup.stated is not None and layup.stated != count):
        yield variant.problem(
            (*loc, "plies"),
            text("1 to {n} plies", n=MOST_PLIES),
            got=layup.stated or count,
            do=text("correct the number, or list the plies and leave stated out"),
        )


def _profile(variant: Variant, loc: Loc, *, profile: Profile) -> Iterator[Problem]:
    for number, segment in enumerate(profile.segments):
        straight = segment.line is not None and segment.radius is None and segment.turn is None
        arc = segment.line is None and segment.radius is not None and segment.turn is not None
        if not straight and not arc:
            yield variant.problem(
                (*loc, "segments", number),
                text("a line, or a radius with a turn"),
                do=text("state one or the other"),
            )
