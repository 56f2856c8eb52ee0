"""Whether what is said of the pair fits the routes of its halves."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.errors import Problem
from pairwright.base.words import Text, text
from pairwright.works.draft import Draft, Variant
from pairwright.works.lines import Loc
from pairwright.works.product import Step
from pairwright.works.routes import set_parts


def check_pairs(draft: Draft) -> Iterator[Problem]:
    """Every pair policy that contradicts its product."""
    for variant in draft.variants:
        yield from _binding(variant)
        of_set = set_parts(variant.product)
        for part, index, step in variant.steps():
            loc: Loc = ("parts", part, "steps", index)
            yield from _together(variant, loc, part=part, step=step)
            yield from _mates(draft, variant, loc=loc, step=step, of_set=part in of_set)


def _binding(variant: Variant) -> Iterator[Problem]:
    product = variant.product
    if product.kind == "pair" and product.binding == "none":
        yield variant.problem(
            ("binding",),
            text("early or late, as the product is a pair"),
            do=text("say when the pair is formed"),
        )
    if product.kind != "pair":
        wrong: list[tuple[str, bool, Text]] = [
            ("binding", product.binding != "none", text("none, as the product is a single")),
            ("handed", product.handed, text("false, as the product is a single")),
            ("mates_within", product.mates_within is not None, text("left out, as a single has no mate")),
        ]
        for key, is_wrong, must_be in wrong:
            if is_wrong:
                yield variant.problem((key,), must_be, do=text("correct it, or make the product a pair"))
    leafless = not any(part.leaf for part in product.parts.values())
    if product.kind == "pair" and product.binding == "early" and leafless and not variant.broken:
        yield variant.problem(
            ("binding",),
            text("late where no part is a leaf: an early pair begins with its leaves"),
            do=text("mark the part whose outer veneer is book-matched with leaf = true"),
        )


def _together(variant: Variant, loc: Loc, *, part: str, step: Step) -> Iterator[Problem]:
    if not step.together:
        return
    if variant.product.kind != "pair":
        yield variant.problem(
            (*loc, "together"), text("false, as a single has no halves"), do=text("leave it out")
        )
    elif part != variant.product.root:
        yield variant.problem(
            (*loc, "together"),
            text("false outside the root part ({root})", root=variant.product.root),
            do=text("move the step to the root part, or do it for each half"),
        )


def _mates(draft: Draft, variant: Variant, *, loc: Loc, step: Step, of_set: bool) -> Iterator[Problem]:
    asked = [
        key
        for key, is_asked in (
            ("mates", step.mates != "free"),
            ("mates_within", step.mates_within is not None),
        )
        if is_asked
    ]
    why: Text | None = None
    if variant.product.kind != "pair":
        why = text("left out, as a single has no mate")
    elif step.together:
        why = text("left out, as the step is done for the whole set at once")
    elif of_set:
        why = text("left out, as the part belongs to the set, not to a half")
    for key in asked if why is not None else ():
        yield variant.problem((*loc, key), why or text("left out"), do=text("leave it out"))
    if why is not None or step.mates != "same batch":
        return
    for number, alternative in enumerate(step.stations):
        station = draft.factory.stations.get(alternative.station)
        if station is not None and station.kind not in ("batch", "line"):
            yield variant.problem(
                (*loc, "stations", number),
                text("a batch station or a line, as the mates must share a batch"),
                got=f"{alternative.station} ({station.kind})",
                do=text("name another station, or let the mates be free"),
            )
