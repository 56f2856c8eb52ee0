"""What a plan must contain: sets, items and operations that the orders ask for."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from pairwright.audit.hours import day_hours, local_moment
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order, PartStock
from pairwright.works.product import Product, Step
from pairwright.works.steptime import StepTime


@dataclass(frozen=True, slots=True)
class Item:
    """A piece to be made; `user` is the item and step that use it (None for a finished half)."""

    id: str
    order: Order
    set: str
    side: str | None
    product: Product
    part: str
    user: tuple[str, str] | None


@dataclass(frozen=True, slots=True)
class Expected:
    """Everything the audit expects, by id."""

    items: Mapping[str, Item]  # that must be made
    stocked: Mapping[str, Item]  # that stock covers
    sets: Mapping[str, tuple[Item, ...]]  # the halves (or the single) of each set
    used: Mapping[tuple[str, str], tuple[str, ...]]  # (item or set, step) -> parts it uses
    times: Mapping[tuple[str, str, str, str, str | None], int]  # seconds, whole minutes


def expect(
    works: Works, book: Book, times: Sequence[StepTime], covered: Collection[str] | None = None
) -> Expected:
    """Sets, items, stock given out (as `covered` says, where it is stated), durations in whole minutes."""
    every: list[Item] = []
    sets: dict[str, tuple[Item, ...]] = {}
    for order in book.orders:
        for number in range(1, order.quantity + 1):
            product = made_as(works, book, order=order, number=number)
            if product is None:
                continue
            halves, parts = _set_items(order, number, product)
            sets[f"{order.id}-{number}"] = halves
            every.extend(halves)
            every.extend(parts)
    from_stock = _give_out(every, book) if covered is None else _fitting(every, book, frozenset(covered))
    made = {i.id: i for i in every if not _inside(i.id, from_stock)}
    stocked = {i.id: i for i in every if i.id in from_stock}
    used: dict[tuple[str, str], list[str]] = {}
    for item in every:
        if item.user is not None and (item.id in made or item.id in stocked):
            used.setdefault(item.user, []).append(item.id)
    whole = {
        (t.product, t.option, t.part, t.step, t.station): max(1, math.ceil(t.likely / 60 - 1e-9)) * 60
        for t in times
    }
    return Expected(made, stocked, sets, {k: tuple(sorted(v)) for k, v in used.items()}, whole)


def made_as(works: Works, book: Book, *, order: Order, number: int) -> Product | None:
    """What a set is made as: the last revision that holds for it, what it was begun as, or its product."""
    begun = dict(book.begun).get(f"{order.id}-{number}")
    dues = {o.id: o.due for o in book.orders}
    best: tuple[tuple[date, str, int], str] | None = None
    for (name, option), product in works.variants.items():
        stated = product.effectivity
        if stated is None or stated.revises != order.product or option != order.option:
            continue
        if begun is not None and begun != name and stated.half_made == "keep":
            continue
        if stated.from_date is not None:
            since = (stated.from_date, "", 0)
        else:
            first, _, count = (stated.from_set or f"{stated.from_order}-1").rpartition("-")
            if first not in dues:
                continue
            since = (dues[first], first, int(count))
        if since <= (order.due, order.id, number):
            best = max(best, (since, name)) if best is not None else (since, name)
    return works.variants.get((best[1] if best is not None else begun or order.product, order.option))


def _set_items(order: Order, number: int, product: Product) -> tuple[tuple[Item, ...], list[Item]]:
    name = f"{order.id}-{number}"
    halves = tuple(
        Item(f"{name}.{side or 'single'}", order, name, side, product, product.root, None)
        for side in product.sides()
    )
    parts: list[Item] = []
    for half in halves:
        parts.extend(_sub_items(half, product, [s for s in product.route(product.root) if not s.together]))
    whole_set = Item(name, order, name, None, product, product.root, None)
    parts.extend(_sub_items(whole_set, product, [s for s in product.route(product.root) if s.together]))
    return halves, parts


def _sub_items(holder: Item, product: Product, steps: Iterable[Step]) -> Iterator[Item]:
    for step in steps:
        for used in step.uses:
            part = product.parts.get(used)
            if part is None or not part.steps:
                continue
            for n in range(1, part.quantity + 1):
                suffix = f".{n}" if part.quantity > 1 else ""
                item = Item(
                    f"{holder.id}.{used}{suffix}",
                    holder.order,
                    holder.set,
                    holder.side,
                    product,
                    used,
                    (holder.id, step.id),
                )
                yield item
                yield from _sub_items(item, product, part.steps)


def _give_out(items: list[Item], book: Book) -> set[str]:
    """Ids of items covered by finished parts in stock: orders by due date, then id, set, side, item."""
    left = [row.quantity for row in book.parts]
    covered: set[str] = set()
    order = sorted(
        items,
        key=lambda i: (i.order.due, i.order.id, int(i.set.rsplit("-", 1)[1]), i.side or "", i.id),
    )
    for item in order:
        if _inside(item.id, covered):
            continue
        for n, row in enumerate(book.parts):
            if left[n] > 0 and _fits(row, item):
                left[n] -= 1
                covered.add(item.id)
                break
    return covered


def _fitting(items: list[Item], book: Book, stated: frozenset[str]) -> set[str]:
    """Of the stated items those that parts in stock can stand for, as many as possible at once."""
    wanted = [item for item in items if item.id in stated]
    holders: list[list[int]] = [[] for _ in book.parts]  # of each row of stock the items it goes to

    def give(item: int, tried: set[int]) -> bool:
        for n, row in enumerate(book.parts):
            if n in tried or not _fits(row, wanted[item]):
                continue
            tried.add(n)
            if len(holders[n]) < row.quantity:
                holders[n].append(item)
                return True
            for place, other in enumerate(holders[n]):
                if give(other, tried):
                    holders[n][place] = item
                    return True
        return False

    return {item.id for n, item in enumerate(wanted) if give(n, set())}


def _fits(row: PartStock, item: Item) -> bool:
    """Whether a finished part in stock can stand in for an item; empty fields fit all."""
    stated = item.product.effectivity
    old = stated is not None and row.product == stated.revises and stated.half_made == "change"
    old = old and stated is not None and (stated.mates_may_differ or item.side is None)
    return (
        (row.product == item.product.id or old)
        and row.part == item.part
        and row.option in ("", item.product.option)
        and row.side in (None, "", item.side)
    )


def _inside(item: str, covered: set[str]) -> bool:
    """Whether an item is covered itself, or is part of one that is."""
    while item:
        if item in covered:
            return True
        item = item.rpartition(".")[0]
    return False


def due_moment(works: Works, order: Order) -> int:
    """The latest end of working hours on the due day; the end of the day when nobody works."""
    zone: ZoneInfo = works.zone
    ends = [
        hours[-1][1]
        for calendar in works.factory.calendars.values()
        if not calendar.always and (hours := day_hours(calendar, order.due))
    ]
    return local_moment(order.due, max(ends, default=1440), zone)
