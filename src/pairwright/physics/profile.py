"""A shell's profile of lines and arcs: length, radius and strain of every ply, the mould that compensates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

PARALLEL: Final = Source("closed form", "parallel curves: a ply at distance d turns on a radius larger by d")

_STRAIGHT: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight piece of the profile: `length` [m]."""

    length: float


@dataclass(frozen=True, slots=True)
class Arc:
    """A bend of the profile.

    `radius` of the reference face [m]; turning `angle` [rad], positive turns left (counter-clockwise)
    along the profile, negative right.
    """

    radius: float
    angle: float

    @property
    def length(self) -> float:
        """Of the reference face. [m]"""
        return self.radius * abs(self.angle)


Piece: TypeAlias = Straight | Arc


@dataclass(frozen=True, slots=True)
class PlyCourse:
    """One ply along the profile.

    Developed `length` of its mid-surface [m]; tightest `radius` of its mid-surface [m] (infinite
    when straight); largest bending `strain` t/(2R) [-].
    """

    length: float
    radius: float
    strain: float


def ply_courses(
    profile: Sequence[Piece], thicknesses: Sequence[float], *, side: int = 1
) -> tuple[PlyCourse, ...]:
    """Developed length, tightest radius and strain of every ply.

    Parameters
    ----------
    profile : sequence of pieces
        Lines and arcs of the face on which the first ply lies (the mould).
    thicknesses : sequence of float
        Of the plies, from the mould outwards. [m]
    side : int
        +1 when the plies lie to the left of the profile as it runs, -1 to the right. [-]

    Returns
    -------
    tuple of PlyCourse
        One per ply.

    Notes
    -----
    A ply at distance d on the inside of a bend has radius R - d there, on the outside R + d.
    Pieces are taken to meet without a kink. A ply whose radius would vanish is an error.

    Examples
    --------
    >>> u = [Straight(0.25), Arc(0.15, math.pi), Straight(0.25)]
    >>> first, last = ply_courses(u, [1.5e-3, 1.5e-3], side=-1)
    >>> round(last.length - first.length, 6) == round(math.pi * 1.5e-3, 6)
    True
    """
    found, distance = [], 0.0
    for n, thickness in enumerate(thicknesses):
        middle = distance + 0.5 * thickness
        length, tightest = 0.0, math.inf
        for m, piece in enumerate(profile):
            if isinstance(piece, Straight):
                length += piece.length
                continue
            inside = side * piece.angle > 0.0
            radius = piece.radius - middle if inside else piece.radius + middle
            if radius <= 0.5 * thickness:
                raise InputError(
                    Problem("profile", f"pieces[{m}].radius",
                            text("larger than what the plies inside it take up (ply {n})", n=n + 1),
                            shown(piece.radius), text("bend less tightly or take off plies"))
                )  # fmt: skip
            length += radius * abs(piece.angle)
            if abs(piece.angle) > _STRAIGHT:
                tightest = min(tightest, radius)
        found.append(
            PlyCourse(length, tightest, thickness / (2.0 * tightest) if tightest < math.inf else 0.0)
        )
        distance += thickness
    return tuple(found)


def outline(profile: Sequence[Piece], *, step: float = math.radians(2.0)) -> tuple[tuple[float, float], ...]:
    """Points of the profile in its plane, starting at the origin along +x. [m]

    Parameters
    ----------
    profile : sequence of pieces
        Lines and arcs.
    step : float
        Largest angle between two points of an arc. [rad]

    Returns
    -------
    tuple of pairs
        x and y. [m]

    Examples
    --------
    >>> [
    ...     (round(x, 3), round(y, 3))
    ...     for x, y in outline([Straight(1.0), Arc(1.0, math.pi / 2)], step=1.6)
    ... ]
    [(0.0, 0.0), (1.0, 0.0), (2.0, 1.0)]
    """
    x, y, heading = 0.0, 0.0, 0.0
    points = [(x, y)]
    for piece in profile:
        if isinstance(piece, Straight):
            x, y = x + piece.length * math.cos(heading), y + piece.length * math.sin(heading)
            points.append((x, y))
            continue
        count = max(1, math.ceil(abs(piece.angle) / step))
        turn = piece.angle / count
        chord = 2.0 * piece.radius * math.sin(0.5 * abs(turn))
        for _ in range(count):
            direction = heading + 0.5 * turn
            x, y = x + chord * math.cos(direction), y + chord * math.sin(direction)
            heading += turn
            points.append((x, y))
    return tuple(points)


def sprung(profile: Sequence[Piece], *, fraction: float, closing: float = 0.0) -> tuple[Piece, ...]:
    """The profile after the press: arcs opened by spring-back, closed by moisture.

    Parameters
    ----------
    profile : sequence of pieces
        As moulded, at the elastic centroid.
    fraction : float
        Share of curvature lost by spring-back. [-]
    closing : float
        Share by which moisture closes every bend: (along - through)/(1 + through). [-]

    Returns
    -------
    tuple of pieces
        Lines as they were; arcs keep their length and turn by angle (1 - fraction)(1 + closing).

    Examples
    --------
    >>> (arc,) = sprung([Arc(0.15, math.pi)], fraction=1 / 16)
    >>> round(arc.radius, 3), round(math.degrees(arc.angle), 2)
    (0.16, 168.75)
    """
    factor = (1.0 - fraction) * (1.0 + closing)
    return tuple(_turned(piece, factor) for piece in profile)


def mould_for(profile: Sequence[Piece], *, fraction: float, closing: float = 0.0) -> tuple[Piece, ...]:
    """The mould whose shell comes out as wanted: the inverse of `sprung`.

    Parameters
    ----------
    profile : sequence of pieces
        As wanted, at the elastic centroid.
    fraction : float
        Share of curvature lost by spring-back. [-]
    closing : float
        Share by which moisture closes every bend. [-]

    Returns
    -------
    tuple of pieces
        Lines and arcs of the mould at the same surface.

    Examples
    --------
    >>> (arc,) = mould_for([Arc(0.16, math.radians(168.75))], fraction=1 / 16)
    >>> round(arc.radius, 3), round(math.degrees(arc.angle), 2)
    (0.15, 180.0)
    """
    factor = 1.0 / ((1.0 - fraction) * (1.0 + closing))
    return tuple(_turned(piece, factor) for piece in profile)


def _turned(piece: Piece, factor: float) -> Piece:
    """An arc of the same length that turns by another angle."""
    if isinstance(piece, Straight):
        return piece
    return Arc(piece.radius / factor, piece.angle * factor)


def tip_opening(moulded: Sequence[Piece], after: Sequence[Piece]) -> float:
    """Change of the distance between both ends of a profile. [m]

    Parameters
    ----------
    moulded : sequence of pieces
        Before.
    after : sequence of pieces
        After; the same number of pieces.

    Returns
    -------
    float
        Positive opens. [m]

    Examples
    --------
    >>> u = [Straight(0.25), Arc(0.15, math.pi), Straight(0.25)]
    >>> round(tip_opening(u, sprung(u, fraction=1 / 81)) * 1e3, 1)
    13.4
    """
    gaps = []
    for profile in (moulded, after):
        x, y = outline(profile, step=math.inf)[-1]  # one chord an arc ends where the arc does
        gaps.append(math.hypot(x, y))
    return gaps[1] - gaps[0]


def _length_law(**inputs: Any) -> dict[str, Any]:
    pieces: list[Piece] = []
    for n, row in enumerate(inputs["profile"]):
        if row["line"] > 0.0:
            pieces.append(Straight(row["line"]))
        if row["radius"] > 0.0 and row["turn_deg"] != 0.0:
            pieces.append(Arc(row["radius"], math.radians(row["turn_deg"])))
        if row["line"] == 0.0 and (row["radius"] == 0.0 or row["turn_deg"] == 0.0):
            raise InputError(
                Problem("calc developed_length", f"profile[{n}]", text("a line, or a radius with a turn"),
                        shown(row), text("give one of the two"))
            )  # fmt: skip
    courses = ply_courses(pieces, inputs["thicknesses"], side=-1)
    return {
        "lengths": [course.length for course in courses],
        "strains": [course.strain for course in courses],
        "tightest": min(course.radius for course in courses) if any(c.strain for c in courses) else None,
    }


LAWS: tuple[Law, ...] = (
    Law(
        "developed_length",
        text("Developed length and bending strain of every ply of a shell"),
        _length_law,
        (
            Argument("profile", "-", text("pieces of the inner face, in order"), shape="table", columns=(
                Argument("line", "m", text("length of a straight piece, or 0"), NOT_NEGATIVE, default=0.0),
                Argument("radius", "m", text("radius of a bend, or 0"), NOT_NEGATIVE, default=0.0),
                Argument("turn_deg", "deg", text("its turn; positive bends around the inside"),
                         Span(-360.0, 360.0), default=0.0),
            )),
            Argument("thicknesses", "m", text("of the plies, from the inner face out"), POSITIVE,
                     Span(0.0, 0.006), shape="numbers"),
        ),
        (
            Result("lengths", "m", text("of every ply's middle, from the inner face out")),
            Result("strains", "-", text("at the faces of every ply, at its tightest bend")),
            Result("tightest", "m", text("tightest radius of a ply's middle; none where nothing bends")),
        ),
        text("exact for pieces that meet without a corner and plies that do not thin in the bend"),
        (PARALLEL,),
        Worked({"profile": [{"line": 0.25}, {"radius": 0.15, "turn_deg": 180.0}, {"line": 0.25}],
                "thicknesses": [0.0015, 0.0015]},
               {"lengths": [0.973595, 0.978307], "strains": [0.00497512, 0.00492611]}, 1e-5),
    ),
)  # fmt: skip
