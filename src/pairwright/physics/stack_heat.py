"""Heat in a stack of layers warmed by air on one face: finite volumes, solved by modes.

The equations in space are second order; in time they are solved exactly through the stack's own
modes, so that no time step enters. The far face is insulated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]

CELLS: Final = 80  # over the whole stack
_LEAST: Final = 4  # in each layer


@dataclass(frozen=True, slots=True)
class Layer:
    """Thickness [m], conductivity [W/(m*K)], density [kg/m3], heat capacity [J/(kg*K)]."""

    thickness: float
    conductivity: float
    density: float
    heat_capacity: float


class Stack:
    """Finite-volume model of a stack of layers, solved by modes."""

    def __init__(self, layers: Sequence[Layer], heat_transfer: float, *, cells: int = CELLS) -> None:
        from scipy.linalg import eigh_tridiagonal

        total = sum(layer.thickness for layer in layers)
        counts = [max(_LEAST, round(cells * layer.thickness / total)) for layer in layers]
        width = np.repeat([y.thickness / n for y, n in zip(layers, counts, strict=True)], counts)
        conductivity = np.repeat([y.conductivity for y in layers], counts)
        self.capacity: Floats = width * np.repeat([y.density * y.heat_capacity for y in layers], counts)
        self.half: Floats = 2.0 * conductivity / width  # conductance from centre to either face
        self.transfer = heat_transfer
        self.face = 1.0 / (1.0 / heat_transfer + 1.0 / self.half[0])
        self.borders = np.cumsum(counts)
        between = 1.0 / (1.0 / self.half[:-1] + 1.0 / self.half[1:])
        root = np.sqrt(self.capacity)
        diagonal = (np.r_[self.face, between] + np.r_[between, 0.0]) / self.capacity
        # a solver for bands, not for full matrices: the library spreads those over threads, which
        # costs a hundred times the work itself on a busy machine
        rates, modes = eigh_tridiagonal(diagonal, -between / (root[:-1] * root[1:]))
        self.rates: Floats = np.maximum(rates, 1e-300)
        self.into: Floats = modes.T * root  # cell temperatures -> modes
        self.out: Floats = modes / root[:, None]  # modes -> cell temperatures
        self.ones: Floats = self.into @ np.ones(root.size)

    def advance(self, start: Floats, seconds: float, *, slope: float = 0.0) -> Floats:
        """Modes after a while in air that is even or rises evenly. [-]

        Parameters
        ----------
        start : ndarray
            Modes of temperature less air temperature. [-]
        seconds : float
            How long. [s]
        slope : float
            How fast the air gets warmer. [K/s]
        """
        fade = np.exp(-self.rates * seconds)
        return start * fade + slope * self.ones * (np.expm1(-self.rates * seconds) / self.rates)

    def places(self, modes: Floats, air: float) -> Floats:
        """Temperatures at the surface, at every interface and at the far face. [K]

        Parameters
        ----------
        modes : ndarray
            Modes of temperature less air temperature. [-]
        air : float
            Air temperature. [K]
        """
        cell = self.out @ modes
        surface = cell[0] * self.half[0] / (self.half[0] + self.transfer)
        left, right = self.borders[:-1] - 1, self.borders[:-1]
        weight = self.half[left] / (self.half[left] + self.half[right])
        inner = weight * cell[left] + (1.0 - weight) * cell[right]
        far = cell[-1] + (cell[-1] - cell[-2]) / 8.0  # a parabola that is level at the face
        return air + np.concatenate(([surface], inner, [far]))

    def heat(self, modes: Floats, air: float, *, initial: float) -> float:
        """Heat stored per area since the stack had its even temperature. [J/m2]

        Parameters
        ----------
        modes : ndarray
            Modes of temperature less air temperature. [-]
        air : float
            Air temperature. [K]
        initial : float
            Even temperature at the beginning. [K]
        """
        return float(self.capacity @ (self.out @ modes + (air - initial)))

    def begin(self, initial: float, air: float) -> Floats:
        """Modes of a stack of even temperature. [-]

        Parameters
        ----------
        initial : float
            Even temperature of the stack. [K]
        air : float
            Air temperature. [K]
        """
        return (initial - air) * self.ones
