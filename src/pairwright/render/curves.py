"""Any curves over one axis: limits across, moments upright, scatter as a band, places by name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from pairwright.base.words import KINDS, Amount, Words
from pairwright.process.figure import Curve, Figure
from pairwright.render import chart
from pairwright.render.chart import Drawing, Scale, Table, steps_between, word_width
from pairwright.render.pairs import WIDTH

_TOP: Final = 26.0
_BASE: Final = 216.0
_LEFT: Final = 8.0
_RIGHT: Final = 78.0
_MOST: Final = 160  # points of a drawn curve


@dataclass(frozen=True, slots=True)
class AxisUnit:
    """The unit of a whole axis, so that all its numbers are in the same one."""

    name: str
    shown: Callable[[float], float]  # from base SI


def axis_unit(kind: str, largest: float, *, words: Words) -> AxisUnit:
    """The unit in which an axis of a kind is read best.

    Parameters
    ----------
    kind : str
        A kind of `Amount`.
    largest : float
        The largest value on the axis, in base SI. [-]
    words : Words
        The reader's habits.
    """
    if kind == "temperature":
        return AxisUnit("°C", lambda v: v - 273.15)
    if kind == "length" and words.lengths == "inch":
        return AxisUnit("in", lambda v: v / 0.0254)
    units = KINDS.get(kind, (("", 1.0, 0.0),))
    name, size = next(((n, s) for n, s, least in units if abs(largest) >= least * s), units[-1][:2])
    return AxisUnit(name, lambda v: v / size)


def thinned(count: int, most: int = _MOST) -> list[int]:
    """Indices of at most about so many points, the last one kept."""
    step = max(1, -(-count // most))
    kept = list(range(0, count, step))
    return kept if not count or kept[-1] == count - 1 else [*kept, count - 1]


def curve_figure(figure: Figure, words: Words, *, id: str, width: float = WIDTH) -> chart.Figure:
    """Curves with their limits and moments.

    Parameters
    ----------
    figure : Figure
        What a step report shows.
    words : Words
        The reader's language and units.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    drawing = Drawing(id, width, _BASE + 40)
    right = width - _RIGHT
    x, y = _scales(figure, right)
    _ruler(drawing, figure, y, right=right, words=words)
    for curve in figure.curves:
        _band(drawing, curve, x=x, y=y)
    _levels(drawing, figure, words, x=x, y=y)
    _curves(drawing, figure, words, x=x, y=y)
    _foot(drawing, figure, words, x=x)
    sentence = words.say(figure.says)
    return chart.Figure(
        id, words.say(figure.title), sentence, drawing.svg(sentence), width, drawing.height,
        _table(figure, words),
    )  # fmt: skip


def _scales(figure: Figure, right: float) -> tuple[Scale, Scale]:
    xs = [v for c in figure.curves for v in c.x] + [n.value for n in figure.levels if n.upright]
    ys = [v for c in figure.curves for v in c.y] + [n.value for n in figure.levels if not n.upright]
    low, high = min(ys, default=0.0), max(ys, default=1.0)
    if figure.y_kind != "temperature":
        low = min(low, 0.0)
    room = (high - low) * 0.06 or 1.0
    inset = 40.0 if figure.places else 0.0
    return (
        Scale(min(xs, default=0.0), max(xs, default=1.0), _LEFT + inset, right - inset),
        Scale(low, high + room, _BASE, _TOP),
    )


def _ruler(drawing: Drawing, figure: Figure, y: Scale, *, right: float, words: Words) -> None:
    unit = axis_unit(figure.y_kind, y.high, words=words)
    back = (y.high - y.low) / ((unit.shown(y.high) - unit.shown(y.low)) or 1.0)
    marks = steps_between(unit.shown(y.low), unit.shown(y.high), most=5)
    for value in marks:
        at = y(y.low + (value - unit.shown(y.low)) * back)
        if at < _BASE - 4:
            drawing.line((_LEFT, at), (right, at), cls="hair")
            drawing.words(
                (right + 8, at + 4), f"{words.number(value)} {unit.name}".rstrip(), cls="small soft"
            )
    drawing.words((_LEFT, 12), words.say(figure.y_name), cls="small soft")


def _band(drawing: Drawing, curve: Curve, *, x: Scale, y: Scale) -> None:
    """Two standard deviations to either side."""
    if not curve.spread:
        return
    kept = thinned(len(curve.x))
    upper = [(x(curve.x[k]), y(curve.y[k] + 2 * curve.spread[k])) for k in kept]
    lower = [(x(curve.x[k]), y(max(curve.y[k] - 2 * curve.spread[k], y.low))) for k in reversed(kept)]
    drawing.area([*upper, *lower], cls="band")


def _levels(drawing: Drawing, figure: Figure, words: Words, *, x: Scale, y: Scale) -> None:
    taken: list[float] = []
    for level in sorted((n for n in figure.levels if not n.upright), key=lambda n: -n.value):
        at = y(level.value)
        drawing.line((_LEFT, at), (x.end, at), cls="limit")
        place = at - 5 if not taken or at - taken[-1] > 15 else at + 13
        taken.append(at)
        name = f"{words.say(level.name)} {words.amount(Amount(level.value, figure.y_kind))}"
        drawing.words((_LEFT + 4, place), name, cls="small soft", halo=True)
    for level in figure.levels:
        if level.upright:
            at = x(level.value)
            drawing.line((at, _TOP - 8), (at, _BASE), cls="axis")
            name = f"{words.say(level.name)} {words.amount(Amount(level.value, figure.x_kind))}"
            flip = at + 8 + word_width(name, 12) > drawing.width - 6
            drawing.words((at - 7 if flip else at + 7, _BASE - 10), name, cls="small strong",
                          anchor="end" if flip else "start", halo=True)  # fmt: skip


def _curves(drawing: Drawing, figure: Figure, words: Words, *, x: Scale, y: Scale) -> None:
    """The first curve boldest; each named at its own place along the way."""
    for n, curve in reversed(list(enumerate(figure.curves))):
        kept = thinned(len(curve.x))
        points = [(x(curve.x[k]), y(curve.y[k])) for k in kept]
        if not points:
            continue
        drawing.curve(points, cls="curve" if n == 0 else "curve-2" if n < 3 else "thread")
        if len(figure.curves) > 1 and len(figure.curves) <= 6:
            px, py = points[int((len(points) - 1) * (0.86 - 0.17 * n))]
            up = any(a[1] > b[1] for a, b in pairwise(points))
            drawing.words((px, py + (15 if up else -6)), words.say(curve.name), cls="small",
                          anchor="middle", halo=True)  # fmt: skip


def _foot(drawing: Drawing, figure: Figure, words: Words, *, x: Scale) -> None:
    drawing.line((_LEFT, _BASE), (drawing.width - _RIGHT, _BASE), cls="axis")
    if figure.places:
        for n, name in enumerate(figure.places):
            level = 13.0 if n % 2 and len(figure.places) > 7 else 0.0
            drawing.words((x(float(n)), _BASE + 17 + level), name, cls="small soft", anchor="middle")
        return
    unit = axis_unit(figure.x_kind, x.high, words=words)
    marks = steps_between(unit.shown(x.low), unit.shown(x.high), most=9)
    back = (x.high - x.low) / ((unit.shown(x.high) - unit.shown(x.low)) or 1.0)
    for n, value in enumerate(marks):
        at = x(x.low + (value - unit.shown(x.low)) * back)
        drawing.line((at, _BASE), (at, _BASE + 4), cls="axis")
        name = words.number(value) + (f" {unit.name}" if n == len(marks) - 1 else "")
        drawing.words((at, _BASE + 17), name, cls="small soft", anchor="middle")
    drawing.words((_LEFT, _BASE + 34), words.say(figure.x_name), cls="small soft")


def _table(figure: Figure, words: Words) -> Table:
    head = (words.say(figure.x_name), *(words.say(c.name) for c in figure.curves))
    first = figure.curves[0] if figure.curves else None
    rows = []
    for k in thinned(len(first.x), 24) if first is not None else []:
        at = figure.places[k] if figure.places else words.amount(Amount(first.x[k], figure.x_kind))  # type: ignore[union-attr]
        rows.append((at, *(words.amount(Amount(c.y[k], figure.y_kind)) if k < len(c.y) else ""
                           for c in figure.curves)))  # fmt: skip
    return Table(head, tuple(rows), tuple(range(0 if not figure.places else 1, len(head))))
