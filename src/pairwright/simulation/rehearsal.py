"""A floor's acts judged in memory and recorded many at a time, as a year of them asks for.

The same makers of acts and the same rules as at a station; what they refuse goes through the station's own
door. The record comes out the same, event for event and hash for hash, as if each act had been sent by itself.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.acting import ACTS
from pairwright.app.acting_case import Act, Case, Refused
from pairwright.app.acting_scans import read_scans
from pairwright.app.stationing_routes import routes_of
from pairwright.floor import State, accept, weigh
from pairwright.floor.effective import touched_by
from pairwright.floor.state import moved
from pairwright.floor.works_rules import rules_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pairwright.app.recording import Floor
    from pairwright.floor import Event, Rule

TOGETHER: Final = 450  # events of one append: one transaction


class Clock:
    """A simulated clock: events that are recorded together keep each its own moment.

    Parameters
    ----------
    now : int
        UTC seconds.
    """

    def __init__(self, now: int) -> None:
        self.now = now
        self.coming: deque[int] = deque()

    def __call__(self) -> int:
        """The moment of the next event."""
        return self.coming.popleft() if self.coming else self.now


class Rehearsal:
    """What was recorded and what waits to be, in memory.

    Parameters
    ----------
    floor : Floor
        The works with its record; nobody else writes it.
    clock : Clock
        The one that the record was opened with.
    """

    def __init__(self, floor: Floor, clock: Clock) -> None:
        self._floor, self._clock = floor, clock
        self._routes = routes_of(floor.opened)
        self._rules: tuple[Rule, ...] = (*rules_of(self._routes), *floor.rules)
        self._state = State()
        self._waiting: list[tuple[Event, int]] = []
        self.catch_up()

    def catch_up(self) -> None:
        """Fold what was recorded since."""
        for entry in self._floor.record.events(self._state.next):
            for name, thing in moved(self._state, entry).items():
                self._state.put(name, thing)
            self._state.push(entry, touched_by(entry.event, self._state.past))

    def act(self, wanted: Act, *, now: int) -> bool:
        """Take an act, or answer False where something speaks against it; then nothing is taken.

        Parameters
        ----------
        wanted : Act
            What somebody did.
        now : int
            UTC seconds. [s]
        """
        scans = read_scans(wanted.scanned, routes=self._routes, state=self._state)
        if sum(scan.kind == "unknown" for scan in scans) != (wanted.begun is not None):
            return False
        case = Case(wanted, now, self._routes, self._state, scans)
        try:
            ACTS[wanted.name](case)
        except Refused:
            return False
        return self._take(self._floor.read(case.events, path="act"), self._rules, now=now)

    def events(self, raws: Sequence[dict[str, Any]], *, now: int) -> bool:
        """Take events that are no act, or answer False.

        Parameters
        ----------
        raws : Sequence[dict[str, Any]]
            As JSON has them.
        now : int
            UTC seconds. [s]
        """
        return self._take(self._floor.read(raws, path="simulation"), self._floor.rules, now=now)

    def _take(self, events: Sequence[Event], rules: Sequence[Rule], *, now: int) -> bool:
        mark = self._state.mark()
        for event in events:
            outcome = weigh(self._state, event, rules=rules)
            if outcome.findings:
                self._state.back_to(mark)
                return False
            accept(self._state, outcome)
        self._state.settle()
        self._waiting += [(event, now) for event in events]
        if len(self._waiting) >= TOGETHER:
            self.settle()
        return True

    def settle(self) -> None:
        """Record what waits."""
        waiting, self._waiting = self._waiting, []
        if not waiting:
            return
        self._clock.coming.extend(at for _, at in waiting)
        try:
            self._floor.append([event for event, _ in waiting])
        finally:
            self._clock.coming.clear()
