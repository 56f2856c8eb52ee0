"""Acts of words: a note, a handover, an action for somebody, notice taken."""

from __future__ import annotations

from pairwright.app.acting_case import Case
from pairwright.floor.things import Item, Lot, Set


def note(case: Case) -> None:
    """Somebody writes something down, about a thing or about a station."""
    data = case.act.data
    case.add("noted", _about(case), text=data.get("text"), photograph=data.get("photograph"),
             topic=data.get("topic"))  # fmt: skip


def assign(case: Case) -> None:
    """Somebody is to do something by a day."""
    data = case.act.data
    case.add("assigned", _about(case), action=data.get("action") or f"A-{case.act.key}"[:60],
             person=data.get("person"), by=data.get("by"), text=data.get("text"))  # fmt: skip


def settle(case: Case) -> None:
    """What was to be done is done."""
    case.add("settled", _about(case), action=case.act.data.get("action"), text=case.act.data.get("text"))


def acknowledge(case: Case) -> None:
    """Somebody takes notice of an event."""
    case.add("acknowledged", _about(case), about=case.act.data.get("about"), text=case.act.data.get("text"))


def _about(case: Case) -> tuple[str, str] | None:
    for scan in case.scans:
        if isinstance(scan.thing, Item | Lot | Set):
            return scan.thing.kind, scan.thing.id
    return None
