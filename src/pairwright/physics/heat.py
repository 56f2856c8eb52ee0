"""Transient heat through a stack whose properties move with temperature, by the loop of `pressloop`.

Where they stay as they are, `modes` is exact in time and this is its twin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from pairwright.physics.layers import INSULATED, PERFECT, Faces, Floats, Layer, cells_of
from pairwright.physics.pressloop import compiled_march, march

__all__ = [
    "INSULATED", "PERFECT", "USUAL", "Faces", "Floats", "HeatModel", "Heating", "Layer", "heat_stack", "warm_up",
    "warmed_up",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class HeatModel:
    """How the heat is computed.

    Fewest `cells` in the stack (a layer has at least four) [-]; longest step as a share of the time
    so far, `growth` [-]; `compiled` runs the loop through the compiler: the same numbers but for
    the last digit, faster after the first time. By default it does so once `warm_up` was called.
    """

    cells: int = 60
    growth: float = 0.06
    compiled: bool | None = None


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
    initial: float | Floats,
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
    initial : float or ndarray
        Temperature of the whole stack at the start, or of every cell. [K]
    cap : float
        Longest time. [s]
    dose : tuple of float
        A, E and the dose to reach; by default time runs to the cap. [1/s, J/mol, -]
    model : HeatModel
        Cells and steps.

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
    cells = cells_of(layers, model.cells)
    T0 = np.full(cells.width.size, initial, dtype=np.float64)
    share = cells.width**2 * (cells.capacity + cells.slope * T0) / cells.conductivity
    first = min(0.05 * float(share.min()), cap)
    steps = math.ceil(1.0 / model.growth + math.log(cap / first + 1.0) / math.log1p(model.growth))
    n, m, rows = T0.size, len(cells.lines), steps + len(faces.times) + 12
    compiled = warmed_up() if model.compiled is None else model.compiled
    row = np.asarray if compiled else _plain
    seen = (np.array(part, dtype=np.float64) for part in (faces.times, faces.bottom, faces.top))
    # made as arrays, turned into lists where the plain loop runs
    T, F, work, record = T0.copy(), np.zeros(n), np.zeros((6, n + 1)), np.zeros((2, rows, m))
    state = (row(T), row(F), *(row(np.zeros(m)) for _ in range(6)))
    out = (row(np.zeros(rows)), row(np.zeros(rows)), row(record[0]), row(record[1]))
    done = (compiled_march() if compiled else march)(
        cells.bundle(row),
        (*(row(part) for part in seen), float(faces.contact_bottom), float(faces.contact_top)),
        (row(np.array(cells.lines, dtype=np.int64)), *(float(part) for part in dose)),
        (first, float(model.growth), float(cap)),
        state,
        row(work),
        out,
    )
    times, heat, temperatures, doses = (np.array(part, dtype=np.float64)[: abs(done)] for part in out)
    T = np.asarray(state[0])
    return Heating(times, heat, temperatures, doses, cells.places, T, cells.stored(T, T0), done > 0)


_WARM: Final[list[bool]] = []  # filled once; adding to it is safe from any thread


def warmed_up() -> bool:
    """Whether the loop runs compiled by default."""
    return bool(_WARM)


def warm_up() -> None:
    """Compile the loop, or read it from the compiler's cache; from now on it runs compiled.

    Notes
    -----
    For what lives long or presses often: a server, a fit, a study of variants. A first compile takes
    some seconds, a cached one about two, most of it the compiler's own start; a plain cycle of
    fifteen plies takes a twentieth. Safe to call from any thread, and again.
    """
    layer = Layer(1e-3, 0.16, 700.0, 1300.0, 4.0, 0.0025)
    heat_stack([layer, layer], Faces((0.0,), (400.0,), (400.0,)), initial=300.0, cap=1.0,
               model=HeatModel(compiled=True))  # fmt: skip
    _WARM.append(True)


def _plain(values: Floats) -> list[Any]:
    """A list of plain floats: twice as quick in a plain loop as the elements of an array."""
    plain: list[Any] = values.tolist()
    return plain
