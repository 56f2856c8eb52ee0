"""Growth constants of a lacquer film from its pendulum readings, with their covariance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

READING_CV: Final = 0.03  # scatter of one pendulum reading where the works states none: from memory
_SHORT, _LONG = 0.25, 4.0  # plausible Avrami exponents


@dataclass(frozen=True, slots=True)
class HardnessGrowth:
    """H = final (1 - exp(-rate t^exponent)), t in days [d], with the fit's covariance [-].

    `covariance` is that of (ln final, ln characteristic day, ln exponent); `freedom` are the
    degrees of freedom left for the scatter, 0 where the readings' own scatter was assumed.
    """

    final: float
    rate: float
    exponent: float
    scatter: float
    freedom: int
    covariance: tuple[tuple[float, ...], ...]

    @property
    def characteristic(self) -> float:
        """Day on which 63.2 % of the final hardness is there. [d]"""
        return float(self.rate ** (-1.0 / self.exponent))


def fit_growth(
    readings: Sequence[Sequence[float]],
    *,
    reading_sd: float | None = None,
    exponent: float | None = None,
) -> HardnessGrowth:
    """Growth constants from pendulum readings. [-]

    Parameters
    ----------
    readings : Sequence[Sequence[float]]
        Pairs of day and hardness, in any order. [-]
    reading_sd : float, optional
        Standard deviation of one reading, from the gauge study. [-]
    exponent : float, optional
        Avrami exponent to hold, where earlier batches have shown it. [-]

    Returns
    -------
    HardnessGrowth
        Constants with covariance. [-]

    Notes
    -----
    Least squares. Readings on two days carry two constants: the exponent is then held, at 1 (first
    order) unless stated. On three days or more all three are fitted unless it is stated. Where no
    freedom is left and no `reading_sd` is stated, 3 % of the largest reading is taken (from
    memory). Fewer than two days: `InputError`.

    References
    ----------
    .. [1] Ma et al., Pigment & Resin Technology 43 (2014) 271-276 (form).

    Examples
    --------
    >>> days = (1.0, 3.0, 6.0, 10.0, 15.0)
    >>> seen = [(d, 150.0 * -math.expm1(-0.25 * d**0.9)) for d in days]
    >>> fit = fit_growth(seen)
    >>> round(fit.final, 3), round(fit.rate, 4), round(fit.exponent, 4)
    (150.0, 0.25, 0.9)
    """
    days, values = _readable(readings)
    free = exponent is None and len(set(days.tolist())) > 2
    theta = _search(days, values, None if free else exponent or 1.0)
    theta, jacobian, residual = _refine(days, values, theta, free)
    count = jacobian.shape[1]
    freedom = len(days) - count
    if reading_sd is not None:
        scatter, freedom = reading_sd, 0
    elif freedom > 0:
        scatter = math.sqrt(float(residual @ residual) / freedom)
    else:
        scatter, freedom = READING_CV * float(values.max()), 0
    covariance = np.zeros((3, 3))
    covariance[:count, :count] = scatter**2 * np.linalg.pinv(jacobian.T @ jacobian, rcond=1e-12)
    final, characteristic, power = (float(math.exp(v)) for v in theta)
    return HardnessGrowth(
        final, characteristic ** (-power), power, scatter, freedom,
        tuple(tuple(float(v) for v in row) for row in covariance),
    )  # fmt: skip


def _readable(
    readings: Sequence[object],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    def refuse(must_be: str, got: object) -> InputError:
        wanted = {
            "pairs": text("pairs of day and hardness, neither below 0"),
            "two": text("readings of at least two different days"),
            "grow": text("readings that grow with age"),
        }[must_be]
        return InputError(Problem("hardness", "readings", wanted, shown(got),
                                  text("measure again on another day")))  # fmt: skip

    pairs: list[tuple[float, float]] = []
    for pair in readings:
        if not isinstance(pair, Sequence) or len(pair) != 2:
            raise refuse("pairs", pair)
        if any(not isinstance(number, int | float) or number < 0.0 for number in pair):
            raise refuse("pairs", pair)
        if pair[0] > 0.0:  # every film begins soft: a reading on day 0 says nothing
            pairs.append((float(pair[0]), float(pair[1])))
    days, values = np.array([d for d, _ in pairs]), np.array([h for _, h in pairs])
    if len(set(days.tolist())) < 2:
        raise refuse("two", pairs)
    if float(np.polyfit(days, values, 1)[0]) <= 0.0:
        raise refuse("grow", pairs)
    return days, values


def _search(
    days: NDArray[np.float64], values: NDArray[np.float64], held: float | None
) -> NDArray[np.float64]:
    """Best of a grid; the final hardness is linear, so each point has its own best one."""
    exponents = np.geomspace(_SHORT, _LONG, 17) if held is None else np.array([held])
    ages = np.geomspace(0.1 * float(days.min()), 20.0 * float(days.max()), 60)
    shape = -np.expm1(-((days / ages[None, :, None]) ** exponents[:, None, None]))
    final = (shape @ values) / np.sum(shape**2, axis=-1)
    miss = np.sum((values - final[..., None] * shape) ** 2, axis=-1)
    row, column = np.unravel_index(int(np.argmin(miss)), miss.shape)
    best = np.array([final[row, column], ages[column], exponents[row]], dtype=np.float64)
    return np.log(best)


def _refine(
    days: NDArray[np.float64], values: NDArray[np.float64], theta: NDArray[np.float64], free: bool
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Damped least squares in the logarithms of the three constants."""
    used = 3 if free else 2
    residual, jacobian = _miss(days, values, theta, used)
    damping = 1e-3
    for _ in range(200):
        normal, pull = jacobian.T @ jacobian, jacobian.T @ residual
        damped = normal + damping * np.diag(np.diag(normal) + 1e-12 * float(np.trace(normal)))
        step = np.linalg.solve(damped, pull)
        trial = theta.copy()
        trial[:used] += np.clip(step, -1.0, 1.0)
        if free:
            trial[2] = min(max(trial[2], math.log(_SHORT)), math.log(_LONG))
        new_residual, new_jacobian = _miss(days, values, trial, used)
        if float(new_residual @ new_residual) < float(residual @ residual):
            theta, residual, jacobian = trial, new_residual, new_jacobian
            damping = max(damping / 5.0, 1e-15)
        else:
            damping *= 5.0
        if float(np.max(np.abs(step))) < 1e-12 or damping > 1e12:
            break
    return theta, jacobian, residual


def _miss(
    days: NDArray[np.float64], values: NDArray[np.float64], theta: NDArray[np.float64], used: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    final, characteristic, exponent = (float(math.exp(v)) for v in theta)
    power = (days / characteristic) ** exponent
    fall = np.exp(-power)
    model = final * -np.expm1(-power)
    by_day = -final * fall * power * exponent
    by_exponent = final * fall * power * np.log(days / characteristic) * exponent
    return values - model, np.column_stack((model, by_day, by_exponent))[:, :used]
