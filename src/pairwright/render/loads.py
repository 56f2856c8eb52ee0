"""Stations, waiting areas and promises: plan against forecast, mirrored about an axis."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.base.time import DAY
from pairwright.base.words import Amount, Words, text
from pairwright.render.chart import Drawing, Figure, Scale, Table, step_line, steps_between, word_width
from pairwright.render.marks import STATE_WORDS
from pairwright.render.pairs import WIDTH
from pairwright.render.timeline import TimeScale, draw_days, short_day, straight
from pairwright.reports.figures import (
    BufferLevels,
    BufferRow,
    LoadRow,
    PromiseFan,
    PromiseRow,
    StationLoad,
    WeeklyLoad,
)

_TOP: Final = 34.0


def station_load(load: StationLoad, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """Each station about an upright axis: the plan to the left, the forecast to the right.

    Parameters
    ----------
    load : StationLoad
        Shares of available time.
    words : Words
        The reader's language.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    pitch, name = 21.0, 190.0
    height = _TOP + pitch * len(load.rows) + 24
    drawing = Drawing(id, width, height)
    axis = name + (width - name) / 2
    reach = (width - name) / 2 - 44
    right, left = Scale(0.0, 1.0, axis, axis + reach), Scale(0.0, 1.0, axis, axis - reach)
    base = height - 22
    for scale in (left, right):
        for share in (0.25, 0.5, 0.75, 1.0):
            x = scale(share)
            drawing.line((x, _TOP - 6), (x, base), cls="l-broken" if share == 1.0 else "hair")
            drawing.words((x, base + 15), words.amount(Amount(share, "share")), cls="small soft",
                          anchor="middle")  # fmt: skip
    drawing.words((axis - 10, 16), words.say(text("planned")), cls="strong", anchor="end")
    drawing.words((axis + 10, 16), words.say(text("forecast, with scatter and breakdowns")), cls="strong")
    for n, row in enumerate(load.rows):
        _load_row(drawing, row, words, y=_TOP + pitch * (n + 0.5), left=left, right=right)
    drawing.line((axis, _TOP - 6), (axis, base), cls="axis")
    sentence = words.say(load.sentence)
    return Figure(
        id, words.say(text("How much of their time the stations work")), sentence, drawing.svg(sentence),
        width, height, _load_table(load, words),
    )  # fmt: skip


def _load_row(drawing: Drawing, row: LoadRow, words: Words, *, y: float, left: Scale, right: Scale) -> None:
    drawing.mark((6, y), row.state, size=4.2)
    drawing.words((17, y + 4), row.word, cls="strong" if row.state in ("watch", "broken") else "")
    cls = "body" if row.state == "fine" else f"w-{row.state}"
    for scale, share, side in ((left, row.planned, -1), (right, row.forecast, 1)):
        if share is None:
            continue
        end = scale(min(share, 1.06))
        drawing.box((scale(0.0), y - 6.5), (end - scale(0.0), 13), cls=cls)
        anchor = "start" if side > 0 else "end"
        drawing.words((end + 5 * side, y + 4), words.amount(Amount(share, "share", 2)), cls="small",
                      anchor=anchor, halo=True)  # fmt: skip
    start = row.forecast or 0.0
    if row.blocked:
        a, b = right(min(start, 1.0)), right(min(start + row.blocked, 1.0))
        if b - a > 30:
            drawing.line((a + 34, y), (b, y), cls="l-waiting")


def _load_table(load: StationLoad, words: Words) -> Table:
    head = tuple(
        words.say(t) for t in (text("Station"), text("State"), text("Planned"), text("Forecast"),
                               text("Blocked"), text("Starved"))
    )  # fmt: skip
    rows = tuple(
        (
            r.word,
            _state(r.state, words),
            *(_share(v, words) for v in (r.planned, r.forecast, r.blocked, r.starved)),
        )
        for r in load.rows
    )
    return Table(head, rows, (2, 3, 4, 5))


def _share(value: float | None, words: Words) -> str:
    return "" if value is None else words.amount(Amount(value, "share", 2 if value < 1 else 3))


def _state(state: str, words: Words) -> str:
    return words.say(STATE_WORDS[state])


def weekly_load(load: WeeklyLoad, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """One station week by week: work as a body about the axis, setups at its rim.

    Parameters
    ----------
    load : WeeklyLoad
        Shares of each week's available time.
    words : Words
        The reader's language.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    height, axis, half = 150.0, 66.0, 48.0
    drawing = Drawing(id, width, height)
    left, right = 10.0, width - 62.0
    pitch = (right - left) / max(len(load.weeks), 1)
    for side in (1, -1):
        drawing.line((left, axis - side * half), (right, axis - side * half), cls="l-broken")
    drawing.words((right + 8, axis - half + 4), words.amount(Amount(1.0, "share")), cls="small soft")
    for n, week in enumerate(load.weeks):
        x, w = left + n * pitch + pitch * 0.1, pitch * 0.8
        worked, whole = week.worked * half, min(week.worked + week.setup, 1.1) * half
        drawing.box((x, axis - whole), (w, 2 * whole), cls="blank")
        drawing.textured((x, axis - whole), (w, 2 * whole), texture="wet")
        drawing.box((x, axis - worked), (w, 2 * worked), cls="body")
        share = words.amount(Amount(week.worked + week.setup, "share", 2))
        inside = whole > 12
        drawing.words((x + w / 2, axis + 4 if inside else axis - whole - 5), share, cls="small strong",
                      anchor="middle")  # fmt: skip
        drawing.words(
            (x + w / 2, height - 12), short_day(week.start, words), cls="small soft", anchor="middle"
        )
    sentence = words.say(load.sentence)
    head = tuple(words.say(t) for t in (text("Week of"), text("Work"), text("Setup"), text("Available time")))
    rows = tuple(
        (short_day(w.start, words), _share(w.worked, words), _share(w.setup, words),
         words.amount(Amount(w.available, "duration")))
        for w in load.weeks
    )  # fmt: skip
    title = words.say(text("{station}, week by week", station=load.word))
    return Figure(id, title, sentence, drawing.svg(sentence), width, height, Table(head, rows, (1, 2, 3)))


def promise_fan(fan: PromiseFan, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """Every order about its own due date: early to the left, late to the right.

    Parameters
    ----------
    fan : PromiseFan
        Due dates, planned ends and forecast days.
    words : Words
        The reader's language and zone.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    pitch, name = 15.0, 236.0
    base = _TOP + pitch * len(fan.rows) + 6
    drawing = Drawing(id, width, base + 24)
    offsets = [(v - r.due) / DAY for r in fan.rows for v in (r.plan, r.p10, r.p50, r.p90) if v is not None]
    low, high = min((*offsets, -1.0)), max((*offsets, 1.0))
    days = Scale(low * 1.04, high * 1.04, name, width - 20)
    for value in steps_between(days.low, days.high, most=11):
        x = days(value)
        drawing.line((x, _TOP - 8), (x, base), cls="hair")
        drawing.words((x, base + 17), words.number(value), cls="small soft", anchor="middle")
    zero = days(0.0)
    for side, label in ((-1, text("days early")), (1, text("days late"))):
        note = words.say(label)
        fits = (zero - name if side < 0 else width - zero) > word_width(note) + 12
        if fits:
            drawing.words((zero + 8 * side, 16), note, cls="strong" if side < 0 else "strong t-broken",
                          anchor="end" if side < 0 else "start")  # fmt: skip
    for n, row in enumerate(fan.rows):
        _fan_row(drawing, row, words, days=days, y=_TOP + pitch * (n + 0.5))
    drawing.line((zero, _TOP - 12), (zero, base), cls="axis")
    sentence = words.say(fan.sentence)
    return Figure(
        id, words.say(text("Every order about its due date")), sentence, drawing.svg(sentence),
        width, drawing.height, promise_table(fan.rows, words),
    )  # fmt: skip


def _fan_row(drawing: Drawing, row: PromiseRow, words: Words, *, days: Scale, y: float) -> None:
    drawing.mark((5, y), row.state, size=3.8)
    cls = "small strong" if row.state in ("watch", "broken") else "small"
    drawing.words((15, y + 3.5), row.order, cls=cls)
    drawing.words((72, y + 3.5), words.say(row.name), cls="small soft")
    at = [days((v - row.due) / DAY) if v is not None else None for v in (row.p10, row.p50, row.p90)]
    if at[0] is not None and at[2] is not None:
        line = "x-broken" if row.state == "broken" else ("x-watch" if row.state == "watch" else "wait")
        drawing.line((at[0], y), (at[2], y), cls="lead" if line == "wait" else line)
        drawing.line((at[2], y - 4), (at[2], y + 4), cls="lead" if line == "wait" else line)
    if at[1] is not None:
        drawing.circle((at[1], y), 2.6, cls="ink")
    plan = days((row.plan - row.due) / DAY)
    drawing.area([(plan, y - 4), (plan + 4, y), (plan, y + 4), (plan - 4, y)], cls="blank")


def promise_table(rows: Sequence[PromiseRow], words: Words) -> Table:
    """Orders with due date, planned end and forecast days."""
    head = tuple(
        words.say(t) for t in (text("Order"), text("Product"), text("State"), text("Due"), text("Plan"),
                               text("P10"), text("P50"), text("P90"), text("On time"))
    )  # fmt: skip
    found = tuple(
        (
            r.order, words.say(r.name), _state(r.state, words), short_day(r.due, words), short_day(r.plan, words),
            *("" if v is None else short_day(v, words) for v in (r.p10, r.p50, r.p90)),
            _share(r.on_time, words),
        )
        for r in rows
    )  # fmt: skip
    return Table(head, found, (3, 4, 5, 6, 7, 8))


def buffer_level(levels: BufferLevels, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """Each waiting area as a channel that fills about its axis; its walls are its places.

    Parameters
    ----------
    levels : BufferLevels
        Places taken over the time of the plan.
    words : Words
        The reader's language and zone.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    pitch, name = 54.0, 190.0
    base = 8 + pitch * len(levels.rows)
    drawing = Drawing(id, width, base + 24)
    time = straight(levels.begin, levels.end, start=name, stop=width - 84)
    draw_days(drawing, time, words=words, top=4, base=base)
    for n, row in enumerate(levels.rows):
        _channel(drawing, row, words, y=8 + pitch * (n + 0.5), time=time, half=pitch * 0.36)
    sentence = words.say(levels.sentence)
    head = tuple(
        words.say(t) for t in (text("Waiting area"), text("Places"), text("Most in the plan"),
                               text("Mean forecast"), text("P95 forecast"))
    )  # fmt: skip
    rows = tuple(
        (
            r.word,
            str(r.places),
            words.number(r.most),
            *("" if v is None else words.number(v) for v in (r.mean, r.p95)),
        )
        for r in levels.rows
    )
    return Figure(
        id, words.say(text("How full the waiting areas are")), sentence, drawing.svg(sentence),
        width, drawing.height, Table(head, rows, (1, 2, 3, 4)),
    )  # fmt: skip


def _channel(
    drawing: Drawing, row: BufferRow, words: Words, *, y: float, time: TimeScale, half: float
) -> None:
    drawing.mark((6, y), row.state, size=4.2)
    drawing.words((17, y - 2), row.word, cls="strong" if row.state != "fine" else "")
    drawing.words((17, y + 12), words.say(text("{places} places", places=row.places)), cls="small soft")
    left, right = time(time.begin), time(time.end)
    share = Scale(0.0, float(row.places), 0.0, half)
    points = [(time(t), share(level)) for t, level in row.levels if t <= time.end]
    if points:
        upper = step_line([*points, (right, points[-1][1])])
        shape = [(x, y - h) for x, h in upper] + [(x, y + h) for x, h in reversed(upper)]
        drawing.area(shape, cls="body" if row.state == "fine" else f"w-{row.state}")
    wall = "l-broken" if row.state == "broken" else "curve-2"
    for side in (1, -1):
        drawing.line((left, y - side * half), (right, y - side * half), cls=wall)
    drawing.words((right + 8, y + 4), words.say(
        text("most {most}", most=Amount(row.most / row.places, "share", 2))), cls="small")  # fmt: skip
