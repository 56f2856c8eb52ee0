"""Which things an event touches, and as what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pairwright.floor.event import Event

TOOLS = ("instrument", "carrier", "batch", "programme")


@dataclass(frozen=True, slots=True)
class Touch:
    """A thing and its part in an event.

    `role` is one of: item, lot, set (what the event is about); serial (an item that came in); input (used
    up by an item); half, whole (of a mating or mounting); member_of (a set, an order that an item is
    registered for); order, purchase; instrument, carrier, batch, programme; action.
    """

    id: str
    role: str
    kind: str | None  # the kind of thing it must be; None where only the record can tell


def touches(event: Event) -> tuple[Touch, ...]:
    """The things that an event touches, each once; a correction's are those of what it corrects.

    Parameters
    ----------
    event : Event
        Any event but a correction.
    """
    found: dict[str, Touch] = {}
    for touch in _touches(event):
        found.setdefault(touch.id, touch)
    return tuple(found.values())


def _touches(event: Event) -> Iterator[Touch]:
    data, kind = event.data, event.kind
    if kind == "registered" and data.get("what") in TOOLS and event.subject is not None:
        yield Touch(event.subject, data["what"], data["what"])
    elif event.subject is not None and event.subject_kind is not None:
        yield Touch(event.subject, event.subject_kind, event.subject_kind)
    if kind in ("mated", "unmated"):
        for side in ("left", "right", "a", "b"):
            if side in data:
                yield Touch(data[side], "half", "item")
    elif kind in ("mounted", "removed"):
        yield Touch(data["into"], "whole", "item")
    elif kind == "received":
        for serial in data.get("serials", ()):
            yield Touch(serial, "serial", "item")
        if "purchase" in data:
            yield Touch(data["purchase"], "purchase", "purchase")
    elif kind in ("started", "finished"):
        for one in data.get("inputs", ()):
            role = next(name for name in ("lot", "item", "id") if name in one)
            yield Touch(one[role], "input", None if role == "id" else role)
    elif kind == "registered":
        if "set" in data and event.subject_kind == "item":
            yield Touch(data["set"], "member_of", "set")
    elif kind in ("ordered", "purchased", "cancelled"):
        role = "order" if "order" in data else "purchase"
        yield Touch(data[role], role, role)
    elif kind in ("assigned", "settled"):
        yield Touch(data["action"], "action", "action")
    for tool in TOOLS:
        if tool in data:
            yield Touch(data[tool], tool, tool)
