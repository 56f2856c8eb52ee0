"""Whether a set may leave: the least that holds in every works.

A works asks for more (limits, inspections, papers); it may not ask for less.
"""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.composition import links
from pairwright.floor.event import Event
from pairwright.floor.mates import torn
from pairwright.floor.state import State
from pairwright.floor.things import Item, Set, Worked


def may_leave(state: State, event: Event) -> list[Finding]:
    """Why a set may not be released.

    Parameters
    ----------
    state : State
        The state of the floor.
    event : Event
        The release that is asked for.
    """
    one = state.set(str(event.subject))
    if one is None:
        return []
    present = standing_halves(state, one)
    if len(present) != (2 if one.pair is not None or one.was_paired else 1):
        return [
            Finding(
                "set_without_mate", "error", one.id,
                text("set {id} does not hold its halves: mate them, or register the one item of a single", id=one.id),
            )
        ]  # fmt: skip
    inside = [thing for half in present for thing in within(state, half)]
    found = [slip for thing in (one, *inside) for slip in _unfinished(thing)]
    if one.pair is not None:
        found += torn(state, one.pair)
    return [*found, *_unmeasured(state, one, present)]


def may_ship(state: State, event: Event) -> list[Finding]:
    """Why a released set may not leave after all: something was reported since.

    Parameters
    ----------
    state : State
        The state of the floor.
    event : Event
        The shipment that is asked for.
    """
    one = state.set(str(event.subject))
    if one is None or one.release is None:
        return []
    halves = [
        half
        for half in map(state.item, one.release.halves)
        if half is not None and not _lost_before(half, one.release.sequence)
    ]
    return [
        slip
        for thing in (one, *(inner for half in halves for inner in within(state, half)))
        for slip in _unfinished(thing)
    ]


def halves_of(one: Set) -> tuple[str, ...]:
    """Ids of the loudspeakers that a set consists of: two mates, or the one item of a single.

    Parameters
    ----------
    one : Set
        The set.
    """
    if one.pair is not None:
        return one.pair.halves
    return () if one.was_paired else one.members


def standing_halves(state: State, one: Set) -> list[Item]:
    """The loudspeakers of a set that are there; of a single, what was scrapped and made anew is left out.

    Parameters
    ----------
    state : State
        The state of the floor.
    one : Set
        The set.
    """
    found = [half for half in map(state.item, halves_of(one)) if half is not None]
    if one.pair is None and len(found) > 1:
        return [half for half in found if not half.scrapped]
    return found


def _lost_before(half: Item, sequence: int) -> bool:
    """Whether an item had been scrapped by then."""
    return half.scrapped and any(
        t.disposition == "scrap" and (t.decided or sequence) < sequence for t in half.troubles
    )


def within(state: State, item: Item) -> Iterator[Item]:
    """An item and every item in it, mounted or used up, all the way down.

    Parameters
    ----------
    state : State
        The state of the floor.
    item : Item
        The outermost one.
    """
    seen = {item.id}
    ring = [item]
    while ring:
        yield from ring
        following: list[Item] = []
        for one in ring:
            for name in links(one):
                part = state.item(name)
                if part is not None and name not in seen:
                    seen.add(name)
                    following.append(part)
        ring = following


def _unfinished(thing: Worked) -> Iterator[Finding]:
    if isinstance(thing, Item) and thing.scrapped:
        yield Finding(
            "item_scrapped", "error", thing.id,
            text("{id} was scrapped: a set with it can't leave; replace it", id=thing.id),
        )  # fmt: skip
    for trouble in thing.troubles:
        if trouble.open:
            yield Finding(
                "nonconformance_open", "error", thing.id,
                text("nonconformance {trouble} of {id} is open ({what}): decide what becomes of it",
                     trouble=trouble.id, id=thing.id, what=trouble.what),
            )  # fmt: skip
    if thing.under is not None:
        yield Finding(
            "step_open", "error", thing.id,
            text("{id} is still in step {step}: finish it first", id=thing.id, step=thing.under.step),
        )  # fmt: skip
    if thing.to_step is not None:
        yield Finding(
            "rework_open", "error", thing.id,
            text("{id} is sent back to step {step} and has not been there: do it first",
                 id=thing.id, step=thing.to_step),
        )  # fmt: skip


def _unmeasured(state: State, one: Set, halves: list[Item]) -> list[Finding]:
    """Tests count from the last mating, rework or exchange of a part on, of the half or of the set."""
    changed = {half.id: max(thing.changed for thing in within(state, half)) for half in halves}
    return [
        Finding(
            "set_unmeasured", "error", half.id,
            text("{id} was not measured since it was last mated, reworked or given a part: measure it, or the set",
                 id=half.id),
        )
        for half in halves
        if max(half.measured, one.measured) <= max(changed[half.id], one.changed)
    ]  # fmt: skip
