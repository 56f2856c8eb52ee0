"""The hot press as a figure: the stack with its glue lines as threads through time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.base.words import Amount, Words, text
from pairwright.render.chart import Drawing, Figure, Scale, Table, steps_between, word_width
from pairwright.render.curves import thinned
from pairwright.render.pairs import WIDTH
from pairwright.reports.figures import PressTrace

_TOP: Final = 34.0
_BASE: Final = 262.0
_STACK: Final = 96.0  # width of the drawn stack
_FAN: Final = 96.0  # room in which threads run from the stack to the axis
_CELSIUS: Final = 273.15


def _minutes(drawing: Drawing, scale: Scale, *, words: Words) -> None:
    """A time axis in minutes, or hours where it is long."""
    unit, size = ("h", 3600.0) if scale.high > 4 * 3600 else ("min", 60.0)
    drawing.line((scale.start, _BASE), (scale.end, _BASE), cls="axis")
    marks = steps_between(scale.low / size, scale.high / size, most=9)
    for n, value in enumerate(marks):
        x = scale(value * size)
        drawing.line((x, _BASE), (x, _BASE + 4), cls="axis")
        name = words.number(value) + (f" {unit}" if n == len(marks) - 1 else "")
        drawing.words((x, _BASE + 17), name, cls="small soft", anchor="middle")


def _degrees(drawing: Drawing, scale: Scale, *, left: float, right: float, words: Words) -> None:
    """Hairlines at round temperatures, named on the right."""
    for value in steps_between(scale.low - _CELSIUS, scale.high - _CELSIUS, most=6):
        y = scale(value + _CELSIUS)
        if y > _BASE - 6:
            continue
        drawing.line((left, y), (right, y), cls="hair")
        drawing.words((right + 8, y + 4), f"{words.number(value)} °C", cls="small soft")


def press_trace(trace: PressTrace, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """The stack on the left, time to the right, each glue line a thread from where it lies.

    Parameters
    ----------
    trace : PressTrace
        Plies, temperatures and cure.
    words : Words
        The reader's language and units.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    drawing = Drawing(id, width, _BASE + 26)
    start, stop = _STACK + _FAN, width - 62.0
    low = min((min(line) for line in trace.lines), default=trace.platen - 80)
    time = Scale(0.0, max(trace.times[-1] if trace.times else 1.0, trace.open_time * 1.02), start, stop)
    heat = Scale(low, max(trace.platen, max((max(n) for n in trace.lines), default=low)), _BASE, _TOP + 12)
    _degrees(drawing, heat, left=start, right=stop, words=words)
    drawing.line((start, heat(trace.platen)), (stop, heat(trace.platen)), cls="limit")
    drawing.words((start + 6, heat(trace.platen) - 5), words.say(
        text("platen {platen}", platen=Amount(trace.platen, "temperature"))), cls="small soft")  # fmt: skip
    edges = _stack(drawing, trace, words)
    _threads(drawing, trace, time=time, heat=heat, edges=edges)
    _cure(drawing, trace, words, time=time)
    _minutes(drawing, time, words=words)
    _opening(drawing, trace, words, time=time)
    sentence = words.say(trace.sentence)
    return Figure(
        id, words.say(text("Every glue line through the press cycle")), sentence, drawing.svg(sentence),
        width, drawing.height, _press_table(trace, words),
    )  # fmt: skip


def _stack(drawing: Drawing, trace: PressTrace, words: Words) -> list[float]:
    """Draw the plies, outer face on top; heights of the glue lines, inner face first."""
    total = sum(p.thickness for p in trace.plies) or 1.0
    y, edges = _BASE, []
    for ply in trace.plies:
        high = ply.thickness / total * (_BASE - _TOP)
        y -= high
        drawing.box((0, y + 0.7), (_STACK, max(high - 1.4, 0.6)), cls="tone" if ply.along else "tone-2")
        drawing.textured((0, y + 0.7), (_STACK, max(high - 1.4, 0.6)),
                         texture="along" if ply.along else "across")  # fmt: skip
        edges.append(y)
    drawing.words((0, _TOP - 8), words.say(text("outer face")), cls="small soft")
    drawing.words((0, _BASE + 15), words.say(text("inner face")), cls="small soft")
    return edges[:-1]


def _threads(
    drawing: Drawing, trace: PressTrace, *, time: Scale, heat: Scale, edges: Sequence[float]
) -> None:
    order = sorted(range(len(trace.lines)), key=lambda n: n == trace.coldest)
    for n in order:
        cls = "curve" if n == trace.coldest else "thread"
        line = trace.lines[n]
        first = heat(line[0])
        if n < len(edges):
            y, bend = edges[n], _STACK + _FAN * 0.55
            drawing.path(
                f"M{_STACK:.1f} {y:.1f}C{bend:.1f} {y:.1f} {bend:.1f} {first:.1f} {time.start:.1f} {first:.1f}",
                cls=cls,
            )
        drawing.curve([(time(trace.times[k]), heat(line[k])) for k in thinned(len(line))], cls=cls)


def _cure(drawing: Drawing, trace: PressTrace, words: Words, *, time: Scale) -> None:
    """Cure of the coldest line on its own scale, none at the foot, full at the top."""
    share = Scale(0.0, 1.0, _BASE, _TOP + 12)
    kept = thinned(len(trace.cure))
    if not kept:
        return
    drawing.curve([(time(trace.times[k]), share(trace.cure[k])) for k in kept], cls="dash")
    middle = next((k for k in kept if trace.cure[k] >= 0.45), kept[-1])
    at = (time(trace.times[middle]) + 9, share(trace.cure[middle]) + 12)
    drawing.words(at, words.say(text("cure of the coldest line, 0 to 100 %")), cls="small", halo=True)


def _opening(drawing: Drawing, trace: PressTrace, words: Words, *, time: Scale) -> None:
    """The moment the press may open, and the two reasons beside it."""
    x = time(trace.open_time)
    if trace.open_low is not None and trace.open_high is not None:
        left, right = time(trace.open_low), min(time(trace.open_high), time.end)
        drawing.box((left, _TOP), (right - left, _BASE - _TOP), cls="band")
    drawing.line((x, _TOP - 18), (x, _BASE), cls="axis")
    notes = [words.say(text("open at {time}: coldest line {cure} cured",
             time=Amount(trace.open_time, "duration"), cure=Amount(trace.target, "share")))]  # fmt: skip
    if trace.steam is not None:
        notes.append(words.say(text("steam bound {steam}", steam=Amount(trace.steam, "pressure"))))
        if trace.allowed is not None and trace.allowed_word is not None:
            notes[-1] += (
                f"; {words.say(trace.allowed_word)} {words.amount(Amount(trace.allowed, 'pressure'))}"
            )
    flip = x + 10 + max(word_width(n, 12) for n in notes) > drawing.width - 8
    place, anchor = (x - 8, "end") if flip else (x + 8, "start")
    state = f"strong t-{trace.state}" if trace.state != "fine" else "strong"
    drawing.words((place, _BASE - 26), notes[0], cls=state, anchor=anchor, halo=True)
    for note in notes[1:]:
        cls = f"small t-{trace.state}" if trace.state != "fine" else "small soft"
        drawing.words((place, _BASE - 10), note, cls=cls, anchor=anchor, halo=True)


def _press_table(trace: PressTrace, words: Words) -> Table:
    """Each glue line at opening, and when it came within a degree of it; times at fifths."""
    marks = [k for k in thinned(len(trace.times), 8) if trace.times[k] <= trace.open_time] or [0]
    head = (words.say(text("Glue line")), *(words.amount(Amount(trace.times[k], "duration")) for k in marks))
    rows = [
        (
            words.say(text("{number} (coldest)", number=n + 1)) if n == trace.coldest else str(n + 1),
            *(words.amount(Amount(line[k], "temperature", 3)) for k in marks),
        )
        for n, line in enumerate(trace.lines)
    ]
    if trace.cure:
        rows.append((words.say(text("cure of the coldest line")),
                     *(words.amount(Amount(trace.cure[k], "share")) for k in marks)))  # fmt: skip
    return Table(head, tuple(rows), tuple(range(1, len(head))))
