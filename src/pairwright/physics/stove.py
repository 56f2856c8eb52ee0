"""Stoving: temperature of lacquer, veneer and core under warm air on one face.

The far face is insulated: the middle of a panel heated on both sides alike, or a panel whose
back sees no warm air. The solver is `modes`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.layers import Floats, Layer
from pairwright.physics.modes import Stack
from pairwright.physics.stovecycle import StoveCycle, stove_cycle


@dataclass(frozen=True, slots=True)
class StoveState:
    """Surface and core temperature [K], heat taken up per area [J/m2]."""

    surface: float
    core: float
    heat: float


def stove_temperature(
    layers: Sequence[Layer], initial: float, *, air: float, heat_transfer: float, time: float
) -> StoveState:
    """Surface and core temperature of a stack in warm air. [K]

    Parameters
    ----------
    layers : Sequence[Layer]
        From the heated face inwards. [-]
    initial : float
        Even temperature at the beginning. [K]
    air : float
        Air temperature. [K]
    heat_transfer : float
        Coefficient at the heated face, radiation included. [W/(m2*K)]
    time : float
        Since the beginning. [s]

    Returns
    -------
    StoveState
        Surface, core (the insulated far face), heat taken up. [K]

    Notes
    -----
    Constant properties, no evaporation: drying solvent cools the film at first, so the film is
    hotter here than in truth during flash-off. Within 0.1 K of the analytic series for a single
    layer heated by 100 K.

    References
    ----------
    .. [1] Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., example 5.4 (plane
       wall, convection on one face, other face insulated).

    Examples
    --------
    >>> wall = Layer(0.04, 63.9, 7832.0, 434.0)
    >>> state = stove_temperature([wall], 253.15, air=333.15, heat_transfer=500.0, time=480.0)
    >>> round(state.core - 273.15, 1)
    43.0
    """
    stack = Stack(layers, heat_transfer)
    modes = stack.advance(stack.begin(initial), time, bottom=(air, 0.0))
    places = stack.places(modes, bottom=air)
    return StoveState(float(places[0]), float(places[-1]), stack.heat(modes, initial=initial))


def stove_history(
    layers: Sequence[Layer],
    initial: float,
    *,
    air: Sequence[tuple[float, float]],
    heat_transfer: float,
    times: Sequence[float],
) -> Floats:
    """Temperatures over a stay in air that changes with time. [K]

    Parameters
    ----------
    layers : Sequence[Layer]
        From the heated face inwards. [-]
    initial : float
        Even temperature at the beginning. [K]
    air : Sequence[tuple[float, float]]
        Time [s] and air temperature [K], linear between, constant outside. [-]
    heat_transfer : float
        Coefficient at the heated face. [W/(m2*K)]
    times : Sequence[float]
        When to tell the temperatures, rising. [s]

    Returns
    -------
    ndarray, shape (n_times, n_layers + 1)
        At the surface, the interfaces and the far face. [K]

    Examples
    --------
    >>> rows = stove_history(
    ...     [Layer(0.01, 0.15, 650.0, 1600.0)],
    ...     293.15,
    ...     air=[(0.0, 293.15), (600.0, 323.15)],
    ...     heat_transfer=20.0,
    ...     times=[0.0, 600.0],
    ... )
    >>> rows.shape, bool(rows[1, 0] > rows[1, 1] > 293.15)
    ((2, 2), True)
    """
    stack = Stack(layers, heat_transfer)
    marks = sorted({0.0, *(t for t, _ in air if t > 0.0), *times})
    at, level = [t for t, _ in air], [value for _, value in air]
    now, now_air = 0.0, float(np.interp(0.0, at, level))
    modes = stack.begin(initial)
    found: dict[float, Floats] = {0.0: stack.places(modes, bottom=now_air)}
    for mark in marks[1:]:
        next_air = float(np.interp(mark, at, level))
        slope = (next_air - now_air) / (mark - now)
        modes = stack.advance(modes, mark - now, bottom=(now_air, slope))
        now, now_air = mark, next_air
        found[mark] = stack.places(modes, bottom=now_air)
    return np.array([found[t] for t in times])


def time_at_temperature(times: Sequence[float], temperatures: Sequence[float], *, threshold: float) -> float:
    """Time that a history spends at or above a temperature. [s]

    Parameters
    ----------
    times : Sequence[float]
        Rising times. [s]
    temperatures : Sequence[float]
        Temperatures at them, linear between. [K]
    threshold : float
        The temperature. [K]

    Returns
    -------
    float
        Time at or above it. [s]

    Examples
    --------
    >>> time_at_temperature([0.0, 10.0, 20.0], [300.0, 320.0, 300.0], threshold=310.0)
    10.0
    """
    above = 0.0
    for n in range(1, len(times)):
        span = times[n] - times[n - 1]
        low, high = sorted((temperatures[n - 1], temperatures[n]))
        if low >= threshold:
            above += span
        elif high >= threshold:
            above += span * (high - threshold) / (high - low)
    return above


def _stove_temperature_law(
    layers: Sequence[Mapping[str, float]],
    initial: float,
    air: float,
    heat_transfer: float,
    time: float,
) -> dict[str, Any]:
    state = stove_temperature(
        [Layer(**y) for y in layers], initial, air=air, heat_transfer=heat_transfer, time=time
    )
    return {"surface": state.surface, "core": state.core, "heat": state.heat}


__all__ = [
    "LAWS", "Layer", "StoveCycle", "StoveState", "stove_cycle", "stove_history", "stove_temperature",
    "time_at_temperature",
]  # fmt: skip

_LAYER: Final = (
    Argument("thickness", "m", text("thickness of the layer"), must=POSITIVE),
    Argument("conductivity", "W/(m*K)", text("thermal conductivity"), must=POSITIVE),
    Argument("density", "kg/m3", text("density"), must=POSITIVE),
    Argument("heat_capacity", "J/(kg*K)", text("specific heat capacity"), must=POSITIVE),
)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="stove_temperature",
        title=text("Surface and core temperature in stoving"),
        function=_stove_temperature_law,
        arguments=(
            Argument("layers", "-", text("layers from the heated face inwards"), shape="table",
                     columns=_LAYER),
            Argument("initial", "K", text("even temperature at the beginning"), must=POSITIVE,
                     range=Span(233.15, 423.15)),
            Argument("air", "K", text("air temperature"), must=POSITIVE, range=Span(253.15, 473.15)),
            Argument("heat_transfer", "W/(m2*K)", text("coefficient at the heated face, radiation "
                                                       "included"), must=POSITIVE),
            Argument("time", "s", text("since the beginning"), must=NOT_NEGATIVE),
        ),
        results=(
            Result("surface", "K", text("temperature of the heated face")),
            Result("core", "K", text("temperature of the insulated far face")),
            Result("heat", "J/m2", text("heat taken up per area")),
        ),
        accuracy=text(
            "within 0.1 K of the analytic series for one layer heated by 100 K; constant "
            "properties and no evaporation, so the film of a wet coat is in truth cooler at first"
        ),
        sources=(
            Source("published", "Incropera et al., Fundamentals of Heat and Mass Transfer, example 5.4"),
            Source("closed form", "plane wall series, zeta tan zeta = Bi"),
        ),
        worked=Worked(
            {"layers": [{"thickness": 0.04, "conductivity": 63.9, "density": 7832.0,
                         "heat_capacity": 434.0}],
             "initial": 253.15, "air": 333.15, "heat_transfer": 500.0, "time": 480.0},
            {"core": 316.17, "surface": 318.51},
            tolerance=2e-4,
        ),
    ),
)  # fmt: skip
