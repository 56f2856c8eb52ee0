"""Which things an event touches, and as what."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from pairwright.floor.event import Event

TOOLS: Final = ("instrument", "carrier", "batch", "programme")


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
    beside = _BESIDE.get(kind)
    if beside is not None:
        yield from beside(event)
    for tool in TOOLS:
        if tool in data:
            yield Touch(data[tool], tool, tool)


def _halves(event: Event) -> Iterator[Touch]:
    return (
        Touch(event.data[side], "half", "item") for side in ("left", "right", "a", "b") if side in event.data
    )


def _whole(event: Event) -> Iterator[Touch]:
    yield Touch(event.data["into"], "whole", "item")


def _inputs(event: Event) -> Iterator[Touch]:
    for one in event.data.get("inputs", ()):
        role = next(name for name in ("lot", "item", "id") if name in one)
        yield Touch(one[role], "input", None if role == "id" else role)


def _serials(event: Event) -> Iterator[Touch]:
    for serial in event.data.get("serials", ()):
        yield Touch(serial, "serial", "item")
    if "purchase" in event.data:
        yield Touch(event.data["purchase"], "purchase", "purchase")


def _set(event: Event) -> Iterator[Touch]:
    if "set" in event.data and event.subject_kind == "item":
        yield Touch(event.data["set"], "member_of", "set")


def _order(event: Event) -> Iterator[Touch]:
    role = "order" if "order" in event.data else "purchase"
    yield Touch(event.data[role], role, role)


def _action(event: Event) -> Iterator[Touch]:
    yield Touch(event.data["action"], "action", "action")


_BESIDE: Final[dict[str, Callable[[Event], Iterator[Touch]]]] = {
    "mated": _halves,
    "unmated": _halves,
    "mounted": _whole,
    "removed": _whole,
    "started": _inputs,
    "finished": _inputs,
    "received": _serials,
    "registered": _set,
    "ordered": _order,
    "purchased": _order,
    "cancelled": _order,
    "assigned": _action,
    "settled": _action,
}
