"""Short ways to write events, for the tests of the floor and the record."""

from __future__ import annotations

import itertools
from typing import Any

from pairwright.floor import Event, State, accept, read_event, weigh

DOSSIER = "d" * 64
_NUMBERS = itertools.count(1)


def raw(kind: str, subject: str | None = None, /, **data: Any) -> dict[str, Any]:
    """An event as JSON has it; `subject` is written "item C-1". Names of the envelope go to it."""
    found: dict[str, Any] = {
        "key": data.pop("key", None) or f"k-{next(_NUMBERS):05d}",
        "kind": kind,
        "event_time": data.pop("at", "2027-03-01T06:00:00+01:00"),
        "actor": data.pop("actor", "P1"),
        "station": data.pop("station", "bench-1"),
        "data": data,
    }
    if subject is not None:
        kind_of, _, name = subject.partition(" ")
        found[kind_of] = name
    return found


def event(kind: str, subject: str | None = None, /, **data: Any) -> Event:
    """An event that has been read."""
    return read_event(raw(kind, subject, **data))


class Floor:
    """A floor in memory: `do` takes an event or fails the test, `codes` says why one is refused."""

    def __init__(self) -> None:
        self.state = State()

    def do(self, kind: str, subject: str | None = None, /, **data: Any) -> str:
        one = event(kind, subject, **data)
        outcome = weigh(self.state, one)
        assert outcome.findings == (), [str(f.text) for f in outcome.findings]
        accept(self.state, outcome)
        return one.key

    def codes(self, kind: str, subject: str | None = None, /, **data: Any) -> list[str]:
        return [finding.code for finding in weigh(self.state, event(kind, subject, **data)).findings]

    def pair(self, name: str = "S1", first: str = "A", second: str = "B") -> None:
        """Two halves, made and mated."""
        for half in (first, second):
            self.do("finished", f"item {half}", step="press")
        self.do("mated", f"set {name}", left=first, right=second)

    def ready(self, name: str = "S1", first: str = "A", second: str = "B") -> None:
        """A pair that may leave."""
        self.pair(name, first, second)
        self.do("measured", f"set {name}", characteristic="level", value=86.0)
