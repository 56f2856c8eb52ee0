"""The floor as a page needs it: each thing folded when it is first asked for, kept until an event touches it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.floor import Entry, Stored
from pairwright.floor.effective import record_of
from pairwright.floor.past import Past, Use
from pairwright.floor.things import Thing

MOST: Final = 50_000  # things that are kept


class Kept:
    """A store that remembers the records of things; `rows` is one consistent reading of the record."""

    def __init__(self) -> None:
        self._things: dict[str, Thing] = {}
        self._rows: Stored | None = None

    def over(self, rows: Stored, touched: Sequence[str]) -> Kept:
        """Look through another reading, in which these things have changed."""
        self._rows = rows
        for name in touched:
            self._things.pop(name, None)
        if len(self._things) > MOST:
            self._things.clear()
        return self

    @property
    def rows(self) -> Stored:
        """The reading that is looked through."""
        if self._rows is None:
            raise LookupError("nothing is being read")
        return self._rows

    def entry(self, key: str) -> Entry | None:
        """The event of a key."""
        return self.rows.entry(key)

    def touching(self, thing: str) -> Sequence[Entry]:
        """The events that touch a thing, in order."""
        return self.rows.touching(thing)

    def users(self, things: Sequence[str]) -> Sequence[Use]:
        """What directly holds or used up things, in order of part and whole."""
        return self.rows.users(things)

    def alike(self, thing: str) -> str | None:
        """A known identity that differs from this one only in capitals."""
        return self.rows.alike(thing)

    def kept(self, thing: str) -> Thing | None:
        """A thing's record, folded once."""
        found = self._things.get(thing)
        if found is None:
            found = self.rows.kept(thing) or record_of(Past(self.rows), thing)[0]
            if found is not None:
                self._things[thing] = found
        return found
