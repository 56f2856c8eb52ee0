"""The life of a lot: an exact account of what came in, was used, was counted, was scrapped."""

from __future__ import annotations

from decimal import Decimal

from pairwright.base.findings import Finding
from pairwright.base.quantities import QuantityError, unit
from pairwright.base.words import text
from pairwright.floor import common
from pairwright.floor.event import Entry
from pairwright.floor.things import Lot, after
from pairwright.floor.touch import Touch


def advance_lot(lot: Lot, touch: Touch, entry: Entry) -> tuple[Lot, Finding | None]:
    """A lot after an event that touches it."""
    if touch.role == "input":
        return _use(lot, entry)
    match entry.event.kind:
        case "received":
            return _receive(lot, entry)
        case "counted":
            return _count(lot, entry)
        case "measured":
            return after(lot, readings=common.latest(lot.readings, common.reading(entry))), None
        case "inspected":
            clear = entry.event.data.get("clear")
            return (lot if clear else common.report(lot, entry)), None
        case "reported":
            return common.report(lot, entry), None
        case "held":
            return common.hold(lot, entry), None
        case "freed":
            return common.free(lot, entry)
        case "disposed":
            return _dispose(lot, entry)
        case "registered":
            data = entry.event.data
            values = {**dict(lot.values), **data.get("values", {})}
            return after(
                lot, material=data.get("material", lot.material), values=tuple(sorted(values.items()))
            ), None
        case _:
            return lot, None


def exact(value: float) -> Decimal:
    """The decimal number that was written. [-]

    Examples
    --------
    >>> exact(0.1) + exact(0.2) == exact(0.3)
    True
    """
    return Decimal(repr(value))


def _in_unit(lot: Lot, quantity: float, given: str | None) -> Decimal | None:
    """The quantity in the lot's unit, or None where the units do not fit."""
    amount = exact(quantity)
    if given is None or lot.unit is None or given == lot.unit:
        return amount
    try:
        one, other = unit(given), unit(lot.unit)
    except QuantityError:
        return None
    if one.dimension != other.dimension or one.offset or other.offset:
        return None
    return amount * exact(one.size) / exact(other.size)


def _unit_differs(lot: Lot, given: str | None) -> Finding:
    return Finding(
        "unit_differs", "error", lot.id,
        text("lot {id} is kept in {unit}, not in {other}: give the quantity in {unit}",
             id=lot.id, unit=lot.unit or "-", other=given or "-"),
    )  # fmt: skip


def _receive(lot: Lot, entry: Entry) -> tuple[Lot, Finding | None]:
    data, slip = entry.event.data, None
    serials = tuple(data.get("serials", ()))
    quantity = data.get("quantity", len(serials))
    given = data.get("unit", "piece")
    amount = _in_unit(lot, quantity, given)
    material = data.get("material")
    if amount is None:
        amount, slip = Decimal(0), _unit_differs(lot, given)
    elif material is not None and lot.material not in (None, material):
        slip = Finding(
            "identity_differs", "error", lot.id,
            text("lot {id} is {before}, not {after}: give the new material a lot of its own",
                 id=lot.id, before=lot.material or "", after=material),
        )  # fmt: skip
    expiry = data.get("expiry")
    if expiry is not None and lot.expiry is not None:
        expiry = min(expiry, lot.expiry)  # what is mixed keeps as long as its oldest part
    values = {**dict(lot.values), **data.get("values", {})}
    return after(
        lot, received=lot.received + amount, unit=lot.unit or given, material=material or lot.material,
        expiry=expiry or lot.expiry, serials=(*lot.serials, *serials), values=tuple(sorted(values.items())),
        certificate=data.get("certificate", lot.certificate),
        arrived=entry.event.event_time if lot.arrived is None else lot.arrived,
    ), slip  # fmt: skip


def _use(lot: Lot, entry: Entry) -> tuple[Lot, Finding | None]:
    event, slip = entry.event, None
    total = Decimal(0)
    for one in event.data["inputs"]:
        if lot.id not in (one.get("lot"), one.get("id")) or "quantity" not in one:
            continue
        amount = _in_unit(lot, one["quantity"], one.get("unit"))
        if amount is None:
            slip = _unit_differs(lot, one.get("unit"))
        else:
            total += amount
    slip = slip or _unfit(lot, total, entry)
    return after(lot, used=lot.used + total, uses=lot.uses + 1), slip


def _unfit(lot: Lot, total: Decimal, entry: Entry) -> Finding | None:
    today = entry.event.local_time()[:10]
    if lot.scrapped:
        return Finding(
            "lot_scrapped", "error", lot.id, text("lot {id} was scrapped: take another lot", id=lot.id)
        )
    if lot.expiry is not None and today > lot.expiry:
        return Finding(
            "lot_expired", "error", lot.id,
            text("lot {id} expired on {day}: take another lot and put this one aside", id=lot.id, day=lot.expiry),
        )  # fmt: skip
    return _short(lot, total)


def _short(lot: Lot, total: Decimal) -> Finding | None:
    if total > lot.rest:
        return Finding(
            "lot_used_up", "error", lot.id,
            text("lot {id} holds {rest} {unit} by the record, {wanted} {unit} are asked: count it, or scan the lot "
                 "that you took", id=lot.id, rest=str(lot.rest), unit=lot.unit or "", wanted=str(total)),
        )  # fmt: skip
    return None


def _count(lot: Lot, entry: Entry) -> tuple[Lot, Finding | None]:
    data = entry.event.data
    amount = _in_unit(lot, data["quantity"], data.get("unit"))
    if amount is None:
        return lot, _unit_differs(lot, data.get("unit"))
    return after(lot, adjusted=lot.adjusted + amount - lot.rest), None


def _dispose(lot: Lot, entry: Entry) -> tuple[Lot, Finding | None]:
    data = entry.event.data
    lot = common.dispose(lot, entry)
    if data["disposition"] != "scrap":
        return lot, None
    if "quantity" not in data:
        return after(lot, adjusted=lot.adjusted - lot.rest, scrapped=True), None
    amount = exact(data["quantity"])
    if amount > lot.rest:
        return lot, _short(lot, amount)
    return after(lot, adjusted=lot.adjusted - amount), None
