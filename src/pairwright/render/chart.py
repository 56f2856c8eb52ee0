"""A small SVG writer: shapes by class, escaped words, scales. Same data, same bytes.

A figure is written once, with class names. The page colours it with variables (light, dark,
print); the paper asks for the rules in resolved colours inside the drawing.

>>> drawing = Drawing("d", width=100, height=20)
>>> drawing.line((0, 10), (100, 10), cls="axis")
>>> "<line" in drawing.svg("A line.")
True
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final, TypeAlias

from pairwright.render import marks

Point: TypeAlias = tuple[float, float]

# Width of a letter in ems, roughly, for a humanist sans serif: enough to keep words apart.
_NARROW: Final = frozenset("iljtfr.,:;'|!()[] ·")
_WIDE: Final = frozenset("mwMWQOGDHN%@—")


def number(value: float) -> str:
    """A coordinate with at most two decimals and no trailing zeros."""
    body = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if body in ("-0", "") else body


def word_width(words: str, size: float = 12.0) -> float:
    """Estimated width of words set at a size, in the same unit."""
    ems = 0.0
    for letter in words:
        if letter in _NARROW:
            ems += 0.32
        elif letter in _WIDE:
            ems += 0.86
        else:
            ems += 0.66 if letter.isupper() else 0.56
    return ems * size


@dataclass(frozen=True, slots=True)
class Table:
    """The twin of a figure, or a table of its own: cells as text; `numeric` columns set right."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """A finished figure: the drawing, what it says in one sentence, its table."""

    id: str
    title: str
    sentence: str
    svg: str
    width: float
    height: float
    table: Table

    def resolved(self, rules: str) -> str:
        """The drawing with its own style sheet, to stand alone."""
        head, _, rest = self.svg.partition(">")
        return f"{head}><style>{rules}</style>{rest}"


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight map of numbers to coordinates."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Coordinate of a value."""
        if self.high == self.low:
            return (self.start + self.end) / 2.0
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


@dataclass(slots=True)
class Drawing:
    """Shapes in the order they are drawn; `id` keeps its patterns apart from other drawings'."""

    id: str
    width: float
    height: float
    _parts: list[str] = field(default_factory=list)
    _textures: set[str] = field(default_factory=set)

    def line(self, start: Point, end: Point, *, cls: str) -> None:
        """A straight line."""
        (x1, y1), (x2, y2) = start, end
        self._add(f'<line x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"', cls)

    def box(self, corner: Point, size: Point, *, cls: str, round_by: float = 0.0) -> None:
        """A rectangle; negative sizes are drawn the other way round."""
        (x, y), (w, h) = corner, size
        x, w = (x, w) if w >= 0 else (x + w, -w)
        y, h = (y, h) if h >= 0 else (y + h, -h)
        bend = f' rx="{number(round_by)}"' if round_by else ""
        self._add(
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(w)}" height="{number(h)}"{bend}', cls
        )

    def curve(self, points: Iterable[Point], *, cls: str) -> None:
        """A line through points."""
        body = " L".join(f"{number(x)} {number(y)}" for x, y in points)
        self._add(f'<path d="M{body}"', cls)

    def area(self, points: Iterable[Point], *, cls: str) -> None:
        """A closed shape through points."""
        body = " L".join(f"{number(x)} {number(y)}" for x, y in points)
        self._add(f'<path d="M{body}Z"', cls)

    def path(self, d: str, *, cls: str) -> None:
        """A path as SVG writes it."""
        self._add(f'<path d="{d}"', cls)

    def circle(self, centre: Point, radius: float, *, cls: str) -> None:
        """A circle."""
        x, y = centre
        self._add(f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"', cls)

    def textured(self, corner: Point, size: Point, *, texture: str, round_by: float = 0.0) -> None:
        """A rectangle filled with the texture of a kind of step."""
        if not texture:
            return
        self._textures.add(texture)
        (x, y), (w, h) = corner, size
        x, w = (x, w) if w >= 0 else (x + w, -w)
        y, h = (y, h) if h >= 0 else (y + h, -h)
        bend = f' rx="{number(round_by)}"' if round_by else ""
        self._parts.append(
            f'<rect x="{number(x)}" y="{number(y)}" width="{number(w)}" height="{number(h)}"{bend} '
            f'fill="url(#{self.id}-{texture})"/>'
        )

    def words(
        self, at: Point, words: str, *, cls: str = "", anchor: str = "start", halo: bool = False
    ) -> None:
        """Words on their base line; `halo` clears what is behind them."""
        if not words:
            return
        x, y = at
        place = f'x="{number(x)}" y="{number(y)}"'
        turn = "" if anchor == "start" else f' text-anchor="{anchor}"'
        body = escape(words, quote=False)
        cls = f"{cls} halo".strip() if halo else cls
        style = f' class="{cls}"' if cls else ""
        self._parts.append(f"<text {place}{turn}{style}>{body}</text>")

    def mark(self, at: Point, state: str, *, size: float = 5.0) -> None:
        """The shape of a state about a point."""
        self._parts.append(marks.shape(state, at, size=size))

    def glyph(self, at: Point, kind: str, *, size: float = 10.0) -> None:
        """The glyph of a kind of step about a point."""
        self._parts.append(marks.glyph(kind, at, size=size))

    def svg(self, sentence: str) -> str:
        """The drawing; `sentence` is what a reader of the screen hears."""
        defs = "".join(marks.pattern(name, self.id) for name in sorted(self._textures))
        defs = f"<defs>{defs}</defs>" if defs else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="pw-fig" role="img" '
            f'viewBox="0 0 {number(self.width)} {number(self.height)}" '
            f'width="{number(self.width)}" height="{number(self.height)}" '
            f'aria-label="{escape(sentence)}">{defs}{"".join(self._parts)}</svg>'
        )

    def _add(self, start: str, cls: str) -> None:
        self._parts.append(f'{start} class="{cls}"/>')


def steps_between(low: float, high: float, *, most: int = 6) -> list[float]:
    """Round numbers from low to high, at most so many of them."""
    if not (math.isfinite(low) and math.isfinite(high)) or high <= low or most < 2:
        return [low]
    rough = (high - low) / (most - 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= rough * (1 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(n * step, 10) for n in range(first, last + 1)]


def step_line(points: Sequence[Point]) -> list[Point]:
    """Points of a line that stays level until the next point's place."""
    drawn: list[Point] = []
    for n, (x, y) in enumerate(points):
        if n:
            drawn.append((x, points[n - 1][1]))
        drawn.append((x, y))
    return drawn


@dataclass(slots=True)
class Shelf:
    """Rows in which words are placed without touching: the nearest free row, or none."""

    rows: int
    room: float = 8.0
    _ends: list[list[tuple[float, float]]] = field(init=False)

    def __post_init__(self) -> None:
        self._ends = [[] for _ in range(self.rows)]

    def place(self, middle: float, width: float) -> int | None:
        """The row where words of this width about `middle` fit; None where they do not."""
        low, high = middle - width / 2.0 - self.room / 2.0, middle + width / 2.0 + self.room / 2.0
        for row, taken in enumerate(self._ends):
            if all(high <= a or low >= b for a, b in taken):
                taken.append((low, high))
                return row
        return None
