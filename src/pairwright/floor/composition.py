"""What a thing directly consists of, and how."""

from __future__ import annotations

from pairwright.floor.things import Item, Set, Thing, Worked

WAYS = ("mated", "belongs", "used", "mounted", "came with")


def links(thing: Thing | None) -> dict[str, str]:
    """Ids of what is directly in a thing, and the way in which it is: used, mounted, mated, came with.

    Parameters
    ----------
    thing : Thing | None
        Any thing; only items and sets consist of others.
    """
    if not isinstance(thing, Worked):
        return {}
    found: dict[str, str] = {}
    if isinstance(thing, Set):
        if thing.pair is not None:
            found.update(dict.fromkeys(thing.pair.halves, "mated"))
        else:
            found.update(dict.fromkeys(thing.members, "belongs"))
    for one in thing.inputs:
        found.setdefault(one.id, "used")
    if isinstance(thing, Item):
        for mount in thing.parts:
            found.setdefault(mount.id, "mounted")
        if thing.lot is not None:
            found.setdefault(thing.lot, "came with")
    return found


def what_of(thing: Thing | None) -> str | None:
    """In a word what a thing is: its part, product or material.

    Parameters
    ----------
    thing : Thing | None
        Any thing.
    """
    for name in ("part", "product", "material"):
        value = getattr(thing, name, None)
        if value is not None:
            return str(value)
    return None
