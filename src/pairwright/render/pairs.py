"""A set about its time axis: a pair mirrored, a single astride, many pairs as thin lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from pairwright.base.words import Words, text
from pairwright.render.chart import Drawing, Figure, Shelf, Table, word_width
from pairwright.render.marks import KIND_WORDS, texture_of
from pairwright.render.timeline import TimeScale, draw_days, folded, how_long, short_day, straight
from pairwright.reports.figures import Bar, Join, State, Track

WIDTH: Final = 960.0
_LEFT: Final = 136.0
_HALF: Final = 22.0  # height of one half
_OPEN: Final = 7.0  # how far open halves stand off the axis
_ROW: Final = 13.0
_RESTING: Final = ("rest",)  # nothing is occupied: drawn as the wait that it is


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A bar with its place: +1 above, -1 below, 0 across; open when it stands off the axis."""

    bar: Bar
    place: int
    open: bool


def _closed(track: Track) -> list[_Drawn]:
    """Bars as drawn: halves of a step within its allowed gap close into one bar at their mean."""
    opened = {g.word for g in track.gaps if g.beyond > 0}
    lower = {(b.word, n): b for n, b in _counted(track.lower)}
    drawn = [_Drawn(b, 0, False) for b in track.both]
    for n, bar in _counted(track.upper):
        mate = lower.pop((bar.word, n), None)
        if mate is None or bar.word in opened:
            drawn.append(_Drawn(bar, 1, bar.word in opened))
            if mate is not None:
                drawn.append(_Drawn(mate, -1, True))
        else:
            middle = replace(bar, start=(bar.start + mate.start) // 2, end=(bar.end + mate.end) // 2)
            drawn.append(_Drawn(middle, 0, False))
    drawn += [_Drawn(b, -1, b.word in opened) for b in lower.values()]
    return sorted(drawn, key=lambda d: (d.bar.start, -d.place))


def _counted(bars: Sequence[Bar]) -> list[tuple[int, Bar]]:
    """Bars with how often their word has come before: a step may be done again."""
    seen: dict[str, int] = {}
    found = []
    for bar in bars:
        seen[bar.word] = seen.get(bar.word, 0) + 1
        found.append((seen[bar.word], bar))
    return found


def pair_track(track: Track, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """One set about its folded time axis.

    Parameters
    ----------
    track : Track
        The set, its operations and what joins it.
    words : Words
        The reader's language and zone.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing; its height follows. [-]
    """
    bars = _closed(track)
    scale = folded(
        [(d.bar.start, d.bar.end) for d in bars] or [(track.completion - 60, track.completion)],
        start=_LEFT, stop=width - 34.0,
    )  # fmt: skip
    above = _join_rows(track, scale, 1)
    below = _join_rows(track, scale, -1)
    labels = 2
    opened = track.widest is not None and track.widest.beyond > 0
    top = 24.0 if opened else 10.0
    axis = top + _ROW * (max(above.values(), default=-1) + 1) + _ROW * labels + 8 + _OPEN + _HALF
    base = axis + _HALF + _OPEN + 8 + _ROW * labels + _ROW * (max(below.values(), default=-1) + 1) + 6
    drawing = Drawing(id, width, base + 22)
    draw_days(drawing, scale, words=words, top=8, base=base)
    _heading(drawing, track, words, axis=axis)
    drawing.line((_LEFT - 8, axis), (width - 20, axis), cls="axis")
    _waits(drawing, bars, scale, axis=axis)
    for side, rows in ((1, above), (-1, below)):
        _joins(drawing, track, scale, rows=rows, side=side, axis=axis)
    state: State = track.state if track.state in ("waiting", "simulated") else "fine"
    for item in bars:
        _bar(drawing, item, scale, axis=axis, state="broken" if item.open else state)
    _labels(drawing, bars, scale, words=words, axis=axis, rows=labels)
    _opening(drawing, track, words, scale=scale, axis=axis)
    _end(drawing, track, words, scale=scale, axis=axis, base=base)
    sentence = words.say(track.sentence)
    return Figure(
        id, f"{track.set} · {words.say(track.name)}", sentence, drawing.svg(sentence),
        width, drawing.height, _table(track, words),
    )  # fmt: skip


single_track = pair_track  # a track without sides is one bar astride the axis


def _heading(drawing: Drawing, track: Track, words: Words, *, axis: float) -> None:
    drawing.words((0, axis - 16), track.set, cls="large strong")
    drawing.mark((5, axis - 1), track.state)
    drawing.words((15, axis + 3), words.say(track.word), cls=f"strong t-{track.state}")
    if track.sides:
        drawing.words((_LEFT - 12, axis - 8), track.sides[0], cls="small soft", anchor="end", halo=True)
        drawing.words((_LEFT - 12, axis + 15), track.sides[1], cls="small soft", anchor="end", halo=True)


def _bar(drawing: Drawing, item: _Drawn, scale: TimeScale, *, axis: float, state: State) -> None:
    x = scale(item.bar.start)
    w = max(scale(item.bar.end) - x, 2.0)
    stand = _OPEN if item.open else 0.0
    if item.bar.kind in _RESTING:
        for side in (1, -1) if item.place == 0 else (item.place,):
            y = axis - side * (5 + stand)
            drawing.line((x + 4, y), (max(x + w - 4, x + 4.1), y), cls="wait")
        return
    if item.place > 0:
        top, height = axis - stand - _HALF, _HALF
    elif item.place < 0:
        top, height = axis + stand, _HALF
    else:
        top, height = axis - _HALF, 2 * _HALF
    bend = min(2.5, w / 3)
    drawing.box((x, top), (w, height), cls="body" if state == "fine" else f"w-{state}", round_by=bend)
    drawing.textured((x, top), (w, height), texture=texture_of(item.bar.kind), round_by=bend)
    if item.place == 0 and w >= 5:
        drawing.line((x, axis), (x + w, axis), cls="lead")


def _waits(drawing: Drawing, bars: Sequence[_Drawn], scale: TimeScale, *, axis: float) -> None:
    """Waits hug the axis, dotted, on the side that waits."""
    for side in (1, -1):
        mine = [d.bar for d in bars if d.place in (0, side)]
        for before, after in pairwise(mine):
            start, end = scale(before.end) + 4, scale(after.start) - 4
            if end - start >= 4:
                y = axis - 5 * side
                drawing.line((start, y), (end, y), cls="wait")


def _labels(
    drawing: Drawing, bars: Sequence[_Drawn], scale: TimeScale, *, words: Words, axis: float, rows: int
) -> None:
    """The word of each step beside its bar, above and below by turns, in the nearest free row."""
    shelves = {1: Shelf(rows), -1: Shelf(rows)}
    turn = 1
    for item in bars:
        middle = (scale(item.bar.start) + scale(item.bar.end)) / 2
        name = item.bar.word
        resting = item.bar.kind in _RESTING
        if resting:
            name = f"{name}, {how_long(item.bar.end - item.bar.start, words)}"
        size = word_width(name, 10.5)
        choices = (item.place,) if item.place else (turn, -turn)
        for side in choices:
            row = shelves[side].place(middle, size)
            if row is None:
                continue
            edge = axis - side * ((8 if resting else _HALF) + (_OPEN if item.open else 0))
            y = axis - side * (_HALF + _OPEN + 5 + row * _ROW) + (0 if side > 0 else 8)
            drawing.line((middle, edge), (middle, y + (2 if side > 0 else -9)), cls="lead")
            cls = "small t-broken" if item.open else "small soft"
            drawing.words((middle, y), name, cls=cls, anchor="middle", halo=True)
            turn = -side
            break


def _sided(track: Track, side: int) -> list[Join]:
    return sorted(
        (j for j in track.joins if j.side == side or (j.side == 0 and side > 0)),
        key=lambda j: (j.used, j.word),
    )


def _join_rows(track: Track, scale: TimeScale, side: int) -> dict[int, int]:
    """The row outside the figure of each join of a side."""
    shelf, rows = Shelf(6, room=10.0), {}
    for n, join in enumerate(_sided(track, side)):
        left, right = _join_span(join, scale)
        size = word_width(join.word, 10.5) + 6 if side > 0 or not track.sides else 0.0
        row = shelf.place((left - size + right) / 2, right - left + size)
        if row is not None:
            rows[n] = row
    return rows


def _join_span(join: Join, scale: TimeScale) -> tuple[float, float]:
    """From begun to where the line bends to its use; never longer than is useful to the eye."""
    used = scale(join.used)
    left = max(scale(join.start), used - 150.0)
    return min(left, used - 26.0), used


def _joins(
    drawing: Drawing, track: Track, scale: TimeScale, *, rows: dict[int, int], side: int, axis: float
) -> None:
    """Sub-assemblies come from outside: a line while they are made, dotted while they wait."""
    for n, join in enumerate(_sided(track, side)):
        if n not in rows:
            continue
        left, used = _join_span(join, scale)
        y = axis - side * (_HALF + _OPEN + 8 + 2 * _ROW + 6 + rows[n] * _ROW)
        bend = used - 6
        ready = min(max(scale(join.ready), left + 6), bend)
        drawing.line((left, y), (ready, y), cls="join")
        if bend - ready > 4:
            drawing.line((ready + 3, y), (bend, y), cls="wait")
        drawing.curve([(bend, y), (used, y + side * 10), (used, axis - side * (_HALF + 1))], cls="lead")
        if side > 0 or not track.sides:
            drawing.words((left - 5, y + 3.5), join.word, cls="small soft", anchor="end", halo=True)


def _opening(drawing: Drawing, track: Track, words: Words, *, scale: TimeScale, axis: float) -> None:
    """The gap that is too wide, measured and named."""
    gap = track.widest
    if gap is None or gap.beyond <= 0:
        return
    one, other = sorted((scale(gap.upper), scale(gap.lower)))
    y = 12.0
    drawing.curve([(one, axis - 4), (one, y), (other, y), (other, axis + 4)], cls="l-broken")
    note = words.say(
        text(
            "{step}: {apart} apart, allowed {allowed}",
            step=gap.word, apart=how_long(gap.apart, words), allowed=how_long(gap.allowed or 0.0, words),
        )
    )  # fmt: skip
    flip = other + 8 + word_width(note, 12) > drawing.width
    drawing.words(
        ((one - 8) if flip else (other + 8), y + 4), note,
        cls="strong t-broken", anchor="end" if flip else "start", halo=True,
    )  # fmt: skip


def _end(drawing: Drawing, track: Track, words: Words, *, scale: TimeScale, axis: float, base: float) -> None:
    """The end of the track, and the due date where it lies within."""
    x = scale(track.completion)
    late = track.due is not None and track.completion > track.due
    drawing.circle((x + 12, axis), 6.5, cls="w-broken" if late else "w-fine")
    mark = [(x + 9, axis), (x + 11.2, axis + 2.6), (x + 15.2, axis - 2.6)]
    if late:
        mark = [(x + 12, axis - 3.5), (x + 12, axis + 0.5), (x + 12, axis + 3)]
    drawing.curve(mark, cls="l-broken" if late else "l-fine")
    if track.due is not None and scale.begin <= track.due < track.completion:
        due = scale(track.due)
        drawing.line((due, 8), (due, base), cls="l-broken")
        name = words.say(text("due {day}", day=short_day(track.due, words)))
        drawing.words((due - 4, base - 4), name, cls="small strong t-broken", anchor="end", halo=True)


def _table(track: Track, words: Words) -> Table:
    head = (
        words.say(text("Step")), words.say(text("Kind")), words.say(text("Half")),
        words.say(text("Start")), words.say(text("End")),
    )  # fmt: skip
    together = words.say(text("together"))
    sides = track.sides or ("", "")
    rows = [
        (b.start, (b.word, words.say(KIND_WORDS[b.kind]), half, _at(b.start, words), _at(b.end, words)))
        for bars, half in ((track.upper, sides[0]), (track.lower, sides[1]),
                           (track.both, together if track.sides else ""))
        for b in bars
    ]  # fmt: skip
    rows += [
        (j.start, (j.word, words.say(text("joins")), sides[0 if j.side > 0 else 1] if j.side else "",
                   _at(j.start, words), _at(j.ready, words)))
        for j in track.joins
    ]  # fmt: skip
    return Table(head, tuple(row for _, row in sorted(rows)))


def _at(moment: int, words: Words) -> str:
    return words.moment(moment, "%-d %b %H:%M")


def dense_tracks(
    tracks: Sequence[Track], words: Words, *, id: str, sentence: str, width: float = WIDTH
) -> Figure:
    """Many sets on one straight time axis, a thin line each, the widest opening first.

    Parameters
    ----------
    tracks : sequence of Track
        The sets.
    words : Words
        The reader's language and zone.
    id : str
        Name of the figure in the page.
    sentence : str
        What the figure says.
    width : float
        Width of the drawing. [-]
    """
    rows = sorted(tracks, key=lambda t: (-(t.widest.beyond if t.widest else 0.0), t.completion, t.set))
    pitch, top = 11.0, 10.0
    base = top + pitch * max(len(rows), 1) + 6
    drawing = Drawing(id, width, base + 22)
    begin = min((t.start for t in rows), default=0)
    end = max((max(t.completion, t.due or 0) for t in rows), default=begin + 1)
    scale = straight(begin, end, start=_LEFT + 22, stop=width - 16)
    draw_days(drawing, scale, words=words, top=top - 4, base=base)
    for n, track in enumerate(rows):
        _dense_row(drawing, track, scale, y=top + pitch * (n + 0.5))
    head = tuple(
        words.say(t) for t in (text("Set"), text("Product"), text("State"), text("Widest gap"),
                               text("Allowed"), text("Due"), text("Planned end"))
    )  # fmt: skip
    return Figure(
        id, words.say(text("All sets, the widest opening first")), sentence, drawing.svg(sentence),
        width, drawing.height, Table(head, tuple(_dense_cells(t, words) for t in rows)),
    )  # fmt: skip


def _dense_row(drawing: Drawing, track: Track, scale: TimeScale, *, y: float) -> None:
    drawing.mark((5, y), track.state, size=3.4)
    drawing.words((14, y + 3.5), track.set, cls="small")
    drawing.line((scale(track.start), y), (scale(track.completion), y), cls="hair")
    for item in _closed(track):
        a, b = scale(item.bar.start), scale(item.bar.end)
        stand = 2.2 * item.place if item.open else 0.0
        size = 2.0 if item.place else 4.0
        cls = "f-broken" if item.open else "dot"
        size = 1.0 if item.bar.kind in _RESTING else size
        drawing.box((a, y - stand - size / 2), (max(b - a, 0.7), size), cls=cls)
    for join in track.joins:
        if join.ready >= join.used - 3600:  # arrives at the last moment: the track waits for it
            x = scale(join.used)
            drawing.line((x, y - 4.5), (x, y + 4.5), cls="lead")
    if track.due is not None:
        x, cls = scale(track.due), "x-broken" if track.completion > track.due else "l-fine"
        drawing.line((x, y - 3.5), (x, y + 3.5), cls=cls)


def _dense_cells(track: Track, words: Words) -> tuple[str, ...]:
    gap = track.widest
    return (
        track.set, words.say(track.name), words.say(track.word),
        f"{gap.word}: {how_long(gap.apart, words)}" if gap else "",
        how_long(gap.allowed, words) if gap and gap.allowed is not None else "",
        short_day(track.due, words) if track.due is not None else "",
        _at(track.completion, words),
    )  # fmt: skip
