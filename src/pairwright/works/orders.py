"""Orders, stock and purchases: what the CSV files say, as frozen records."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Order:
    """So many sets of a product and option, due by the end of a local day."""

    id: str
    product: str
    option: str
    quantity: int
    due: date
    weight: float = 1.0
    released: date | None = None  # earliest start
    customer: str = ""
    kind: str = "order"  # or trial


@dataclass(frozen=True, slots=True)
class Lot:
    """Bulk material on hand, in the material's unit."""

    id: str
    material: str
    quantity: float
    received: date | None = None
    expiry: date | None = None
    values: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PartStock:
    """Finished parts on hand that an order may use instead of making them."""

    product: str
    option: str
    part: str
    quantity: int
    side: str | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """Material ordered and not yet here."""

    id: str
    material: str
    quantity: float
    arrives: date


@dataclass(frozen=True, slots=True)
class Book:
    """The order book with the stock it can draw on."""

    orders: tuple[Order, ...] = ()
    lots: tuple[Lot, ...] = ()
    parts: tuple[PartStock, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    begun: tuple[tuple[str, str], ...] = ()  # sets that have begun, with the product they were begun as
    covered: tuple[str, ...] | None = None  # items that stock stands for, where a plan has settled it
