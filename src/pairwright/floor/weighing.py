"""Whether an event may be appended: what it contradicts, thing by thing and between things.

These are the rules that hold in every works. What a works adds (sequence of steps, programme, open
time, qualification) comes as `rules`, functions of the state and the event.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from pairwright.base.errors import InputError
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor.advance import advance
from pairwright.floor.effective import correction_in_force, record_of, replaced, root_of, touched_by
from pairwright.floor.event import Entry, Event
from pairwright.floor.holds import holds_on, release_around
from pairwright.floor.leaving import may_leave, may_ship
from pairwright.floor.mates import may_mate
from pairwright.floor.sets import FROZEN, left_already
from pairwright.floor.state import State
from pairwright.floor.things import Item, Thing
from pairwright.floor.touch import TOOLS, Touch, touches

Rule: TypeAlias = Callable[[State, Event], Sequence[Finding]]

STOPPED: Final = frozenset(("started", "mated", "mounted", "released", "shipped"))  # what a hold stops
CHANGES: Final = FROZEN | {"mounted", "removed", "received"}  # what a release stops


@dataclass(frozen=True, slots=True)
class Outcome:
    """What would become of an event: the things after it, and why it is refused, if it is."""

    entry: Entry
    filed: tuple[str, ...]
    things: dict[str, Thing | None]
    findings: tuple[Finding, ...]


def refusals(state: State, event: Event, *, rules: Sequence[Rule] = ()) -> tuple[Finding, ...]:
    """Why an event may not be appended; empty when it may.

    Parameters
    ----------
    state : State
        The state before it; it is left as it is.
    event : Event
        What somebody wants to record.
    rules : Sequence[Rule]
        Further rules, of this works.
    """
    return weigh(state, event, rules=rules).findings


def weigh(state: State, event: Event, *, rules: Sequence[Rule] = ()) -> Outcome:
    """What would become of an event.

    Parameters
    ----------
    state : State
        The state before it; it is left as it is.
    event : Event
        What somebody wants to record.
    rules : Sequence[Rule]
        Further rules, of this works.
    """
    entry = Entry(state.next, event)
    found: list[Finding] = []
    things: dict[str, Thing | None] = {}
    if event.kind == "corrected":
        found += _correction(state, entry, things)
    else:
        for touch in touches(event):
            before = state.thing(touch.id)
            things[touch.id], slip = advance(before, touch, entry=entry)
            if slip is None and before is None:
                slip = _other_capitals(state, touch)
            if slip is not None:
                found.append(slip)
        found += between(state, event)
    for rule in rules:
        found += rule(state, event)
    return Outcome(entry, touched_by(event, state.past), things, tuple(dict.fromkeys(found)))


def accept(state: State, outcome: Outcome) -> None:
    """Take an event that was weighed.

    Parameters
    ----------
    state : State
        The state that it was weighed in.
    outcome : Outcome
        What came of it.
    """
    for name, thing in outcome.things.items():
        state.put(name, thing)
    state.push(outcome.entry, outcome.filed)


def _other_capitals(state: State, touch: Touch) -> Finding | None:
    known = state.alike(touch.id)
    if known is None:
        return None
    return Finding(
        "wrong_identity", "error", touch.id,
        text("{id} is written {known} on its label: capitals count, scan it", id=touch.id, known=known),
    )  # fmt: skip


def between(state: State, event: Event) -> list[Finding]:
    """What an event contradicts between things."""
    found: list[Finding] = []
    named = [touch for touch in touches(event) if touch.role not in (*TOOLS, "order", "purchase", "action")]
    if event.kind in CHANGES:
        for touch in named:
            around = release_around(state, touch.id) if touch.kind != "lot" else None
            if around is not None and not (touch.kind == "set" and touch.id == around.id):
                found += [slip for slip in (left_already(around),) if slip is not None]
    for touch in named:
        if event.kind in STOPPED or touch.role == "input":
            found += _stopped(state, touch)
    if event.kind == "mated":
        found += may_mate(state, event)
    elif event.kind == "mounted":
        found += _may_mount(state, event)
    elif event.kind == "released":
        found += may_leave(state, event)
    elif event.kind == "shipped":
        found += may_ship(state, event)
    elif event.kind == "freed" and "hold" in event.data:
        found += _may_free(state, event)
    return found


def _stopped(state: State, touch: Touch) -> list[Finding]:
    return [
        Finding(
            "under_hold", "error", touch.id,
            text("{id} is on hold because of {on} ({reason}): leave it until somebody decides",
                 id=touch.id, on=reach.on, reason=reach.hold.reason),
        )
        for reach in holds_on(state, touch.id)[:1]
    ]  # fmt: skip


def _may_free(state: State, event: Event) -> list[Finding]:
    named = event.data["hold"]
    if any(reach.hold.key == named for reach in holds_on(state, str(event.subject))):
        return []
    return [
        Finding(
            "nothing_held", "error", str(event.subject),
            text("the hold {hold} does not reach {id}: look up which holds do", hold=named, id=str(event.subject)),
        )
    ]  # fmt: skip


def _may_mount(state: State, event: Event) -> list[Finding]:
    part, whole = state.item(str(event.subject)), state.item(event.data["into"])
    if part is None or whole is None:
        return []
    above: Item | None = whole
    seen: set[str] = set()
    while above is not None and above.id not in seen:
        seen.add(above.id)
        if above.id == part.id:
            return [
                Finding(
                    "part_in_itself", "error", part.id,
                    text("{id} holds {whole}: it can't be put into it", id=part.id, whole=whole.id),
                )
            ]  # fmt: skip
        holder = above.into or above.used_in
        above = None if holder is None else state.item(holder)
    if (
        part.set is not None
        and whole.set is not None
        and part.set != whole.set
        and "reason" not in event.data
    ):
        return [
            Finding(
                "wrong_set", "error", part.id,
                text("{id} was made for set {set}, {whole} is of set {other}: take the right one, or give a reason",
                     id=part.id, set=part.set, whole=whole.id, other=whole.set),
            )
        ]  # fmt: skip
    return []


# corrections


def _correction(state: State, entry: Entry, things: dict[str, Thing | None]) -> list[Finding]:
    """Why a correction may not be appended; fills in the things as they would be."""
    event, past = entry.event, state.past
    target = past.entry(event.data["event"])
    if target is None:
        return [_unknown(event.data["event"])]
    found = _not_correctable(state, event, target)
    if found:
        return found
    try:
        other = replaced(target.event, event)
    except InputError as error:
        return [
            Finding(
                "wrong_replacement", "error", event.data["event"],
                text("what should stand in its place is no event: {why}", why=str(error)),
            )
        ]  # fmt: skip
    for name in touched_by(event, past):
        if name.startswith("@"):
            continue
        _, before = record_of(past, name)
        things[name], after = record_of(past, name, more=(entry,))
        found += [_needed(key, slip) for key, slip in after.items() if key not in before]
    if other is None and target.event.kind == "corrected":
        other = root_of(past, target.event)
    if other is not None and other.kind in ("mated", "mounted"):
        found += _tried(state, other, things)
    return found


def _not_correctable(state: State, event: Event, target: Entry) -> list[Finding]:
    data, key = event.data, target.event.key
    standing = correction_in_force(state.past, key)
    if standing is not None:
        return [
            Finding(
                "event_corrected", "error", key,
                text("event {key} was corrected by {other}: correct that one", key=key, other=standing.event.key),
            )
        ]  # fmt: skip
    if target.event.kind == "corrected" and data["reason"] != "did_not_occur":
        return [
            Finding(
                "correction_corrected", "error", key,
                text("a correction can only be withdrawn: give the reason did_not_occur, then correct {event} anew",
                     event=target.event.data["event"]),
            )
        ]  # fmt: skip
    if target.event.kind == "corrected" and root_of(state.past, target.event).kind == "released":
        return [
            Finding(
                "release_ended", "error", key,
                text("a release that was withdrawn does not come back by itself: release the set anew"),
            )
        ]  # fmt: skip
    stands = data.get("replacement")
    if isinstance(stands, list):
        missing = [one for one in stands if state.past.entry(one) is None]
        if missing:
            return [_unknown(missing[0])]
    if _changes(state, target.event):
        for name in touched_by(event, state.past):
            around = None if name.startswith("@") else release_around(state, name)
            slip = None if around is None else left_already(around)
            if slip is not None:
                return [slip]
    return []


def _changes(state: State, event: Event) -> bool:
    """Whether an event, or what a correction corrects, is of what a release stops."""
    return root_of(state.past, event).kind in CHANGES


def _tried(state: State, event: Event, things: dict[str, Thing | None]) -> list[Finding]:
    """The rules between things for what takes the place of an event, with that event gone."""
    mark = state.mark()
    try:
        for name, thing in things.items():
            if isinstance(thing, Item) and thing.pair is not None and thing.pair.key == event.key:
                continue
            state.put(name, thing)
        return between(state, event)
    finally:
        state.back_to(mark)


def _unknown(key: str) -> Finding:
    return Finding(
        "unknown_event", "error", key,
        text("there is no event {key} in the record: choose it from the history", key=key),
    )  # fmt: skip


def _needed(key: str, slip: Finding) -> Finding:
    return Finding(
        "later_event_needs", "error", slip.subject,
        text("event {key} would no longer fit: {why}; correct that one first", key=key, why=slip.text),
    )  # fmt: skip
