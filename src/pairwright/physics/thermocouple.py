"""A thermocouple's log laid over the press model: what is left over, and the constants that explain it.

Two constants are corrected: a factor on the handbook's conductivity, and the contact between platen
and face. They are found by least squares over all readings. What conduction cannot show (a plateau of
evaporation, a slipped wire) stays in what is left over, and is printed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Amount, Text, text
from pairwright.physics.heat import PERFECT, Faces, HeatModel, heat_stack
from pairwright.physics.layers import Floats, Layer
from pairwright.physics.press import PressStack

FACTORS: Final = (0.3, 3.0)  # of the conductivity, looked at [-]
RESISTANCES: Final = (0.0, 0.05)  # of the contact, looked at [m2*K/W]
LEAST_READINGS: Final = 12
LEAST_RISE: Final = 15.0  # a log that warms less says nothing [K]
MISFIT: Final = 0.12  # rms over the rise from which model and log are said to be strangers [-]
ENTWINED: Final = 0.98  # correlation from which the two constants cannot be told apart [-]
_FINE: Final = HeatModel(growth=0.04)
_SAME: Final = 1e-6  # two places nearer than this are one [m]


@dataclass(frozen=True, slots=True)
class Log:
    """What the thermocouples read.

    `names` of the sensors; `depths` (sensors,) from the bottom face [m]; `times` (n,) since the
    press closed [s]; `temperatures` (n, sensors), NaN where a reading is missing [K].
    """

    names: tuple[str, ...]
    depths: tuple[float, ...]
    times: Floats
    temperatures: Floats


@dataclass(frozen=True, slots=True)
class PressHeat:
    """What the press did: `stack`, `initial` temperature [K], `faces` without contact, one-sided or not."""

    stack: PressStack
    initial: float
    faces: Faces
    one_sided: bool = False


@dataclass(frozen=True, slots=True)
class Constant:
    """A corrected constant with its standard uncertainty, both in its own unit [-]; `told` by the log or kept."""

    value: float
    uncertainty: float
    told: bool


@dataclass(frozen=True, slots=True)
class Overlay:
    """A log over the model.

    `before` and `after` (n, sensors): model with the constants given and with the corrected ones
    [K]; `rms_before` and `rms_after` of what is left over [K]; conductivity `factor` [-] and contact
    `resistance` [m2*K/W], 0 for a perfect one; `correlation` of the two [-]; `echo`, the lag-one
    correlation of what is left over, by which the uncertainties were widened [-].
    """

    log: Log
    before: Floats
    after: Floats
    rms_before: float
    rms_after: float
    factor: Constant
    resistance: Constant
    correlation: float
    echo: float

    @property
    def contact(self) -> float:
        """Heat transfer between platen and face, infinite for a perfect contact. [W/(m2*K)]"""
        return math.inf if self.resistance.value <= 0.0 else 1.0 / self.resistance.value


def lay_over(heat: PressHeat, log: Log, *, factor: float = 1.0, contact: float = PERFECT) -> Overlay:
    """Lay a log over the model and correct the conductivity and the contact.

    Parameters
    ----------
    heat : PressHeat
        What the press did.
    log : Log
        What the thermocouples read.
    factor : float
        Factor of the conductivity so far. [-]
    contact : float
        Heat transfer between platen and face so far. [W/(m2*K)]

    Returns
    -------
    Overlay
        Model before and after, what is left over, constants with uncertainty.

    Notes
    -----
    Least squares of all readings alike; standard uncertainties from the slopes at the best fit,
    widened by sqrt((1 + r)/(1 - r)) with r the lag-one correlation of what is left over, since a
    logger reads faster than the stack changes. Where factor and contact cannot be told apart, the
    contact is kept. A log is refused where it has too few readings, warms too little, reads what
    no stack between these platens can have, or fits no constants.

    References
    ----------
    .. [1] JCGM 100:2008, H.3 (least squares); G. E. P. Box, G. M. Jenkins, G. C. Reinsel, Time Series
       Analysis (variance of a mean of correlated readings; from memory).
    """
    _check(heat, log)
    keep = np.isfinite(log.temperatures)
    start = (factor, 0.0 if math.isinf(contact) else 1.0 / contact)
    before = predicted(heat, log, factor=start[0], resistance=start[1])
    best, jacobian = _fit(heat, log, keep, start, both=True)
    correlation = _correlation(jacobian)
    at_wall = best[1] <= 1e-9
    both = not (abs(correlation) > ENTWINED or at_wall)
    if not both:
        best, jacobian = _fit(heat, log, keep, (best[0], 0.0 if at_wall else start[1]), both=False)
    after = predicted(heat, log, factor=best[0], resistance=best[1])
    left = np.where(keep, log.temperatures - after, 0.0)
    rms = math.sqrt(float(np.sum(left**2)) / int(keep.sum()))
    _check_fit(log, rms)
    echo = _echo(left, keep)
    spread = _uncertainties(jacobian, rms, int(keep.sum()), echo)
    first = np.where(keep, log.temperatures - before, 0.0)
    return Overlay(
        log, before, after, math.sqrt(float(np.sum(first**2)) / int(keep.sum())), rms,
        Constant(best[0], spread[0], told=True),
        Constant(best[1], spread[1] if both else 0.0, told=both), correlation, echo,
    )  # fmt: skip


def predicted(heat: PressHeat, log: Log, *, factor: float, resistance: float) -> Floats:
    """What the model says at the sensors when they were read, shape (n, sensors). [K]

    Parameters
    ----------
    heat : PressHeat
        What the press did.
    log : Log
        Where and when was read; its temperatures are not looked at.
    factor : float
        Of the conductivity. [-]
    resistance : float
        Of the contact between platen and face. [m2*K/W]
    """
    contact = PERFECT if resistance <= 0.0 else 1.0 / resistance
    faces = replace(heat.faces, contact_bottom=contact, contact_top=0.0 if heat.one_sided else contact)
    layers, lines = _split(heat.stack.layers(factor), log.depths)
    course = heat_stack(layers, faces, initial=heat.initial, cap=float(log.times[-1]) + 1.0, model=_FINE)
    found = [np.interp(log.times, course.times, course.temperatures[:, line]) for line in lines]
    return np.stack(found, axis=1)


def _split(layers: Sequence[Layer], depths: Sequence[float]) -> tuple[list[Layer], list[int]]:
    """The layers cut at every depth that is not already between two, and the line of each depth."""
    borders, low = [], 0.0
    for layer in layers:
        low += layer.thickness
        borders.append(low)
    cuts = sorted({d for d in depths if all(abs(d - b) > _SAME for b in borders)})
    found: list[Layer] = []
    edges: list[float] = []
    low = 0.0
    for layer, high in zip(layers, borders, strict=True):
        inside = [c for c in cuts if low < c < high]
        for begin, end in zip([low, *inside], [*inside, high], strict=True):
            found.append(replace(layer, thickness=end - begin))
            edges.append(end)
        low = high
    return found, [min(range(len(edges)), key=lambda n, d=d: abs(edges[n] - d)) for d in depths]  # type: ignore[misc]


def _fit(
    heat: PressHeat, log: Log, keep: Any, start: tuple[float, float], *, both: bool
) -> tuple[tuple[float, float], Floats]:
    """Best constants and the slopes there, one row a reading."""
    from scipy.optimize import least_squares

    scale = 1e-3  # of the resistance, so that both unknowns are of one size [m2*K/W]

    def residuals(x: Floats) -> Floats:
        resistance = float(x[1]) * scale if both else start[1]
        model = predicted(heat, log, factor=float(x[0]), resistance=resistance)
        found: Floats = (model - log.temperatures)[keep]
        return found

    low, high = [FACTORS[0], RESISTANCES[0] / scale], [FACTORS[1], RESISTANCES[1] / scale]
    x0 = [min(max(start[0], FACTORS[0] * 1.01), FACTORS[1] * 0.99), max(start[1] / scale, 0.2)]
    count = 2 if both else 1
    done = least_squares(
        residuals, x0[:count], bounds=(low[:count], high[:count]), x_scale=[0.3, 1.0][:count],
        diff_step=[2e-3, 2e-2][:count], xtol=1e-6, ftol=1e-9, max_nfev=60,
    )  # fmt: skip
    slopes = np.array(done.jac, dtype=np.float64)
    if both:
        slopes[:, 1] /= scale
    return (float(done.x[0]), float(done.x[1]) * scale if both else start[1]), slopes


def _correlation(jacobian: Floats) -> float:
    """Correlation of the two constants; 1 where the log tells nothing of one of them."""
    inner = jacobian.T @ jacobian
    size = math.sqrt(float(inner[0, 0] * inner[1, 1]))
    return 1.0 if size == 0.0 else -float(inner[0, 1]) / size


def _echo(left: Floats, keep: Any) -> float:
    """Lag-one correlation of what is left over, all sensors together."""
    pairs = keep[1:] & keep[:-1]
    squares = float(np.sum(left**2))
    return (
        0.0 if squares == 0.0 else min(0.99, max(0.0, float(np.sum((left[1:] * left[:-1])[pairs])) / squares))
    )


def _uncertainties(jacobian: Floats, rms: float, count: int, echo: float) -> list[float]:
    inner = np.linalg.inv(jacobian.T @ jacobian)
    freedom = max(1, count - jacobian.shape[1])
    widened = (1.0 + echo) / (1.0 - echo)
    return [math.sqrt(float(v) * rms * rms * count / freedom * widened) for v in np.diag(inner)]


# ------------------------------------------------------------------------------------- refusals
def _refuse(field: str, must_be: Text, got: object, do: Text) -> InputError:
    return InputError(Problem("thermocouple log", field, must_be, shown(got), do))


def _check(heat: PressHeat, log: Log) -> None:
    """A log that no constants could be read from, whatever they are."""
    thickness = heat.stack.thickness
    if len(log.times) == 0 or log.temperatures.shape != (len(log.times), len(log.depths)):
        raise _refuse("readings", text("one row for every time, one column for every sensor"),
                      log.temperatures.shape, text("write the log anew"))  # fmt: skip
    if np.any(np.diff(log.times) <= 0.0) or log.times[0] < 0.0:
        raise _refuse("time", text("rising from 0, when the press closed"), "times that fall or repeat",
                      text("sort the log and begin it when the press closes"))  # fmt: skip
    for name, depth in zip(log.names, log.depths, strict=True):
        if not _SAME < depth < thickness - _SAME:
            raise _refuse(name, text("between the faces of a stack of {size}", size=Amount(thickness, "length")),
                          depth, text("correct the place of the sensor"))  # fmt: skip
    count = int(np.isfinite(log.temperatures).sum())
    if count < LEAST_READINGS:
        raise _refuse(
            "readings", text("at least {n}", n=LEAST_READINGS), count, text("log for longer, or oftener")
        )
    for n, name in enumerate(log.names):
        _check_sensor(heat, name, log.temperatures[:, n])


def _check_sensor(heat: PressHeat, name: str, read: Floats) -> None:
    read = read[np.isfinite(read)]
    if read.size == 0:
        raise _refuse(name, text("read at least once"), "nothing", text("leave the sensor out"))
    tops = heat.faces.bottom if heat.one_sided else (*heat.faces.bottom, *heat.faces.top)
    low, high = min(heat.initial, *tops) - 10.0, max(heat.initial, *tops) + 10.0
    if not (low <= float(read.min()) and float(read.max()) <= high):
        raise _refuse(
            name, text("between {low} and {high}, as anything between these platens",
                       low=Amount(low, "temperature"), high=Amount(high, "temperature")),
            f"{read.min():.1f} to {read.max():.1f} K",
            text("check the unit, the sensor, and what the platens were set to"),
        )  # fmt: skip
    if float(read.max() - read.min()) < LEAST_RISE:
        raise _refuse(name, text("warming by at least {rise}", rise=Amount(LEAST_RISE, "temperature_difference")),
                      f"{read.max() - read.min():.2g} K",
                      text("log from closing on, with the sensor inside the stack"))  # fmt: skip


def _check_fit(log: Log, rms: float) -> None:
    rise = float(np.nanmax(log.temperatures) - np.nanmin(log.temperatures))
    if rms > MISFIT * rise:
        raise _refuse(
            "readings", text("within {share} of their own rise of what conduction can give",
                             share=Amount(MISFIT, "share")),
            f"{rms:.1f} K off",
            text("check when the press closed, where the sensors lay, and the layup that was pressed"),
        )  # fmt: skip
