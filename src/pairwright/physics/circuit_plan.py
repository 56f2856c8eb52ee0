"""A circuit made ready for many solutions: the order of elimination, once, as a list of steps.

The nodal admittances form a symmetric matrix, most of it empty: a crossover's node touches two to
four parts. Which entries fill up while it is eliminated depends only on who is joined to whom, so
the order and every single multiplication are found once and then repeated for every draw and
frequency (`circuit_kernel`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.physics import circuit_kernel as kernel
from pairwright.physics.network import COMMON, Branch, branch_impedance, network

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

_KINDS: Final = {
    "resistor": kernel.RESISTOR,
    "source": kernel.RESISTOR,
    "inductor": kernel.INDUCTOR,
    "capacitor": kernel.CAPACITOR,
    "measured": kernel.MEASURED,
}
_WEAK: Final = 0.05  # a pivot this small beside its row waits, if any better node is left


@dataclass(frozen=True, slots=True)
class CircuitPlan:
    """How one circuit is solved.

    `parts` without the ideal sources, in the order of the circuit; `frequency` [Hz]; `nodes` whose
    voltages are unknown, by name, and the `known` ones [V]; `order` of elimination; `steps`, `scales`
    and `tables` as the kernel reads them; `place` the row that holds each node's voltage; `rows` how
    many working rows there are.
    """

    parts: tuple[Branch, ...]
    indices: tuple[int, ...]
    frequency: Floats
    nodes: tuple[str, ...]
    known: tuple[tuple[str, float], ...]
    order: tuple[str, ...]
    steps: NDArray[np.int64]
    scales: Floats
    kinds: NDArray[np.int64]
    tables: Complexes
    place: tuple[tuple[str, int], ...]
    rows: int

    def bundle(self, wanted: Sequence[str]) -> tuple[Any, ...]:
        """What the kernel takes, for the voltages of these nodes. [-]

        Parameters
        ----------
        wanted : Sequence[str]
            Names of unknown nodes. [-]

        Returns
        -------
        tuple
            Steps, scales, kinds, angular frequencies, tables, rows wanted. [-]
        """
        place = dict(self.place)
        return (
            self.steps, self.scales, self.kinds, 2.0 * math.pi * self.frequency,
            np.ascontiguousarray(self.tables.real), np.ascontiguousarray(self.tables.imag),
            np.array([place[n] for n in wanted], dtype=np.int64),
        )  # fmt: skip


@dataclass(slots=True)
class _Writer:
    """Writes steps and hands out rows."""

    rows: int
    steps: list[tuple[int, int, int, int]] = field(default_factory=list)
    scales: list[float] = field(default_factory=list)
    cells: dict[tuple[int, int], int] = field(default_factory=dict)
    right: dict[int, int] = field(default_factory=dict)

    def row(self) -> int:
        self.rows += 1
        return self.rows - 1

    def step(self, operation: int, target: int, first: int, second: int = 0, scale: float = 1.0) -> None:
        self.steps.append((operation, target, first, second))
        self.scales.append(scale)

    def gather(self, store: dict[Any, int], key: Any, part: int, scale: float) -> None:
        """Add scale times a part's admittance to an entry, which is made when it is new."""
        fresh = key not in store
        if fresh:
            store[key] = self.row()
        self.step(kernel.SET if fresh else kernel.ADD, store[key], part, scale=scale)

    def reduce(self, store: dict[Any, int], key: Any, one: int, other: int) -> None:
        """Take a product from an entry, which is made when it is new."""
        fresh = key not in store
        if fresh:
            store[key] = self.row()
        self.step(kernel.NEGATIVE if fresh else kernel.MINUS, store[key], one, other)


def circuit_plan(circuit: Sequence[Branch], frequency: Floats) -> CircuitPlan:
    """Plan of the repeated solution of one circuit. [-]

    Parameters
    ----------
    circuit : Sequence[Branch]
        The parts, at their nominal values; a source without resistance has one end at the common
        node. [-]
    frequency : ndarray
        Above 0, shape (n_freq,). [Hz]

    Returns
    -------
    CircuitPlan
        Order and steps. [-]

    Notes
    -----
    The node with the fewest neighbours goes first, as long as its pivot, at the nominal values and
    at every frequency, is not small beside its row: a coil and a capacitor in resonance may cancel
    there. A circuit without one answer is an `InputError`, as in `network`.

    References
    ----------
    .. [1] H. M. Markowitz, "The elimination form of the inverse and its application to linear
       programming", Management Science 3 (1957) 255-269 (fewest neighbours first).

    Examples
    --------
    >>> divider = [
    ...     Branch("source", ("in", "common"), 1.0),
    ...     Branch("resistor", ("in", "out"), 3.0),
    ...     Branch("resistor", ("out", "common"), 1.0),
    ... ]
    >>> circuit_plan(divider, np.array([1000.0])).nodes
    ('out',)
    """
    network(circuit, frequency)  # refuses what has no one answer
    known = _known(circuit)
    nodes = tuple(sorted({n for b in circuit for n in b.nodes} - known.keys() - {COMMON}))
    indices = tuple(n for n, b in enumerate(circuit) if b.kind != "source" or b.series_resistance > 0.0)
    parts = tuple(circuit[n] for n in indices)
    number = {name: n for n, name in enumerate(nodes)}
    order = _order(parts, number, frequency=frequency)
    writer = _Writer(len(parts))
    _assemble(writer, parts, number, known)
    _eliminate(writer, order, len(nodes))
    tables = np.array([
        branch_impedance(Branch("measured", b.nodes, impedance=b.impedance), frequency)
        if b.kind == "measured" else np.zeros(frequency.size) for b in parts
    ], dtype=np.complex128).reshape(len(parts), frequency.size)  # fmt: skip
    return CircuitPlan(
        parts=parts, indices=indices, frequency=np.asarray(frequency, dtype=np.float64),
        nodes=nodes, known=tuple(known.items()), order=tuple(nodes[n] for n in order),
        steps=np.array(writer.steps, dtype=np.int64).reshape(-1, 4),
        scales=np.array(writer.scales), kinds=np.array([_KINDS[b.kind] for b in parts], dtype=np.int64),
        tables=tables, place=tuple((nodes[n], row) for n, row in sorted(writer.right.items())),
        rows=writer.rows + 1,
    )  # fmt: skip


def _known(circuit: Sequence[Branch]) -> dict[str, float]:
    """Voltages that an ideal source fixes."""
    known: dict[str, float] = {}
    for branch in circuit:
        if branch.kind != "source" or branch.series_resistance > 0.0:
            continue
        if COMMON not in branch.nodes:
            raise _refused(text('an ideal source with one end at the node "common"'),
                           "-".join(branch.nodes), text("give the source a small series resistance"))  # fmt: skip
        upper, lower = branch.nodes
        known[upper if lower == COMMON else lower] = branch.value if lower == COMMON else -branch.value
    return known


def _refused(must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem("circuit plan", "circuit", must_be, shown(got), do))


def _nominal(part: Branch, frequency: Floats) -> Complexes:
    """Admittance at the part's stated value."""
    if part.kind == "source":
        return np.full(frequency.size, 1.0 / part.series_resistance, dtype=np.complex128)
    return np.asarray(1.0 / branch_impedance(part, frequency), dtype=np.complex128)


def _order(parts: Sequence[Branch], number: dict[str, int], *, frequency: Floats) -> list[int]:
    """Fewest neighbours first among the nodes with a sound pivot at nominal values."""
    size = len(number)
    matrix = np.zeros((frequency.size, size, size), dtype=np.complex128)
    joined: list[set[int]] = [set() for _ in range(size)]
    for part in parts:
        y = _nominal(part, frequency)
        ends = [number[n] for n in part.nodes if n in number]
        for n in ends:
            matrix[:, n, n] += y
        if len(ends) == 2:
            one, other = ends
            matrix[:, one, other] -= y
            matrix[:, other, one] -= y
            joined[one].add(other)
            joined[other].add(one)
    order: list[int] = []
    left = set(range(size))
    while left:
        sound = {n: _soundness(matrix, n, joined[n] & left) for n in left}
        fit = [n for n in left if sound[n] >= _WEAK]
        node = (min(fit, key=lambda n: (len(joined[n] & left), -sound[n], n)) if fit
                else max(left, key=lambda n: (sound[n], -n)))  # fmt: skip
        left.discard(node)
        order.append(node)
        near = sorted(joined[node] & left)
        factor = matrix[:, near, node] / matrix[:, node, node][:, None]
        matrix[np.ix_(range(frequency.size), near, near)] -= (
            factor[:, :, None] * matrix[:, node, near][:, None, :]
        )
        for n in near:
            joined[n] |= set(near) - {n}
    return order


def _soundness(matrix: Complexes, node: int, near: set[int]) -> float:
    """Least pivot beside the largest entry of its row, over the frequencies."""
    if not near:
        return math.inf
    row = np.abs(matrix[:, node, sorted(near)]).max(axis=1)
    pivot = np.abs(matrix[:, node, node])
    return float(np.min(pivot / np.maximum(row, 1e-300)))


def _assemble(
    writer: _Writer, parts: Sequence[Branch], number: dict[str, int], known: dict[str, float]
) -> None:
    """Steps that sum the admittances into the matrix and what the sources drive into the right side."""
    for p, part in enumerate(parts):
        for sign, (here, there) in zip((1.0, -1.0), (part.nodes, part.nodes[::-1]), strict=True):
            if here not in number:
                continue
            node = number[here]
            writer.gather(writer.cells, (node, node), p, 1.0)
            if known.get(there, 0.0) != 0.0:
                writer.gather(writer.right, node, p, known[there])
            if part.kind == "source":
                writer.gather(writer.right, node, p, sign * part.value)
        ends = sorted(number[n] for n in part.nodes if n in number)
        if len(ends) == 2:
            writer.gather(writer.cells, (ends[0], ends[1]), p, -1.0)


def _eliminate(writer: _Writer, order: Sequence[int], size: int) -> None:
    """Steps of the symmetric elimination without exchange, and of the way back."""
    left = set(range(size))
    done: list[tuple[int, int, list[tuple[int, int]]]] = []
    for node in order:
        left.discard(node)
        near = sorted(n for n in left if (min(n, node), max(n, node)) in writer.cells)
        entry = {n: writer.cells[min(n, node), max(n, node)] for n in near}
        over = writer.row()
        writer.step(kernel.PIVOT, over, writer.cells[node, node])
        factor: dict[int, int] = {}
        for n in near:
            factor[n] = writer.row()
            writer.step(kernel.FACTOR, factor[n], entry[n], over)
        for i, one in enumerate(near):
            for other in near[i:]:
                writer.reduce(writer.cells, (one, other), factor[one], entry[other])
            if node in writer.right:
                writer.reduce(writer.right, one, factor[one], writer.right[node])
        done.append((node, over, [(n, factor[n]) for n in near]))
    for node, over, factors in reversed(done):
        if node in writer.right:
            writer.step(kernel.TIMES, writer.right[node], writer.right[node], over)
        for n, row in factors:
            if n in writer.right:
                writer.reduce(writer.right, node, row, writer.right[n])
        if node not in writer.right:  # nothing drives this piece: it stays at rest
            writer.right[node] = writer.row()
            writer.step(kernel.SET, writer.right[node], over, scale=0.0)
