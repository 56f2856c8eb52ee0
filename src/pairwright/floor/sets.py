"""The life of a set, event by event."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import common
from pairwright.floor.event import Entry
from pairwright.floor.items import bond_of, not_mates
from pairwright.floor.things import Release, Set, after
from pairwright.floor.touch import Touch

FROZEN: Final = frozenset(
    ("registered", "started", "finished", "measured", "inspected", "mated", "unmated", "disposed", "moved")
)


def advance_set(one: Set, touch: Touch, entry: Entry) -> tuple[Set, Finding | None]:
    """A set after an event that touches it."""
    event = entry.event
    if touch.role == "member_of":
        members = (*(name for name in one.members if name != event.subject), str(event.subject))
        return after(one, members=members), left_already(one)
    moved, slip = _own(one, entry)
    if event.kind in FROZEN:
        slip = left_already(one) or slip
    return moved, slip


def left_already(one: Set) -> Finding | None:
    """What a released set answers to whoever wants to change it."""
    if one.release is None:
        return None
    if one.release.shipped is not None:
        return Finding(
            "set_shipped", "error", one.id,
            text("set {id} has left the works: what is in it can't change any more", id=one.id),
        )  # fmt: skip
    return Finding(
        "set_released", "error", one.id,
        text("set {id} is released: withdraw the release by a correction before anything in it changes", id=one.id),
    )  # fmt: skip


def _own(one: Set, entry: Entry) -> tuple[Set, Finding | None]:
    alike = common.worked_on(one, entry)
    if alike is not None:
        return alike
    match entry.event.kind:
        case "disposed":
            moved = common.dispose(one, entry)
            back = entry.event.data["disposition"] in ("rework", "repair")
            return (common.send_back(moved, entry) if back else moved), None
        case "moved":
            return after(one, place=entry.event.data["buffer"]), None
        case "mated":
            return _mate(one, entry)
        case "unmated":
            return _unmate(one, entry)
        case "registered":
            return _register(one, entry), None
        case "released":
            return _release(one, entry)
        case "shipped":
            return _ship(one, entry)
        case _:
            return one, None


def _register(one: Set, entry: Entry) -> Set:
    data = entry.event.data
    stated = {name: data[name] for name in ("product", "option", "order") if name in data}
    values = {**dict(one.values), **data.get("values", {})}
    return after(one, **stated, values=tuple(sorted(values.items())))


def _mate(one: Set, entry: Entry) -> tuple[Set, Finding | None]:
    bond, data = bond_of(entry), entry.event.data
    slip = None
    if one.pair is not None and data.get("carries_on") != one.pair.key:
        slip = Finding(
            "set_mated", "error", one.id,
            text("set {id} holds {first} and {second}: take that pair apart first, with a reason",
                 id=one.id, first=one.pair.first, second=one.pair.second),
        )  # fmt: skip
    elif one.was_paired and one.pair is None and "reason" not in data:
        slip = Finding(
            "reason_missing", "error", one.id,
            text("set {id} had a pair before: say why it is mated anew", id=one.id),
        )  # fmt: skip
    return after(one, pair=bond, was_paired=True, changed=entry.sequence), slip


def _unmate(one: Set, entry: Entry) -> tuple[Set, Finding | None]:
    bond = bond_of(entry)
    if one.pair is None or set(one.pair.halves) != set(bond.halves):
        return one, not_mates(one.id, bond)
    return after(one, pair=None, changed=entry.sequence), None


def _release(one: Set, entry: Entry) -> tuple[Set, Finding | None]:
    event = entry.event
    slip = left_already(one)
    if slip is not None:
        return one, slip
    halves = one.pair.halves if one.pair is not None else one.members
    release = Release(event.data["dossier"], event.event_time, event.actor, event.key, entry.sequence, halves)
    return after(one, release=release), None


def _ship(one: Set, entry: Entry) -> tuple[Set, Finding | None]:
    if one.release is None:
        return one, Finding(
            "set_not_released", "error", one.id,
            text("set {id} is not released: it may not leave", id=one.id),
        )  # fmt: skip
    if one.release.shipped is not None:
        return one, left_already(one)
    stated = entry.event.data.get("dossier", one.release.dossier)
    slip = None
    if stated != one.release.dossier:
        slip = Finding(
            "wrong_dossier", "error", one.id,
            text("set {id} was released with another dossier: print the one it was released with", id=one.id),
        )  # fmt: skip
    return after(one, release=replace(one.release, shipped=entry.event.key)), slip
