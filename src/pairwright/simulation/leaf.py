"""Synthetic leaves of veneer, for tests and the demo: growth rings cut at a slant, the same log leaf by leaf.

Synthetic, and marked so wherever they show. Nothing here knows how leaves are analysed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class SyntheticLog:
    """A log: colour of early and late wood (CIE L*a*b*), ring width [pixels], slant of the grain [rad]."""

    early: tuple[float, float, float] = (58.0, 9.0, 22.0)
    late: tuple[float, float, float] = (46.0, 11.0, 20.0)
    ring: float = 14.0
    slant: float = 0.12
    wander: float = 0.6  # how far rings wander along the log, in ring widths
    seed: int = 0


def leaf(log: SyntheticLog, number: int, *, rows: int = 240, columns: int = 80) -> NDArray[np.float64]:
    """A leaf of the log as CIE L*a*b*, (rows, columns, 3); leaves that follow each other are alike.

    Parameters
    ----------
    log : SyntheticLog
        The log.
    number : int
        Of the leaf: each lies a veneer deeper. Even ones are turned over, as they come off the pile when
        it is opened like a book.
    rows, columns : int
        Size of the picture. [pixels]
    """
    rng = np.random.default_rng(log.seed)
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float64)
    waves = [(rng.uniform(0.6, 2.5), rng.uniform(0, 2 * math.pi), rng.uniform(0.3, 1.0)) for _ in range(5)]
    wander = sum(
        size * np.sin(2 * math.pi * times * y / rows + phase + 0.06 * number) for times, phase, size in waves
    )
    depth = (x * math.cos(log.slant) + y * math.sin(log.slant)) / log.ring
    phase = depth + log.wander * wander / 3.0 + 0.08 * number
    share = (0.5 + 0.5 * np.sin(2 * math.pi * phase)) ** 2
    colour = np.array(log.early) * (1.0 - share[..., None]) + np.array(log.late) * share[..., None]
    grainy = np.random.default_rng((log.seed, number)).standard_normal((rows, columns))
    colour[..., 0] += 0.8 * grainy
    return np.asarray(colour[:, ::-1] if number % 2 == 0 else colour)
