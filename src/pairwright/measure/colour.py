"""Colour of veneer and lacquer: difference of two colours as the eye sees it.

Colours are CIE L*a*b* of the same white and light. Convert photographs with a chart in frame.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

SHARMA: Final = Source(
    "published", "G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference formula, Color Res. Appl. 30 "
                 "(2005) 21-30, table I"
)  # fmt: skip
_POWER: Final = 25.0**7
_SMALL: Final = 5.0  # up to here the formula was fitted to what people see


def colour_difference(
    lab1: Sequence[float],
    lab2: Sequence[float],
    *,
    lightness_weight: float = 1.0,
    chroma_weight: float = 1.0,
    hue_weight: float = 1.0,
) -> float:
    """CIEDE2000 difference of two colours. [-]

    Parameters
    ----------
    lab1 : sequence of float
        L*, a*, b* of one colour. [-]
    lab2 : sequence of float
        L*, a*, b* of the other. [-]
    lightness_weight : float
        kL; 1 in reference conditions. [-]
    chroma_weight : float
        kC. [-]
    hue_weight : float
        kH. [-]

    Returns
    -------
    float
        Delta E00: about 1 is just seen side by side (common practice). [-]

    Notes
    -----
    Made for differences below about 5. It is no distance: the triangle inequality fails, and it jumps
    where hues are 180 degrees apart. To search many colours use `plain_difference` first.

    References
    ----------
    .. [1] G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, equations 2-22.

    Examples
    --------
    >>> round(colour_difference([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485]), 4)
    2.0425
    """
    c_mean = 0.5 * (math.hypot(lab1[1], lab1[2]) + math.hypot(lab2[1], lab2[2]))
    grey = 1.5 - 0.5 * math.sqrt(c_mean**7 / (c_mean**7 + _POWER))  # 1 + G: stretches a* near grey
    chroma1, hue1 = _polar(grey * lab1[1], lab1[2])
    chroma2, hue2 = _polar(grey * lab2[1], lab2[2])
    turn, hue = _hues(hue1, hue2, grey=chroma1 * chroma2 == 0.0)
    light, chroma = 0.5 * (lab1[0] + lab2[0]), 0.5 * (chroma1 + chroma2)
    d_hue = 2.0 * math.sqrt(chroma1 * chroma2) * math.sin(math.radians(0.5 * turn))
    off = (light - 50.0) ** 2
    s_light = 1.0 + 0.015 * off / math.sqrt(20.0 + off)
    s_chroma = 1.0 + 0.045 * chroma
    s_hue = 1.0 + 0.015 * chroma * _hue_weighting(hue)
    in_light = (lab2[0] - lab1[0]) / (lightness_weight * s_light)
    in_chroma = (chroma2 - chroma1) / (chroma_weight * s_chroma)
    in_hue = d_hue / (hue_weight * s_hue)
    blue = -math.sin(math.radians(60.0 * math.exp(-(((hue - 275.0) / 25.0) ** 2))))
    blue *= 2.0 * math.sqrt(chroma**7 / (chroma**7 + _POWER))
    return math.sqrt(max(0.0, in_light**2 + in_chroma**2 + in_hue**2 + blue * in_chroma * in_hue))


def plain_difference(lab1: Sequence[float], lab2: Sequence[float]) -> float:
    """CIE 1976 difference of two colours: the straight distance. [-]

    Parameters
    ----------
    lab1 : sequence of float
        L*, a*, b* of one colour. [-]
    lab2 : sequence of float
        L*, a*, b* of the other. [-]

    Returns
    -------
    float
        Delta E*ab. [-]

    Examples
    --------
    >>> plain_difference([50.0, 3.0, 0.0], [50.0, 0.0, 4.0])
    5.0
    """
    return math.dist(lab1, lab2)


def _polar(a: float, b: float) -> tuple[float, float]:
    """Chroma and hue angle of 0 to 360 degrees."""
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360.0


def _hues(hue1: float, hue2: float, *, grey: bool) -> tuple[float, float]:
    """Turn from one hue to the other and the mean hue, both the short way round [deg]."""
    turn, total = hue2 - hue1, hue1 + hue2
    if grey:
        return 0.0, total
    if abs(turn) <= 180.0:
        return turn, 0.5 * total
    return turn - math.copysign(360.0, turn), 0.5 * (total + 360.0 if total < 360.0 else total - 360.0)


def _hue_weighting(hue: float) -> float:
    """T: how much the eye minds a turn of hue at that hue."""
    terms = ((-0.17, 1.0, -30.0), (0.24, 2.0, 0.0), (0.32, 3.0, 6.0), (-0.20, 4.0, -63.0))
    return 1.0 + math.fsum(size * math.cos(math.radians(times * hue + off)) for size, times, off in terms)


def _colour_difference_law(lab1: Sequence[float], lab2: Sequence[float], **weights: float) -> dict[str, Any]:
    problems = []
    for name, lab in (("lab1", lab1), ("lab2", lab2)):
        if len(lab) != 3:
            problems.append(Problem("calc colour_difference", name, text("three numbers: L*, a*, b*"),
                                    shown(lab), text("write [L, a, b]")))  # fmt: skip
        elif not 0.0 <= lab[0] <= 100.0:
            problems.append(Problem("calc colour_difference", f"{name}[0]", text("a lightness of 0 to 100"),
                                    shown(lab[0]), text("check the conversion to L*a*b*")))  # fmt: skip
    if problems:
        raise InputError(problems)
    return {"delta_e": colour_difference(lab1, lab2, **weights), "delta_e_1976": plain_difference(lab1, lab2)}


def _far_apart(inputs: Mapping[str, Any]) -> list[Finding]:
    apart = colour_difference(inputs["lab1"], inputs["lab2"])
    if apart <= _SMALL:
        return []
    said = text("a difference of {apart} is beyond the {most} for which the formula was fitted to the eye",
                apart=apart, most=_SMALL)  # fmt: skip
    return [Finding("out_of_range", "warning", "colour_difference", said, SHARMA)]


_LAB: Final = Span(-200.0, 200.0)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="colour_difference",
        title=text("Difference of two colours as the eye sees it"),
        function=_colour_difference_law,
        arguments=(
            Argument("lab1", "-", text("L*, a*, b* of one colour"), _LAB, shape="numbers", least=3),
            Argument("lab2", "-", text("L*, a*, b* of the other, same white and light"), _LAB,
                     shape="numbers", least=3),
            Argument("lightness_weight", "-", text("kL, 1 in reference conditions"), POSITIVE, default=1.0),
            Argument("chroma_weight", "-", text("kC"), POSITIVE, default=1.0),
            Argument("hue_weight", "-", text("kH"), POSITIVE, default=1.0),
        ),
        results=(
            Result("delta_e", "-", text("CIEDE2000; about 1 is just seen side by side (common practice)")),
            Result("delta_e_1976", "-", text("CIE 1976, the straight distance")),
        ),
        accuracy=text("as the formula to 1e-10 (published to 4 decimals); made for differences up to about 5"),
        sources=(SHARMA, Source("standard", "ISO/CIE 11664-6, CIEDE2000 colour-difference formula")),
        worked=Worked(
            {"lab1": [60.2574, -34.0099, 36.2677], "lab2": [60.4626, -34.1751, 39.4387]},
            {"delta_e": 1.2644},
            tolerance=4e-5,
        ),
        also=_far_apart,
    ),
)  # fmt: skip
