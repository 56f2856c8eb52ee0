"""How long bulk material is good: stated expiry, else receipt and shelf life."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from pairwright.base.time import DAY, local_midnight
from pairwright.works.material import AnyMaterial
from pairwright.works.orders import Lot, Purchase


def lot_until(lot: Lot, material: AnyMaterial, *, zone: ZoneInfo) -> int | None:
    """The moment from which a lot is of no use any more, UTC; None: it keeps. [s]

    Parameters
    ----------
    lot : Lot
        The lot.
    material : AnyMaterial
        What it is of.
    zone : ZoneInfo
        The works' time zone.

    Notes
    -----
    A lot is good to the end of its expiry day. Where none is stated, the day is that of receipt plus
    the material's shelf life.
    """
    last = lot.expiry
    if last is None and lot.received is not None and material.shelf_life is not None:
        last = _day_after(lot.received, float(material.shelf_life))
    return None if last is None else local_midnight(last + timedelta(days=1), zone)


def purchase_until(purchase: Purchase, material: AnyMaterial, *, zone: ZoneInfo) -> int | None:
    """The moment from which an arrival is of no use any more, UTC: fresh when it comes. [s]"""
    if material.shelf_life is None:
        return None
    last = _day_after(purchase.arrives, float(material.shelf_life))
    return local_midnight(last + timedelta(days=1), zone)


def _day_after(first: date, seconds: float) -> date:
    return first + timedelta(days=int(seconds // DAY))
