"""The film as it is built and cut back: the flat above the axis, the edges mirrored below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.base.words import Amount, Words, text
from pairwright.render.chart import Drawing, Figure, Scale, Table, steps_between
from pairwright.render.marks import texture_of
from pairwright.render.pairs import WIDTH
from pairwright.reports.figures import FilmBuild, FilmStage

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
    for scale in (up, down) if mirrored else (up,):
        _danger(drawing, scale, build.reserve, right=right)
    _columns(drawing, build.stages, up=up, down=down, pitch=pitch)
    for scale in (up, down) if mirrored else (up,):
        drawing.line((_LEFT - 8, scale(build.reserve)), (right, scale(build.reserve)), cls="l-broken")
    _reserve_note(drawing, build, words, right=right)
    drawing.line((_LEFT - 8, axis), (right, axis), cls="axis")
    _names(drawing, build.stages, pitch=pitch, base=height - 28)
    sentence = words.say(build.sentence)
    return Figure(
        id, words.say(build.title), sentence, drawing.svg(sentence),
        width, height, _film_table(build, words),
    )  # fmt: skip


def _ruler(drawing: Drawing, scale: Scale, *, right: float, words: Words) -> None:
    for value in steps_between(0.0, scale.high * 1e6, most=5)[1:]:
        y = scale(value * 1e-6)
        drawing.line((_LEFT, y), (right, y), cls="hair")
        drawing.words((right + 8, y + 4), f"{words.number(value)} µm", cls="small soft")


def _columns(drawing: Drawing, stages: Sequence[FilmStage], *, up: Scale, down: Scale, pitch: float) -> None:
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
    """The zone below the least film, hatched."""
    if reserve > 0:
        size = (right - _LEFT + 8, scale(reserve) - scale(0.0))
        drawing.textured((_LEFT - 8, scale(0.0)), size, texture="danger")


def _reserve_note(drawing: Drawing, build: FilmBuild, words: Words, *, right: float) -> None:
    note = words.say(text("must stay above {reserve}", reserve=Amount(build.reserve, "film")))
    if build.reserve > 0:
        drawing.words((_LEFT - 8, 16), note, cls="small strong t-broken")
    for n, (name, chance) in enumerate(reversed(build.chances[:2])):
        said = f"{words.say(name)}: {words.amount(Amount(chance, 'share', 2))}"
        drawing.words((right, 16 + 14 * n), said, cls="small strong" if n == 0 else "small", anchor="end")


def _names(drawing: Drawing, stages: Sequence[FilmStage], *, pitch: float, base: float) -> None:
    """Names under the columns, on two levels where they are many."""
    for n, stage in enumerate(stages):
        level = 13.0 if n % 2 and pitch < 90 else 0.0
        x = _LEFT + (n + 0.5) * pitch
        drawing.words((x, base + level), stage.word, cls="small soft", anchor="middle")


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
