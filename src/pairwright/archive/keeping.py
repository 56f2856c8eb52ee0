"""Things that are kept whole beside the events: lots, orders and tools, whose events may be very many."""

from __future__ import annotations

import json
from dataclasses import fields
from decimal import Decimal
from typing import Any, Final

from pairwright.floor.things import Check, Hold, Lot, Order, Reading, Thing, Tool, Trouble

_NESTED: Final[dict[str, type]] = {"holds": Hold, "troubles": Trouble, "readings": Reading, "checks": Check}
_EXACT: Final = frozenset(("received", "used", "adjusted"))
_KINDS: Final[dict[str, type]] = {"lot": Lot, "order": Order, "purchase": Order}
_NAMES: Final = {kind: tuple(f.name for f in fields(kind)) for kind in (Lot, Order, Tool, *_NESTED.values())}


def kept_text(thing: Thing) -> str | None:
    """A thing as text; None for items and sets, whose events are few enough to be read."""
    if not isinstance(thing, Lot | Order | Tool):
        return None
    return json.dumps(_table(thing), separators=(",", ":"))


def kept_thing(body: str) -> Thing:
    """The thing of a text that `kept_text` wrote."""
    raw: dict[str, Any] = json.loads(body)
    for name, kind in _NESTED.items():
        if name in raw:
            raw[name] = tuple(kind(**one) for one in raw[name])
    for name in ("cleared", "serials"):
        if name in raw:
            raw[name] = tuple(raw[name])
    if "values" in raw:
        raw["values"] = tuple((name, value) for name, value in raw["values"])
    kind = _KINDS.get(raw["kind"], Tool)
    if kind is Lot:
        for name in _EXACT & raw.keys():
            raw[name] = Decimal(raw[name])
    made: Thing = kind(**raw)
    return made


def _table(thing: Any) -> dict[str, Any]:
    found = {}
    for name in _NAMES[type(thing)]:
        value = getattr(thing, name)
        if name in _NESTED:
            value = [_table(one) for one in value]
        elif isinstance(value, Decimal):
            value = str(value)
        found[name] = value
    return found
