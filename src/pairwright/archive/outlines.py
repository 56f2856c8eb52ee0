"""Strokes joined to one outline: ends that meet, no branch, no kink."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, TypeAlias

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import Amount, Text, text
from pairwright.physics.profile import Arc, Piece, Straight

Point: TypeAlias = tuple[float, float]
TOUCH: Final = 2e-5  # ends nearer than this meet [m]
KINK: Final = math.radians(0.5)  # a turn between two pieces that is still called smooth


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line or an arc from `start` to `end` [m].

    `radius` infinite for a line [m]; `turn` positive to the left [rad]; `name` in messages.
    """

    start: Point
    end: Point
    radius: float
    turn: float
    name: str

    def turned(self) -> Stroke:
        """The same, run the other way."""
        return replace(self, start=self.end, end=self.start, turn=-self.turn)

    def headings(self) -> tuple[float, float]:
        """Directions at its start and its end. [rad]"""
        chord = math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])
        return chord - 0.5 * self.turn, chord + 0.5 * self.turn

    def piece(self) -> Piece:
        """As the laws read it."""
        if math.isinf(self.radius):
            return Straight(math.dist(self.start, self.end))
        return Arc(self.radius, self.turn)


def chained(strokes: Sequence[Stroke], name: str) -> list[Stroke]:
    """The strokes in order, end to start, from the end that lies furthest left and lowest.

    Parameters
    ----------
    strokes : sequence of Stroke
        In any order and direction.
    name : str
        Of the drawing, for messages.
    """
    if not strokes:
        raise _refuse(name, text("at least one line or arc"), "none", text("draw the profile in model space"))
    places = _places(strokes)
    ends: dict[int, list[int]] = {}
    for n, (a, b) in enumerate(places):
        if a == b:
            raise _refuse(
                name, text("an open outline"), f"{strokes[n].name} closes on itself", text("open it")
            )
        ends.setdefault(a, []).append(n)
        ends.setdefault(b, []).append(n)
    for place, meeting in ends.items():
        if len(meeting) > 2:
            at = _point(strokes, places, place)
            got = f"{len(meeting)} pieces meet at {_shown(at)}"
            raise _refuse(
                name, text("one outline without branches"), got, text("remove what does not belong to it")
            )
    free = sorted(
        (_point(strokes, places, place), place) for place, meeting in ends.items() if len(meeting) == 1
    )
    if not free:
        raise _refuse(
            name, text("an open outline"), "a closed one", text("leave the open side of the shell undrawn")
        )
    if len(free) > 2:
        gaps = ", ".join(_shown(point) for point, _ in free[:6])
        raise _refuse(name, text("one outline with two ends"), f"{len(free)} ends: {gaps}",
                      text("close the gaps, or draw only one profile"))  # fmt: skip
    ordered = _walked(strokes, places, ends, free[0][1])
    if len(ordered) != len(strokes):
        raise _refuse(name, text("one outline"), f"{len(strokes) - len(ordered)} pieces that lie apart",
                      text("remove them, or name the layer of the profile"))  # fmt: skip
    _smooth(ordered, name)
    return ordered


def _places(strokes: Sequence[Stroke]) -> list[tuple[int, int]]:
    """A number for each place where ends meet."""
    known: list[Point] = []

    def number(point: Point) -> int:
        for n, one in enumerate(known):
            if math.dist(one, point) <= TOUCH:
                return n
        known.append(point)
        return len(known) - 1

    return [(number(stroke.start), number(stroke.end)) for stroke in strokes]


def _point(strokes: Sequence[Stroke], places: list[tuple[int, int]], place: int) -> Point:
    for stroke, (a, b) in zip(strokes, places, strict=True):
        if place in (a, b):
            return stroke.start if place == a else stroke.end
    return (0.0, 0.0)


def _walked(
    strokes: Sequence[Stroke], places: list[tuple[int, int]], ends: dict[int, list[int]], first: int
) -> list[Stroke]:
    ordered: list[Stroke] = []
    used: set[int] = set()
    place = first
    while True:
        onward = [n for n in ends[place] if n not in used]
        if not onward:
            return ordered
        n = onward[0]
        used.add(n)
        forward = places[n][0] == place
        ordered.append(strokes[n] if forward else strokes[n].turned())
        place = places[n][1] if forward else places[n][0]


def _smooth(ordered: Sequence[Stroke], name: str) -> None:
    for one, other in pairwise(ordered):
        turn = math.remainder(other.headings()[0] - one.headings()[1], 2.0 * math.pi)
        if abs(turn) > KINK:
            raise _refuse(
                name, text("smooth: each piece begins in the direction in which the last one ends"),
                f"a corner of {math.degrees(turn):.2f}° between {one.name} and {other.name} at {_shown(one.end)}",
                text("round it with an arc; a veneer cannot follow a corner"),
            )  # fmt: skip


def turned_inwards(ordered: Sequence[Stroke]) -> list[Piece]:
    """The pieces in the direction in which they bend around the inside on the whole."""
    if math.fsum(stroke.turn for stroke in ordered) < 0.0:
        ordered = [stroke.turned() for stroke in reversed(ordered)]
    return [stroke.piece() for stroke in ordered]


def _shown(point: Point) -> str:
    x, y = (str(Amount(v, "length", 5)) for v in point)
    return f"({x}, {y})"


def _refuse(name: str, must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem(name, "profile", must_be, got, do))
