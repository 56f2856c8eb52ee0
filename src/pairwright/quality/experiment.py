"""A small designed experiment: which runs to make, and what they say.

Full factorials, half fractions of factors at two levels, and evenly spread runs between two levels.
Effects are differences of means, with their interval where repeats or unused runs leave freedom.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

Run: TypeAlias = tuple[int, ...]  # the number of each factor's level
MOST_RUNS: Final = 256


def full_factorial(levels: Sequence[int]) -> tuple[Run, ...]:
    """Every combination of levels, the first factor changing fastest. [-]

    Parameters
    ----------
    levels : sequence of int
        How many levels each factor has. [-]

    Examples
    --------
    >>> full_factorial([2, 2])
    ((0, 0), (1, 0), (0, 1), (1, 1))
    """
    return tuple(tuple(reversed(run)) for run in itertools.product(*(range(n) for n in reversed(levels))))


def half_fraction(factors: int) -> tuple[Run, ...]:
    """Half of the runs of factors at two levels: the last one is the product of the others. [-]

    Parameters
    ----------
    factors : int
        At least three; with fewer a main effect could not be told from another. [-]

    Notes
    -----
    In signs the defining relation is I = AB...K, so that each main effect is mixed with the product of
    all other factors: for three factors with a product of two, from five on with one of four or more.

    References
    ----------
    .. [1] G. E. P. Box, J. S. Hunter, W. G. Hunter, Statistics for Experimenters, 2nd ed. 2005,
       chapter 6 (from memory).

    Examples
    --------
    >>> half_fraction(3)
    ((0, 0, 1), (1, 0, 0), (0, 1, 0), (1, 1, 1))
    """
    runs = []
    for run in full_factorial([2] * (factors - 1)):
        sign = math.prod(2 * level - 1 for level in run)
        runs.append((*run, (sign + 1) // 2))
    return tuple(runs)


def spread_runs(factors: int, runs: int, *, seed: int) -> tuple[tuple[float, ...], ...]:
    """Runs spread evenly between the low (0) and high (1) level of each factor. [-]

    Parameters
    ----------
    factors : int
        How many. [-]
    runs : int
        How many; each factor's range is cut into as many slices, with a run in each. [-]
    seed : int
        Same seed, same runs. [-]

    References
    ----------
    .. [1] M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239-245 (Latin hypercube
       sampling), by scipy.stats.qmc.
    """
    from scipy.stats import qmc

    sampler = qmc.LatinHypercube(d=factors, rng=seed)
    return tuple(tuple(float(value) for value in row) for row in sampler.random(runs))


@dataclass(frozen=True, slots=True)
class Effect:
    """A factor's effect on a response, in the response's unit.

    `means` are the response's means at each level; `effect` is the last less the first; `half_width` is
    that of its 95 % interval, None where no freedom is left to know the scatter.
    """

    factor: str
    means: tuple[float, ...]
    effect: float
    half_width: float | None


@dataclass(frozen=True, slots=True)
class Effects:
    """Main effects; `scatter` is the standard deviation of one run, `freedom` how well it is known."""

    mean: float
    effects: tuple[Effect, ...]
    scatter: float | None
    freedom: int


def main_effects(runs: Sequence[Run], response: Sequence[float], *, factors: Mapping[str, int]) -> Effects:
    """Main effects of factors at their levels, by least squares.

    Parameters
    ----------
    runs : sequence of Run
        The level of each factor in each run made. [-]
    response : sequence of float
        What was measured in each run, in its unit. [-]
    factors : Mapping[str, int]
        Names of the factors and how many levels each has. [-]

    Returns
    -------
    Effects
        Interactions are not told from scatter: where they are large, so is the scatter. [-]

    Raises
    ------
    ValueError
        Where the runs can't tell the factors from each other.

    Notes
    -----
    The model is a mean and, for each factor, a shift per level above the first. The interval is from
    Student's t with the freedom that the runs leave beside these.

    Examples
    --------
    >>> found = main_effects(
    ...     [(0, 0), (1, 0), (0, 1), (1, 1)], [1.0, 3.0, 2.0, 4.0], factors={"a": 2, "b": 2}
    ... )
    >>> [round(e.effect, 6) for e in found.effects]
    [2.0, 1.0]
    """
    import numpy as np

    columns = [np.ones(len(runs))]
    first: list[int] = []
    for place, count in enumerate(factors.values()):
        first.append(len(columns))
        columns += [np.array([float(run[place] == level) for run in runs]) for level in range(1, count)]
    model = np.column_stack(columns)
    if np.linalg.matrix_rank(model) < model.shape[1]:
        raise ValueError("the runs can't tell these factors from each other")
    values = np.asarray(response, dtype=float)
    found, *_ = np.linalg.lstsq(model, values, rcond=None)
    freedom = len(runs) - model.shape[1]
    scatter = float(np.sqrt(np.sum((values - model @ found) ** 2) / freedom)) if freedom else None
    inverse = np.linalg.inv(model.T @ model)
    effects = []
    for place, (name, count) in enumerate(factors.items()):
        last = first[place] + count - 2
        means = tuple(
            float(np.mean([v for run, v in zip(runs, values, strict=True) if run[place] == level]))
            for level in range(count)
        )
        width = (
            None if scatter is None else _student(freedom) * scatter * math.sqrt(float(inverse[last, last]))
        )
        effects.append(Effect(name, means, float(found[last]), width))
    return Effects(float(np.mean(values)), tuple(effects), scatter, freedom)


def _student(freedom: int) -> float:
    """The 97.5 % point of Student's t."""
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.975))
