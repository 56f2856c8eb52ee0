"""Acts on parts that can come out again: mount and remove."""

from __future__ import annotations

from pairwright.app.acting_case import Case, Refused
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.things import Item


def mount(case: Case) -> None:
    """A part goes into another item: the one whose route asks for it, in whatever order they were scanned."""
    part, whole = _both(case)
    case.add(
        "mounted", ("item", part.id), into=whole.id, reason=case.act.data.get("reason"), step=case.act.step
    )


def remove(case: Case) -> None:
    """A part comes out again."""
    items = [one.item for one in case.scans if one.item is not None]
    part = next((one for one in items if one.into is not None), None)
    if part is None:
        part, whole = _both(case)
        case.add("removed", ("item", part.id), into=whole.id, reason=case.act.data.get("reason"))
        return
    named = [one.id for one in items if one.id != part.id]
    into = named[0] if named else part.into
    case.add("removed", ("item", part.id), into=into, reason=case.act.data.get("reason"))


def _both(case: Case) -> tuple[Item, Item]:
    """The part and what holds it."""
    items = [one.item for one in case.scans if one.item is not None]
    if len(items) != 2:
        raise Refused(
            case.nothing() if not items or case.of_kind("unknown") else Finding(
                "whole_missing", "error", items[0].id,
                text("scan the part and what it goes into, {count} were scanned", count=len(items)),
            )
        )  # fmt: skip
    first, second = items
    return (
        (second, first)
        if _takes(case, first, second) and not _takes(case, second, first)
        else (first, second)
    )


def _takes(case: Case, whole: Item, part: Item) -> bool:
    position = case.position(whole)
    if position is None:
        return False
    return any(part.part in step.uses for step in position.steps)
