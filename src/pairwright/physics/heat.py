"""Transient heat through a stack of layers between two faces, by the loop of `pressloop`."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from pairwright.physics.pressloop import compiled_march, march
from pairwright.physics.wood import CONDUCTIVITY_RISE, CONDUCTIVITY_TEMPERATURE

Floats = NDArray[np.float64]

CELLS_PER_LAYER: Final = 4  # fewest
INSULATED: Final = 0.0
PERFECT: Final = math.inf


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a stack.

    `thickness` [m]; `conductivity` at 297.15 K [W/(m*K)]; heat capacity per volume `capacity` +
    `capacity_slope` T [J/(m3*K), J/(m3*K2)].
    """

    thickness: float
    conductivity: float
    capacity: float
    capacity_slope: float = 0.0


@dataclass(frozen=True, slots=True)
class Faces:
    """What the two faces see: temperature over time, and the contact.

    `times` (n,) [s], `bottom` and `top` (n,) [K], linear between points; contacts [W/(m2*K)]:
    `PERFECT` or `INSULATED` or a number.
    """

    times: tuple[float, ...]
    bottom: tuple[float, ...]
    top: tuple[float, ...]
    contact_bottom: float = PERFECT
    contact_top: float = PERFECT


@dataclass(frozen=True, slots=True)
class HeatModel:
    """How the heat is computed.

    `rise` of conductivity per kelvin [1/K]; fewest `cells` in the stack (a layer has at least
    four); longest step as a share of the time so far, `growth`; `compiled` runs the loop
    through the compiler: the same numbers, faster after the first time.
    """

    rise: float = CONDUCTIVITY_RISE
    cells: int = 60
    growth: float = 0.06
    compiled: bool = False


USUAL: Final = HeatModel()


@dataclass(frozen=True, slots=True)
class Heating:
    """The course of heat and dose.

    `times` (n,) [s]; `heat` taken in (n,) [J/m2]; `temperatures` and `doses` of the lines between
    layers (n, lines) [K], [-]; `profile` (cells,) [K] at `places` (cells,) [m] at the end;
    `stored` [J/m2] by heat content; `reached` whether every line got its dose.
    """

    times: Floats
    heat: Floats
    temperatures: Floats
    doses: Floats
    places: Floats
    profile: Floats
    stored: float
    reached: bool


def heat_stack(
    layers: Sequence[Layer],
    faces: Faces,
    *,
    initial: float,
    cap: float,
    dose: tuple[float, float, float] = (0.0, 0.0, math.inf),
    model: HeatModel = USUAL,
) -> Heating:
    """Temperatures of the lines between layers until their dose is reached.

    Parameters
    ----------
    layers : sequence of Layer
        From the bottom face up.
    faces : Faces
        What the faces see.
    initial : float
        Temperature of the whole stack at the start. [K]
    cap : float
        Longest time. [s]
    dose : tuple of float
        A, E and the dose to reach; by default time runs to the cap. [1/s, J/mol, -]
    model : HeatModel
        Cells, steps and conductivity's rise.

    Returns
    -------
    Heating
        The course and the end.

    Notes
    -----
    One-dimensional conduction; conductivity and heat capacity linear in temperature; second
    order in space and time; heat in equals heat stored to rounding. No evaporation, no flow of
    vapour, no compression.
    """
    per_layer = max(CELLS_PER_LAYER, -(-model.cells // len(layers)))
    w = [layer.thickness / per_layer for layer in layers for _ in range(per_layer)]
    k = [layer.conductivity for layer in layers for _ in range(per_layer)]
    a = [layer.capacity for layer in layers for _ in range(per_layer)]
    b = [layer.capacity_slope for layer in layers for _ in range(per_layer)]
    left = [per_layer * (n + 1) - 1 for n in range(len(layers) - 1)]
    first = 0.05 * min(wi * wi * (ai + bi * initial) / ki for wi, ki, ai, bi in zip(w, k, a, b, strict=True))
    first = max(min(first, cap), cap * 1e-9)
    steps = math.ceil(1.0 / model.growth + math.log(cap / first + 1.0) / math.log1p(model.growth))
    n, m, rows = len(w), len(left), steps + len(faces.times) + 12
    run, row, whole = _rows(model.compiled)
    contacts = (faces.contact_bottom, faces.contact_top)
    state = (row([initial] * n), row([0.0] * n), *(row([0.0] * m) for _ in range(6)))
    out = (row([0.0] * rows), row([0.0] * rows), *(row([[0.0] * m for _ in range(rows)]) for _ in range(2)))
    done = run(
        (row(a), row(b), row(k), row(w), model.rise, CONDUCTIVITY_TEMPERATURE),
        (row(faces.times), row(faces.bottom), row(faces.top), *contacts),
        (whole(left), *dose),
        (first, model.growth, cap),
        state,
        row([[0.0] * (n + 1) for _ in range(6)]),
        out,
    )
    times, heat, temperatures, doses = (np.array(part, dtype=np.float64)[: abs(done)] for part in out)
    W, A, B, T = (np.array(one) for one in (w, a, b, state[0]))
    stored = float(np.sum(W * (A * (T - initial) + 0.5 * B * (T * T - initial * initial))))
    return Heating(times, heat, temperatures, doses, np.cumsum(W) - 0.5 * W, T, stored, done > 0)


def _rows(compiled: bool) -> tuple[Callable[..., int], Callable[[Any], Any], Callable[[Any], Any]]:
    """The loop, and how it wants rows of floats and of whole numbers."""
    if not compiled:
        return march, list, list
    return (
        compiled_march(),
        lambda values: np.array(values, dtype=np.float64),
        lambda values: np.array(values, dtype=np.int64),
    )
