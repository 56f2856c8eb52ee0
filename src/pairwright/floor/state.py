"""The state of the floor: every thing as the events leave it, folded one event at a time.

A `State` is a running total: `fold` takes it over and gives it back. What has not been asked for is
folded when it is, from the events that touch it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from pairwright.floor.advance import advance
from pairwright.floor.composition import links, what_of
from pairwright.floor.effective import record_of, touched_by
from pairwright.floor.event import Entry, Event
from pairwright.floor.past import Past, Stored, Use
from pairwright.floor.things import Item, Lot, Order, Set, Thing, Tool
from pairwright.floor.touch import touches

MOST_KEPT: Final = 50_000  # things in memory when a store has the rest


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a state to which it can be brought back."""

    changes: int
    events: int
    next: int
    journalled: bool


class State:
    """Things by id, upon a past."""

    def __init__(self, stored: Stored | None = None, *, first: int = 1) -> None:
        self.past = Past(stored)
        self.next = first  # the sequence of the next event
        self._things: dict[str, Thing | None] = {}
        self._users: dict[str, dict[str, None]] = {}
        self._folded: dict[str, str] = {}  # by capitals, of what is new here
        self._journal: list[tuple[str, Thing | None]] = []
        self._journalled = stored is not None  # what a store has yet to take must be known

    def thing(self, name: str) -> Thing | None:
        """A thing, or None where nothing is known of it."""
        if name in self._things:
            return self._things[name]
        stored = self.past.stored
        if stored is None:
            return None
        found = stored.kept(name)
        if found is None:
            found = record_of(self.past, name)[0]
        self._things[name] = found
        return found

    def item(self, name: str) -> Item | None:
        """An item, or None."""
        found = self.thing(name)
        return found if isinstance(found, Item) else None

    def lot(self, name: str) -> Lot | None:
        """A lot, or None."""
        found = self.thing(name)
        return found if isinstance(found, Lot) else None

    def set(self, name: str) -> Set | None:
        """A set, or None."""
        found = self.thing(name)
        return found if isinstance(found, Set) else None

    def tool(self, name: str) -> Tool | None:
        """An instrument, carrier, batch, programme or action, or None."""
        found = self.thing(name)
        return found if isinstance(found, Tool) else None

    def order(self, name: str) -> Order | None:
        """An order or a purchase, or None."""
        found = self.thing(name)
        return found if isinstance(found, Order) else None

    def things(self) -> Iterator[Thing]:
        """Every thing in memory, in order of id; all of them where there is no store."""
        for name in sorted(self._things):
            found = self._things[name]
            if found is not None:
                yield found

    def users(self, names: Sequence[str]) -> Sequence[Use]:
        """What directly holds or used up things, in order of part and whole."""
        if self.past.stored is not None:
            return self.past.stored.users(names)
        found = []
        for part in sorted(set(names)):
            for name in sorted(self._users.get(part, ())):
                whole = self._things.get(name)
                if whole is not None:
                    found.append(Use(part, name, links(whole)[part], whole.kind, what_of(whole)))
        return found

    def alike(self, name: str) -> str | None:
        """A known identity that differs only in capitals."""
        known = self._folded.get(name.upper())
        if known is not None:
            return known if known != name else None
        stored = self.past.stored
        return None if stored is None else stored.alike(name)

    # changing it

    def put(self, name: str, thing: Thing | None) -> None:
        """Set a thing's record; it can be taken back."""
        before = self.thing(name)
        if self._journalled:
            self._journal.append((name, before))
        self._set(name, before, thing)

    def _set(self, name: str, before: Thing | None, after: Thing | None) -> None:
        self._things[name] = after
        if after is not None:
            self._folded.setdefault(name.upper(), name)
        elif self._folded.get(name.upper()) == name:
            del self._folded[name.upper()]
        if self.past.stored is not None:
            return
        old, new = links(before), links(after)
        for part in old.keys() - new.keys():
            self._users[part].pop(name, None)
        for part in new.keys() - old.keys():
            self._users.setdefault(part, {})[name] = None

    def push(self, entry: Entry, things: tuple[str, ...]) -> None:
        """Add an event to the past."""
        self.past.push(entry, things)
        self.next = entry.sequence + 1

    def mark(self) -> Mark:
        """The point that the state is at."""
        found = Mark(len(self._journal), len(self.past), self.next, self._journalled)
        self._journalled = True
        return found

    def back_to(self, mark: Mark) -> None:
        """Undo all since a mark."""
        while len(self._journal) > mark.changes:
            name, before = self._journal.pop()
            self._set(name, self._things.get(name), before)
        while len(self.past) > mark.events:
            self.past.pop()
        self.next, self._journalled = mark.next, mark.journalled

    def changed(self) -> dict[str, Thing | None]:
        """What changed since it was last settled, as it was before."""
        found: dict[str, Thing | None] = {}
        for name, before in self._journal:
            found.setdefault(name, before)
        return found

    def settle(self) -> None:
        """The store has everything now: nothing before this can be taken back."""
        self._journal.clear()
        self._journalled = self.past.stored is not None
        if self.past.stored is None:
            return
        self._folded.clear()
        self.past.settle()
        if len(self._things) > MOST_KEPT:
            for name in list(self._things)[: len(self._things) // 2]:
                del self._things[name]


def fold(state: State, event: Event) -> State:
    """The state after one more event, whether it fits or not.

    Parameters
    ----------
    state : State
        The state before; it is taken over.
    event : Event
        What happened.

    Examples
    --------
    >>> from pairwright.floor.read import read_event
    >>> state = fold(
    ...     State(),
    ...     read_event(
    ...         {
    ...             "key": "k-1",
    ...             "kind": "received",
    ...             "event_time": "2027-03-01T06:00:00Z",
    ...             "actor": "P1",
    ...             "lot": "L-7",
    ...             "data": {"quantity": 2.5, "unit": "kg"},
    ...         }
    ...     ),
    ... )
    >>> str(state.lot("L-7").rest)
    '2.5'
    """
    entry = Entry(state.next, event)
    for name, thing in moved(state, entry).items():
        state.put(name, thing)
    state.push(entry, touched_by(event, state.past))
    return state


def fold_all(events: Iterable[Event], state: State | None = None) -> State:
    """The state after events, from an empty one if none is given.

    Parameters
    ----------
    events : Iterable[Event]
        In order of the record.
    state : State | None
        The state before.
    """
    state = State() if state is None else state
    for event in events:
        fold(state, event)
    return state


def moved(state: State, entry: Entry) -> dict[str, Thing | None]:
    """The things that an event changes, as they are after it."""
    found: dict[str, Thing | None] = {}
    if entry.event.kind == "corrected":
        for name in touched_by(entry.event, state.past):
            if not name.startswith("@"):
                found[name] = record_of(state.past, name, more=(entry,))[0]
        return found
    for touch in touches(entry.event):
        found[touch.id] = advance(state.thing(touch.id), touch, entry=entry)[0]
    return found
