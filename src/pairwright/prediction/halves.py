"""The predicted response of one half, and of two halves against each other, with uncertainty.

A prediction is never a measurement: its type is its own, so that it can't be filed as one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.physics.network import Branch, network

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
REFERENCE: Final = 20e-6  # [Pa]


@dataclass(frozen=True, slots=True)
class MeasuredUnit:
    """A drive unit as it was measured in its place.

    `frequencies` (n,) [Hz]; `transfer` (n,) sound pressure at its terminals' volt [Pa/V]; `impedance`
    (n,) [ohm]; relative standard uncertainties of the level [dB] and of the impedance [-].
    """

    id: str
    frequencies: Floats
    transfer: Complexes
    impedance: Complexes
    level_sd: float = 0.1
    impedance_sd: float = 0.003


@dataclass(frozen=True, slots=True)
class MeasuredBoard:
    """A crossover board: its parts as measured, `branches`, and which node each unit hangs on.

    A unit is a branch of kind "measured" from its node to "common"; it is filled in here. `part_sd` is
    the relative standard uncertainty of each part's value.
    """

    id: str
    branches: tuple[Branch, ...]
    nodes: tuple[str, ...]
    part_sd: float = 0.002


@dataclass(frozen=True, slots=True)
class Predicted:
    """A predicted response: `transfer` (n,) [Pa/V at the input]; `sd` of its level (n,) [dB]."""

    frequencies: Floats
    transfer: Complexes
    sd: Floats

    @property
    def level(self) -> Floats:
        """Level for 2.83 V at the input. [dB]"""
        return np.asarray(20.0 * np.log10(np.maximum(np.abs(self.transfer) * 2.83, 1e-300) / REFERENCE))


@dataclass(frozen=True, slots=True)
class PredictedPair:
    """Two halves: left less right (n,) [dB], its standard uncertainty (n,) [dB], by band."""

    left: Predicted
    right: Predicted
    difference: Floats
    sd: Floats

    @property
    def worst(self) -> float:
        """Largest difference. [dB]"""
        return float(np.max(np.abs(self.difference)))

    @property
    def distance(self) -> float:
        """Root mean square of the difference. [dB]"""
        return float(np.sqrt(np.mean(self.difference**2)))


def predict_half(
    board: MeasuredBoard, units: Sequence[MeasuredUnit], *, correction: Floats | None = None
) -> Predicted:
    """The response of one half from its board and its units, in their order on the board.

    Parameters
    ----------
    board : MeasuredBoard
        The board, loaded by the units' own measured impedances.
    units : Sequence[MeasuredUnit]
        The units, all at the same frequencies.
    correction : ndarray, shape (n,), optional
        What earlier sets of the design came out above their predictions. [dB]

    Notes
    -----
    The board's voltages with the measured loads times the units' own pressures, summed with their
    phases. Uncertainty is propagated to first order, by moving each input by a standard uncertainty:
    levels and impedances of units, values of parts, independent of each other.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 (law of propagation of uncertainty).
    """
    _check(board, units)
    f = units[0].frequencies
    base = _sum(board, units)
    level = 20.0 * np.log10(np.abs(base))
    variance = np.zeros(f.size)
    for moved_board, moved_units in _moved(board, units):
        variance += (20.0 * np.log10(np.abs(_sum(moved_board, moved_units))) - level) ** 2
    if correction is not None:
        base = base * 10.0 ** (correction / 20.0)
    return Predicted(f, base, np.sqrt(variance))


def predict_pair(left: Predicted, right: Predicted, *, shared: float = 0.0) -> PredictedPair:
    """Left against right.

    Parameters
    ----------
    left : Predicted
        One half.
    right : Predicted
        The other.
    shared : float
        Share of the variance that both halves have in common and that cancels: the same microphone, the
        same bridge. [-]
    """
    difference = left.level - right.level
    sd = np.sqrt((1.0 - shared) * (left.sd**2 + right.sd**2))
    return PredictedPair(left, right, np.asarray(difference), np.asarray(sd))


def bias_of(predicted: Sequence[Predicted], measured: Sequence[Floats]) -> tuple[Floats, Floats]:
    """What measured sets came out above their predictions: mean and its standard error, by frequency. [dB]

    Parameters
    ----------
    predicted : Sequence[Predicted]
        Predictions of two sets or more.
    measured : Sequence[ndarray]
        Measured levels of the same sets. [dB]
    """
    if len(predicted) < 2 or len(predicted) != len(measured):
        raise InputError(
            Problem("prediction", "sets", text("two or more, each predicted and measured"),
                    shown([len(predicted), len(measured)]), text("measure more finished sets"))
        )  # fmt: skip
    off = np.array([m - p.level for p, m in zip(predicted, measured, strict=True)])
    return off.mean(axis=0), off.std(axis=0, ddof=1) / math.sqrt(len(predicted))


def _check(board: MeasuredBoard, units: Sequence[MeasuredUnit]) -> None:
    if len(units) != len(board.nodes):
        raise InputError(
            Problem(board.id, "units", text("{n} units, one for each output", n=len(board.nodes)), shown(len(units)),
                    text("name the unit of each output of the board"))
        )  # fmt: skip
    for unit in units:
        if (
            unit.frequencies.shape != units[0].frequencies.shape
            or (unit.frequencies != units[0].frequencies).any()
        ):
            raise InputError(
                Problem(unit.id, "frequencies", text("those of {other}", other=units[0].id), "others",
                        text("measure all units with the same sweep"))
            )  # fmt: skip


def _sum(board: MeasuredBoard, units: Sequence[MeasuredUnit]) -> Complexes:
    """Pressure of all units for a volt at the board. [Pa/V]"""
    loads = tuple(
        Branch("measured", (node, "common"), impedance=_rows(unit))
        for node, unit in zip(board.nodes, units, strict=True)
    )
    voltages = network((*board.branches, *loads), units[0].frequencies)
    found = np.zeros(units[0].frequencies.size, dtype=np.complex128)
    for node, unit in zip(board.nodes, units, strict=True):
        found += voltages[node] * unit.transfer
    return found


def _rows(unit: MeasuredUnit) -> tuple[tuple[float, float, float], ...]:
    return tuple(
        (float(f), float(z.real), float(z.imag))
        for f, z in zip(unit.frequencies, unit.impedance, strict=True)
    )


def _moved(
    board: MeasuredBoard, units: Sequence[MeasuredUnit]
) -> Sequence[tuple[MeasuredBoard, Sequence[MeasuredUnit]]]:
    """Board and units with one input moved by its standard uncertainty."""
    found: list[tuple[MeasuredBoard, Sequence[MeasuredUnit]]] = []
    for n, branch in enumerate(board.branches):
        if branch.kind in ("resistor", "inductor", "capacitor"):
            moved = replace(branch, value=branch.value * (1.0 + board.part_sd))
            found.append(
                (replace(board, branches=(*board.branches[:n], moved, *board.branches[n + 1 :])), units)
            )
    for n, unit in enumerate(units):
        louder = replace(unit, transfer=unit.transfer * 10.0 ** (unit.level_sd / 20.0))
        heavier = replace(unit, impedance=unit.impedance * (1.0 + unit.impedance_sd))
        for one in (louder, heavier):
            found.append((board, (*units[:n], one, *units[n + 1 :])))
    return found


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to better a pair: what is changed, and how far the halves are apart then. [dB]"""

    change: Text
    distance: float
    worst: float


def choices(
    left: tuple[MeasuredBoard, Sequence[MeasuredUnit]],
    right: tuple[MeasuredBoard, Sequence[MeasuredUnit]],
    *,
    spares: Sequence[tuple[int, MeasuredUnit]] = (),
    pads: Sequence[tuple[Text, Callable[[MeasuredBoard], MeasuredBoard]]] = (),
) -> tuple[Choice, ...]:
    """What would bring two halves closer, best first: swaps within the pair, spare units, trims of a pad.

    Parameters
    ----------
    left, right : tuple of MeasuredBoard and units
        The halves as they are.
    spares : Sequence[tuple[int, MeasuredUnit]]
        Other units, with the output that they fit.
    pads : Sequence[tuple[str, Callable]]
        Named changes of a board; each is tried on either half.

    Notes
    -----
    Only what betters the distance is told. The first row is the pair as it is.
    """
    as_is = _tried(text("as it is"), left, right)
    found: list[Choice] = []
    for n in range(len(left[1])):
        one, other = list(left[1]), list(right[1])
        one[n], other[n] = other[n], one[n]
        said = text("swap {one} and {other}", one=right[1][n].id, other=left[1][n].id)
        found.append(_tried(said, (left[0], one), (right[0], other)))
    said = text("swap {one} and {other}", one=left[0].id, other=right[0].id)
    found.append(_tried(said, (right[0], left[1]), (left[0], right[1])))
    for place, spare in spares:
        for side, half in (("left", left), ("right", right)):
            units = [*half[1][:place], spare, *half[1][place + 1 :]]
            halves = ((half[0], units), right) if side == "left" else (left, (half[0], units))
            found.append(_tried(text("{one} for {other}", one=spare.id, other=half[1][place].id), *halves))
    for name, change in pads:
        on_left, on_right = (
            text("{change} on {board}", change=name, board=b.id) for b in (left[0], right[0])
        )
        found.append(_tried(on_left, (change(left[0]), left[1]), right))
        found.append(_tried(on_right, left, (change(right[0]), right[1])))
    better = sorted(
        (c for c in found if c.distance < as_is.distance), key=lambda c: (c.distance, str(c.change))
    )
    return (as_is, *better)


def _tried(
    change: Text,
    left: tuple[MeasuredBoard, Sequence[MeasuredUnit]],
    right: tuple[MeasuredBoard, Sequence[MeasuredUnit]],
) -> Choice:
    _check(*left)
    _check(*right)
    apart = 20.0 * np.log10(np.abs(_sum(*left)) / np.abs(_sum(*right)))
    return Choice(change, float(np.sqrt(np.mean(apart**2))), float(np.max(np.abs(apart))))
