"""The events behind the things: found by key and by thing, in order of the record.

`Past` keeps what is new in memory and asks a store, where there is one, for the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from pairwright.floor.event import Entry
from pairwright.floor.things import Thing


@dataclass(frozen=True, slots=True)
class Use:
    """That a part is directly in a whole, and how; `kind` and `what` are the whole's."""

    part: str
    whole: str
    way: str
    kind: str
    what: str | None


class Stored(Protocol):
    """Where events rest: a data base, or nothing."""

    def entry(self, key: str) -> Entry | None:
        """The event of a key."""
        ...

    def touching(self, thing: str) -> Sequence[Entry]:
        """The events that touch a thing, in order."""
        ...

    def users(self, things: Sequence[str]) -> Sequence[Use]:
        """What directly holds or used up things, in order of part and whole."""
        ...

    def kept(self, thing: str) -> Thing | None:
        """A thing's record where it is kept whole, so that its events need not be read."""
        ...

    def alike(self, thing: str) -> str | None:
        """A known identity that differs from this one only in capitals."""
        ...


class Past:
    """Events in memory upon events in a store."""

    def __init__(self, stored: Stored | None = None) -> None:
        self.stored = stored
        self._by_key: dict[str, Entry] = {}
        self._by_thing: dict[str, list[Entry]] = {}
        self._order: list[tuple[Entry, tuple[str, ...]]] = []

    def entry(self, key: str) -> Entry | None:
        """The event of a key."""
        found = self._by_key.get(key)
        return found if found is not None or self.stored is None else self.stored.entry(key)

    def touching(self, thing: str) -> Sequence[Entry]:
        """The events that touch a thing, in order."""
        new = self._by_thing.get(thing, [])
        return new if self.stored is None else [*self.stored.touching(thing), *new]

    def push(self, entry: Entry, things: tuple[str, ...]) -> None:
        """Add the newest event."""
        self._by_key[entry.event.key] = entry
        for thing in things:
            self._by_thing.setdefault(thing, []).append(entry)
        self._order.append((entry, things))

    def pop(self) -> None:
        """Take the newest event back."""
        entry, things = self._order.pop()
        del self._by_key[entry.event.key]
        for thing in things:
            self._by_thing[thing].pop()
            if not self._by_thing[thing]:
                del self._by_thing[thing]

    def pending(self, first: int = 0) -> list[tuple[Entry, tuple[str, ...]]]:
        """What is in memory from a place on, with the things that each event touches."""
        return self._order[first:]

    def settle(self) -> None:
        """Forget what the store now has."""
        self._by_key.clear()
        self._by_thing.clear()
        self._order.clear()

    def __len__(self) -> int:
        return len(self._order)
