"""The profile of a part as the laws read it: pieces, the course of every ply."""

from __future__ import annotations

from dataclasses import replace

from pairwright.physics.profile import Arc, Piece, PlyCourse, Straight, ply_courses
from pairwright.works.product import Profile

# A positive turn of the works bends around the inside, and the plies lie outside the inner face:
# the laws let positive arcs turn left, so the plies lie to the right.
_OUTSIDE = -1


def pieces_of(profile: Profile, *, offset: float = 0.0) -> tuple[Piece, ...]:
    """Lines and arcs of a surface at a distance outside the inner face.

    Parameters
    ----------
    profile : Profile
        The inner profile.
    offset : float
        Distance from the inner face outwards. [m]
    """
    found: list[Piece] = []
    for segment in profile.segments:
        if segment.line is not None:
            found.append(Straight(segment.line))
        elif segment.radius is not None and segment.turn:
            arc = Arc(segment.radius, segment.turn)
            found.append(replace(arc, radius=arc.radius + (offset if arc.angle > 0.0 else -offset)))
    return tuple(found)


def arcs(profile: Profile) -> tuple[Arc, ...]:
    """The bends of the inner face."""
    return tuple(piece for piece in pieces_of(profile) if isinstance(piece, Arc))


def courses(profile: Profile, thicknesses: tuple[float, ...]) -> tuple[PlyCourse, ...]:
    """Developed length, tightest radius and strain of every ply, from the inner face out.

    Examples
    --------
    >>> from pairwright.works.product import Segment
    >>> half = Profile(segments=(Segment(radius="0.1 m", turn="180 deg"),), height="1 m")
    >>> inner, outer = courses(half, (0.01, 0.01))
    >>> round(outer.length - inner.length, 6)
    0.031416
    """
    return ply_courses(pieces_of(profile), thicknesses, side=_OUTSIDE)


def middle_length(profile: Profile, thickness: float) -> float:
    """Developed length of the middle surface of a stack. [m]"""
    return courses(profile, (thickness,))[0].length
