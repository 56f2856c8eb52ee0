"""What a thing is made of, where it went, what happened to it, what stops it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pairwright.base.time import utc_iso
from pairwright.floor.composition import links, what_of
from pairwright.floor.effective import effective, live_corrections
from pairwright.floor.event import Entry
from pairwright.floor.holds import Reach, holds_on
from pairwright.floor.lots import exact
from pairwright.floor.state import State
from pairwright.floor.things import Lot, Thing, Worked


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing within another, or around it: `next_to` is the neighbour it was reached by."""

    id: str
    kind: str
    way: str
    next_to: str
    depth: int
    quantity: float | None = None
    unit: str | None = None
    what: str | None = None

    def as_json(self, neighbour: str) -> dict[str, Any]:
        """The public shape; `neighbour` names the field of the neighbour."""
        found = {
            "id": self.id,
            "kind": self.kind,
            "way": self.way,
            neighbour: self.next_to,
            "depth": self.depth,
        }
        extra = {"quantity": self.quantity, "unit": self.unit, "what": self.what}
        return {**found, **{name: value for name, value in extra.items() if value is not None}}


@dataclass(frozen=True, slots=True)
class Trace:
    """The whole answer to "what is this?"."""

    thing: Thing
    made_of: tuple[Piece, ...]
    where_used: tuple[Piece, ...]
    history: tuple[Entry, ...]
    holds: tuple[Reach, ...]
    void: dict[str, Entry]  # key of a corrected event -> its correction


def trace(state: State, name: str) -> Trace | None:
    """What a thing is made of, where it is used, its history, the holds on it.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the thing.
    """
    thing = state.thing(name)
    if thing is None:
        return None
    history = tuple(state.past.touching(name))
    return Trace(
        thing,
        made_of(state, name),
        where_used(state, name),
        history,
        holds_on(state, name),
        live_corrections(history),
    )


def made_of(state: State, name: str) -> tuple[Piece, ...]:
    """Everything in a thing, nearest first: halves, parts mounted now, inputs used up, lots.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the thing.
    """
    found: list[Piece] = []
    seen = {name}
    ring = [name]
    depth = 0
    while ring:
        depth += 1
        following: list[str] = []
        for one in ring:
            whole = state.thing(one)
            for part, way in links(whole).items():
                found.append(_piece(state, part, way=way, whole=whole, depth=depth))
                if part not in seen:
                    seen.add(part)
                    following.append(part)
        ring = following
    return tuple(found)


def where_used(state: State, name: str) -> tuple[Piece, ...]:
    """Everything that a thing went into and has not come out of, nearest first, up to the sets.

    Parameters
    ----------
    state : State
        The state of the floor.
    name : str
        Id of the thing.
    """
    found: list[Piece] = []
    seen = {name}
    ring = [name]
    depth = 0
    while ring:
        depth += 1
        following: list[str] = []
        for use in state.users(ring):
            found.append(Piece(use.whole, use.kind, use.way, use.part, depth, what=use.what))
            if use.whole not in seen:
                seen.add(use.whole)
                following.append(use.whole)
        ring = following
    return tuple(found)


def in_doubt(state: State, instrument: str) -> tuple[Entry, ...]:
    """What an instrument measured since it was last found good: all of it, where it never was.

    Parameters
    ----------
    state : State
        The state of the floor.
    instrument : str
        Id of the instrument.
    """
    tool = state.tool(instrument)
    good = max((check.sequence for check in tool.checks if check.good), default=0) if tool is not None else 0
    history = effective(state.past, state.past.touching(instrument), thing=instrument)
    return tuple(entry for entry in history if entry.event.kind == "measured" and entry.sequence > good)


def _piece(state: State, part: str, *, way: str, whole: Thing | None, depth: int) -> Piece:
    thing = state.thing(part)
    quantity = unit = None
    if isinstance(whole, Worked):
        amounts = [one for one in whole.inputs if one.id == part and one.quantity is not None]
        if amounts:
            quantity = float(sum(exact(one.quantity) for one in amounts if one.quantity is not None))
            unit = amounts[0].unit or (thing.unit if isinstance(thing, Lot) else None)
    kind = "unknown" if thing is None else thing.kind
    return Piece(part, kind, way, "" if whole is None else whole.id, depth, quantity, unit, what_of(thing))


def document(found: Trace) -> dict[str, Any]:
    """The public shape of a trace.

    Parameters
    ----------
    found : Trace
        What was found.
    """
    return {
        "id": found.thing.id,
        "kind": found.thing.kind,
        "made_of": [piece.as_json("into") for piece in found.made_of],
        "where_used": [piece.as_json("holds") for piece in found.where_used],
        "history": [_line(entry, found.void) for entry in found.history],
        "holds": [
            {
                "hold": reach.hold.key,
                "on": reach.on,
                "way": list(reach.way),
                "reason": reach.hold.reason,
                "since": utc_iso(reach.hold.since),
                "actor": reach.hold.actor,
            }
            for reach in found.holds
        ],
    }


def _line(entry: Entry, void: dict[str, Entry]) -> dict[str, Any]:
    line = {
        "sequence": entry.sequence,
        **entry.event.as_json(),
        "record_time": utc_iso(entry.record_time),
        "hash": entry.hash,
    }
    correction = void.get(entry.event.key)
    if correction is not None:
        line["corrected_by"] = correction.event.key
        line["correction_reason"] = correction.event.data["reason"]
    return line
