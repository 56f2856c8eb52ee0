"""Promises, pairs, stations and waiting areas of the book."""

from __future__ import annotations

from pairwright.base.words import Amount, Words, text
from pairwright.render.document import Block, Cell, Column, Grid, Para, Plot, Section
from pairwright.render.legend import legend
from pairwright.render.loads import buffer_level, promise_fan, station_load, weekly_load
from pairwright.render.marks import STATE_WORDS
from pairwright.render.pairs import dense_tracks, pair_track
from pairwright.render.timeline import short_day
from pairwright.reports.book import BookData
from pairwright.reports.figures import PromiseRow
from pairwright.reports.tracks import telling


def promises_section(data: BookData, words: Words, *, width: float) -> Section:
    """Every order about its due date, then the dates."""
    fan = data.promises
    blocks: list[Block] = []
    if fan.rows:
        figure = promise_fan(fan, words, id="fan", width=width)
        blocks.append(Plot(figure))
        blocks.append(Para(words.say(text(
            "The axis is each order's own due date. Diamond: planned end; dot: the median of the futures; line: from "
            "the tenth to the ninetieth of a hundred. State by shape, word and colour.")), quiet=True))  # fmt: skip
    columns = (
        Column(words.say(text("Order")), width=0.7), Column(words.say(text("Product")), width=1.6),
        Column(words.say(text("State")), width=0.8), Column(words.say(text("Due")), True),
        Column(words.say(text("Plan")), True, "plan"),
        Column(words.say(text("P10")), True, "forecast"), Column(words.say(text("P50")), True, "forecast"),
        Column(words.say(text("P90")), True, "forecast"), Column(words.say(text("In time")), True, "forecast"),
    )  # fmt: skip
    rows = tuple(_promise_row(r, words) for r in fan.rows)
    blocks.append(Grid(words.say(text("Dates")), columns, rows, words.say(text("No order is in the plan."))))
    return Section("promises", words.say(text("Promises")), words.say(fan.sentence), tuple(blocks))


def _promise_row(row: PromiseRow, words: Words) -> tuple[str | Cell, ...]:
    futures = ("" if v is None else short_day(v, words) for v in (row.p10, row.p50, row.p90))
    share = "" if row.on_time is None else words.amount(Amount(row.on_time, "share", 2))
    return (
        row.order, words.say(row.name), Cell(words.say(STATE_WORDS[row.state]), row.state),
        short_day(row.due, words), short_day(row.plan, words), *futures, share,
    )  # fmt: skip


def pairs_section(data: BookData, words: Words, *, width: float) -> Section:
    """All sets as thin lines, then a few of them large."""
    sentence = words.say(data.tracks_say)
    blocks: list[Block] = []
    if data.tracks:
        blocks.append(Plot(dense_tracks(data.tracks, words, id="sets", sentence=sentence, width=width)))
        blocks.append(Para(words.say(text(
            "One line a set, the left half above, the right half below, closed to one while they keep step. The small "
            "upright stroke at the right is the due date; thin strokes are waits.")), quiet=True))  # fmt: skip
    for n, track in enumerate(telling(data.tracks)):
        blocks.append(Plot(pair_track(track, words, id=f"track-{n}", width=width)))
    if data.tracks:
        blocks.append(Para(words.say(text(
            "Time is folded: work takes the root of its length, waits less, so that both can be seen; days are named "
            "where they lie. What hugs the axis waits; what comes from outside is a part made elsewhere.")),
            quiet=True))  # fmt: skip
        blocks.append(Plot(legend(words, id="legend", width=width)))
    return Section("pairs", words.say(text("Pairs and singles")), sentence, tuple(blocks))


def stations_section(data: BookData, words: Words, *, width: float) -> Section:
    """Stations against forecast, the bottleneck by week, the waiting areas."""
    blocks: list[Block] = []
    if data.stations.rows:
        blocks.append(Plot(station_load(data.stations, words, id="load", width=width)))
    if data.weekly is not None and data.weekly.weeks:
        blocks.append(Plot(weekly_load(data.weekly, words, id="weeks", width=width)))
    if data.buffers.rows:
        blocks.append(Plot(buffer_level(data.buffers, words, id="buffers", width=width)))
    title = text("Stations and waiting areas")
    return Section("stations", words.say(title), words.say(data.stations.sentence), tuple(blocks))
