"""One thing that happened on the floor, as a frozen record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from typing import Any, Final

SUBJECTS: Final = ("item", "lot", "set")


@dataclass(frozen=True, slots=True)
class Event:
    """What happened, when by the clock of whoever saw it, where, who did it, to what.

    `key` is made by the client and names the event for ever. `event_time` is UTC seconds, `offset` the
    seconds east of UTC that the client's clock showed. `actor` is a person's id, never a name.
    `written` marks what was first written on paper, `simulated` what never happened. `device` and
    `counter` number the events of one tablet, so that a missing one shows.
    """

    key: str
    kind: str
    event_time: int
    offset: int
    actor: str
    station: str | None
    subject_kind: str | None
    subject: str | None
    data: Mapping[str, Any]
    written: bool = False
    simulated: bool = False
    device: str | None = None
    counter: int | None = None

    def local_time(self) -> str:
        """ISO 8601 with the offset that the event came with."""
        return stamp(self.event_time, self.offset)

    def as_json(self) -> dict[str, Any]:
        """The public shape; what is not there is left out."""
        found: dict[str, Any] = {
            "key": self.key,
            "kind": self.kind,
            "event_time": self.local_time(),
            "actor": self.actor,
            "data": dict(self.data),
        }
        if self.station is not None:
            found["station"] = self.station
        if self.subject_kind is not None:
            found[self.subject_kind] = self.subject
        if self.written:
            found["written"] = True
        if self.simulated:
            found["simulated"] = True
        if self.device is not None:
            found["device"] = self.device
        if self.counter is not None:
            found["counter"] = self.counter
        return found


@dataclass(frozen=True, slots=True)
class Entry:
    """An event at its place in the record.

    In a history, `corrected_by` is the key of the correction whose replacement stands here.
    """

    sequence: int
    event: Event
    record_time: int = 0
    hash: str = ""
    corrected_by: str | None = None


def stamp(seconds: int, offset: int) -> str:
    """ISO 8601 of UTC seconds at an offset in seconds east of UTC."""
    return datetime.fromtimestamp(
        seconds, tz=timezone(timedelta(seconds=offset)) if offset else UTC
    ).isoformat()


def from_stored(found: Mapping[str, Any]) -> Event:
    """The event of a body that was read strictly before it was stored."""
    at = datetime.fromisoformat(found["event_time"])
    shift = at.utcoffset()
    kind = next((kind for kind in SUBJECTS if kind in found), None)
    return Event(
        key=found["key"],
        kind=found["kind"],
        event_time=int(at.timestamp()),
        offset=0 if shift is None else int(shift.total_seconds()),
        actor=found["actor"],
        station=found.get("station"),
        subject_kind=kind,
        subject=None if kind is None else found[kind],
        data=found["data"],
        written=found.get("written", False),
        simulated=found.get("simulated", False),
        device=found.get("device"),
        counter=found.get("counter"),
    )
