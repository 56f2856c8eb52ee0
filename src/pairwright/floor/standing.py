"""How a thing stands, in a word: for lists, counts and pages."""

from __future__ import annotations

from pairwright.floor.things import Item, Lot, Order, Set, Thing


def standing(thing: Thing) -> str:
    """One word, or two, for how a thing stands by itself.

    A hold on what it is made of does not show here; see `holds_on`.

    Parameters
    ----------
    thing : Thing
        Any thing.
    """
    if isinstance(thing, Item):
        return _item(thing)
    if isinstance(thing, Set):
        return _set(thing)
    if isinstance(thing, Lot):
        if thing.scrapped:
            return "scrapped"
        if thing.holds:
            return "on hold"
        return "in stock" if thing.rest > 0 else "used up"
    if isinstance(thing, Order):
        return "closed" if thing.closed else "open"
    return "settled" if thing.settled else "known"


def _item(item: Item) -> str:
    if item.scrapped:
        return "scrapped"
    if item.used_in is not None:
        return "used up"
    if item.holds:
        return "on hold"
    if item.into is not None:
        return "mounted"
    if item.under is not None:
        return "in work"
    return "sent back" if item.to_step is not None else "waiting"


def _set(one: Set) -> str:
    if one.release is not None and one.release.shipped is not None:
        return "shipped"
    if one.holds:
        return "on hold"
    if one.release is not None:
        return "released"
    if one.under is not None:
        return "in work"
    return "mated" if one.pair is not None else "unmated"
