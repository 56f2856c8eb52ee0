"""Standard tolerance grades of ISO 286-1: the rounded table IT01 to IT18."""

from __future__ import annotations

from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

GRADES: Final[tuple[str, ...]] = ("IT01", "IT0", *(f"IT{n}" for n in range(1, 19)))

# Upper end of each step of sizes [mm]; a step holds sizes above the one before, up to its own.
STEPS: Final[tuple[int, ...]] = (
    3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500,
    630, 800, 1000, 1250, 1600, 2000, 2500, 3150,
)  # fmt: skip

# One row per grade, one entry per step: um up to IT11, mm from IT12 on, as the standard prints.
_TABLE: Final[dict[str, str]] = {
    "IT01": ".3 .4 .4 .5 .6 .6 .8 1 1.2 2 2.5 3 4",
    "IT0": ".5 .6 .6 .8 1 1 1.2 1.5 2 3 4 5 6",
    "IT1": ".8 1 1 1.2 1.5 1.5 2 2.5 3.5 4.5 6 7 8 9 10 11 13 15 18 22 26",
    "IT2": "1.2 1.5 1.5 2 2.5 2.5 3 4 5 7 8 9 10 11 13 15 18 21 25 30 36",
    "IT3": "2 2.5 2.5 3 4 4 5 6 8 10 12 13 15 16 18 21 24 29 35 41 50",
    "IT4": "3 4 4 5 6 7 8 10 12 14 16 18 20 22 25 28 33 39 46 55 68",
    "IT5": "4 5 6 8 9 11 13 15 18 20 23 25 27 32 36 40 47 55 65 78 96",
    "IT6": "6 8 9 11 13 16 19 22 25 29 32 36 40 44 50 56 66 78 92 110 135",
    "IT7": "10 12 15 18 21 25 30 35 40 46 52 57 63 70 80 90 105 125 150 175 210",
    "IT8": "14 18 22 27 33 39 46 54 63 72 81 89 97 110 125 140 165 195 230 280 330",
    "IT9": "25 30 36 43 52 62 74 87 100 115 130 140 155 175 200 230 260 310 370 440 540",
    "IT10": "40 48 58 70 84 100 120 140 160 185 210 230 250 280 320 360 420 500 600 700 860",
    "IT11": "60 75 90 110 130 160 190 220 250 290 320 360 400 440 500 560 660 780 920 1100 1350",
    "IT12": ".1 .12 .15 .18 .21 .25 .3 .35 .4 .46 .52 .57 .63 .7 .8 .9 1.05 1.25 1.5 1.75 2.1",
    "IT13": ".14 .18 .22 .27 .33 .39 .46 .54 .63 .72 .81 .89 .97 1.1 1.25 1.4 1.65 1.95 2.3 2.8 3.3",
    "IT14": ".25 .3 .36 .43 .52 .62 .74 .87 1 1.15 1.3 1.4 1.55 1.75 2 2.3 2.6 3.1 3.7 4.4 5.4",
    "IT15": ".4 .48 .58 .7 .84 1 1.2 1.4 1.6 1.85 2.1 2.3 2.5 2.8 3.2 3.6 4.2 5 6 7 8.6",
    "IT16": ".6 .75 .9 1.1 1.3 1.6 1.9 2.2 2.5 2.9 3.2 3.6 4 4.4 5 5.6 6.6 7.8 9.2 11 13.5",
    "IT17": "1 1.2 1.5 1.8 2.1 2.5 3 3.5 4 4.6 5.2 5.7 6.3 7 8 9 10.5 12.5 15 17.5 21",
    "IT18": "1.4 1.8 2.2 2.7 3.3 3.9 4.6 5.4 6.3 7.2 8.1 8.9 9.7 11 12.5 14 16.5 19.5 23 28 33",
}

# Multiples of the factor i (sizes to 500 mm) that the formula gives before rounding.
MULTIPLES: Final[dict[str, int]] = {
    "IT5": 7, "IT6": 10, "IT7": 16, "IT8": 25, "IT9": 40, "IT10": 64, "IT11": 100, "IT12": 160,
    "IT13": 250, "IT14": 400, "IT15": 640, "IT16": 1000, "IT17": 1600, "IT18": 2500,
}  # fmt: skip


def iso_tolerance(size: float, grade: str) -> float:
    """Standard tolerance of a nominal size in a grade. [m]

    Parameters
    ----------
    size : float
        Nominal size, above 0 up to 3.15 (0.5 for IT01 and IT0). [m]
    grade : str
        ``IT01``, ``IT0``, ``IT1`` to ``IT18``. [-]

    Returns
    -------
    float
        Whole width of the tolerance zone. [m]

    Notes
    -----
    The table of the standard, which is rounded; not the formula. IT5 to IT11 at all sizes and IT1
    to IT14 up to 315 mm were read in public copies; IT01, IT0, IT1 to IT4 above 315 mm and the
    other coarse entries are from memory, the coarse ones held by a test against the rule that five
    grades make ten times. IT14 to IT18 are not meant for sizes up to 1 mm.

    References
    ----------
    .. [1] ISO 286-1, Table 1.

    Examples
    --------
    >>> iso_tolerance(0.040, "IT7")
    2.5e-05
    """
    row = [float(entry) for entry in _TABLE[grade].split()]
    scale = 1e6 if grade not in GRADES[13:] else 1e3
    millimetres = round(size * 1000.0, 9)  # 0.030 m is 30 mm, not a hair above
    for step, value in zip(STEPS, row, strict=False):
        if millimetres <= step:
            return value / scale
    raise InputError(
        Problem("iso_tolerance", "size", text("at most {top} mm for {grade}", top=STEPS[len(row) - 1],
                                              grade=grade),
                shown(f"{millimetres:g} mm"), text("choose a coarser grade or agree a tolerance"))
    )  # fmt: skip


def tolerance_factor(low: float, high: float) -> float:
    """Standard tolerance factor i of a step of sizes. [m]

    Parameters
    ----------
    low : float
        Lower end of the step; 0 stands for 1 mm, as in the standard. [m]
    high : float
        Upper end of the step, up to 0.5. [m]

    Returns
    -------
    float
        i. [m]

    Notes
    -----
    i = 0.45 D^(1/3) + 0.001 D, um with D in mm, D the geometric mean of the step.

    References
    ----------
    .. [1] ISO 286-1:1988, annex A.

    Examples
    --------
    >>> round(tolerance_factor(0.030, 0.050) * 1e6, 4)
    1.5612
    """
    mean = float((max(low * 1e3, 1.0) * high * 1e3) ** 0.5)
    return float(0.45 * mean ** (1.0 / 3.0) + 0.001 * mean) * 1e-6


def _iso_tolerance_law(size: float, grade: str) -> dict[str, Any]:
    return {"tolerance": iso_tolerance(size, grade)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="iso_tolerance",
        title=text("Standard tolerance grade"),
        function=_iso_tolerance_law,
        arguments=(
            Argument("size", "m", text("nominal size"), must=Span(0.0, 3.15, open_low=True)),
            Argument("grade", "-", text("IT01, IT0, IT1 to IT18"), shape="word", choices=GRADES),
        ),
        results=(Result("tolerance", "m", text("whole width of the tolerance zone")),),
        accuracy=text(
            "the standard's rounded table; IT5 to IT11, and IT1 to IT14 up to 315 mm, as read in "
            "public copies; IT01, IT0 and the others from memory"
        ),
        sources=(
            Source("standard", "ISO 286-1, Table 1 and annex A (i = 0.45 D^(1/3) + 0.001 D)"),
            Source("from memory", "ISO 286-1, Table 1: IT01, IT0; beside IT5 to IT11 above 315 mm"),
        ),
        worked=Worked({"size": 0.010, "grade": "IT14"}, {"tolerance": 0.36e-3}),
    ),
)  # fmt: skip
