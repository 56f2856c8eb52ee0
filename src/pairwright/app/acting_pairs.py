"""Acts on pairs: mate, take apart, swap a half. Each leaves a reason and makes the tests due again."""

from __future__ import annotations

from collections.abc import Sequence

from pairwright.app.acting_case import Case, Refused
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.things import Bond, Item, Set


def mate(case: Case) -> None:
    """Two halves become a pair."""
    items = _items(case)
    if len(items) != 2:
        raise Refused(_scan_both(case, items))
    one = _set_of(case, items)
    sides = _sides(case, items)
    case.add("mated", ("set", one), **dict(sides), reason=case.act.data.get("reason"))


def unmate(case: Case) -> None:
    """A pair is taken apart, for a reason."""
    bond = _bond(case)
    case.add("unmated", ("set", bond.set), **_halves(bond), reason=_reason(case, bond.set))


def swap(case: Case) -> None:
    """One half of a pair is replaced by another item: the pair ends and a new one begins."""
    bond = _bond(case)
    new = next((one for one in _items(case) if one.id not in bond.halves), None)
    if new is None:
        raise Refused(
            Finding(
                "replacement_missing", "error", bond.set,
                text("scan the item that takes the place of {first} or of {second}",
                     first=bond.first, second=bond.second),
            )
        )  # fmt: skip
    out = _out(case, bond, new)
    reason = _reason(case, bond.set)
    kept = {side: new.id if half == out else half for side, half in zip(bond.sides, bond.halves, strict=True)}
    case.add("unmated", ("set", bond.set), **_halves(bond), reason=reason)
    case.add("mated", ("set", bond.set), **kept, reason=reason)


def _out(case: Case, bond: Bond, new: Item) -> str:
    """The half that goes: the one named, the one scanned with the new one, or the one of its side."""
    named = case.act.data.get("out")
    if named in bond.halves:
        return str(named)
    scanned = [one.id for one in _items(case) if one.id in bond.halves]
    if len(scanned) == 1:
        return scanned[0]
    if new.side in bond.sides:
        return bond.halves[bond.sides.index(new.side)]
    raise Refused(
        Finding(
            "replacement_missing", "error", bond.set,
            text("scan the half that {id} replaces too: {first} or {second}",
                 id=new.id, first=bond.first, second=bond.second),
        )
    )  # fmt: skip


def _items(case: Case) -> list[Item]:
    return [one.item for one in case.scans if one.item is not None]


def _halves(bond: Bond) -> dict[str, str]:
    return dict(zip(bond.sides, bond.halves, strict=True))


def _bond(case: Case) -> Bond:
    """The pair that a scanned set or half is in."""
    for thing in case.worked():
        if isinstance(thing, Item | Set) and thing.pair is not None:
            return thing.pair
    if not case.worked():
        raise Refused(case.nothing())
    name = case.worked()[0].id
    raise Refused(
        Finding(
            "item_not_mated",
            "error",
            name,
            text("{id} is in no pair: scan a half of one, or its set", id=name),
        )
    )


def _reason(case: Case, name: str) -> str:
    reason = case.act.data.get("reason") or case.act.data.get("text")
    if not reason:
        raise Refused(
            Finding(
                "reason_missing", "error", name,
                text("say why the pair of set {id} is taken apart: its tests count no longer", id=name),
            )
        )  # fmt: skip
    return str(reason)


def _set_of(case: Case, items: Sequence[Item]) -> str:
    """The set of a new pair: the one scanned or named, else the one that a half was made for."""
    sets = [one.id for one in case.scans if one.kind == "set"]
    named = case.act.data.get("set")
    found = sets[0] if sets else named or next((one.set for one in items if one.set is not None), None)
    if found is None:
        raise Refused(
            Finding(
                "set_missing", "error", items[0].id,
                text("say which set {first} and {second} are for", first=items[0].id, second=items[1].id),
            )
        )  # fmt: skip
    return str(found)


def _sides(case: Case, items: Sequence[Item]) -> list[tuple[str, str]]:
    """Each half under its side; halves without one are a and b in order of scanning."""
    first, second = items
    product = case.routes.variant(first)
    pair = ("a", "b") if product is None else product.sides()
    names = ("left", "right") if "left" in pair or "left" in (first.side, second.side) else ("a", "b")
    if first.side == names[1] or second.side == names[0]:
        first, second = second, first
    return [(names[0], first.id), (names[1], second.id)]


def _scan_both(case: Case, items: Sequence[Item]) -> Finding:
    if not items:
        return case.nothing()
    return Finding(
        "half_missing", "error", items[0].id,
        text("{count} halves were scanned: scan the two that become a pair", count=len(items)),
    )  # fmt: skip
