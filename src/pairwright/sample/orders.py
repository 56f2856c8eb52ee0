"""An order book for the sample works, drawn from a seed.

Orders are put in a row and given their share of the press's time, because the press is what the
works has least of; a due day follows from the day on which an order is pressed, the time that its
product takes from there to the door, and some slack. A longer book is a longer row: the works is
loaded alike.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from pairwright.base.seeds import child_seed
from pairwright.sample.holidays import Closing, closings, is_open

SINGLES: Final = 0.2  # singles for each pair
PRODUCTS: Final[dict[str, tuple[str, ...]]] = {
    "alder": ("walnut", "oak", "painted", "walnut", "ash", "oak", "painted", "walnut"),
    "sorrel": ("chalk", "ink", "russet", "ink", "lichen", "chalk"),
    "tansy": ("slate", "chalk", "slate"),
}
ALDER_SHARE: Final = 0.55  # of the pairs
SIZES: Final = (2, 3, 1, 2, 4, 2, 1, 3)  # sets of an order, in turn
PRESS_MINUTES: Final = {"alder": 64.0, "sorrel": 51.0, "tansy": 25.0}  # of a set, about
PRESS_DAYS: Final = (1, 3)  # Tuesday and Thursday, as in the data
DAY_MINUTES: Final = 162.0  # what a press day brings, mould changes and odd ends taken off
MOST_PRESSED: Final = 2000  # pairs; a longer book is crowded, so that it ends within the century
AFTER_PRESS: Final = {"alder": 21, "sorrel": 26, "tansy": 20}  # days from press to door, about
EARLIER: Final = {"alder": 0.0, "sorrel": 17.0, "tansy": 0.0}  # days by which slow products go first
SLACK: Final = (1, 6)  # days on top
LAST: Final = 15  # days from the last pressing to the end of the book
DRAWN_BACK: Final = 6  # days by which every ninth order is wished earlier
HASTY: Final = 15  # days after which the first gloss order is wished: sooner than it can be
PREFERRED: Final = 2.0  # weight of some orders
BEFORE: Final = (63, 42)  # days before its due day on which an order may begin: usual, and every tenth


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody orders."""

    product: str
    option: str
    quantity: int

    @property
    def minutes(self) -> float:
        """Time in the press, about. [min]"""
        return PRESS_MINUTES[self.product] * self.quantity


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
    found = []
    wishes = _in_a_row(list(_wishes(pairs)), chance)
    a_day = DAY_MINUTES * max(1.0, pairs / MOST_PRESSED)
    row = list(_pressed(wishes, start=start, a_day=a_day))
    end = _due(row[-1][1], LAST)
    hasty = next((wish for wish, _ in row if wish.product == "sorrel"), None)
    for place, (wish, pressed) in enumerate(row):
        slack = chance.randint(*SLACK) - (DRAWN_BACK if place % 9 == 5 else 0)
        due = min(end, _due(pressed, AFTER_PRESS[wish.product] + slack))
        if wish is hasty:
            due = min(due, _due(start, HASTY))
        weight = PREFERRED if chance.random() < 0.2 else 1.0
        begin = due - timedelta(days=BEFORE[int(place % 10 == 7)])
        released = begin if begin > start else None
        found.append((due, place, wish, weight, released, f"C{chance.randint(1, 14):02d}"))
    found.sort(key=lambda line: line[:2])
    width = max(3, len(str(len(found))))
    return tuple(
        SampleOrder(
            f"M{n:0{width}d}", wish.product, wish.option, wish.quantity, due, weight, released, customer
        )
        for n, (due, _, wish, weight, released, customer) in enumerate(found, 1)
    )


def _wishes(pairs: int) -> Iterator[Wish]:
    alder = round(pairs * ALDER_SHARE)
    counts = {"alder": alder, "sorrel": pairs - alder, "tansy": max(1, round(pairs * SINGLES))}
    for offset, (product, left) in enumerate(counts.items()):
        number = 0
        while left > 0:
            size = min(left, SIZES[(number + 2 * offset) % len(SIZES)])
            yield Wish(product, PRODUCTS[product][number % len(PRODUCTS[product])], size)
            left -= size
            number += 1


def _in_a_row(wishes: Sequence[Wish], chance: random.Random) -> list[Wish]:
    """The order in which the works would press them: evenly mixed, slow products somewhat earlier."""
    days = sum(w.minutes for w in wishes) / DAY_MINUTES * 7.0 / len(PRESS_DAYS)
    totals = {p: sum(w.product == p for w in wishes) for p in PRODUCTS}
    number = dict.fromkeys(PRODUCTS, 0)
    placed: list[tuple[float, int]] = []
    for index, wish in enumerate(wishes):
        number[wish.product] += 1
        even = (number[wish.product] - chance.random()) / totals[wish.product]
        placed.append((even * days - EARLIER[wish.product], index))
    return [wishes[index] for _, index in sorted(placed)]


def _pressed(wishes: Sequence[Wish], *, start: date, a_day: float) -> Iterator[tuple[Wish, date]]:
    """Each order with the day on which its last shell leaves the press."""
    days = _press_days(start)
    day, left = next(days), a_day
    for wish in wishes:
        left -= wish.minutes
        while left < 0:
            day, left = next(days), left + a_day
        yield wish, day


def _press_days(start: date) -> Iterator[date]:
    day = start
    while True:
        if day.weekday() in PRESS_DAYS and is_open(day, closings(day.year)):
            yield day
        day += timedelta(days=1)


def _due(pressed: date, days: int) -> date:
    """A working day so long after pressing; closed weekdays in between come on top."""
    due = pressed
    while days > 0 or not is_open(due, _shut(due)):
        due += timedelta(days=1)
        if due.weekday() > 4 or is_open(due, _shut(due)):
            days -= 1
    return due


def _shut(day: date) -> tuple[Closing, ...]:
    return closings(day.year)


def orders_csv(orders: Sequence[SampleOrder]) -> str:
    """orders.csv."""
    head = "order,product,option,quantity,due,weight,released,customer\n"
    return head + "".join(o.row() for o in orders)
