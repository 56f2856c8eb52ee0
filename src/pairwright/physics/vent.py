"""Venting: how long until what presses from inside is below what the layup bears.

Two simple models, neither of vapour flow. By the fall of pressure that a gauge in the core has shown, stated
as a rate; or by heat alone: the faces lose heat, and the bound of the pressure falls with the hottest glue line.
The second leaves out the vapour that escapes through edges and veneer, so it is too long, on the safe side, as
long as the faces are cooled; between hot platens nothing cools, and only a stated rate can say anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.physics.heat import USUAL, Faces, Floats, HeatModel, heat_stack
from pairwright.physics.press import PressCycle, PressStack
from pairwright.physics.steam import ATMOSPHERE, gas_overpressure, saturation_temperature

LONGEST = 3600.0  # venting looked at [s]
_STEAM_FROM = 611.213  # below, the saturation line ends [Pa]


@dataclass(frozen=True, slots=True)
class Venting:
    """The press opened to cooler faces.

    `time` until the bound is below the limit in every glue line, infinite where it never is within
    the time looked at [s]; `times` (n,) [s] and `bounds` (n,) of the overpressure in the hottest
    line [Pa].
    """

    time: float
    times: Floats
    bounds: Floats


def vent_time_at_rate(bound: float, limit: float, *, rate: float) -> float:
    """Time for the pressure inside to fall to a limit at a stated rate. [s]

    Parameters
    ----------
    bound : float
        Overpressure inside when the cure is reached. [Pa]
    limit : float
        Overpressure that the layup bears. [Pa]
    rate : float
        How fast the pressure inside falls, as measured. [Pa/s]

    Returns
    -------
    float
        Time, 0 where the bound is below the limit. [s]

    Notes
    -----
    A straight line: what leaks is in truth faster at first, so measure the rate towards the end.

    Examples
    --------
    >>> vent_time_at_rate(150e3, 90e3, rate=1e3)
    60.0
    """
    if rate <= 0.0:
        raise InputError(
            Problem("venting", "rate", text("above 0 Pa/s"), shown(rate), text("measure how the pressure falls"))
        )  # fmt: skip
    return max(0.0, bound - limit) / rate


def vent_by_cooling(
    stack: PressStack,
    cycle: PressCycle,
    *,
    limit: float,
    air: float,
    heat_transfer: float,
    conductivity_factor: float = 1.0,
    longest: float = LONGEST,
    model: HeatModel = USUAL,
) -> Venting:
    """Time until the bound of the steam is below a limit while the faces cool.

    Parameters
    ----------
    stack : PressStack
        What was pressed.
    cycle : PressCycle
        How it was when the cure was reached, on the same cells as `model`.
    limit : float
        Overpressure that the layup bears. [Pa]
    air : float
        Temperature that the faces see: air, or cooled platens. [K]
    heat_transfer : float
        Between faces and what they see: about 10 for still air; hundreds for cooled platens. [W/(m2*K)]
    conductivity_factor : float
        As in the cycle. [-]
    longest : float
        Longest venting looked at. [s]
    model : HeatModel
        As in the cycle.

    Returns
    -------
    Venting
        Time and course of the bound.

    Notes
    -----
    Saturation at the hottest glue line is the bound. No vapour leaves here, and its heat of
    evaporation cools nothing: both would shorten the time.

    Examples
    --------
    >>> from pairwright.physics.press import Glue, Ply, press_cycle
    >>> stack = PressStack(
    ...     (Ply(1.5e-3, 0.62, 0.08),) * 7, Glue(2.734e9, 80e3, spread=0.15, water=0.4)
    ... )
    >>> cycle = press_cycle(stack, platen=403.15, initial=293.15, target_cure=0.95)
    >>> round(vent_by_cooling(stack, cycle, limit=80e3, air=293.15, heat_transfer=10.0).time)
    67
    """
    faces = Faces((0.0,), (air,), (air,), heat_transfer, heat_transfer)
    course = heat_stack(
        stack.layers(conductivity_factor), faces, initial=cycle.profile, cap=longest, model=model
    )
    hottest = course.temperatures.max(axis=1)
    bounds = np.array([gas_overpressure(float(T)) for T in hottest])
    boils = saturation_temperature(max(limit + ATMOSPHERE, _STEAM_FROM))
    over = np.flatnonzero(hottest > boils)
    if over.size == 0:
        return Venting(0.0, course.times, bounds)
    last = int(over[-1])
    if last + 1 == hottest.size:
        return Venting(math.inf, course.times, bounds)
    share = (hottest[last] - boils) / (hottest[last] - hottest[last + 1])
    time = course.times[last] + share * (course.times[last + 1] - course.times[last])
    return Venting(float(time), course.times, bounds)
