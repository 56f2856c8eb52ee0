"""The life of an item, event by event."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import common
from pairwright.floor.event import Entry
from pairwright.floor.things import Bond, Item, Mount, after
from pairwright.floor.touch import Touch

SIDES = ("left", "right", "a", "b")


def advance_item(item: Item, touch: Touch, entry: Entry) -> tuple[Item, Finding | None]:
    """An item after an event that touches it."""
    kind = entry.event.kind
    match touch.role:
        case "half":
            return mate(item, entry) if kind == "mated" else unmate(item, entry)
        case "whole":
            return _hold_part(item, entry) if kind == "mounted" else _give_part(item, entry)
        case "serial":
            return _receive(item, entry, lot=entry.event.subject)
        case "input":
            return _use_up(item, entry)
        case _:
            return _own(item, entry)


def _own(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    """What the item is the subject of."""
    data = entry.event.data
    alike = common.worked_on(_named(item, entry), entry)
    if alike is not None:
        gone = _gone(item) if entry.event.kind in ("started", "finished") else None
        return alike[0], gone or alike[1]
    match entry.event.kind:
        case "disposed":
            return _dispose(item, entry)
        case "mounted":
            return _go_in(item, entry)
        case "removed":
            return _come_out(item, entry)
        case "moved":
            return after(item, place=data["buffer"]), _gone(item)
        case "registered":
            return _register(item, entry)
        case "received":
            return _receive(item, entry, lot=None)
        case _:
            return item, None


def _named(item: Item, entry: Entry) -> Item:
    """A step may say which part the item is."""
    part = entry.event.data.get("part")
    return item if part is None or item.part is not None else after(item, part=part)


def _gone(item: Item) -> Finding | None:
    """Nothing more is done to what was scrapped or used up."""
    if item.scrapped:
        return _scrapped(item)
    if item.used_in is not None:
        return Finding(
            "item_used", "error", item.id,
            text("{id} was used up by {other}: scan what is in front of you", id=item.id, other=item.used_in),
        )  # fmt: skip
    return None


def _scrapped(item: Item) -> Finding:
    return Finding(
        "item_scrapped", "error", item.id,
        text("{id} was scrapped: put it away; if that was a mistake, correct the disposition", id=item.id),
    )  # fmt: skip


def _register(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    data = entry.event.data
    names = ("product", "option", "part", "side", "set", "order", "material")
    slip = None
    for name in names:
        before = getattr(item, name)
        if name in data and before is not None and before != data[name]:
            slip = Finding(
                "identity_differs", "error", item.id,
                text("{id} is known with {field} {before}, not {after}: correct the earlier entry if it was wrong",
                     id=item.id, field=name, before=before, after=data[name]),
            )  # fmt: skip
    stated = {name: data[name] for name in names if name in data}
    facts = {name: data[name] for name in ("flitch", "number", "revision") if name in data}
    values = {**dict(item.values), **data.get("values", {}), **facts}
    return after(
        item, **stated, finished=data.get("finished", item.finished), what=data.get("what", item.what),
        values=tuple(sorted(values.items())),
    ), slip  # fmt: skip


def _receive(item: Item, entry: Entry, *, lot: str | None) -> tuple[Item, Finding | None]:
    data = entry.event.data
    slip = None
    if item.received:
        slip = Finding(
            "received_twice", "error", item.id,
            text("{id} has been received before: check the label, two pieces can't share an identity", id=item.id),
        )  # fmt: skip
    values = {**dict(item.values), **data.get("values", {})}
    return after(
        item, received=True, lot=lot or item.lot, material=data.get("material", item.material),
        values=tuple(sorted(values.items())),
    ), slip  # fmt: skip


def _dispose(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    slip = _gone(item)
    item = common.dispose(item, entry)
    what = entry.event.data["disposition"]
    if what == "scrap":
        return after(item, scrapped=True, under=None), slip
    if what in ("rework", "repair"):
        return common.send_back(item, entry), slip
    return item, slip


def _use_up(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    user = entry.event.subject
    if item.used_in == user and not item.scrapped:
        return item, None
    slip = _gone(item) or _in_another(item)
    return after(item, used_in=item.used_in or user, under=None, place=None, changed=entry.sequence), slip


def _in_another(item: Item) -> Finding | None:
    if item.into is None:
        return None
    return Finding(
        "item_mounted", "error", item.id,
        text("{id} is mounted in {other}: take it out there first", id=item.id, other=item.into),
    )  # fmt: skip


def _go_in(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    slip = _gone(item) or _in_another(item)
    return after(item, into=entry.event.data["into"], place=None), slip


def _come_out(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    whole = entry.event.data["into"]
    if item.into == whole:
        return after(item, into=None), None
    return item, Finding(
        "item_not_mounted", "error", item.id,
        text("{id} is not mounted in {other}: scan the part that you took out", id=item.id, other=whole),
    )  # fmt: skip


def _hold_part(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    mount = Mount(str(entry.event.subject), entry.event.key, entry.sequence)
    others = tuple(part for part in item.parts if part.id != mount.id)
    return after(item, parts=(*others, mount), changed=entry.sequence), _gone(item)


def _give_part(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    left = tuple(part for part in item.parts if part.id != entry.event.subject)
    return after(item, parts=left, changed=entry.sequence), None


def bond_of(entry: Entry) -> Bond:
    """The pair that an event makes or ends."""
    data = entry.event.data
    first, second = (side for side in SIDES if side in data)
    return Bond(
        str(entry.event.subject), data[first], data[second], (first, second), entry.event.key, entry.sequence
    )


def mate(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    """An item becomes a half of a pair. One item is in at most one live pair."""
    bond, data = bond_of(entry), entry.event.data
    side = bond.sides[bond.halves.index(item.id)]
    slip = _gone(item)
    if item.pair is not None:
        slip = Finding(
            "item_mated", "error", item.id,
            text("{id} is the mate of {other} in set {set}: take that pair apart first, with a reason",
                 id=item.id, other=item.pair.other(item.id), set=item.pair.set),
        )  # fmt: skip
    elif item.side is not None and {item.side, side} == {"left", "right"}:
        slip = Finding(
            "wrong_side", "error", item.id,
            text("{id} is a {side} half and was given as the {other} one: swap the two scans",
                 id=item.id, side=item.side, other=side),
        )  # fmt: skip
    elif slip is None and "reason" not in data and "carries_on" not in data:
        slip = _no_reason(item, bond)
    moved = after(
        item, pair=bond, was_paired=True, set=bond.set, side=item.side or side, changed=entry.sequence
    )
    return moved, slip


def _no_reason(item: Item, bond: Bond) -> Finding | None:
    """Who had a mate, or belongs to another set, gets a mate only with a reason."""
    if item.was_paired:
        return Finding(
            "reason_missing", "error", item.id,
            text("{id} had a mate before: say why it gets another", id=item.id),
        )  # fmt: skip
    if item.set not in (None, bond.set):
        return Finding(
            "reason_missing", "error", item.id,
            text("{id} was made for set {set}: say why it goes to set {other}",
                 id=item.id, set=item.set or "", other=bond.set),
        )  # fmt: skip
    return None


def unmate(item: Item, entry: Entry) -> tuple[Item, Finding | None]:
    """A half loses its mate and is an orphan."""
    bond = bond_of(entry)
    if item.pair is None or item.pair.set != bond.set or set(item.pair.halves) != set(bond.halves):
        return item, not_mates(item.id, bond)
    return after(item, pair=None, changed=entry.sequence), None


def not_mates(subject: str, bond: Bond) -> Finding:
    """What says that two items are no pair."""
    return Finding(
        "item_not_mated", "error", subject,
        text("{first} and {second} are not the pair of set {set}: scan the set to see which halves it has",
             first=bond.first, second=bond.second, set=bond.set),
    )  # fmt: skip
