"""Which revision of a product each set is made to.

A revision is a product file of its own that says which product it revises and from which set on it
holds; so every accepted revision is kept whole. Orders go on naming the product.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TypeAlias

from pairwright.base.errors import Problem, shown
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order, PartStock
from pairwright.works.product import Effectivity, Product

Place: TypeAlias = tuple[date, str, int]  # of a set among all: due day, order, number


class InForce:
    """Looks up the revision in force for a set.

    Sets stand in order of due day, order and number. A revision holds for the set that it names and
    all after it; of several that hold, the last. A begun set keeps what it was begun as, unless the
    revision changes what is half made.
    """

    def __init__(self, works: Works, book: Book) -> None:
        self._works = works
        self._orders = {order.id: order for order in book.orders}
        self._begun = dict(book.begun)
        self._revisions: dict[str, list[tuple[Place, str, Effectivity]]] = {}
        for (name, _), product in works.variants.items():
            stated = product.effectivity
            if stated is None:
                continue
            since = self._since(stated)
            rows = self._revisions.setdefault(stated.revises, [])
            if since is not None and name not in (row[1] for row in rows):
                rows.append((since, name, stated))
        for rows in self._revisions.values():
            rows.sort(key=lambda row: (row[0], row[1]))

    def product(self, order: Order, number: int) -> Product:
        """What a set of an order is made as; sets are counted from 1."""
        name, place = order.product, (order.due, order.id, number)
        begun = self._begun.get(f"{order.id}-{number}")
        for since, revision, stated in self._revisions.get(order.product, ()):
            if place >= since and (begun is None or begun == revision or stated.half_made == "change"):
                name = revision
        if name == order.product and begun is not None:
            name = begun
        return self._works.variant(name, order.option)

    def _since(self, stated: Effectivity) -> Place | None:
        """The first set of a revision; None where the order it names is not in the book."""
        if stated.from_date is not None:
            return (stated.from_date, "", 0)
        name, number = _named(stated)
        order = self._orders.get(name)
        return None if order is None else (order.due, name, number)


def may_stand_in(stock: PartStock, product: Product, *, side: str | None) -> bool:
    """Whether a part in stock was made as this product, or as one whose half-made items change into it.

    Parameters
    ----------
    stock : PartStock
        The part in stock.
    product : Product
        What the item that it would stand for is made as.
    side : str
        Of the half that the item belongs to; a half may differ from its mate only where that is stated.
    """
    if stock.product == product.id:
        return True
    stated = product.effectivity
    if stated is None or stock.product != stated.revises:
        return False
    return stated.half_made == "change" and (stated.mates_may_differ or side is None)


def check_book(works: Works, book: Book) -> Iterator[Problem]:
    """Orders of a revision instead of its product; revisions from an order that is not in the book."""
    known = {order.id: order for order in book.orders}
    for order in book.orders:
        stated = works.variant(order.product, order.option).effectivity
        if stated is not None:
            yield Problem(
                "orders.csv", f"{order.id}: product", text("{product}, which it revises", product=stated.revises),
                shown(order.product), text("order the product; the revision says from which set on it holds"),
            )  # fmt: skip
    told: set[str] = set()
    for (name, _), product in works.variants.items():
        stated = product.effectivity
        if stated is None or stated.from_date is not None or name in told or not book.orders:
            continue
        told.add(name)
        wanted, number = _named(stated)
        named = known.get(wanted)
        if named is None or named.product != stated.revises or number > named.quantity:
            yield Problem(
                f"products/{name}.toml", "effectivity.from_order" if stated.from_order else "effectivity.from_set",
                text("a set or order of {product} in orders.csv", product=stated.revises),
                shown(stated.from_order or stated.from_set),
                text("name one, or state from_date; a revision that holds for all goes into the product's own file"),
            )  # fmt: skip


def _named(stated: Effectivity) -> tuple[str, int]:
    """Order and number of the first set."""
    if stated.from_set is None:
        return stated.from_order or "", 1
    name, _, number = stated.from_set.rpartition("-")
    return name, int(number) if number.isascii() and number.isdigit() else 0
