"""A thing's history with corrections carried out, and its record folded anew from it.

A corrected event keeps its place; what did not occur is left out, what was wrong is replaced. A
correction may itself be corrected: then what it corrected stands again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from pairwright.base.errors import InputError
from pairwright.base.findings import Finding
from pairwright.floor.advance import advance
from pairwright.floor.event import SUBJECTS, Entry, Event
from pairwright.floor.past import Past
from pairwright.floor.read import read_event
from pairwright.floor.things import Thing, Worked, after
from pairwright.floor.touch import touches

# a correction of one of these may say that other parts were together than those that were measured
FORCING: Final = frozenset(("mated", "unmated", "mounted", "removed", "disposed"))


def mark_of(key: str) -> str:
    """The name under which corrections of an event are found; no thing can have it."""
    return f"@{key}"


def person_mark(person: str) -> str:
    """The name under which what a person is qualified for is found."""
    return f"@person/{person}"


def skill_mark(skill: str) -> str:
    """The name under which it is found who was ever qualified for a kind of work."""
    return f"@skill/{skill}"


def replaced(event: Event, correction: Event) -> Event | None:
    """The event as a correction says it was; None where it did not occur or other events stand for it.

    Raises
    ------
    InputError
        When what the correction says makes no event.
    """
    change = correction.data.get("replacement")
    if not isinstance(change, Mapping):
        return None
    raw: dict[str, Any] = {**event.as_json(), **{k: v for k, v in change.items() if k != "data"}}
    if any(name in change for name in SUBJECTS):
        raw = {k: v for k, v in raw.items() if k not in SUBJECTS or k in change}
    raw["data"] = {**event.data, **change.get("data", {})}
    return read_event(raw)


def touched_by(event: Event, past: Past) -> tuple[str, ...]:
    """Ids that an event is filed under; a correction also under the mark of what it corrects."""
    if event.kind == "qualified":
        return person_mark(event.data["person"]), skill_mark(event.data["skill"])
    if event.kind != "corrected":
        return tuple(touch.id for touch in touches(event))
    target = past.entry(event.data["event"])
    if target is None:
        return (mark_of(event.data["event"]),)
    found = dict.fromkeys(name for name in touched_by(target.event, past) if not name.startswith("@"))
    if target.event.kind != "corrected":
        try:
            other = replaced(target.event, event)
        except InputError:
            other = None
        if other is not None:
            found.update(dict.fromkeys(touch.id for touch in touches(other)))
    return (*found, mark_of(target.event.key))


def root_of(past: Past, event: Event) -> Event:
    """What a chain of corrections is about in the end; the event itself where it corrects nothing."""
    while event.kind == "corrected":
        target = past.entry(event.data["event"])
        if target is None:
            return event
        event = target.event
    return event


def live_corrections(entries: Sequence[Entry]) -> dict[str, Entry]:
    """Key of a corrected event -> the correction in force, from all that touches one thing."""
    live: dict[str, Entry] = {}
    for entry in reversed(entries):
        if entry.event.kind == "corrected" and entry.event.key not in live:
            live.setdefault(entry.event.data["event"], entry)
    return live


def correction_in_force(past: Past, key: str) -> Entry | None:
    """The correction that an event stands under, if any."""
    for entry in past.touching(mark_of(key)):
        if correction_in_force(past, entry.event.key) is None:
            return entry
    return None


def effective(past: Past, raw: Sequence[Entry], *, thing: str) -> list[Entry]:
    """The events of a thing as they count, in order of the record.

    Parameters
    ----------
    past : Past
        Where events are found.
    raw : Sequence[Entry]
        All that touches the thing, corrections too, in order.
    thing : str
        Its id.
    """
    if all(entry.event.kind != "corrected" for entry in raw):
        return list(raw)
    live = live_corrections(raw)
    found = [e for e in raw if e.event.kind != "corrected" and e.event.key not in live]
    for key, correction in live.items():
        target = past.entry(key)
        if target is None or target.event.kind == "corrected":
            continue
        other = replaced(target.event, correction.event)
        if other is not None and any(touch.id == thing for touch in touches(other)):
            found.append(replace(target, event=other, corrected_by=correction.event.key))
    return sorted(found, key=lambda entry: entry.sequence)


def record_of(
    past: Past, thing: str, *, more: Sequence[Entry] = ()
) -> tuple[Thing | None, dict[str, Finding]]:
    """A thing's record from the past, and what in its history contradicts, by key of event.

    Parameters
    ----------
    past : Past
        Where events are found.
    thing : str
        Its id.
    more : Sequence[Entry]
        Events that are tried and not yet in the past.
    """
    raw = [*past.touching(thing), *more]
    line = effective(past, raw, thing=thing)
    forcing = [entry for entry in raw if entry.event.kind == "corrected" and _forces(past, entry)]
    if forcing:
        line = sorted([*line, *forcing], key=lambda entry: entry.sequence)
    record: Thing | None = None
    slips: dict[str, Finding] = {}
    for entry in line:
        if entry.event.kind == "corrected":
            if isinstance(record, Worked):
                record = after(record, changed=entry.sequence)
            continue
        for touch in touches(entry.event):
            if touch.id == thing:
                record, slip = advance(record, touch, entry=entry)
                if slip is not None:
                    slips[entry.event.key] = slip
    if record is not None and raw[-1].event.kind == "corrected":
        record = after(record, last=raw[-1].sequence)
    return record, slips


def _forces(past: Past, entry: Entry) -> bool:
    """Whether an entry is a correction after which tests must be made again."""
    return root_of(past, entry.event).kind in FORCING
