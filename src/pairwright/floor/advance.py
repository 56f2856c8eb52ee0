"""One more event in the life of a thing: its record before, its record after, and what contradicts.

`advance` is total: an event that does not fit is still taken as far as it goes, and a finding says
what it contradicts. A record that was kept by the rules holds no such event.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, TypeAlias

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Entry
from pairwright.floor.items import advance_item
from pairwright.floor.lots import advance_lot
from pairwright.floor.sets import advance_set
from pairwright.floor.things import Check, Item, Lot, Order, Set, Thing, Tool, after
from pairwright.floor.touch import Touch

Step: TypeAlias = Callable[[Any, Touch, Entry], tuple[Any, Finding | None]]

# kinds of events that may be the first to name a thing, by its part in the event
FIRST_SEEN: Final[dict[str, frozenset[str]]] = {
    "item": frozenset(("registered", "received", "started", "finished", "measured", "inspected", "mounted")),
    "set": frozenset(("registered", "started", "finished", "measured", "inspected", "mated")),
    "lot": frozenset(("registered", "received")),
    "serial": frozenset(("received",)),
    "half": frozenset(("mated",)),
    "whole": frozenset(("mounted",)),
    "input": frozenset(),
    "order": frozenset(("ordered",)),
    "purchase": frozenset(("purchased",)),
    "action": frozenset(("assigned",)),
}


def advance(thing: Thing | None, touch: Touch, *, entry: Entry) -> tuple[Thing, Finding | None]:
    """The record of a thing after an event that touches it, and what the event contradicts.

    Parameters
    ----------
    thing : Thing | None
        Its record so far; None where no event has named it.
    touch : Touch
        Its part in the event.
    entry : Entry
        The event with its place in the record.
    """
    slip: Finding | None = None
    if thing is None:
        allowed = FIRST_SEEN.get(touch.role)
        if allowed is not None and entry.event.kind not in allowed:
            slip = _unknown(touch)
        thing = _blank(touch, entry)
    elif not _fits(thing, touch):
        return after(thing, last=entry.sequence), _other_kind(thing, touch)
    moved, found = _STEPS[type(thing)](after(thing, last=entry.sequence), touch, entry)
    return moved, slip or found


def _fits(thing: Thing, touch: Touch) -> bool:
    """Whether a thing is of the kind that its part in the event asks for."""
    if touch.kind is not None:
        return thing.kind == touch.kind
    return isinstance(thing, Item | Lot)


def _blank(touch: Touch, entry: Entry) -> Thing:
    kind = touch.kind or "item"
    first = entry.sequence
    if kind == "item":
        return Item(touch.id, kind, first, first)
    if kind == "lot":
        return Lot(touch.id, kind, first, first)
    if kind == "set":
        return Set(touch.id, kind, first, first)
    if kind in ("order", "purchase"):
        return Order(touch.id, kind, first, first)
    return Tool(touch.id, kind, first, first)


def _unknown(touch: Touch) -> Finding:
    if touch.kind == "lot":
        return Finding(
            "unknown_lot", "error", touch.id,
            text("lot {id} has never been received: scan the label again, or receive it first", id=touch.id),
        )  # fmt: skip
    if touch.kind == "set":
        return Finding(
            "unknown_set", "error", touch.id,
            text("set {id} is not known: scan the label again, or mate its halves first", id=touch.id),
        )  # fmt: skip
    if touch.kind in ("order", "purchase"):
        return Finding(
            "unknown_order", "error", touch.id,
            text("{id} has never been ordered: correct the number, or enter the order first", id=touch.id),
        )  # fmt: skip
    return Finding(
        "unknown_item", "error", touch.id,
        text("{id} is not known: scan the label again, or receive or register it first", id=touch.id),
    )  # fmt: skip


def _other_kind(thing: Thing, touch: Touch) -> Finding:
    return Finding(
        "wrong_identity", "error", touch.id,
        text("{id} is the identity of a {kind}, here it stands for a {other}: scan the right label",
             id=thing.id, kind=thing.kind, other=touch.kind or touch.role),
    )  # fmt: skip


def _order(order: Order, _: Touch, entry: Entry) -> tuple[Order, Finding | None]:
    data, kind = entry.event.data, entry.event.kind
    if kind == "ordered":
        return after(
            order, product=data["product"], option=data.get("option", ""), quantity=data["quantity"],
            due=data["due"], weight=data.get("weight", 1.0), released=data.get("released"),
            customer=data.get("customer", ""), closed=data["quantity"] == 0,
        ), None  # fmt: skip
    if kind == "purchased":
        return after(
            order, material=data["material"], quantity=data["quantity"], unit=data["unit"], due=data["arrives"],
            closed=False,
        ), None  # fmt: skip
    if kind == "received":
        return after(order, closed=True), None
    if kind == "cancelled":
        if order.closed:
            return order, Finding(
                "closed_order", "error", order.id,
                text("{id} is closed already: correct the earlier entry instead", id=order.id),
            )  # fmt: skip
        return after(order, closed=True), None
    return order, None


def _tool(tool: Tool, touch: Touch, entry: Entry) -> tuple[Tool, Finding | None]:
    event = entry.event
    data = event.data
    if event.kind == "registered":
        return after(tool, revision=data.get("revision", tool.revision)), None
    if event.kind == "calibrated":
        check = Check(data["good"], event.event_time, data.get("until"), event.key, entry.sequence)
        return after(tool, checks=(*tool.checks, check)), None
    if event.kind == "assigned":
        return after(tool, person=data["person"], by=data.get("by"), settled=False), None
    if event.kind == "settled":
        return after(tool, settled=True), None
    slip = _instrument(tool, entry) if touch.role == "instrument" else None
    return after(tool, uses=tool.uses + 1), slip


def _instrument(tool: Tool, entry: Entry) -> Finding | None:
    """An instrument whose last check was bad, or has run out, measures nothing."""
    if not tool.checks:
        return None
    last = tool.checks[-1]
    if not last.good:
        return Finding(
            "instrument_refused", "error", tool.id,
            text("instrument {id} failed its last calibration: take another one", id=tool.id),
        )  # fmt: skip
    if last.until is not None and entry.event.local_time()[:10] > last.until:
        return Finding(
            "instrument_expired", "error", tool.id,
            text("the calibration of instrument {id} ran out on {day}: take another, or have it calibrated",
                 id=tool.id, day=last.until),
        )  # fmt: skip
    return None


_STEPS: Final[dict[type, Step]] = {
    Item: advance_item,
    Lot: advance_lot,
    Set: advance_set,
    Order: _order,
    Tool: _tool,
}
