"""Colours, and the rules of style that figures, page and paper share.

Colour means state and nothing else: fine, watch, broken, waiting, simulated. Everything that has
no state is ink, paper or a grey between them. The five hues follow Okabe and Ito's set for
colour-blind readers [1]_, darkened or lightened until text in them keeps a contrast of at least
4.5:1 to the paper and to its own tint. A state is never shown by colour alone: `render.marks`
gives each its shape, and its word stands beside it.

References
----------
.. [1] M. Okabe, K. Ito, "Color universal design", 2008: black, orange, sky blue, bluish green,
   yellow, blue, vermillion, reddish purple. The hues here are from memory of that set.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias

Palette: TypeAlias = Mapping[str, str]

STATES: Final = ("fine", "watch", "broken", "waiting", "simulated")

LIGHT: Final[Palette] = {
    "paper": "#fcfbf8",
    "panel": "#f4f1ea",
    "ink": "#1f1d1a",
    "soft": "#5f5950",
    "hair": "#e0dbd0",
    "edge": "#857c6f",
    "body": "#ebe6db",
    "grain": "#c9bfae",
    "fine": "#00664a",
    "fine-tint": "#dcece5",
    "watch": "#7d5000",
    "watch-tint": "#fbe9c2",
    "broken": "#a33f00",
    "broken-tint": "#fbdfcd",
    "waiting": "#005b8f",
    "waiting-tint": "#d9e8f3",
    "simulated": "#85395f",
    "simulated-tint": "#f3e0ea",
}

DARK: Final[Palette] = {
    "paper": "#171614",
    "panel": "#211f1c",
    "ink": "#f1eee8",
    "soft": "#b3aca0",
    "hair": "#38342e",
    "edge": "#938a7c",
    "body": "#37332c",
    "grain": "#5a5348",
    "fine": "#62cba6",
    "fine-tint": "#16382d",
    "watch": "#efbf5c",
    "watch-tint": "#3d2f10",
    "broken": "#ff9a61",
    "broken-tint": "#46230f",
    "waiting": "#7fc0ea",
    "waiting-tint": "#15334a",
    "simulated": "#e7a3c6",
    "simulated-tint": "#412436",
}

# Paper takes the light colours on white; greys keep their order when printed without colour.
PRINT: Final[Palette] = {**LIGHT, "paper": "#ffffff", "panel": "#f6f4ef"}

VARIABLES: Final[Palette] = {name: f"var(--{name})" for name in LIGHT}

# What a figure is made of, by class. `{ink}` and the like are filled from a palette, or with
# variables that the page sets.
_RULES: Final = """
.pw-fig{{font-family:{font};font-size:12px;fill:{ink}}}
.soft{{fill:{soft}}}
.strong{{font-weight:600}}
.small{{font-size:10.5px}}
.large{{font-size:14px}}
.axis{{stroke:{ink};stroke-width:1.2;fill:none}}
.hair{{stroke:{hair};stroke-width:1;fill:none}}
.lead{{stroke:{edge};stroke-width:0.7;fill:none}}
.join{{stroke:{edge};stroke-width:1.5;fill:none;stroke-linejoin:round}}
.wait{{stroke:{edge};stroke-width:2;fill:none;stroke-dasharray:0.1 4;stroke-linecap:round}}
.body{{fill:{body};stroke:{edge};stroke-width:0.9}}
.blank{{fill:{paper};stroke:{edge};stroke-width:0.9}}
.tone{{fill:{body}}}
.tone-2{{fill:{grain}}}
.tex{{stroke:{edge};stroke-width:1;fill:none}}
.dot{{fill:{edge}}}
.thread{{stroke:{edge};stroke-width:0.8;fill:none}}
.curve{{stroke:{ink};stroke-width:2.4;fill:none;stroke-linejoin:round}}
.curve-2{{stroke:{ink};stroke-width:1.3;fill:none;stroke-linejoin:round}}
.dash{{stroke:{ink};stroke-width:1.5;fill:none;stroke-dasharray:5 3}}
.limit{{stroke:{ink};stroke-width:1;fill:none;stroke-dasharray:2 3}}
.band{{fill:{grain};fill-opacity:0.45}}
.halo{{paint-order:stroke;stroke:{paper};stroke-width:3.5;stroke-linejoin:round}}
.on-paper{{fill:{paper}}}
.ink{{fill:{ink}}}
"""
_STATE_RULES: Final = """
.t-{state}{{fill:{colour}}}
.f-{state}{{fill:{colour}}}
.w-{state}{{fill:{tint};stroke:{colour};stroke-width:1.1}}
.l-{state}{{stroke:{colour};stroke-width:1.4;fill:none}}
.x-{state}{{stroke:{colour};stroke-width:2.6;fill:none}}
.h-{state}{{stroke:{colour};stroke-width:1;fill:none;stroke-opacity:0.75}}
"""


def figure_rules(palette: Palette, font: str) -> str:
    """The style sheet of the figures in one palette and typeface, as one line."""
    rules = _RULES.format(font=font, **{k.replace("-", "_"): v for k, v in palette.items()})
    for state in STATES:
        rules += _STATE_RULES.format(state=state, colour=palette[state], tint=palette[f"{state}-tint"])
    return "".join(line for line in rules.splitlines() if line)


def variables(palette: Palette) -> str:
    """The palette as custom properties of a style sheet."""
    return "".join(f"--{name}:{value};" for name, value in palette.items())


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb`` as WCAG 2.2 defines it. [-]"""
    channels = [int(colour[n : n + 2], 16) / 255.0 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, as WCAG 2.2 defines it. [-]

    Examples
    --------
    >>> round(contrast("#000000", "#ffffff"), 1)
    21.0
    """
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
