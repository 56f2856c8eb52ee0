"""What happens on a simulated floor, moment by moment: acts of people, and what is recorded besides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any
from zoneinfo import ZoneInfo

from pairwright.app.acting_case import Act, Begun
from pairwright.base.time import iso


class Rank(IntEnum):
    """Order within one second: what makes room comes before what takes it."""

    BOOK = 0
    READING = 1
    FINISH = 2
    REPORT = 3
    DECISION = 4
    PAIR = 5
    BEFORE = 6
    START = 7
    AFTER = 8
    MOVE = 9


@dataclass(frozen=True, slots=True)
class Moment:
    """An act, or events; `files` are kept first, and named by their digests in the events.

    `expects` is the code with which an act is to be refused, None where it is to be done.
    """

    at: int
    rank: Rank
    number: int
    act: Act | None = None
    events: tuple[Mapping[str, Any], ...] = ()
    files: tuple[bytes, ...] = ()
    expects: str | None = None


@dataclass(slots=True)
class Diary:
    """Collects moments; keys are numbered, so the same floor writes the same diary.

    Everything in it is marked as simulated.
    """

    zone: ZoneInfo
    prefix: str
    moments: list[Moment] = field(default_factory=list)
    _keys: int = 0

    def in_order(self) -> list[Moment]:
        """Every moment, by time, rank, and the order in which they were written down."""
        return sorted(self.moments, key=lambda one: (one.at, one.rank, one.number))

    def moment_of(self, at: int) -> str:
        """A moment as events write it."""
        return iso(at, self.zone)

    def key(self) -> str:
        """A key that was not used before."""
        self._keys += 1
        return f"{self.prefix}-{self._keys:07d}"

    def act(
        self, at: int, rank: Rank, /, *, name: str, actor: str, scanned: Iterable[str], station: str | None = None,
        step: str | None = None, data: Mapping[str, Any] | None = None, begun: Begun | None = None,
        expects: str | None = None,
    ) -> str:  # fmt: skip
        """An act at a station; answers its key."""
        key = self.key()
        made = Act(name, key, actor, station, tuple(scanned), step, data=dict(data or {}), begun=begun,
                   simulated=True)  # fmt: skip
        self._add(at, rank, act=made, expects=expects)
        return key

    def event(
        self, at: int, rank: Rank, /, *, kind: str, actor: str, subject: tuple[str, str] | None = None,
        station: str | None = None, data: Mapping[str, Any], files: tuple[bytes, ...] = (), key: str | None = None,
    ) -> str:  # fmt: skip
        """Something that is recorded without an act of its own; answers its key."""
        key = key or self.key()
        raw: dict[str, Any] = {
            "key": key, "kind": kind, "event_time": iso(at, self.zone), "actor": actor, "simulated": True,
            "data": {name: value for name, value in data.items() if value is not None},
        }  # fmt: skip
        if station is not None:
            raw["station"] = station
        if subject is not None:
            raw[subject[0]] = subject[1]
        self._add(at, rank, events=(raw,), files=files)
        return key

    def _add(
        self, at: int, rank: Rank, *, act: Act | None = None, events: tuple[Mapping[str, Any], ...] = (),
        files: tuple[bytes, ...] = (), expects: str | None = None,
    ) -> None:  # fmt: skip
        self.moments.append(Moment(at, rank, len(self.moments), act, events, files, expects))
