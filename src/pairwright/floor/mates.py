"""Whether two halves may become a pair: what they are made of has a say."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.event import Entry, Event
from pairwright.floor.items import bond_of
from pairwright.floor.state import State
from pairwright.floor.things import Bond, Item


def may_mate(state: State, event: Event) -> list[Finding]:
    """Why two items may not be mated, beyond what each of them and the set says.

    Parameters
    ----------
    state : State
        The state of the floor.
    event : Event
        The mating that is asked for.
    """
    bond = bond_of(Entry(0, event))
    first, second = state.item(bond.first), state.item(bond.second)
    found: list[Finding] = []
    if first is not None and second is not None:
        found += _alike(first, second)
    one = state.set(bond.set)
    carried = one.pair if one is not None else None
    if carried is not None and event.data.get("carries_on") == carried.key:
        found += _carried(state, bond, carried)
    return [*found, *torn(state, bond)]


def torn(state: State, bond: Bond) -> list[Finding]:
    """Where a half was made of something whose mate did not go into the other half.

    Parameters
    ----------
    state : State
        The state of the floor.
    bond : Bond
        The pair.
    """
    return [
        _torn(item, mate, half=half, inner=inner)
        for item, mate in (bond.halves, bond.halves[::-1])
        for half, inner in pairs_within(state, item)
        if inner.other(half) not in dict(_used(state, mate))
    ]


def pairs_within(state: State, name: str) -> Iterator[tuple[str, Bond]]:
    """Halves that an item was made of and that are still mates of something, with their pairs.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the item.
    """
    for half, item in _used(state, name):
        if item.pair is not None:
            yield half, item.pair


def _used(state: State, name: str) -> Iterator[tuple[str, Item]]:
    """Items that an item was made of, all the way down; not what is merely mounted in it."""
    seen = {name}
    ring = [name]
    while ring:
        following: list[str] = []
        for one in ring:
            item = state.item(one)
            for used in () if item is None else item.inputs:
                inner = state.item(used.id)
                if inner is not None and used.id not in seen:
                    seen.add(used.id)
                    following.append(used.id)
                    yield used.id, inner
        ring = following


def _alike(first: Item, second: Item) -> list[Finding]:
    for name in ("product", "option", "part"):
        one, other = getattr(first, name), getattr(second, name)
        if one is not None and other is not None and one != other:
            return [
                Finding(
                    "wrong_mate", "error", first.id,
                    text("{first} is {one} and {second} is {other}: mates are alike; scan the right half",
                         first=first.id, one=one, second=second.id, other=other),
                )
            ]  # fmt: skip
    return []


def _carried(state: State, bond: Bond, carried: Bond) -> list[Finding]:
    """A pair goes over to what was made of its halves, side by side."""
    for new, old in zip(bond.halves, carried.halves, strict=True):
        if new != old and old not in dict(_used(state, new)):
            return [
                Finding(
                    "wrong_mate", "error", new,
                    text("{new} was not made of {old}: the pair of set {set} can't go over to it; scan the right half",
                         new=new, old=old, set=carried.set),
                )
            ]  # fmt: skip
    return []


def _torn(item: str, mate: str, *, half: str, inner: Bond) -> Finding:
    return Finding(
        "wrong_mate", "error", item,
        text("{item} was made of {half}, whose mate is {other}; {mate} was not made of that: scan the right half, "
             "or take that pair apart first, with a reason",
             item=item, half=half, other=inner.other(half), mate=mate),
    )  # fmt: skip
