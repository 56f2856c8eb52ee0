"""The profile of a shell: developed length of every ply, tightest radius, opening of its ends.

A profile is a chain of lines and arcs along the inner face. A positive turn bends around the
inside; plies further out are then longer. A negative turn is a reverse bend.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from pairwright.works.product import Profile


def arcs(profile: Profile) -> tuple[tuple[float, float], ...]:
    """Radius of the inner face and turning angle of every arc. [m, rad]"""
    return tuple((s.radius, s.turn) for s in profile.segments if s.radius is not None and s.turn)


def developed_length(profile: Profile, offset: float = 0.0) -> float:
    """Length of a surface at a distance outside the inner face. [m]

    Parameters
    ----------
    profile : Profile
        The inner profile.
    offset : float
        Distance from the inner face outwards. [m]

    Examples
    --------
    >>> from pairwright.works.product import Segment
    >>> half = Profile(segments=(Segment(radius="0.1 m", turn="180 deg"),), height="1 m")
    >>> round(developed_length(half, 0.01) - developed_length(half), 6)
    0.031416
    """
    straight = sum(s.line for s in profile.segments if s.line is not None)
    return straight + sum((r + math.copysign(offset, turn)) * abs(turn) for r, turn in arcs(profile))


def tightest_radius(profile: Profile, offset: float) -> float:
    """Smallest radius of a surface at a distance outside the inner face; infinity when flat. [m]"""
    return min((r + math.copysign(offset, turn) for r, turn in arcs(profile)), default=math.inf)


def chain_end(profile: Profile, turned: Callable[[float], float]) -> tuple[float, float]:
    """Where the profile's far end lies from its near end when every arc turns by another angle. [m]

    Parameters
    ----------
    profile : Profile
        The inner profile.
    turned : Callable[[float], float]
        New turning angle of an arc from its old one, its length unchanged. [rad]
    """
    x = y = heading = 0.0
    for segment in profile.segments:
        if segment.line is not None:
            x += segment.line * math.cos(heading)
            y += segment.line * math.sin(heading)
        elif segment.radius is not None and segment.turn:
            turn = turned(segment.turn)
            length = segment.radius * abs(segment.turn)
            chord = length * (math.sin(0.5 * turn) / (0.5 * turn) if abs(turn) > 1e-12 else 1.0)
            x += chord * math.cos(heading + 0.5 * turn)
            y += chord * math.sin(heading + 0.5 * turn)
            heading += turn
    return x, y


def opening(profile: Profile, *, lost: float = 0.0, closes: Callable[[float], float] = lambda _: 0.0) -> float:
    """How far the ends of a profile move apart. [m]

    Parameters
    ----------
    profile : Profile
        The inner profile as pressed.
    lost : float
        Share of curvature lost to spring-back. [-]
    closes : Callable[[float], float]
        What moisture adds to a turning angle. [rad]

    Examples
    --------
    >>> from pairwright.works.product import Segment
    >>> leg, bend = Segment(line="0.3 m"), Segment(radius="0.1 m", turn="180 deg")
    >>> opening(Profile(segments=(leg, bend, leg), height="1 m"), lost=0.01) > 0.0
    True
    """
    before = math.hypot(*chain_end(profile, lambda turn: turn))
    after = math.hypot(*chain_end(profile, lambda turn: turn * (1.0 - lost) + closes(turn)))
    return after - before
