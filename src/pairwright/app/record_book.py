"""Orders, stock and purchases as the record has them, for the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.floor.stock import book_of
from pairwright.works import Book

if TYPE_CHECKING:
    from pairwright.archive.reading import Reading
    from pairwright.floor import Thing
    from pairwright.works import Works
    from pairwright.works.orders import Order


def book_now(works: Works, reading: Reading) -> Book:
    """The order book and the stock that a works can draw on now.

    What is in stock of a material or part that the works no longer defines is left out: no recipe asks
    for it. An open order of a product that is no longer defined can't be planned: it is told.

    Parameters
    ----------
    works : Works
        The definition.
    reading : Reading
        One state of the record; only what may be in the book is looked at, however long the record is.

    Raises
    ------
    InputError
        With every open order that the works can't make.
    """
    units = {name: material.unit for name, material in works.materials.items()}
    shipped = Counter(one.in_order for one in reading.every("set", standing="shipped") if one.in_order)
    book = book_of(_things(reading), zone=works.zone, units=units, shipped=shipped)
    problems = list(_strange(works, book.orders))
    if problems:
        raise InputError(problems)
    parts = {(p, o, part) for (p, o), v in works.variants.items() for part in v.parts}
    return Book(
        orders=tuple(replace(one, kind=_kind(works, one)) for one in book.orders),
        lots=tuple(lot for lot in book.lots if lot.material in works.materials),
        parts=tuple(one for one in book.parts if (one.product, one.option, one.part) in parts),
        purchases=tuple(one for one in book.purchases if one.material in works.materials),
    )


def _things(reading: Reading) -> Iterator[Thing]:
    """What may be in the book: what is open, at hand, or free."""
    state = reading.state()
    wanted = (
        *reading.every("order", standing="open"),
        *reading.every("purchase", standing="open"),
        *reading.every("lot", standing="in stock"),
        *reading.every("item", standing="waiting", in_set=None),
    )
    for one in wanted:
        found = state.thing(one.id)
        if found is not None:
            yield found


def _kind(works: Works, order: Order) -> str:
    return "trial" if works.products[order.product].kind == "trial" else "order"


def _strange(works: Works, orders: tuple[Order, ...]) -> Iterator[Problem]:
    for order in orders:
        if (order.product, order.option) not in works.variants:
            named = f"{order.product} {order.option}".strip()
            yield Problem(
                f"order {order.id}", "product", text("a product and option that the works defines"), named,
                text("define it again, or record that the order was cancelled"),
            )  # fmt: skip
