"""Heat through a stack whose properties stay as they are: exact in time, by the stack's own modes.

The cells and the flow between them are those of `heat`; in time they are solved exactly, so that no
step enters and a moment far away costs no more than a near one. The twin of `heat` for steady
properties, and the quick one: a stay in the stove is a search over moments.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, TypeAlias

import numpy as np

from pairwright.physics.layers import INSULATED, Floats, Layer, cells_of
from pairwright.physics.pressloop import balance

CELLS: Final = 80  # over the whole stack
Face: TypeAlias = tuple[float, float]  # temperature at the beginning, and how fast it rises [K, K/s]
_STILL: Final = (0.0, 0.0)
_SMALL: Final = 1e-5  # below, the series is exact to 1e-11


class Stack:
    """A stack of layers with steady properties between two faces.

    Modes are amplitudes: `out` turns them into cell temperatures, `into` turns those into modes.
    """

    def __init__(
        self,
        layers: Sequence[Layer],
        contact_bottom: float,
        *,
        contact_top: float = INSULATED,
        cells: int = CELLS,
    ) -> None:
        from scipy.linalg import eigh_tridiagonal

        if not all(layer.steady for layer in layers):
            raise ValueError("modes need properties that do not move with temperature: use heat_stack")
        self.cells = cells_of(layers, cells)
        width, conductivity = self.cells.width, self.cells.conductivity
        n = width.size
        self.capacity: Floats = width * self.cells.capacity
        self.half: Floats = 2.0 * conductivity / width  # conductance from the middle of a cell to its face
        self.contacts = (contact_bottom, contact_top)
        conductances, unused = [0.0] * (n + 1), [0.0] * n
        faces = ([0.0], [0.0], [0.0], *self.contacts)
        balance(0.0, [0.0] * n, self.cells.bundle(), faces, conductances, unused)
        g = np.array(conductances)
        root = np.sqrt(self.capacity)
        diagonal = (g[:-1] + g[1:]) / self.capacity
        # a solver for bands, not for full matrices: the library spreads those over threads, which
        # costs a hundred times the work itself on a busy machine
        rates, modes = eigh_tridiagonal(diagonal, -g[1:-1] / (root[:-1] * root[1:]))
        self.rates: Floats = np.maximum(rates, 0.0)
        self.into: Floats = modes.T * root
        self.out: Floats = modes / root[:, None]
        self.ones: Floats = self.into @ np.ones(n)
        self._upright = contact_bottom != INSULATED  # which face the temperatures are counted from
        self._two = INSULATED not in self.contacts
        self._other: Floats = self.out[-1] * g[-1] if self._upright else self.out[0] * g[0]

    def begin(self, temperatures: float | Floats) -> Floats:
        """Modes of a stack of even temperature, or of these cell temperatures. [-]

        Parameters
        ----------
        temperatures : float or ndarray
            Of the stack, or of each cell. [K]
        """
        return self.into @ np.full(self.capacity.size, temperatures, dtype=np.float64)

    def advance(self, modes: Floats, seconds: float, *, bottom: Face, top: Face = _STILL) -> Floats:
        """Modes after a while between faces of even or evenly rising temperature. [-]

        Parameters
        ----------
        modes : ndarray
            At the beginning. [-]
        seconds : float
            How long. [s]
        bottom : tuple of float
            What the bottom face sees: temperature at the beginning and how fast it rises. [K, K/s]
        top : tuple of float
            The same of the top face; without meaning where it is insulated. [K, K/s]
        """
        # counted from what one face sees: where both see the same, the end is met to the last digit,
        # however little of the stiff stack's slowest rate the eigenvalue solver has left
        (level, slope), (away, drift) = (bottom, top) if self._upright else (top, bottom)
        x = self.rates * seconds
        found: Floats = (modes - level * self.ones) * np.exp(-x) + (level + slope * seconds) * self.ones
        if slope == 0.0 and not self._two:
            return found
        # (1 - e^-x)/x, and the same again of what it lacks to one; short series where x vanishes
        small = x < _SMALL
        safe = np.where(small, 1.0, x)
        first = np.where(small, 1.0 - 0.5 * x, -np.expm1(-x) / safe)
        found -= slope * seconds * first * self.ones
        if self._two:
            second = np.where(small, 0.5 - x / 6.0, (1.0 - first) / safe)
            found += self._other * seconds * ((away - level) * first + (drift - slope) * seconds * second)
        return found

    def places(self, modes: Floats, *, bottom: float, top: float = 0.0) -> Floats:
        """Temperatures at the bottom face, at every line between layers, at the top face. [K]

        Parameters
        ----------
        modes : ndarray
            Of the stack. [-]
        bottom : float
            What the bottom face sees. [K]
        top : float
            What the top face sees; without meaning where it is insulated. [K]
        """
        cell = self.out @ modes
        left = np.array(self.cells.lines, dtype=np.int64)
        weight = self.half[left] / (self.half[left] + self.half[left + 1])
        lines = weight * cell[left] + (1.0 - weight) * cell[left + 1]
        first = self._face(cell, bottom, 0)
        last = self._face(cell, top, 1)
        return np.concatenate(([first], lines, [last]))

    def _face(self, cell: Floats, seen: float, side: int) -> float:
        """Temperature of a face: between its cell and what it sees, or level where insulated."""
        edge, inner = (-1, -2) if side else (0, 1)
        contact, half = self.contacts[side], self.half[edge]
        if contact == INSULATED:
            return float(cell[edge] + (cell[edge] - cell[inner]) / 8.0)  # a parabola, level at the face
        if math.isinf(contact):
            return seen
        return float((cell[edge] * half + seen * contact) / (half + contact))

    def heat(self, modes: Floats, *, initial: float) -> float:
        """Heat stored per area since the stack had its even temperature. [J/m2]

        Parameters
        ----------
        modes : ndarray
            Of the stack. [-]
        initial : float
            Even temperature at the beginning. [K]
        """
        return float(self.capacity @ (self.out @ modes - initial))
