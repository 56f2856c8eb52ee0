"""Constants that act together: told apart where the data can, declared inseparable where they can't."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

Floats: TypeAlias = NDArray[np.float64]
ALIKE: Final = 30.0  # condition number of the scaled design from which constants can't be told apart


@dataclass(frozen=True, slots=True)
class Constant:
    """A constant of several: `value`, 95 % interval; `separable` says whether it can be told from others."""

    name: str
    value: float
    uncertainty: float
    low: float
    high: float
    separable: bool


@dataclass(frozen=True, slots=True)
class Together:
    """Constants fitted at once; each of `inseparable` names constants that only act together here."""

    constants: tuple[Constant, ...]
    inseparable: tuple[tuple[str, ...], ...]
    residual: float  # standard deviation of what is left over
    count: int


def fit_together(
    names: Sequence[str], effects: Floats, left_over: Floats, *, nominal: Sequence[float]
) -> Together:
    """Corrections of several constants from how their model misses.

    Parameters
    ----------
    names : Sequence[str]
        Of the constants.
    effects : ndarray, shape (observations, constants)
        How much each observation's model value moves by one unit of each constant.
    left_over : ndarray, shape (observations,)
        Observed less modelled.
    nominal : Sequence[float]
        The constants as they are; their corrections are added.

    Notes
    -----
    Linear least squares on columns scaled to length 1. Directions whose singular value is less than a
    thirtieth of the largest are not determined by the data: constants with a share in such a direction
    keep their values and are told as inseparable.

    References
    ----------
    .. [1] D. A. Belsley, E. Kuh, R. E. Welsch, Regression Diagnostics, 1980, ch. 3 (condition index 30).
    """
    from scipy.stats import t

    rows, columns = effects.shape
    if rows <= columns or columns != len(names) or left_over.shape != (rows,):
        raise InputError(
            Problem("learning", "observations", text("more than the {n} constants", n=columns), shown(rows),
                    text("wait until more has been recorded"))
        )  # fmt: skip
    size = np.linalg.norm(effects, axis=0)
    size[size == 0.0] = 1.0
    _, s, vt = np.linalg.svd(effects / size, full_matrices=False)
    known = s > s[0] / ALIKE
    blind = vt[~known]
    lost = (np.abs(blind) > 0.3).any(axis=0) if blind.size else np.zeros(columns, bool)
    kept = ~lost
    fit, *_ = np.linalg.lstsq(effects[:, kept] / size[kept], left_over, rcond=None)
    freedom = rows - int(kept.sum())
    rest = left_over - effects[:, kept] / size[kept] @ fit
    variance = float(rest @ rest) / freedom
    cover = np.linalg.pinv((effects[:, kept] / size[kept]).T @ (effects[:, kept] / size[kept])) * variance
    factor = float(t.ppf(0.975, freedom))
    found, place = [], 0
    for n, name in enumerate(names):
        if lost[n]:
            found.append(Constant(name, float(nominal[n]), math.inf, -math.inf, math.inf, separable=False))
            continue
        value = float(nominal[n] + fit[place] / size[n])
        sd = math.sqrt(max(0.0, float(cover[place, place]))) / float(size[n])
        found.append(Constant(name, value, sd, value - factor * sd, value + factor * sd, separable=True))
        place += 1
    groups = tuple(
        tuple(names[n] for n in range(columns) if abs(row[n]) > 0.3) for row in blind
    )  # fmt: skip
    return Together(tuple(found), groups, math.sqrt(variance), rows)
