"""Orders for as long as a floor is played: the book's own, then more at the works' rate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.simulation.hidden import Luck
from pairwright.works import Book
from pairwright.works.orders import Order

BEGINS: Final = 63  # days before its due day on which an invented order may begin
COMES: Final = 70  # days before its due day on which it comes in
LEAST_SPAN: Final = 20  # days that a short book is taken to last


def longer_book(book: Book, *, first: date, days: int, seed: int) -> tuple[Book, dict[str, date]]:
    """The book with orders for the whole span, and the day on which each invented one comes in.

    Products, options and quantities are drawn from the book's own orders, the days between due days are
    the book's mean ones.

    Parameters
    ----------
    book : Book
        The order book.
    first : date
        The day on which playing begins.
    days : int
        How long. [-]
    seed : int
        Same seed, same orders. [-]
    """
    if not book.orders:
        raise InputError(
            Problem("orders.csv", "orders", text("at least one order, from which more are invented"),
                    "no order", text("write orders.csv, or lay out the sample works"))
        )  # fmt: skip
    added = tuple(_more(book, first=first, last=first + timedelta(days=days), luck=Luck(seed, "orders")))
    comes = {order.id: max(first, order.due - timedelta(days=COMES)) for order in added}
    return replace(book, orders=(*book.orders, *added)), comes


def _more(book: Book, *, first: date, last: date, luck: Luck) -> Iterator[Order]:
    orders = [one for one in book.orders if one.kind == "order"] or list(book.orders)
    end = max(one.due for one in orders)
    gap = max(LEAST_SPAN, (end - first).days) / len(orders)
    due, number = float((end - first).days), 0
    taken = {one.id for one in book.orders}
    while True:
        due += gap * (0.4 + 1.2 * luck.share("gap", number))
        day = _weekday(first + timedelta(days=round(due)))
        begins = day - timedelta(days=BEGINS)
        if begins >= last:
            return
        like = orders[int(luck.share("like", number) * len(orders))]
        number += 1
        name = f"S{number:04d}"
        if name in taken:
            continue
        yield Order(
            name, like.product, like.option, like.quantity, day, like.weight,
            begins if begins > first else None, f"C{1 + int(luck.share('customer', number) * 14):02d}",
        )  # fmt: skip


def _weekday(day: date) -> date:
    return day + timedelta(days=max(0, 8 - day.isoweekday()) if day.isoweekday() > 5 else 0)
