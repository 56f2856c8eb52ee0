"""Which items exist, and which of them finished parts in stock cover before planning."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from pairwright.works.definition import Works
from pairwright.works.effectivity import InForce, may_stand_in
from pairwright.works.orders import Book, Order, PartStock
from pairwright.works.product import Product


@dataclass(frozen=True, slots=True)
class Item:
    """One physical piece of a set, and the item that it goes into."""

    id: str
    side: str | None
    part: str
    holder: str | None  # id of the item, or of the set, that uses it


def set_ids(order: Order) -> list[str]:
    """Sets of an order: ORDER-1 and so on."""
    return [f"{order.id}-{n + 1}" for n in range(order.quantity)]


def copies(product: Product, part: str, *, holder: str) -> list[str]:
    """Ids of the items of a part that one holder needs."""
    quantity = product.parts[part].quantity
    name = f"{holder}.{part}"
    return [name] if quantity == 1 else [f"{name}.{n + 1}" for n in range(quantity)]


def made(product: Product, part: str) -> bool:
    """Whether a part has steps of its own; otherwise it is bought."""
    return part in product.parts and bool(product.parts[part].steps)


def items_of_set(product: Product, set_id: str) -> Iterator[Item]:
    """Every item of a set, holders before what they hold."""
    for side in product.sides():
        yield from _below(product, Item(f"{set_id}.{side or 'single'}", side, product.root, None), set_id)


def _below(product: Product, item: Item, set_id: str) -> Iterator[Item]:
    yield item
    for step in product.route(item.part):
        if step.together and item.side is not None and item.side == product.sides()[-1]:
            continue  # what is done to the set is counted once, with its first half
        holder = set_id if step.together else item.id
        side = None if step.together else item.side
        for part in step.uses:
            if made(product, part):
                for name in copies(product, part, holder=holder):
                    yield from _below(product, Item(name, side, part, holder), set_id)


def covered_items(works: Works, book: Book) -> frozenset[str]:
    """Items that finished parts in stock stand for, given out in the stated order."""
    if book.covered is not None:
        return frozenset(book.covered)
    return settled_items(works, book)


def settled_items(
    works: Works, book: Book, *, given: Collection[str] = (), orders: Collection[str] = ()
) -> frozenset[str]:
    """Items that stock stands for, where it has been given out to some orders already.

    Parameters
    ----------
    works, book
        The definition, the orders and the parts in stock.
    given : Collection[str]
        Items that stock stands for already.
    orders : Collection[str]
        Orders to which nothing more is given.
    """
    if not book.parts:
        return frozenset()
    left = [stock.quantity for stock in book.parts]
    taken: set[str] = set()
    in_force = InForce(works, book)
    rows = [
        (in_force.product(order, number), set_id, order.id in orders)
        for order in sorted(book.orders, key=lambda o: (o.due, o.id))
        for number, set_id in enumerate(set_ids(order), 1)
    ]
    for product, set_id, settled in rows:
        if settled:
            _give_out(product, set_id, stock=book.parts, left=left, taken=taken, only=given)
    for product, set_id, settled in rows:
        if not settled:
            _give_out(product, set_id, stock=book.parts, left=left, taken=taken)
    return frozenset(taken)


def _give_out(
    product: Product, set_id: str, *, stock: tuple[PartStock, ...], left: list[int], taken: set[str],
    only: Collection[str] | None = None,
) -> None:  # fmt: skip
    gone: set[str] = set()
    for item in sorted(items_of_set(product, set_id), key=lambda i: (i.side or "", i.id)):
        if item.holder in gone:
            gone.add(item.id)
            continue
        if only is not None and item.id not in only:
            continue
        for n, row in enumerate(stock):
            if left[n] > 0 and _fits(row, product, item):
                left[n] -= 1
                gone.add(item.id)
                taken.add(item.id)
                break


def _fits(row: PartStock, product: Product, item: Item) -> bool:
    """Whether a finished part can stand in for an item; an empty option or side fits all."""
    return (
        row.part == item.part
        and may_stand_in(row, product, side=item.side)
        and row.option in ("", product.option)
        and row.side in (None, "", item.side)
    )
