"""What one shift leaves to the next, in plain data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pairwright.base.words import Amount, Text, text
from pairwright.floor import Entry
from pairwright.reports.board import Task
from pairwright.reports.trouble import ActionRow, HoldRow, TroubleRow


@dataclass(frozen=True, slots=True)
class Note:
    """What somebody wrote down."""

    when: int
    who: str
    station: str | None
    about: str | None
    text: str
    photograph: str | None
    key: str


@dataclass(frozen=True, slots=True)
class Count:
    """How often something happened, with its name."""

    id: str
    name: str
    count: int


@dataclass(frozen=True, slots=True)
class Handover:
    """A shift in one page: what was done, what is in work, what waits for a decision, what to know."""

    since: int
    until: int
    done: tuple[Count, ...]  # steps finished, by station
    working: tuple[Task, ...]
    troubles: tuple[TroubleRow, ...]
    holds: tuple[HoldRow, ...]
    refused: tuple[Count, ...]  # by code
    notes: tuple[Note, ...]
    actions: tuple[ActionRow, ...]
    says: Text


def handover_of(
    entries: Iterable[Entry], *, since: int, until: int, names: Mapping[str, str], working: Iterable[Task],
    troubles: Iterable[TroubleRow], holds: Iterable[HoldRow], actions: Iterable[ActionRow],
    station: str | None = None,
) -> Handover:  # fmt: skip
    """One page for the next shift.

    Parameters
    ----------
    entries : Iterable[Entry]
        What was recorded, in order, corrected events left out.
    since : int
        Beginning of the shift, UTC seconds. [s]
    until : int
        Its end. [s]
    names : Mapping[str, str]
        Names of stations.
    working : Iterable[Task]
        What is in work now.
    troubles : Iterable[TroubleRow]
        What waits for a decision.
    holds : Iterable[HoldRow]
        What is on hold.
    actions : Iterable[ActionRow]
        What is to be done.
    station : str | None
        Only this one.
    """
    done: Counter[str] = Counter()
    refused: Counter[str] = Counter()
    notes: list[Note] = []
    for entry in entries:
        event = entry.event
        if not since <= event.event_time < until or (station is not None and event.station != station):
            continue
        if event.kind == "finished":
            done[event.station or "-"] += 1
        elif event.kind == "refused":
            refused[event.data["codes"][0]] += 1
        elif event.kind == "noted":
            notes.append(Note(event.event_time, event.actor, event.station, event.subject,
                              event.data.get("text", ""), event.data.get("photograph"), event.key))  # fmt: skip
    open_ = tuple(troubles)
    now = tuple(working)
    total = sum(done.values())
    says = text(
        "{done} steps finished, {working} in work, {open} wait for a decision since {since}",
        done=total, working=len(now), open=len(open_), since=Amount(since, "instant"),
    )  # fmt: skip
    return Handover(
        since, until, _counts(done, names), now, open_, tuple(holds), _counts(refused, {}), tuple(notes),
        tuple(one for one in actions if not one.settled), says,
    )  # fmt: skip


def _counts(counts: Counter[str], names: Mapping[str, str]) -> tuple[Count, ...]:
    ordered = sorted(counts.items(), key=lambda row: (-row[1], row[0]))
    return tuple(Count(name, names.get(name, name), count) for name, count in ordered)
