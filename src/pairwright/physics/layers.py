"""A stack of layers between two faces, cut into cells: what every heat calculation starts from.

Press and stove see the same body. `heat` steps it through time where its properties move with
temperature, `modes` solves it exactly where they stay. Both read this record and take the flow
between cells from `pressloop.balance`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.physics.pressloop import Bundle
from pairwright.physics.wood import CONDUCTIVITY_TEMPERATURE

Floats: TypeAlias = NDArray[np.float64]

INSULATED: Final = 0.0
PERFECT: Final = math.inf
_LEAST: Final = 4  # cells in a layer


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a stack.

    `thickness` [m]; `conductivity` at 297.15 K [W/(m*K)]; `density` [kg/m3]; heat capacity
    `heat_capacity` + `heat_capacity_slope` T [J/(kg*K), J/(kg*K2)]; `conductivity_rise`, share of
    the conductivity per kelvin [1/K].
    """

    thickness: float
    conductivity: float
    density: float
    heat_capacity: float
    heat_capacity_slope: float = 0.0
    conductivity_rise: float = 0.0

    @property
    def steady(self) -> bool:
        """Whether the properties stay as they are at every temperature."""
        return self.heat_capacity_slope == 0.0 == self.conductivity_rise


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
class Cells:
    """The cells of a stack, from the bottom face up.

    Per cell: `width` [m], `conductivity` at the origin [W/(m*K)], its `rise` [1/K], heat capacity
    per volume `capacity` + `slope` T [J/(m3*K), J/(m3*K2)]. `lines` are the indices of the cells
    below the lines between layers [-].
    """

    width: Floats
    conductivity: Floats
    rise: Floats
    capacity: Floats
    slope: Floats
    lines: tuple[int, ...]

    @property
    def places(self) -> Floats:
        """Middles of the cells, from the bottom face. [m]"""
        return np.cumsum(self.width) - 0.5 * self.width

    def bundle(self, row: Callable[[Floats], Any] = list) -> Bundle:
        """The cells as the loops want them: see `pressloop`.

        Parameters
        ----------
        row : callable
            Makes a row of an array; a list by default. [-]
        """
        parts = (self.capacity, self.slope, self.conductivity, self.width, self.rise)
        return (*(row(part) for part in parts), CONDUCTIVITY_TEMPERATURE)

    def stored(self, temperatures: Floats, initial: Floats) -> float:
        """Heat content of some cell temperatures above that of others. [J/m2]

        Parameters
        ----------
        temperatures : ndarray
            Of the cells. [K]
        initial : ndarray
            Of the cells, where the content is called zero. [K]
        """
        T, T0 = temperatures, initial
        return float(np.sum(self.width * (self.capacity * (T - T0) + 0.5 * self.slope * (T * T - T0 * T0))))


def cells_of(layers: Sequence[Layer], cells: int) -> Cells:
    """Cut a stack into cells of even width within each layer.

    Parameters
    ----------
    layers : sequence of Layer
        From the bottom face up.
    cells : int
        About how many in the whole stack; every layer has at least four. [-]

    Returns
    -------
    Cells
        The cells.

    Examples
    --------
    >>> film, wood = Layer(1e-4, 0.2, 1200.0, 1600.0), Layer(9.9e-3, 0.15, 700.0, 1600.0)
    >>> cells_of([film, wood], 60).width.size
    64
    """
    whole = math.fsum(layer.thickness for layer in layers)
    counts = [max(_LEAST, math.ceil(cells * layer.thickness / whole - 1e-9)) for layer in layers]

    def each(values: Sequence[float]) -> Floats:
        return np.repeat(np.array(values, dtype=np.float64), counts)

    return Cells(
        each([layer.thickness / n for layer, n in zip(layers, counts, strict=True)]),
        each([layer.conductivity for layer in layers]),
        each([layer.conductivity_rise for layer in layers]),
        each([layer.density * layer.heat_capacity for layer in layers]),
        each([layer.density * layer.heat_capacity_slope for layer in layers]),
        tuple(int(n) - 1 for n in np.cumsum(counts)[:-1]),
    )
