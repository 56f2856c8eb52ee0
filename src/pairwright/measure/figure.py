"""The figure of veneer: which way the grain runs, how strongly, how alike two leaves look."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.measure.signal import Floats

SMALLEST: Final = 16  # pixels of a side
CELLS: Final = 12  # a leaf is compared by so many cells along its longer side
COLOUR_SCALE: Final = 3.0  # a colour difference that halves the likeness, roughly [CIE 1976]
TURN_SCALE: Final = math.radians(12.0)  # a turn of the grain that does [rad]


@dataclass(frozen=True, slots=True)
class Grain:
    """Direction of the grain counted counter-clockwise from the image's rows, and how strong it is.

    `angle` in [-pi/2, pi/2) [rad]; `strength` 0 (none) to 1 (straight lines).
    """

    angle: float
    strength: float


def structure(light: Floats, *, scale: float) -> tuple[Floats, Floats, Floats]:
    """The structure tensor of an image: J11, J12, J22, with x along rows and y up. [per pixel squared]

    Parameters
    ----------
    light : ndarray, shape (rows, columns)
        Lightness.
    scale : float
        Standard deviation over which it is averaged. [pixels]

    References
    ----------
    .. [1] J. Bigun, G. H. Granlund, Optimal orientation detection of linear symmetry, ICCV 1987.
    """
    from scipy.ndimage import correlate1d, gaussian_filter

    if light.ndim != 2 or min(light.shape) < SMALLEST:
        raise InputError(
            Problem("photograph", "size", text("at least {n} pixels each way", n=SMALLEST), shown(list(light.shape)),
                    text("photograph the leaf larger"))
        )  # fmt: skip
    smooth, slope = np.array([3.0, 10.0, 3.0]) / 16.0, np.array([-0.5, 0.0, 0.5])
    across = correlate1d(correlate1d(light, slope, axis=1, mode="nearest"), smooth, axis=0, mode="nearest")
    down = correlate1d(correlate1d(light, slope, axis=0, mode="nearest"), smooth, axis=1, mode="nearest")
    up = -down
    return tuple(
        np.asarray(gaussian_filter(row, scale, mode="nearest")) for row in (across**2, across * up, up**2)
    )  # type: ignore[return-value]


def grain(light: Floats, *, scale: float = 4.0) -> Grain:
    """Mean direction and strength of the grain of an image.

    Parameters
    ----------
    light : ndarray, shape (rows, columns)
        Lightness.
    scale : float
        Of the structure tensor. [pixels]

    Notes
    -----
    The gradient stands across the grain. Directions are averaged on the doubled angle, as a grain has no
    head and tail.

    Examples
    --------
    >>> y, x = np.mgrid[0:64, 0:64]
    >>> found = grain(np.sin(2 * math.pi * y / 16.0))
    >>> round(found.angle, 9), round(found.strength, 3)
    (0.0, 1.0)
    """
    j11, j12, j22 = (float(np.mean(row)) for row in structure(light, scale=scale))
    return _grain(j11, j12, j22)


def _grain(j11: float, j12: float, j22: float) -> Grain:
    total = j11 + j22
    if total <= 0.0:
        return Grain(0.0, 0.0)
    across = 0.5 * math.atan2(2.0 * j12, j11 - j22)
    angle = (across + math.pi) % math.pi - 0.5 * math.pi
    return Grain(angle, min(1.0, math.hypot(j11 - j22, 2.0 * j12) / total))


@dataclass(frozen=True, slots=True)
class Look:
    """What a leaf looks like, cell by cell: CIE L*a*b* (rows, columns, 3) and the doubled-angle grain."""

    lab: Floats
    turn: Floats  # (rows, columns, 2): strength times cosine and sine of the doubled angle


def look_of(lab: Floats, *, cells: int = CELLS, scale: float = 4.0) -> Look:
    """The look of a leaf from its photograph.

    Parameters
    ----------
    lab : ndarray, shape (rows, columns, 3)
        CIE L*a*b*. [-]
    cells : int
        Along the longer side. [-]
    scale : float
        Of the structure tensor. [pixels]
    """
    j11, j12, j22 = structure(np.ascontiguousarray(lab[:, :, 0]), scale=scale)
    rows, columns = _cells(lab.shape[0], lab.shape[1], cells)
    total = np.maximum(_mean(j11 + j22, rows, columns), 1e-12)
    cosine = -_mean(j11 - j22, rows, columns) / total
    sine = -_mean(2.0 * j12, rows, columns) / total
    colour = np.stack([_mean(np.ascontiguousarray(lab[:, :, n]), rows, columns) for n in range(3)], axis=-1)
    return Look(colour, np.stack([cosine, sine], axis=-1))


def _cells(rows: int, columns: int, cells: int) -> tuple[int, int]:
    longer = max(rows, columns)
    return max(1, round(cells * rows / longer)), max(1, round(cells * columns / longer))


def _mean(values: Floats, rows: int, columns: int) -> Floats:
    """Means of cells of nearly equal size."""
    at_rows = np.linspace(0, values.shape[0], rows + 1).astype(int)
    at_columns = np.linspace(0, values.shape[1], columns + 1).astype(int)
    found = np.add.reduceat(np.add.reduceat(values, at_rows[:-1], axis=0), at_columns[:-1], axis=1)
    return np.asarray(found / np.outer(np.diff(at_rows), np.diff(at_columns)))


def mirrored(look: Look) -> Look:
    """A leaf turned over like the page of a book: columns reversed, the grain leaning the other way."""
    turn = look.turn[:, ::-1] * np.array([1.0, -1.0])
    return Look(look.lab[:, ::-1], turn)


def likeness(one: Look, other: Look, *, opened: bool = True) -> float:
    """How alike two leaves look, 1 for the same. [-]

    Parameters
    ----------
    one : Look
        A leaf.
    other : Look
        Its neighbour, of as many cells.
    opened : bool
        Whether the second lies beside the first like the page of a book, and is compared mirrored.

    Notes
    -----
    Cell by cell: the plain colour difference and the turn of the grain, each by a bell of a scale that is
    the house's own, and their mean product over the cells.
    """
    if one.lab.shape != other.lab.shape:
        raise InputError(
            Problem("photograph", "size", text("as the mate's"), shown(list(other.lab.shape)),
                    text("cut both pictures to the same size"))
        )  # fmt: skip
    second = mirrored(other) if opened else other
    colour = np.linalg.norm(one.lab - second.lab, axis=-1) / COLOUR_SCALE
    turn = np.linalg.norm(one.turn - second.turn, axis=-1) / (2.0 * TURN_SCALE)
    return float(np.mean(np.exp(-0.5 * (colour**2 + turn**2))))
