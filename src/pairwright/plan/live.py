"""The state of the floor that a plan goes on from, and what a plan that went on has moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from pairwright.plan.schedule import Schedule

Fate: TypeAlias = Literal["again", "lost"]


@dataclass(frozen=True, slots=True)
class Gone:
    """So many carriers, or (count 0) the tooling of a setup family, are away in [start, end); UTC seconds."""

    name: str
    start: int
    end: int
    count: int = 0


@dataclass(frozen=True, slots=True)
class Live:
    """The state of the floor that a plan goes on from; UTC seconds."""

    now: int
    begun: Mapping[str, tuple[int, int]] = field(default_factory=dict)  # operation: start, end
    void: frozenset[str] = frozenset()  # operations that were lost before they began
    pinned: frozenset[str] = frozenset()  # operations
    loose: frozenset[str] = frozenset()  # orders whose operations may be placed anew from now on
    fates: Mapping[tuple[str, str, int], Fate] = field(default_factory=dict)  # item, step, turn
    away: tuple[Gone, ...] = ()


@dataclass(frozen=True, slots=True)
class Move:
    """An operation that begins at another time than planned; UTC seconds."""

    operation: str
    before: int
    after: int
    affected: bool  # hit, or behind or beside what was hit


@dataclass(frozen=True, slots=True)
class Frozen:
    """A plan around what stays. `live` is as it was given, with operations of lost pieces renamed."""

    schedule: Schedule
    live: Live
    moved: tuple[Move, ...] = ()
    unaffected: int = 0  # operations that had no reason to move
    way: tuple[int, ...] = ()  # sets that made way
    push: bool = False  # whether what follows delays was pushed on

    @property
    def moved_share(self) -> float:
        """Share of the unaffected operations that begin at another time. [-]"""
        return sum(not m.affected for m in self.moved) / self.unaffected if self.unaffected else 0.0
