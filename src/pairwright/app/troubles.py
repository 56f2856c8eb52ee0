"""Trouble: what waits for a decision, what is on hold and how far that reaches, handover, actions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from pairwright.app.stationing import board, making_of
from pairwright.app.stationing_list import Index
from pairwright.base.errors import InputError, Problem
from pairwright.base.time import local_date
from pairwright.base.words import text
from pairwright.floor import Entry, State
from pairwright.floor.effective import correction_in_force
from pairwright.floor.things import Tool
from pairwright.reports.handover import Handover, handover_of
from pairwright.reports.trouble import ActionRow, HoldRow, TroubleRow, action_row, hold_row, trouble_row

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading

TOLD: Final = ("finished", "refused", "noted")
MANY: Final = 1000  # rows of a station's page that a handover looks through


def open_troubles(floor: Floor) -> tuple[TroubleRow, ...]:
    """Every nonconformance on which somebody has yet to decide, the oldest first.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    """
    making = making_of(floor)
    with making.looking(floor) as look:
        state, index = look.state, look.index
        rows = [
            trouble_row(making.routes, state, thing, trouble=one)
            for name in index.troubled
            if (thing := state.thing(name)) is not None
            for one in thing.troubles
            if one.open
        ]
    return tuple(sorted(rows, key=lambda row: (row.opened, row.id)))


def decided_troubles(floor: Floor, *, most: int = 50) -> tuple[TroubleRow, ...]:
    """The nonconformances that were decided last, the newest first.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    most : int
        Rows. [-]
    """
    routes = making_of(floor).routes
    with floor.record.reading() as reading:
        state = reading.state()
        rows: list[TroubleRow] = []
        for entry in reading.find("disposed", newest=True, limit=most):
            thing = state.thing(entry.event.subject or "")
            named = entry.event.data["nonconformance"]
            for one in () if thing is None else thing.troubles:
                if one.id == named and not one.open and thing is not None:
                    rows.append(trouble_row(routes, state, thing, trouble=one))
    return tuple(dict.fromkeys(rows))


def holds(floor: Floor) -> tuple[HoldRow, ...]:
    """Every hold in force with what it reaches, the oldest first.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    """
    making = making_of(floor)
    with making.looking(floor) as look:
        state, index = look.state, look.index
        rows = [
            hold_row(state, thing, one)
            for name in index.held
            if (thing := state.thing(name)) is not None
            for one in thing.holds
        ]
    return tuple(sorted(rows, key=lambda row: (row.since, row.key)))


def actions(
    floor: Floor, *, now: int, person: str | None = None, settled: bool = False
) -> tuple[ActionRow, ...]:
    """What is to be done, by whom, by when: late ones first, then by day.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    now : int
        The moment, UTC seconds. [s]
    person : str | None
        Only theirs.
    settled : bool
        Whether those that are done are listed too.
    """
    making = making_of(floor)
    today = local_date(now, making.routes.works.zone).isoformat()
    with making.looking(floor) as look:
        state, index = look.state, look.index
        rows = list(_actions(index, state, today))
    chosen = [one for one in rows if (settled or not one.settled) and person in (None, one.person)]
    return tuple(sorted(chosen, key=lambda one: (one.settled, one.by or "9999", one.id)))


def _actions(index: Index, state: State, today: str) -> Iterator[ActionRow]:
    for name in index.actions:
        tool = state.thing(name)
        if isinstance(tool, Tool):
            yield action_row(tool, state.past.touching(name), today=today)


def handover(floor: Floor, *, since: int, now: int, station: str | None = None) -> Handover:
    """What one shift leaves to the next.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    since : int
        Beginning of the shift, UTC seconds. [s]
    now : int
        The moment. [s]
    station : str | None
        Only this one.

    Raises
    ------
    InputError
        When the shift ends before it begins.
    """
    if since >= now:
        raise InputError(
            Problem(
                "handover", "since", text("before now"), str(since), text("name the beginning of the shift")
            )
        )
    stations = floor.opened.works.factory.stations
    chosen = [station] if station is not None else list(stations)
    working = [one for name in chosen for one in board(floor, name, now=now, most=MANY).now]
    with floor.record.reading() as reading:
        state = reading.state()
        entries = [one for kind in TOLD for one in _since(reading, state, kind=kind, since=since)]
    troubled = [one for one in open_troubles(floor) if station is None or one.station == station]
    return handover_of(
        sorted(entries, key=lambda entry: entry.sequence), since=since, until=now + 1,
        names={name: one.name for name, one in stations.items()}, working=working, troubles=troubled,
        holds=holds(floor), actions=actions(floor, now=now), station=station,
    )  # fmt: skip


def _since(reading: Reading, state: State, *, kind: str, since: int) -> Iterator[Entry]:
    """Events of a kind since a moment, the newest pages first, until a whole page is older."""
    before = 0
    while page := reading.find(kind, newest=True, after=before, limit=500):
        before = page[-1].sequence
        fresh = [entry for entry in page if entry.event.event_time >= since]
        for entry in fresh:
            if correction_in_force(state.past, entry.event.key) is None:
                yield entry
        if not fresh or before <= 1:
            return
