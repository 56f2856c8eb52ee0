"""Shapes of states, glyphs and textures of kinds of step. No colour of their own.

A state has a shape beside its colour and word. A kind of step has a glyph and belongs to a
family with a texture: heat is dotted, wet is hatched, cutting is ruled, holding is barbed, putting
together is plain, looking is crossed.
"""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Text, text

FAMILY: Final = {
    "press": "heat", "stove": "heat",
    "spray": "wet", "glue-up": "wet",
    "trim": "cut", "sand": "cut", "flat": "cut", "polish": "cut",
    "clamp": "hold", "rest": "hold",
    "join": "make", "wind": "make", "build": "make", "board": "make", "finish": "make",
    "test": "look", "measure": "look", "inspect": "look",
    "clean": "pack", "pack": "pack",
}  # fmt: skip

KIND_WORDS: Final[dict[str, Text]] = {
    "press": text("press"), "stove": text("stove"), "spray": text("spray"), "glue-up": text("glue-up"),
    "trim": text("trim"), "sand": text("sand"), "flat": text("flat"), "polish": text("polish"),
    "clamp": text("clamp"), "rest": text("rest"), "join": text("assemble"), "wind": text("wind"),
    "build": text("build"), "board": text("board"), "finish": text("finish"), "test": text("test"),
    "measure": text("measure"), "inspect": text("inspect"), "clean": text("clean"), "pack": text("pack"),
}  # fmt: skip

FAMILY_WORDS: Final[dict[str, Text]] = {
    "heat": text("heat: press, stove"),
    "wet": text("wet: glue, spray"),
    "cut": text("cut: trim, sand, flat, polish"),
    "hold": text("hold: clamp, rest"),
    "make": text("put together"),
    "look": text("test, measure, inspect"),
    "pack": text("clean, pack"),
}

STATE_WORDS: Final[dict[str, Text]] = {
    "fine": text("fine"),
    "watch": text("watch"),
    "broken": text("broken"),
    "waiting": text("waiting"),
    "simulated": text("simulated"),
}

# For running text, where a shape must be a letter.
STATE_LETTERS: Final = {"fine": "●", "watch": "◆", "broken": "▲", "waiting": "○", "simulated": "◇"}

_PATTERNS: Final = {
    "heat": (5, '<circle cx="1.5" cy="1.5" r="0.8" class="dot"/><circle cx="4" cy="4" r="0.8" class="dot"/>'),
    "wet": (5, '<path d="M-1 6L6 -1M-1 1L1 -1M4 6L6 4" class="tex"/>'),
    "cut": (4, '<path d="M0 2H4" class="tex"/>'),
    "hold": (6, '<path d="M1.5 1L3.5 3L1.5 5" class="tex"/>'),
    "look": (7, '<path d="M1.5 3.5H5.5M3.5 1.5V5.5" class="tex"/>'),
    "pack": (6, '<path d="M3 0V6" class="tex"/>'),
    "danger": (6, '<path d="M-1 1L1 -1M-1 7L7 -1M5 7L7 5" class="tex"/>'),
    "along": (6, '<path d="M0 1.5H6M0 4.5H6" class="tex" stroke-opacity="0.45"/>'),
    "across": (
        6,
        '<circle cx="1.5" cy="2" r="0.7" class="dot"/><circle cx="4.5" cy="4.5" r="0.7" class="dot"/>',
    ),
}


def texture_of(kind: str) -> str:
    """The texture of a kind of step; empty where it is plain."""
    family = FAMILY.get(kind, "make")
    return family if family in _PATTERNS else ""


def pattern(name: str, prefix: str) -> str:
    """A texture as an SVG pattern."""
    size, body = _PATTERNS[name]
    return (
        f'<pattern id="{prefix}-{name}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
        f"{body}</pattern>"
    )


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def shape(state: str, at: tuple[float, float], *, size: float = 5.0) -> str:
    """The shape of a state about a point, `size` from its middle to its rim."""
    x, y = at
    if state == "fine":
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(size * 0.8)}" class="f-fine"/>'
    if state == "waiting":
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(size * 0.75)}" class="l-waiting"/>'
    if state == "broken":
        top, low, side = y - size, y + size * 0.75, size
        d = f"M{_n(x)} {_n(top)}L{_n(x + side)} {_n(low)}L{_n(x - side)} {_n(low)}Z"
        return f'<path d="{d}" class="f-broken"/>'
    d = f"M{_n(x)} {_n(y - size)}L{_n(x + size)} {_n(y)}L{_n(x)} {_n(y + size)}L{_n(x - size)} {_n(y)}Z"
    return f'<path d="{d}" class="{"f-watch" if state == "watch" else "l-simulated"}"/>'


# Glyphs on a field of 10 by 10: strokes only, so that they print and take the ink of the text.
_GLYPHS: Final = {
    "press": "M1 2H9M1 8H9M3 5H7M5 2V4M5 8V6",
    "stove": "M2 9V4L5 1L8 4V9M4 8C3.5 6.5 5.5 6 5 4.5M6 8C6.6 7 6 6.4 6.2 5.6",
    "spray": "M1 5H4M4 3.5V6.5M5.5 4L9 2M5.5 5H9M5.5 6L9 8",
    "glue-up": "M1 3H9V7H1ZM1 5H9",
    "trim": "M1 8L9 2M1 2L9 8",
    "sand": "M1 7H9M2 4L3 6M4 4L5 6M6 4L7 6",
    "flat": "M1 8H9M1 5H9",
    "polish": "M5 1.5A3.5 3.5 0 1 1 1.5 5M5 4V5H6",
    "clamp": "M2 1V9M8 1V9M2 5H8",
    "rest": "M2 1H8L2 9H8Z",
    "join": "M1 5H4M6 5H9M4 2.5V7.5M6 2.5V7.5",
    "wind": "M1 5H9M3 3V7M5 3V7M7 3V7",
    "build": "M2 9V5H8V9M5 5V1",
    "board": "M1 2H9V8H1ZM3 5H7",
    "finish": "M2 9L7 4M6 2L8 1L9 2L8 4Z",
    "test": "M1 5H3L4 2L6 8L7 5H9",
    "measure": "M1 8C3 8 3 2 5 2S7 8 9 8",
    "inspect": "M1 5C3 1.5 7 1.5 9 5C7 8.5 3 8.5 1 5ZM5 4V6",
    "clean": "M2 8L8 2M5 8L8 5M2 5L5 2",
    "pack": "M1 3L5 1L9 3V8L5 9.5L1 8ZM1 3L5 5L9 3M5 5V9.5",
}


def glyph(kind: str, at: tuple[float, float], *, size: float = 10.0) -> str:
    """The glyph of a kind of step about a point."""
    x, y = at
    scale = size / 10.0
    move = f"translate({_n(x - size / 2)} {_n(y - size / 2)}) scale({_n(scale)})"
    return f'<path d="{_GLYPHS.get(kind, _GLYPHS["build"])}" transform="{move}" class="curve-2"/>'
