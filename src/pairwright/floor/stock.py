"""Orders, lots, finished parts and purchases: from the record to the plan, and the first time into it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from pairwright.base.digests import digest_json
from pairwright.base.quantities import QuantityError, unit
from pairwright.base.time import iso, local_date
from pairwright.floor.things import Item, Lot, Order, Set, Thing
from pairwright.works.orders import Book, PartStock, Purchase
from pairwright.works.orders import Lot as StockLot
from pairwright.works.orders import Order as Wanted


def book_of(
    things: Iterable[Thing], *, zone: ZoneInfo, units: Mapping[str, str] | None = None,
    shipped: Mapping[str, int] | None = None,
) -> Book:  # fmt: skip
    """The order book and the stock as the record has them.

    Open orders count less their shipped sets. Lots that are on hold, scrapped or used up are left out, and
    so are parts that are on hold, scrapped, or in something.

    Parameters
    ----------
    things : Iterable[Thing]
        Everything that the record knows.
    zone : ZoneInfo
        The works' time zone, for the day of a receipt.
    units : Mapping[str, str] | None
        The unit of each material; a lot that is kept in another one is told in it.
    shipped : Mapping[str, int] | None
        How many sets of an order have left, where the things do not hold the sets.
    """
    units = units or {}
    every = sorted(things, key=lambda thing: thing.id)
    gone = Counter(
        one.order for one in every if isinstance(one, Set) and one.release is not None and one.release.shipped
    )
    gone.update(shipped or {})
    orders = [thing for thing in every if isinstance(thing, Order) and not thing.closed]
    return Book(
        orders=tuple(_wanted(o, gone[o.id]) for o in orders if o.kind == "order" and o.quantity > gone[o.id]),
        lots=tuple(_lot(one, zone, units) for one in every if isinstance(one, Lot) and _at_hand(one)),
        parts=tuple(_parts(one for one in every if isinstance(one, Item))),
        purchases=tuple(
            Purchase(
                o.id,
                o.material or "",
                in_unit(o.quantity, o.unit, wanted=units.get(o.material or "")),
                date.fromisoformat(o.due or ""),
            )
            for o in orders
            if o.kind == "purchase"
        ),
    )


def _at_hand(lot: Lot) -> bool:
    return lot.material is not None and lot.rest > 0 and not lot.holds and not lot.scrapped


def _wanted(order: Order, gone: int) -> Wanted:
    return Wanted(
        id=order.id,
        product=order.product or "",
        option=order.option,
        quantity=int(order.quantity) - gone,
        due=date.fromisoformat(order.due or ""),
        weight=order.weight,
        released=None if order.released is None else date.fromisoformat(order.released),
        customer=order.customer,
    )


def in_unit(quantity: float, given: str | None, *, wanted: str | None) -> float:
    """A quantity in the wanted unit; as it is where either is not known.

    Examples
    --------
    >>> in_unit(2500.0, "g", wanted="kg")
    2.5
    """
    if wanted is None or given is None or given == wanted:
        return quantity
    try:
        return quantity * unit(given).size / unit(wanted).size
    except QuantityError:
        return quantity


def _lot(lot: Lot, zone: ZoneInfo, units: Mapping[str, str]) -> StockLot:
    return StockLot(
        lot.id,
        lot.material or "",
        in_unit(float(lot.rest), lot.unit, wanted=units.get(lot.material or "")),
        None if lot.arrived is None else local_date(lot.arrived, zone),
        None if lot.expiry is None else date.fromisoformat(lot.expiry),
        tuple((name, str(value)) for name, value in lot.values),
    )


def _parts(items: Iterable[Item]) -> Iterator[PartStock]:
    found = Counter(
        (item.product, item.option or "", item.part, item.side)
        for item in items
        if item.finished and item.product and item.part and item.set is None and _free(item)
    )
    for (product, option, part, side), count in sorted(found.items(), key=str):
        yield PartStock(str(product), option, str(part), count, side)


def _free(item: Item) -> bool:
    return not (item.scrapped or item.holds) and item.into is None and item.used_in is None


def opening(
    book: Book, *, units: Mapping[str, str], actor: str, at: int, zone: ZoneInfo
) -> list[dict[str, Any]]:
    """The events that bring an order book and its stock into an empty record.

    The keys follow from the content: the same book twice is taken once.

    Parameters
    ----------
    book : Book
        As read from the files.
    units : Mapping[str, str]
        The unit of each material.
    actor : str
        Who brings it in, by id.
    at : int
        When, UTC seconds.
    zone : ZoneInfo
        The works' time zone.

    Returns
    -------
    list[dict[str, Any]]
        Events as JSON has them; `read_event` takes each.
    """
    return [_keyed(raw, actor=actor, at=iso(at, zone)) for raw in _opening(book, units, zone)]


def _opening(book: Book, units: Mapping[str, str], zone: ZoneInfo) -> Iterator[dict[str, Any]]:
    for lot in book.lots:
        data = {"quantity": lot.quantity, "unit": units[lot.material], "material": lot.material}
        if lot.expiry is not None:
            data["expiry"] = lot.expiry.isoformat()
        if lot.values:
            data["values"] = dict(lot.values)
        raw: dict[str, Any] = {"kind": "received", "lot": lot.id, "data": data}
        if lot.received is not None:
            raw["event_time"] = datetime(
                lot.received.year, lot.received.month, lot.received.day, 12, tzinfo=zone
            ).isoformat()
        yield raw
    for order in book.orders:
        wanted = {
            "order": order.id,
            "product": order.product,
            "option": order.option,
            "quantity": order.quantity,
            "due": order.due.isoformat(),
            "weight": order.weight,
            "released": None if order.released is None else order.released.isoformat(),
            "customer": order.customer or None,
        }
        yield {
            "kind": "ordered",
            "data": {name: value for name, value in wanted.items() if value not in (None, "")},
        }
    for purchase in book.purchases:
        under_way = {
            "purchase": purchase.id,
            "material": purchase.material,
            "quantity": purchase.quantity,
            "unit": units[purchase.material],
            "arrives": purchase.arrives.isoformat(),
        }
        yield {"kind": "purchased", "data": under_way}
    count: Counter[str] = Counter()
    for part in book.parts:
        stem = ".".join(name for name in ("stock", part.product, part.option, part.part, part.side) if name)
        for _ in range(part.quantity):
            count[stem] += 1
            facts = {"product": part.product, "option": part.option, "part": part.part, "side": part.side}
            yield {
                "kind": "registered",
                "item": f"{stem}.{count[stem]}",
                "data": {"finished": True, **{name: value for name, value in facts.items() if value}},
            }


def _keyed(raw: dict[str, Any], *, actor: str, at: str) -> dict[str, Any]:
    found = {"event_time": at, **raw, "actor": actor}
    return {"key": f"opening-{digest_json(found)[:32]}", **found}
