"""Holds reach everything that is made of what they are on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pairwright.floor.composition import links
from pairwright.floor.state import State
from pairwright.floor.things import Hold, Item, Set


@dataclass(frozen=True, slots=True)
class Reach:
    """A hold that reaches a thing; `on` is what it was put on, `way` leads there."""

    hold: Hold
    on: str
    way: tuple[str, ...]


def holds_on(state: State, name: str) -> tuple[Reach, ...]:
    """Every hold in force on a thing: its own, then those of what is in it, nearest first.

    A hold reaches a thing through what was used up in it, what is mounted in it now, the lot it came with,
    and a set through its halves, unless a `freed` that names the hold stands on the way.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the thing.
    """
    found: dict[str, Reach] = {}
    seen: set[tuple[str, frozenset[str]]] = set()
    ring: list[tuple[str, tuple[str, ...], frozenset[str]]] = [(name, (), frozenset())]
    while ring:
        following: list[tuple[str, tuple[str, ...], frozenset[str]]] = []
        for one, way, cleared in ring:
            thing = state.thing(one)
            if thing is None or (one, cleared) in seen:
                continue
            seen.add((one, cleared))
            for hold in thing.holds:
                if hold.key not in cleared:
                    found.setdefault(hold.key, Reach(hold, one, way))
            below = cleared | set(thing.cleared)
            following += [(part, (*way, part), below) for part in links(thing)]
        ring = following
    return tuple(found.values())


def reached_by(state: State, name: str) -> Iterator[str]:
    """Ids of all that a hold on a thing would reach: what uses it, what uses that, their sets.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the thing.
    """
    seen = {name}
    ring = [name]
    while ring:
        above = sorted({use.whole for use in state.users(ring)} - seen)
        seen.update(above)
        yield from above
        ring = above


def release_around(state: State, name: str) -> Set | None:
    """The released set that a thing is in, if any: what is in it may not change.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of an item or a set.
    """
    seen: set[str] = set()
    while name not in seen:
        seen.add(name)
        thing = state.thing(name)
        if isinstance(thing, Set):
            return thing if thing.release is not None else None
        if not isinstance(thing, Item):
            return None
        one = None if thing.set is None else state.set(thing.set)
        if one is not None and one.release is not None and name in one.release.halves:
            return one
        holder = thing.into or thing.used_in
        if holder is None:
            return None
        name = holder
    return None
