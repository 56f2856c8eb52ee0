"""Small drawings: glyphs of steps and acts, shapes of states, halves, kinds of defect. They take the ink around."""

from __future__ import annotations

from typing import Final

from markupsafe import Markup

from pairwright.render import marks


def glyph(kind: str) -> Markup:
    """The glyph of a kind of step."""
    body = marks.glyph(kind, (5.0, 5.0), size=10.0)
    return Markup(f'<svg class="glyph" viewBox="-0.6 -0.6 11.2 11.2" aria-hidden="true">{body}</svg>')


def shape(state: str) -> Markup:
    """The shape of a state."""
    body = marks.shape(state, (6.0, 6.4), size=5.0)
    return Markup(f'<svg class="shape" viewBox="0 0 12 12" aria-hidden="true">{body}</svg>')


_LEFT: Final = "M21 5C11 6 6 13 6 24S11 42 21 43Z"
_RIGHT: Final = "M27 5C37 6 42 13 42 24S37 42 27 43Z"


def half(side: str | None, *, whole: bool = False) -> Markup:
    """Which half this is: two shells about an axis, the one in hand full; a set is both."""
    one = "on" if whole or side in ("left", "a") else "off"
    other = "on" if whole or side in ("right", "b") else "off"
    if side is None and not whole:
        body = '<rect class="on" x="15" y="6" width="18" height="36" rx="5"/>'
    else:
        body = f'<path class="{one}" d="{_LEFT}"/><path class="{other}" d="{_RIGHT}"/>'
    return Markup(
        f'<svg class="half" viewBox="0 0 48 48" aria-hidden="true">{body}<path class="axis-line" d="M24 1V47"/></svg>'
    )


_ACTS: Final = {
    "start": "M2 5H9M2 2V8M6.5 2.5L9 5L6.5 7.5",
    "finish": "M1 5H8M8 2V8M5.5 2.5L8 5L5.5 7.5",
    "measure": "M1 8C3 8 3 2 5 2S7 8 9 8",
    "inspect": "M1 5C3 1.5 7 1.5 9 5C7 8.5 3 8.5 1 5ZM5 4V6",
    "problem": "M5 1L3.6 5H6.4L5 9",
    "rework": "M8.5 5A3.5 3.5 0 1 1 5 1.5H8M6.4 0L8 1.5L6.4 3.2",
    "repair": "M2 8L6 4M5 2C7 0.5 9 2 8.5 4.5L6.5 4.5L6 3Z",
    "concession": "M1.5 5.5L4 8L8.5 2M1 9.3H9",
    "scrap": "M2 2L8 8M8 2L2 8",
    "hold": "M3 1.5V8.5M7 1.5V8.5",
    "free": "M3 1.5V4M7 1.5V4M3 6V8.5M7 6V8.5",
    "note": "M2 2H8M2 5H8M2 8H6",
    "mate": "M4 1.5C1 2 1 8 4 8.5ZM6 1.5C9 2 9 8 6 8.5Z",
    "mount": "M5 1V6M3 4L5 6L7 4M1.5 8.5H8.5",
    "remove": "M5 6V1M3 3L5 1L7 3M1.5 8.5H8.5",
    "unmate": "M3.5 1.5C0.5 2 0.5 8 3.5 8.5ZM6.5 1.5C9.5 2 9.5 8 6.5 8.5Z",
    "swap": "M1 3H8M6 1L8 3L6 5M9 7H2M4 5L2 7L4 9",
    "scan": "M1 1V9M3 1V9M4.5 1V9M7 1V9M9 1V9",
}


def act_glyph(name: str) -> Markup:
    """The glyph of an act at a station."""
    body = f'<path class="curve-2" d="{_ACTS.get(name, _ACTS["note"])}"/>'
    return Markup(f'<svg class="glyph" viewBox="-0.6 -0.6 11.2 11.2" aria-hidden="true">{body}</svg>')


def _dots(*spots: tuple[float, float, float]) -> str:
    return "".join(f'<circle class="ink" cx="{x}" cy="{y}" r="{r}"/>' for x, y, r in spots)


def _line(path: str) -> str:
    return f'<path class="curve-2" d="{path}"/>'


def _rings(*spots: tuple[float, float, float]) -> str:
    return "".join(f'<circle class="curve-2" cx="{x}" cy="{y}" r="{r}"/>' for x, y, r in spots)


# By what the names of the kinds speak of; a piece of surface, 24 by 24, with the fault on it.
_DEFECTS: Final = {
    "inclusion": _dots((9, 10, 1.1), (15, 14, 1.4), (13, 8, 0.9)),
    "dust": _dots((9, 10, 1.1), (15, 14, 1.4), (13, 8, 0.9)),
    "run": _line("M6 7H18M9 7C9 15 8 17 9.5 18S11 15 11 7M15 7C15 12 14.4 13 15.3 13.6S16.6 12 16.5 7"),
    "sag": _line("M5 9C9 9 9 15 12 15S15 9 19 9"),
    "peel": _line("M5 9Q7 7 9 9T13 9T17 9T20 9M4 13Q6 11 8 13T12 13T16 13T20 13M5 17Q7 15 9 17T13 17T17 17"),
    "crater": _rings((12, 12, 5), (12, 12, 2)),
    "pin": _dots((8, 8, 0.9), (15, 10, 0.9), (10, 15, 0.9), (17, 17, 0.9)),
    "scratch": _line("M5 17L19 7M8 17L13 13"),
    "haze": _line("M4 8H20M6 11H18M4 14H20M6 17H18"),
    "hologram": _line("M4 8H20M6 11H18M4 14H20M6 17H18"),
    "through": _line("M4 9H8C9 13 15 13 16 9H20M4 13H9M15 13H20M4 17H20"),
    "dent": _line("M4 11H8C9 16 15 16 16 11H20"),
    "chip": _line("M4 8H12L14 12L17 9.5L18 8H20M4 17H20"),
    "crack": _line("M12 4L10 9L13 12L10 16L12 20"),
    "joint": _line("M4 10H20M4 14H20M10 10V14M15 10V14"),
    "gap": _line("M4 8L20 11M4 16L20 13"),
    "stain": _line("M8 8C12 5 17 8 16 12S13 18 9 16S5 11 8 8Z"),
    "shade": '<path class="tone-2" d="M12 4H20V20H12Z"/>' + _line("M12 4V20"),
    "colour": '<path class="tone-2" d="M12 4H20V20H12Z"/>' + _line("M12 4V20"),
    "glue": _line("M4 12H9C9 8 13 7 13 11S17 12 20 12"),
    "bubble": _rings((9, 14, 3), (15, 9, 2)),
    "split": _line("M4 12H8L20 8M8 12L20 16"),
}
_OTHER: Final = _rings((12, 12, 4))


def defect_picture(name: str) -> Markup:
    """A picture of a kind of defect; a ring where none fits its name."""
    found = next((body for word, body in _DEFECTS.items() if word in name), _OTHER)
    frame = '<rect class="blank" x="1" y="1" width="22" height="22" rx="3"/>'
    return Markup(f'<svg viewBox="0 0 24 24" aria-hidden="true">{frame}{found}</svg>')
