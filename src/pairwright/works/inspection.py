"""Looking over a finished surface: faces and zones, defect kinds, limit samples, repairs."""

from __future__ import annotations

from typing import Annotated, Final, Literal, TypeAlias, get_args

from pydantic import AfterValidator, Field

from pairwright.base.laws import NOT_NEGATIVE
from pairwright.base.words import text
from pairwright.works.record import (
    Day,
    Id,
    Length,
    Number,
    Positive,
    Record,
    StatedDuration,
    Wait,
    quantity,
    refuse,
)

Seen: TypeAlias = Literal["always", "in use", "hidden"]
SEEN: Final[tuple[Seen, ...]] = get_args(Seen)
MOST_DEFECTS: Final = 12  # kinds that a person at a station can keep apart (common practice)

Place: TypeAlias = quantity("m", NOT_NEGATIVE)  # type: ignore[valid-type]
Corner: TypeAlias = tuple[Place, Place]


class Face(Record):
    """One face of a part, laid flat: `width` runs to the right, `height` up, as one looks at it."""

    name: str
    width: Length
    height: Length
    part: Id | None = None  # default: the root


def _round(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
    """Corners that enclose something and whose sides do not cross."""
    if abs(enclosed(corners)) < 1e-12:
        raise refuse(text("corners that enclose an area"), text("list the corners in order round the zone"))
    count = len(corners)
    for first in range(count):
        for second in range(first + 2, count):
            if (second + 1) % count == first:
                continue
            if _cross(corners[first], corners[first + 1], corners[second], corners[(second + 1) % count]):
                raise refuse(
                    text("sides that do not cross"), text("list the corners in order round the zone")
                )
    return corners


def enclosed(corners: tuple[Corner, ...]) -> float:
    """Area within a polygon, positive where the corners run anticlockwise. [m2]"""
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return 0.5 * float(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs))


def _cross(a: Corner, b: Corner, c: Corner, d: Corner) -> bool:
    """Whether two segments meet within both."""

    def turn(p: Corner, q: Corner, r: Corner) -> float:
        return float((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]))

    return turn(a, b, c) * turn(a, b, d) < 0.0 and turn(c, d, a) * turn(c, d, b) < 0.0


class Zone(Record):
    """A piece of a face in which the same limits hold.

    `seen` says how it is looked at: always (from the listening seat), in use (when the loudspeaker is
    touched or walked round), hidden.
    """

    name: str
    face: Id
    seen: Seen = "always"
    corners: Annotated[tuple[Corner, ...], Field(min_length=3, max_length=40), AfterValidator(_round)]


class Likeness(Record):
    """How alike both halves must look: colour difference CIEDE2000 and gloss, zone by zone."""

    colour: Positive | None = None  # largest delta E00, left against right
    gloss: Positive | None = None  # largest difference in gloss units
    gloss_least: Number | None = None  # each half
    gloss_most: Number | None = None
    zones: tuple[Id, ...] = ()  # where both are read; default: every zone seen always


class Inspection(Record):
    """What is looked at on a product."""

    faces: dict[Id, Face]
    zones: dict[Id, Zone]
    likeness: Likeness = Likeness()


class Defect(Record):
    """A kind of defect: the largest size that may stay, by how the zone is seen; its usual repair.

    Size is the longest extent of one defect. What has no limit for a zone may not stay there.
    """

    name: str
    says: str = ""  # how to tell it from others
    allowed: dict[Seen, quantity("m", NOT_NEGATIVE)] = {}  # type: ignore[valid-type]
    repair: Id | None = None


class RepairStep(Record):
    """One step of a spot repair."""

    name: str
    station: Id
    duration: StatedDuration
    skill: Id | None = None
    next_min: Wait = 0.0  # to the next line, or to the step that it comes back to
    handling: str = ""


class Repair(Record):
    """A spot repair: a short way off the route and back to a step of it, for each product.

    Where no step is named it comes back to the inspection that found the defect.
    """

    name: str
    steps: tuple[RepairStep, ...] = Field(min_length=1)
    back_to: dict[Id, Id] = {}  # product -> step
    cautions: tuple[Id, ...] = ()


class LimitSample(Record):
    """A real piece, or its photograph, that shows the worst that may pass."""

    defect: Id
    seen: Seen
    says: str
    kept: str = ""  # where the piece lies
    photograph: Annotated[str, Field(pattern="[0-9a-f]{64}")] | None = None
    until: Day | None = None  # samples fade: renewed by this day
