"""A stay in the stove: until the coldest film has held its temperature, and has cooled again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.physics.layers import Floats, Layer
from pairwright.physics.modes import Stack

_NEVER: Final = 30 * 86400.0  # a stove that needs a month never gets there


@dataclass(frozen=True, slots=True)
class StoveCycle:
    """A stay in the stove, from entering to being cool enough to handle.

    Times from entering [s], temperatures [K], heat taken up [J/m2]. `time` is `reach` + `hold`,
    infinite where the coldest film never reaches its temperature. `film_surface`, `film_bottom`,
    `veneer_bottom` and `core` are those at the end of the hold. `hottest` is the highest under the
    film, cooling included; `limit_margin` is the limit less that (None without a limit). `history`
    rows: time, film surface, film bottom, veneer bottom, core.
    """

    time: float
    reach: float
    hold: float
    cool_time: float
    film_surface: float
    film_bottom: float
    veneer_bottom: float
    core: float
    hottest: float
    limit_margin: float | None
    heat: float
    history: tuple[tuple[float, ...], ...]


def stove_cycle(
    layers: Sequence[Layer],
    initial: float,
    *,
    air: float,
    heat_transfer: float,
    target: float,
    hold: float,
    film_layers: int = 1,
    ramp: float = 0.0,
    limit: float | None = None,
    room: float | None = None,
    handling: float | None = None,
    room_transfer: float | None = None,
) -> StoveCycle:
    """Stay in the stove until the coldest film has held its temperature. [s]

    Parameters
    ----------
    layers : Sequence[Layer]
        From the heated face: the film (one or more layers), the veneer, the rest. [-]
    initial : float
        Even temperature on entering. [K]
    air : float
        Air temperature of the stove. [K]
    heat_transfer : float
        Coefficient where the air is slowest. [W/(m2*K)]
    target : float
        Film temperature that the lacquer asks for. [K]
    hold : float
        How long the coldest film must hold it. [s]
    film_layers : int
        How many of the layers are film. [-]
    ramp : float
        Time in which the air rises from the initial temperature to its own. [s]
    limit : float, optional
        Highest temperature that the wood under the film may see. [K]
    room : float, optional
        Air temperature after the stove; by default the initial one. [K]
    handling : float, optional
        Surface temperature below which it may be touched and stacked. [K]
    room_transfer : float, optional
        Coefficient while cooling; by default that of the stove. [W/(m2*K)]

    Returns
    -------
    StoveCycle
        Times, temperatures, limit check. [-]

    Notes
    -----
    The coldest film is its underside, because the heat comes from outside. Wood is commonly
    stoved at a surface of at most 40-60 degC (veneer checks, resin, air bubbles; from memory):
    the works states its own limit.

    References
    ----------
    .. [1] Model as `stove_temperature`.

    Examples
    --------
    >>> stack = [
    ...     Layer(1.5e-4, 0.2, 1200.0, 1600.0),
    ...     Layer(6e-4, 0.16, 650.0, 1600.0),
    ...     Layer(9e-3, 0.15, 700.0, 1600.0),
    ... ]
    >>> cycle = stove_cycle(
    ...     stack, 293.15, air=323.15, heat_transfer=25.0, target=313.15, hold=1800.0
    ... )
    >>> round(cycle.reach), round(cycle.time)
    (440, 2240)
    """
    stack = Stack(layers, heat_transfer)
    bottom, under = film_layers, min(film_layers + 1, len(layers))
    reach = _reach(stack, initial, air, ramp, bottom, target)
    heated = reach + hold
    if math.isinf(reach):
        heated = min(_NEVER, 5.0 / max(float(stack.rates[0]), 1.0 / _NEVER) + ramp)
    modes, at_end = _heated(stack, initial, air, ramp, heated)
    rows = _rows(stack, initial, air, ramp, heated)
    cool = room_transfer if room_transfer is not None else heat_transfer
    cool_time, hottest, more = _cooling(
        Stack(layers, cool), stack.out @ modes, heated, bottom,
        room=initial if room is None else room, handling=handling,
    )  # fmt: skip
    rows = np.vstack((rows, more))
    hottest = max(hottest, float(rows[:, 1 + bottom].max()))
    end = stack.places(modes, bottom=at_end)
    return StoveCycle(
        reach + hold, reach, hold, cool_time,
        float(end[0]), float(end[bottom]), float(end[under]), float(end[-1]),
        hottest, None if limit is None else limit - hottest, stack.heat(modes, initial=initial),
        tuple((float(r[0]), float(r[1]), float(r[1 + bottom]), float(r[1 + under]), float(r[-1]))
              for r in rows),
    )  # fmt: skip


def _heated(stack: Stack, initial: float, air: float, ramp: float, time: float) -> tuple[Floats, float]:
    """Modes and air temperature after a time in the stove."""
    if ramp <= 0.0:
        return stack.advance(stack.begin(initial), time, bottom=(air, 0.0)), air
    slope = (air - initial) / ramp
    first = min(time, ramp)
    now = initial + slope * first
    modes = stack.advance(stack.begin(initial), first, bottom=(initial, slope))
    return stack.advance(modes, time - first, bottom=(now, 0.0)), now


def _reach(stack: Stack, initial: float, air: float, ramp: float, place: int, target: float) -> float:
    """First moment at which a place has a temperature; infinity where it never has."""
    if target <= initial:
        return 0.0
    if target >= air:
        return math.inf

    def short(time: float) -> bool:
        modes, now = _heated(stack, initial, air, ramp, time)
        return bool(stack.places(modes, bottom=now)[place] < target)

    high = 1.0 / max(float(stack.rates[0]), 1.0 / _NEVER)
    while short(high):
        high *= 2.0
        if high > _NEVER:
            return math.inf
    low = 0.0
    while high - low > 1e-6 * high:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if short(middle) else (low, middle)
    return high


def _rows(stack: Stack, initial: float, air: float, ramp: float, time: float) -> Floats:
    """History while heating, dense at first."""
    moments = time * np.linspace(0.0, 1.0, 41) ** 2
    rows = []
    for moment in moments:
        modes, now = _heated(stack, initial, air, ramp, float(moment))
        rows.append(np.concatenate(([moment], stack.places(modes, bottom=now))))
    return np.array(rows)


def _cooling(
    stack: Stack, cells: Floats, begin: float, place: int, *, room: float, handling: float | None
) -> tuple[float, float, Floats]:
    """Cooling time, hottest temperature of a place, history from the end of heating on."""
    modes = stack.begin(cells)

    def places(time: float) -> Floats:
        return stack.places(stack.advance(modes, time, bottom=(room, 0.0)), bottom=room)

    rows: Floats = np.empty((0, len(stack.cells.lines) + 3))
    if handling is None:
        return 0.0, -math.inf, rows
    if handling <= room:
        return math.inf, -math.inf, rows
    high = 1.0 / max(float(stack.rates[0]), 1.0 / _NEVER)
    while float(places(high)[0]) > handling and high < _NEVER:
        high *= 2.0
    low = 0.0
    while high - low > 1e-6 * high:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if float(places(middle)[0]) > handling else (low, middle)
    cool = high if float(places(0.0)[0]) > handling else 0.0
    moments = cool * np.linspace(0.0, 1.0, 21) ** 2
    rows = np.array([np.concatenate(([begin + t], places(float(t)))) for t in moments])
    return cool, float(rows[:, 1 + place].max()), rows
