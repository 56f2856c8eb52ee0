"""An order book for the sample works, drawn from a seed.

Orders are put in a row and given their share of the time that the press needs, because the press
is what the works has least of; a due day follows from the place in the row, the time that a
product takes after the press, and some slack. So a longer book is a longer row, and the works is
loaded alike.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from pairwright.base.seeds import child_seed
from pairwright.sample.holidays import between, is_open

PAIRS_PER_BOOK: Final = 40  # what ten weeks hold
DAYS_PER_BOOK: Final = 70
LONGEST_DAYS: Final = 3600  # a book beyond this is crowded, not longer
SINGLES: Final = 0.2  # singles for each pair
PRODUCTS: Final[dict[str, tuple[str, ...]]] = {
    "alder": ("walnut", "oak", "painted", "walnut", "ash", "oak", "painted", "walnut"),
    "sorrel": ("chalk", "ink", "russet", "ink", "lichen", "chalk"),
    "tansy": ("slate", "chalk", "slate"),
}
ALDER_SHARE: Final = 0.55  # of the pairs
SIZES: Final = (2, 3, 1, 2, 4, 2, 1, 3)  # sets of an order, in turn
PRESS_MINUTES: Final = {"alder": 55.0, "sorrel": 46.0, "tansy": 23.0}  # of a set, about
PRESSING: Final = 0.74  # of the span: then the last order is out of the press
AFTER_PRESS: Final = {"alder": 16, "sorrel": 28, "tansy": 14}  # days from press to door, about
LATEST_PLACE: Final = {"alder": 1.0, "sorrel": 0.68, "tansy": 0.95}  # slow products come early
SLACK: Final = (2, 6)  # days on top
DRAWN_BACK: Final = 6  # days by which every ninth order is wished earlier
PREFERRED: Final = 2.0  # weight of some orders


@dataclass(frozen=True, slots=True)
class SampleOrder:
    """One line of orders.csv."""

    id: str
    product: str
    option: str
    quantity: int
    due: date
    weight: float
    released: date | None
    customer: str

    def row(self) -> str:
        """The line."""
        cells = (self.id, self.product, self.option, self.quantity, self.due, f"{self.weight:g}",
                 self.released or "", self.customer)  # fmt: skip
        return ",".join(str(c) for c in cells) + "\n"


def span_days(pairs: int) -> int:
    """Days over which a book of so many pairs is due. [d]"""
    return min(LONGEST_DAYS, max(56, round(DAYS_PER_BOOK * pairs / PAIRS_PER_BOOK)))


def draw_orders(*, pairs: int, start: date, seed: int) -> tuple[SampleOrder, ...]:
    """The order book, in order of due day.

    Parameters
    ----------
    pairs : int
        Pairs in the book; singles come on top. [-]
    start : date
        First day of the plan. [-]
    seed : int
        Same seed, same book. [-]
    """
    chance = random.Random(child_seed(seed, "sample", "orders"))
    span = span_days(pairs)
    shut = tuple(between(start, start + timedelta(days=span + 60)))
    wishes = _in_a_row(list(_wishes(pairs)), chance)
    whole = sum(PRESS_MINUTES[p] * n for p, _, n in wishes)
    done, found = 0.0, []
    for place, (product, option, quantity) in enumerate(wishes):
        done += PRESS_MINUTES[product] * quantity
        slack = chance.randint(*SLACK) - (DRAWN_BACK if place % 9 == 5 else 0)
        due = start + timedelta(days=round(done / whole * PRESSING * span) + AFTER_PRESS[product] + slack)
        due = min(due, start + timedelta(days=span))
        while not is_open(due, shut):
            due -= timedelta(days=1)
        weight = PREFERRED if chance.random() < 0.2 else 1.0
        held = place % 10 == 7 and (due - start).days > 49
        released = due - timedelta(days=42) if held else None
        found.append((due, place, product, option, quantity, weight, released, chance.randint(1, 14)))
    found.sort(key=lambda line: line[:2])
    width = max(3, len(str(len(found))))
    return tuple(
        SampleOrder(f"M{n:0{width}d}", product, option, quantity, due, weight, released, f"C{customer:02d}")
        for n, (due, _, product, option, quantity, weight, released, customer) in enumerate(found, 1)
    )


def _wishes(pairs: int) -> Iterator[tuple[str, str, int]]:
    """Product, option and sets of every order."""
    alder = round(pairs * ALDER_SHARE)
    counts = {"alder": alder, "sorrel": pairs - alder, "tansy": max(1, round(pairs * SINGLES))}
    for offset, (product, left) in enumerate(counts.items()):
        number = 0
        while left > 0:
            size = min(left, SIZES[(number + 2 * offset) % len(SIZES)])
            yield product, PRODUCTS[product][number % len(PRODUCTS[product])], size
            left -= size
            number += 1


def _in_a_row(wishes: Sequence[tuple[str, str, int]], chance: random.Random) -> list[tuple[str, str, int]]:
    """The order in which the works would press them: evenly mixed, slow products not last."""
    placed: list[tuple[float, int]] = []
    number: dict[str, int] = {}
    totals = {p: sum(w[0] == p for w in wishes) for p in PRODUCTS}
    for index, (product, _, _) in enumerate(wishes):
        number[product] = number.get(product, 0) + 1
        even = (number[product] - chance.random()) / totals[product]
        placed.append((even * LATEST_PLACE[product], index))
    return [wishes[index] for _, index in sorted(placed)]


def orders_csv(orders: Sequence[SampleOrder]) -> str:
    """orders.csv."""
    head = "order,product,option,quantity,due,weight,released,customer\n"
    return head + "".join(o.row() for o in orders)
