"""How the figures speak: shapes of states, textures and glyphs of kinds of step."""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Words, text
from pairwright.render.chart import Drawing, Figure, Table
from pairwright.render.marks import (
    FAMILY,
    FAMILY_WORDS,
    KIND_WORDS,
    STATE_LETTERS,
    STATE_WORDS,
    texture_of,
)
from pairwright.render.pairs import WIDTH
from pairwright.render.palette import STATES

_PITCH: Final = 25.0


def legend(words: Words, *, id: str, width: float = WIDTH) -> Figure:
    """Every state and every kind of step with its sign.

    Parameters
    ----------
    words : Words
        The reader's language.
    id : str
        Name of the figure in the page.
    width : float
        Width of the drawing. [-]
    """
    families = list(FAMILY_WORDS)
    drawing = Drawing(id, width, 34 + _PITCH * len(families))
    _states(drawing, words)
    for n, family in enumerate(families):
        _family(drawing, family, words, y=34 + _PITCH * (n + 0.5), left=width * 0.26)
    says = text(
        "Colour means state and nothing else; shape and word say the same. "
        "Kinds of step have a texture and a glyph."
    )
    sentence = words.say(says)
    head = (words.say(text("Kind of step")), words.say(text("Family")))
    rows = [(words.say(KIND_WORDS[k]), words.say(FAMILY_WORDS[f])) for k, f in FAMILY.items()]
    rows += [(STATE_LETTERS[s], words.say(STATE_WORDS[s])) for s in STATES]
    title = words.say(text("How to read the figures"))
    return Figure(id, title, sentence, drawing.svg(sentence), width, drawing.height, Table(head, tuple(rows)))


def _states(drawing: Drawing, words: Words) -> None:
    drawing.words((0, 16), words.say(text("State")), cls="strong")
    for n, state in enumerate(STATES):
        y = 34 + _PITCH * (n + 0.5)
        drawing.box((0, y - 8), (34, 16), cls="body" if state == "fine" else f"w-{state}", round_by=2.5)
        drawing.mark((50, y), state)
        drawing.words((64, y + 4), words.say(STATE_WORDS[state]), cls=f"strong t-{state}")


def _family(drawing: Drawing, family: str, words: Words, *, y: float, left: float) -> None:
    if family == next(iter(FAMILY_WORDS)):
        drawing.words((left, 16), words.say(text("Kind of step")), cls="strong")
    kinds = [k for k, f in FAMILY.items() if f == family]
    wide = 15 if family == "hold" else 34  # a rest occupies nothing: it is drawn as the wait that it is
    drawing.box((left, y - 8), (wide, 16), cls="body", round_by=2.5)
    drawing.textured((left, y - 8), (wide, 16), texture=texture_of(kinds[0]), round_by=2.5)
    if family == "hold":
        drawing.line((left + 20, y), (left + 34, y), cls="wait")
    x = left + 52
    room = (drawing.width - x) / 5.0
    for n, kind in enumerate(kinds):
        drawing.glyph((x + n * room + 5, y), kind, size=11)
        drawing.words((x + n * room + 17, y + 4), words.say(KIND_WORDS[kind]), cls="small soft")
