"""The film as it is built and cut back, and as it hardens."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.base.words import Amount, Words, text
from pairwright.render.chart import Drawing, Figure, Scale, Table, steps_between
from pairwright.render.marks import texture_of
from pairwright.render.pairs import WIDTH
from pairwright.reports.figures import FilmBuild, FilmStage, HardnessGrowth

_HALF: Final = 132.0  # height of one side of the mirror
_LEFT: Final = 96.0


def film_build(build: FilmBuild, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """The film step by step: on the flat above the axis, at the edges mirrored below.

    Parameters
    ----------
    build : FilmBuild
        Film after every step with its scatter, and the least that must be left.
    words : Words
        The reader's language and units.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    mirrored = any(s.edge is not None for s in build.stages)
    top = max((s.mean + 2 * s.sd for s in build.stages), default=1e-6)
    axis = 40.0 + _HALF
    height = axis + (_HALF if mirrored else 0.0) + 44.0
    drawing = Drawing(id, width, height)
    up = Scale(0.0, max(top, build.reserve * 1.3), axis, axis - _HALF)
    down = Scale(0.0, up.high, axis, axis + _HALF)
    right = width - 62.0
    pitch = (right - _LEFT) / max(len(build.stages), 1)
    for scale in (up, down) if mirrored else (up,):
        _ruler(drawing, scale, right=right, words=words)
    drawing.words((0, axis - 12), words.say(text("on the flat")), cls="strong")
    if mirrored:
        drawing.words((0, axis + 22), words.say(text("at an edge")), cls="strong")
    _columns(drawing, build.stages, up=up, down=down, pitch=pitch)
    for scale in (up, down) if mirrored else (up,):
        _danger(drawing, scale, build.reserve, right=right)
    _reserve_note(drawing, build, words, right=right)
    drawing.line((_LEFT - 8, axis), (right, axis), cls="axis")
    _names(drawing, build.stages, pitch=pitch, base=height - 28)
    sentence = words.say(build.sentence)
    return Figure(
        id, words.say(text("The film, coat by coat")), sentence, drawing.svg(sentence),
        width, height, _film_table(build, words),
    )  # fmt: skip


def _ruler(drawing: Drawing, scale: Scale, *, right: float, words: Words) -> None:
    for value in steps_between(0.0, scale.high * 1e6, most=5)[1:]:
        y = scale(value * 1e-6)
        drawing.line((_LEFT, y), (right, y), cls="hair")
        drawing.words((right + 8, y + 4), f"{words.number(value)} µm", cls="small soft")


def _columns(
    drawing: Drawing, stages: Sequence[FilmStage], *, up: Scale, down: Scale, pitch: float
) -> None:
    """A column for each step, with a whisker of two standard deviations."""
    for n, stage in enumerate(stages):
        x, w = _LEFT + n * pitch + pitch * 0.12, pitch * 0.76
        for scale, mean in ((up, stage.mean), (down, stage.edge)):
            if mean is None:
                continue
            y = scale(max(mean, 0.0))
            drawing.box((x, scale(0.0)), (w, y - scale(0.0)), cls="body")
            drawing.textured((x, scale(0.0)), (w, y - scale(0.0)), texture=texture_of(stage.kind))
            low, high = scale(max(mean - 2 * stage.sd, 0.0)), scale(mean + 2 * stage.sd)
            drawing.line((x + w / 2, low), (x + w / 2, high), cls="curve-2")
            for end in (low, high):
                drawing.line((x + w / 2 - 4, end), (x + w / 2 + 4, end), cls="curve-2")


def _danger(drawing: Drawing, scale: Scale, reserve: float, *, right: float) -> None:
    """The zone below the least film, hatched, with its border."""
    y = scale(reserve)
    drawing.textured((_LEFT - 8, scale(0.0)), (right - _LEFT + 8, y - scale(0.0)), texture="danger")
    drawing.line((_LEFT - 8, y), (right, y), cls="l-broken")


def _reserve_note(
    drawing: Drawing, build: FilmBuild, words: Words, *, right: float
) -> None:
    note = words.say(text("must stay above {reserve}", reserve=Amount(build.reserve, "film")))
    drawing.words((_LEFT - 8, 16), note, cls="small strong t-broken")
    if build.chance is not None:
        chance = words.say(text("chance of less at the worst place: {chance}",
                                chance=Amount(build.chance, "share")))  # fmt: skip
        cls = f"small strong t-{build.state}" if build.state != "fine" else "small strong"
        drawing.words((right, 16), chance, cls=cls, anchor="end")


def _names(drawing: Drawing, stages: Sequence[FilmStage], *, pitch: float, base: float) -> None:
    """Names under the columns, on two levels where they are many."""
    for n, stage in enumerate(stages):
        level = 13.0 if n % 2 and pitch < 90 else 0.0
        x = _LEFT + (n + 0.5) * pitch
        drawing.words((x, base + level), stage.word, cls="small soft", anchor="middle")
        if pitch >= 90:
            drawing.glyph((x, base + 12), stage.kind, size=9)


def _film_table(build: FilmBuild, words: Words) -> Table:
    head = tuple(words.say(t) for t in (text("After"), text("On the flat"), text("Standard deviation"),
                                        text("At an edge")))  # fmt: skip
    rows = tuple(
        (
            s.word, words.amount(Amount(s.mean, "film")), words.amount(Amount(s.sd, "film")),
            words.amount(Amount(s.edge, "film")) if s.edge is not None else "",
        )
        for s in build.stages
    )  # fmt: skip
    return Table(head, rows, (1, 2, 3))


def hardness_growth(growth: HardnessGrowth, words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """Hardness over days, and the day it may be polished.

    Parameters
    ----------
    growth : HardnessGrowth
        The curve, the threshold and the day it is passed.
    words : Words
        The reader's language and units.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    left, right, top, base = 10.0, width - 62.0, 20.0, 190.0
    drawing = Drawing(id, width, base + 26)
    peak = max((*growth.hardness, growth.threshold, *(h for _, h in growth.readings)), default=1.0)
    day = Scale(0.0, max(growth.days[-1] if growth.days else 1.0, growth.day * 1.3), left, right)
    hard = Scale(0.0, peak * 1.08, base, top)
    for value in steps_between(0.0, hard.high, most=5)[1:]:
        drawing.line((left, hard(value)), (right, hard(value)), cls="hair")
        drawing.words((right + 8, hard(value) + 4), words.number(value), cls="small soft")
    if growth.low is not None and growth.high is not None:
        a, b = day(growth.low), min(day(growth.high), right)
        drawing.box((a, top), (b - a, base - top), cls="band")
    drawing.line((left, hard(growth.threshold)), (right, hard(growth.threshold)), cls="limit")
    drawing.words((left + 4, hard(growth.threshold) - 5), words.say(
        text("hard enough at {threshold}", threshold=growth.threshold)), cls="small soft", halo=True)  # fmt: skip
    drawing.curve(zip(map(day, growth.days), map(hard, growth.hardness), strict=True), cls="curve")
    for at, value in growth.readings:
        drawing.circle((day(at), hard(value)), 3, cls="blank")
    x = day(growth.day)
    drawing.line((x, top - 6), (x, base), cls="axis")
    drawing.words((x + 8, base - 12), words.say(
        text("after {time}", time=Amount(growth.day * 86400.0, "duration"))), cls="strong", halo=True)  # fmt: skip
    drawing.line((left, base), (right, base), cls="axis")
    marks = steps_between(0.0, day.high, most=9)
    for value in marks:
        name = words.number(value) + (" d" if value == marks[-1] else "")
        drawing.words((day(value), base + 17), name, cls="small soft", anchor="middle")
    sentence = words.say(growth.sentence)
    return Figure(
        id, words.say(text("How the film hardens")), sentence, drawing.svg(sentence),
        width, drawing.height, _hardness_table(growth, words),
    )  # fmt: skip


def _hardness_table(growth: HardnessGrowth, words: Words) -> Table:
    step = max(1, len(growth.days) // 12)
    rows = tuple(
        (words.amount(Amount(d * 86400.0, "duration")), words.number(h))
        for d, h in list(zip(growth.days, growth.hardness, strict=True))[::step]
    )
    return Table((words.say(text("Time")), words.say(text("Hardness"))), rows, (0, 1))
