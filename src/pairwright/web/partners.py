"""What can be done between two pieces: form a pair, take it apart, swap a half, put a part in, take it out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pairwright.app.matching import Mates, is_orphan, offers_for
from pairwright.app.stationing import making_of
from pairwright.base.errors import InputError
from pairwright.floor.things import Item, Set
from pairwright.web.served import Served

WITH_ANOTHER: Final = ("mate", "swap", "mount")  # acts whose sheet asks for a second piece


def acts_between(served: Served, subject: str) -> tuple[str, ...]:
    """Acts that a thing allows with another one, as it stands now.

    Parameters
    ----------
    served : Served
        The works.
    subject : str
        Id of an item or set.
    """
    routes = making_of(served.floor).routes
    with served.floor.looking() as state:
        thing = state.thing(subject)
        if isinstance(thing, Set):
            return ("swap", "unmate") if thing.pair is not None and thing.release is None else ()
        if not isinstance(thing, Item) or thing.scrapped:
            return ()
        variant, position = routes.variant(thing), routes.position(state, thing)
        takes = position is not None and position.next is not None and bool(position.next.uses)
        free = (
            variant is not None
            and variant.kind == "pair"
            and thing.part == variant.root
            and thing.pair is None
        )
        return tuple(_acts(thing, free=free, takes=takes))


def _acts(item: Item, *, free: bool, takes: bool) -> Iterator[str]:
    if free:
        yield "mate"
    if takes:
        yield "mount"
    if item.into is not None:
        yield "remove"


def mates_offered(served: Served, subject: str) -> tuple[Mates, ...]:
    """The likeliest mates of an orphan, best first; empty for anything else.

    Parameters
    ----------
    served : Served
        The works.
    subject : str
        Id of an item.
    """
    with served.floor.looking() as state:
        item = state.item(subject)
        if item is None or not is_orphan(state, item):
            return ()
    try:
        return offers_for(served.floor, subject, actor="serve")
    except InputError:
        return ()


def halves_of(served: Served, subject: str) -> tuple[str, ...]:
    """The two halves of the pair that a thing is, or is in."""
    with served.floor.looking() as state:
        thing = state.thing(subject)
        return thing.pair.halves if isinstance(thing, Item | Set) and thing.pair is not None else ()
