"""Material of a simulated floor: first in first out, bought again before it runs short."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from pairwright.base.time import local_date
from pairwright.works import Book, Works

AHEAD: Final = 4  # days before its first use by which a bought lot is here
ORDERED: Final = 16  # days before it comes in
CHECK: Final = 4 * 3600  # from its receipt to its being free [s]
USES: Final = 30  # of the amount that is asked for: the least that is bought


@dataclass(slots=True)
class Lot:
    """What is left of a lot, in the material's unit."""

    id: str
    material: str
    rest: float
    arrived: int
    expiry: date | None


@dataclass(frozen=True, slots=True)
class Bought:
    """A purchase with the lot that comes of it; `ordered` and `comes` are UTC seconds."""

    purchase: str
    lot: str
    material: str
    quantity: float
    unit: str
    ordered: int | None  # None: under way when the record begins
    comes: int
    expiry: date | None
    checked: bool  # it is on hold until somebody has looked at it


class Stores:
    """The lots at hand.

    Parameters
    ----------
    works : Works
        Materials and their units.
    book : Book
        Opening stock and purchases under way.
    now : int
        When playing begins, UTC seconds.
    """

    def __init__(self, works: Works, book: Book, *, now: int) -> None:
        self.bought: list[Bought] = []
        self.leftovers: list[tuple[str, int, str]] = []  # lot, when it was found to be used up, unit
        self._works, self._now = works, now
        self._lots: dict[str, list[Lot]] = {}
        self._sizes: dict[str, float] = {}
        self._keeps: dict[str, int] = {}
        for one in book.lots:
            self._put(Lot(one.id, one.material, one.quantity, now, one.expiry))
            self._sizes[one.material] = max(self._sizes.get(one.material, 0.0), one.quantity)
            if one.expiry is not None:
                begun = one.received or local_date(now, works.zone)
                self._keeps[one.material] = max(30, (one.expiry - begun).days)
        for way in book.purchases:
            comes = max(self._morning(way.arrives), now + 3600)
            self._receive(way.id, way.material, way.quantity, ordered=None, comes=comes, checked=True)

    def take(self, material: str, amount: float, *, at: int) -> str:
        """The lot that so much is taken from at a moment."""
        day = local_date(at, self._works.zone)
        amount = round(amount, 6)
        for lot in list(self._lots.get(material, ())):
            if lot.arrived > at or (lot.expiry is not None and lot.expiry < day):
                continue
            if lot.rest >= amount + 1e-5:
                lot.rest -= amount
                return lot.id
            self._lots[material].remove(lot)
            self.leftovers.append((lot.id, at, self._unit(material)))
        lot = self._buy(material, amount, at=at)
        lot.rest -= amount
        return lot.id

    def _unit(self, material: str) -> str:
        return str(self._works.materials[material].unit)

    def _buy(self, material: str, amount: float, *, at: int) -> Lot:
        quantity = round(max(self._sizes.get(material, 0.0), USES * amount), 2)
        self._sizes[material] = quantity
        day = local_date(at, self._works.zone) - timedelta(days=AHEAD)
        while day.isoweekday() > 5:
            day -= timedelta(days=1)
        comes = max(self._now, min(self._morning(day), at - 2 * CHECK))
        ordered = max(self._now, comes - ORDERED * 86400)
        name = f"B{len(self.bought) + 1:04d}"
        return self._receive(
            name, material, quantity, ordered=ordered, comes=comes, checked=at - comes >= 2 * CHECK
        )

    def _receive(
        self, name: str, material: str, quantity: float, *, ordered: int | None, comes: int, checked: bool
    ) -> Lot:
        keeps = self._keeps.get(material)
        expiry = None if keeps is None else local_date(comes, self._works.zone) + timedelta(days=keeps)
        lot = Lot(f"LOT-{name}", material, quantity, comes + CHECK if checked else comes, expiry)
        self.bought.append(
            Bought(name, lot.id, material, quantity, self._unit(material), ordered, comes, expiry, checked)
        )
        self._put(lot)
        return lot

    def _put(self, lot: Lot) -> None:
        self._lots.setdefault(lot.material, []).append(lot)
        self._lots[lot.material].sort(key=lambda one: (one.expiry or date.max, one.arrived, one.id))

    def _morning(self, day: date) -> int:
        return int(datetime(day.year, day.month, day.day, 8, 30, tzinfo=self._works.zone).timestamp())
