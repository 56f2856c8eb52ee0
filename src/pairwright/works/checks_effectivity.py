"""Whether a revision of a product fits the product that it revises."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.errors import Problem
from pairwright.base.words import text
from pairwright.works.draft import Draft, Variant, unknown
from pairwright.works.product import Effectivity, Product


def check_effectivity(draft: Draft) -> Iterator[Problem]:
    """Every effectivity that leads nowhere or says two things."""
    products: dict[str, dict[str, Variant]] = {}
    for variant in draft.variants:
        products.setdefault(variant.product.id, {})[variant.option] = variant
    names: dict[tuple[str, str], str] = {}
    for name, options in products.items():
        first = next(iter(options.values()))
        stated = first.product.effectivity
        if stated is None:
            continue
        yield from _from(first, stated)
        key = (stated.revises, stated.revision)
        if key in names:
            yield first.problem(
                ("effectivity", "revision"),
                text("another name than that of {other}", other=names[key]),
                got=stated.revision,
                do=text("give each revision its own"),
            )
        names[key] = name
        revised = products.get(stated.revises)
        if revised is None and stated.revises not in draft.known("products"):
            loc = ("effectivity", "revises")
            yield unknown(
                first, loc, what=text("a product"), got=stated.revises, known=draft.known("products")
            )
        if revised is not None:
            yield from _alike(first, stated, revised=revised, options=options)


def _from(variant: Variant, stated: Effectivity) -> Iterator[Problem]:
    given = [n for n in ("from_set", "from_order", "from_date") if getattr(stated, n) is not None]
    if len(given) != 1:
        yield variant.problem(
            ("effectivity",),
            text("exactly one of from_set, from_order and from_date"),
            got=", ".join(given) or "none",
            do=text("say once from when on the revision holds"),
        )
    number = (stated.from_set or "-1").rpartition("-")[2]
    if not (number.isascii() and number.isdigit() and int(number) >= 1):
        yield variant.problem(
            ("effectivity", "from_set"),
            text("an order and the number of a set, such as M020-1"),
            got=stated.from_set,
            do=text("write both, or state from_order"),
        )


def _alike(
    first: Variant, stated: Effectivity, *, revised: dict[str, Variant], options: dict[str, Variant]
) -> Iterator[Problem]:
    before = next(iter(revised.values())).product
    if before.id == first.product.id or before.effectivity is not None:
        yield first.problem(
            ("effectivity", "revises"),
            text("a product that is not a revision itself"),
            got=stated.revises,
            do=text("name the product that orders name"),
        )
        return
    for option, variant in revised.items():
        if option not in options:
            yield first.problem(
                ("options",),
                text("every option of {product}; {option} is missing", product=before.id, option=option),
                do=text("add it, or drop it from the product"),
            )
            continue
        for field in _differing(variant.product, options[option].product):
            yield first.problem(
                (field,),
                text(
                    "as in {product}: {value}", product=before.id, value=str(getattr(variant.product, field))
                ),
                do=text("make it alike; what differs so much is a product of its own"),
            )


def _differing(one: Product, other: Product) -> Iterator[str]:
    """What a revision can't change without changing what a set is."""
    for field in ("kind", "handed", "binding", "root"):
        if getattr(one, field) != getattr(other, field):
            yield field
