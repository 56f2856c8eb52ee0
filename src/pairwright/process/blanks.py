"""Blanks: what is cut for every ply before it is pressed, along its grain and across."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.physics.profile import PlyCourse
from pairwright.process.mould import press_context
from pairwright.process.outline import courses
from pairwright.process.press import ALLOWANCE
from pairwright.process.press_heat import layup_of, plies_of, pressed_area
from pairwright.works.definition import Works


@dataclass(frozen=True, slots=True)
class Blank:
    """One ply's blank.

    `place` from the inner face, from 1; `veneer` id; `length` along the bend and `width` along the
    part's height, allowance included [m]; `grain` from the bend [rad]; `along` and `across` the
    grain: the rectangle to be cut out of a leaf [m].
    """

    place: int
    veneer: str
    length: float
    width: float
    grain: float
    along: float
    across: float


def blank(
    place: int, veneer: str, *, course: PlyCourse, height: float, grain: float, allowance: float
) -> Blank:
    """The blank of a ply of this developed length.

    Examples
    --------
    >>> from math import pi, inf
    >>> crossed = blank(
    ...     1,
    ...     "birch",
    ...     course=PlyCourse(0.87, inf, 0.0),
    ...     height=1.0,
    ...     grain=pi / 2,
    ...     allowance=0.025,
    ... )
    >>> round(crossed.along, 3), round(crossed.across, 3)
    (1.05, 0.92)
    """
    length, width = course.length + 2.0 * allowance, height + 2.0 * allowance
    c, s = abs(math.cos(grain)), abs(math.sin(grain))
    c, s = (0.0 if c < 1e-9 else c), (0.0 if s < 1e-9 else s)
    return Blank(place, veneer, length, width, grain, length * c + width * s, length * s + width * c)


def blanks_of(
    works: Works, product: str, *, option: str, part: str, allowance: float | None = None
) -> tuple[Blank, ...]:
    """The blanks of every ply of a part, from the inner face out.

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option.
    part : str
        The part that is pressed.
    allowance : float, optional
        Left over at each edge for trimming; common practice by default. [m]

    Notes
    -----
    A ply at an angle to the bend is cut out of the rectangle that lies along its grain. A blank
    wider than a leaf is joined from strips: see `split`.
    """
    context = press_context(works, product, option=option, part=part)
    left = ALLOWANCE if allowance is None else allowance
    layup, profile = layup_of(context), context.part.profile
    thicknesses = tuple(leaf.veneer.thickness for leaf in plies_of(context))
    if profile is None:
        side = math.sqrt(pressed_area(context))
        found, height = (PlyCourse(side, math.inf, 0.0),) * len(thicknesses), side
    else:
        found, height = courses(profile, thicknesses), float(profile.height)
    return tuple(
        blank(n, ply.veneer, course=course, height=height, grain=ply.grain, allowance=left)
        for n, (ply, course) in enumerate(zip(layup.plies, found, strict=True), start=1)
    )


def split(across: float, *, widest: float, joint: float = 0.0) -> tuple[int, float]:
    """Strips side by side that make up a width: how many, and how wide each. [m]

    Parameters
    ----------
    across : float
        Width wanted, across the grain. [m]
    widest : float
        Strip that a leaf gives. [m]
    joint : float
        Planed off at each edge that is joined. [m]

    Examples
    --------
    >>> count, width = split(1.05, widest=0.22, joint=0.001)
    >>> count, round(width, 4)
    (5, 0.2116)
    """
    if widest <= 2.0 * joint:
        raise InputError(
            Problem("blank", "widest", text("wider than what both joints take"), shown(widest),
                    text("give wider leaves, or plane less off"))
        )  # fmt: skip
    count = max(1, math.ceil((across - 2.0 * joint) / (widest - 2.0 * joint) - 1e-9))
    return count, (across + 2.0 * joint * (count - 1)) / count
