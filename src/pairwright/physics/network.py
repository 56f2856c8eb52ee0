"""Nodal analysis of a passive circuit with real parts and measured impedances."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text

COMMON: Final = "common"
KINDS: Final[tuple[str, ...]] = ("resistor", "inductor", "capacitor", "source", "measured")

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]


@dataclass(frozen=True, slots=True)
class Branch:
    """One part between two nodes.

    `value` [ohm], [H], [F] or, of a source, [V] from the second node to the first;
    `series_resistance` [ohm] is the part's own; `impedance` rows of a measured part: frequency
    [Hz], real and imaginary part [ohm].
    """

    kind: str
    nodes: tuple[str, str]
    value: float = 0.0
    series_resistance: float = 0.0
    impedance: tuple[tuple[float, float, float], ...] = ()


def branch_impedance(branch: Branch, frequency: Floats) -> Complexes:
    """Impedance of one part. [ohm]

    Parameters
    ----------
    branch : Branch
        Any part but a source. [-]
    frequency : ndarray
        Above 0, shape (n_freq,). [Hz]

    Returns
    -------
    ndarray, shape (n_freq,)
        Complex impedance. [ohm]

    Notes
    -----
    Between measured points real and imaginary part are linear in the logarithm of frequency;
    beyond them the end value is held.

    Examples
    --------
    >>> branch_impedance(Branch("inductor", ("a", "b"), 1e-3, 0.5), np.array([1000.0]))
    array([0.5+6.28318531j])
    """
    s = 2j * math.pi * frequency
    bare: Complexes
    match branch.kind:
        case "resistor":
            bare = np.full(frequency.shape, branch.value, dtype=np.complex128)
        case "inductor":
            bare = np.asarray(s * branch.value, dtype=np.complex128)
        case "capacitor":
            bare = np.asarray(1.0 / (s * branch.value), dtype=np.complex128)
        case _:
            rows = np.array(sorted(branch.impedance))
            at = np.log(rows[:, 0])
            seen = np.log(frequency)
            bare = np.asarray(
                np.interp(seen, at, rows[:, 1]) + 1j * np.interp(seen, at, rows[:, 2]), dtype=np.complex128
            )
    return np.asarray(bare + branch.series_resistance, dtype=np.complex128)


def network(circuit: Sequence[Branch], frequency: Floats) -> dict[str, Complexes]:
    """Node voltages of a circuit, against the common node. [V]

    Parameters
    ----------
    circuit : Sequence[Branch]
        The parts. [-]
    frequency : ndarray
        Above 0, shape (n_freq,). [Hz]

    Returns
    -------
    dict of str to ndarray, shape (n_freq,)
        Complex voltage of every node but the common one. [V]

    Notes
    -----
    Modified nodal analysis: one equation a node, one more for each source without resistance. A
    circuit that fixes no voltage somewhere, or two sources that contradict, is an `InputError`.

    References
    ----------
    .. [1] C.-W. Ho, A. E. Ruehli, P. A. Brennan, IEEE Trans. Circuits Syst. 22 (1975) 504-509.

    Examples
    --------
    >>> divider = [
    ...     Branch("source", ("in", "common"), 1.0),
    ...     Branch("resistor", ("in", "out"), 3.0),
    ...     Branch("resistor", ("out", "common"), 1.0),
    ... ]
    >>> round(float(network(divider, np.array([1000.0]))["out"][0].real), 12)
    0.25
    """
    names = sorted({n for b in circuit for n in b.nodes} - {COMMON})
    place = {name: n for n, name in enumerate(names)}
    _connected(circuit, names)
    ideal = [b for b in circuit if b.kind == "source" and b.series_resistance == 0.0]
    size = len(names) + len(ideal)
    matrix = np.zeros((frequency.size, size, size), dtype=np.complex128)
    right = np.zeros((frequency.size, size), dtype=np.complex128)
    for branch in circuit:
        if branch.kind == "source" and branch.series_resistance == 0.0:
            continue
        ends = [(place[n], sign) for n, sign in zip(branch.nodes, (1.0, -1.0), strict=True) if n != COMMON]
        if branch.kind == "source":
            admittance = np.full(frequency.shape, 1.0 / branch.series_resistance, dtype=np.complex128)
            for row, sign in ends:
                right[:, row] += sign * branch.value * admittance
        else:
            admittance = 1.0 / branch_impedance(branch, frequency)
        for row, one in ends:
            for column, other in ends:
                matrix[:, row, column] += one * other * admittance
    for n, branch in enumerate(ideal, start=len(names)):
        for name, sign in zip(branch.nodes, (1.0, -1.0), strict=True):
            if name != COMMON:
                matrix[:, place[name], n] += sign
                matrix[:, n, place[name]] += sign
        right[:, n] = branch.value
    found = _solve(matrix, right)
    return {name: found[:, n] for name, n in place.items()}


def _solve(matrix: Complexes, right: Complexes) -> Complexes:
    try:
        found = np.linalg.solve(matrix, right[..., None])[..., 0]
    except np.linalg.LinAlgError:
        found = np.full(right.shape, np.nan, dtype=np.complex128)
    if not np.all(np.isfinite(found)):
        raise _refused(text("a circuit with one answer"), "none",
                       text("look for sources in parallel and parts of no impedance"))  # fmt: skip
    return np.asarray(found, dtype=np.complex128)


def _connected(circuit: Sequence[Branch], names: Sequence[str]) -> None:
    """Refuse a circuit of which a piece hangs in the air."""
    reached, waiting = {COMMON}, [COMMON]
    while waiting:
        here = waiting.pop()
        for branch in circuit:
            if here in branch.nodes:
                for other in set(branch.nodes) - reached:
                    reached.add(other)
                    waiting.append(other)
    loose = sorted(set(names) - reached)
    if loose:
        raise _refused(text('connected to the node "common"'), ", ".join(loose),
                       text("connect it, or correct the name of the node"))  # fmt: skip


def _refused(must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem("network", "circuit", must_be, shown(got), do))


def read_branch(row: Mapping[str, Any], number: int) -> Branch:
    """A part from a row of a law's table; what is wrong is an `InputError`. [-]

    Parameters
    ----------
    row : Mapping[str, Any]
        By the names of `BRANCH_COLUMNS`. [-]
    number : int
        Place of the row, for messages. [-]

    Returns
    -------
    Branch
        The part. [-]

    Examples
    --------
    >>> read_branch({"kind": "resistor", "nodes": ["a", "common"], "value": 8.0,
    ...     "impedance": None, "series_resistance": 0.0}, 0).value  # fmt: skip
    8.0
    """
    kind, nodes = row["kind"], row["nodes"]
    where = f"circuit[{number}]"
    if len(nodes) != 2 or nodes[0] == nodes[1]:
        raise InputError(Problem("network", f"{where}.nodes", text("two different nodes"), shown(nodes),
                                 text("name the two ends of the part")))  # fmt: skip
    value, measured = row["value"], row["impedance"]
    if kind == "measured":
        rows = measured or ()
        if not rows or any(not isinstance(r, Sequence) or len(r) != 3 or r[0] <= 0.0 for r in rows):
            raise InputError(Problem("network", f"{where}.impedance",
                                     text("rows of frequency, real and imaginary part"), shown(measured),
                                     text("give the measured impedance")))  # fmt: skip
        return Branch(kind, (nodes[0], nodes[1]), 0.0, row["series_resistance"],
                      tuple((float(f), float(re), float(im)) for f, re, im in rows))  # fmt: skip
    if value is None or (kind != "source" and value <= 0.0):
        raise InputError(Problem("network", f"{where}.value", text("above 0"), shown(value),
                                 text("give the part's value")))  # fmt: skip
    return Branch(kind, (nodes[0], nodes[1]), value, row["series_resistance"])


def _network_law(circuit: Sequence[Mapping[str, Any]], frequencies: Sequence[float]) -> dict[str, Any]:
    branches = [read_branch(row, n) for n, row in enumerate(circuit)]
    found = network(branches, np.array(frequencies, dtype=np.float64))
    return {"nodes": {n: [[float(v.real), float(v.imag)] for v in row] for n, row in found.items()}}


def _also(inputs: Mapping[str, Any]) -> list[Finding]:
    low, high = min(inputs["frequencies"]), max(inputs["frequencies"])
    found = []
    for n, row in enumerate(inputs["circuit"]):
        if row["kind"] == "measured":
            seen = [r[0] for r in row["impedance"]]
            if low < min(seen) or high > max(seen):
                found.append(Finding("out_of_range", "warning", f"network circuit[{n}]",
                                     text("frequencies lie outside the measured impedance: its end "
                                          "values are held")))  # fmt: skip
    return found


BRANCH_COLUMNS: Final = (
    Argument("kind", "-", text("resistor, inductor, capacitor, source or measured"), shape="word",
             choices=KINDS),
    Argument("nodes", "-", text('names of the two ends; "common" is the reference'), shape="words",
             least=2),
    Argument("value", "-", text("ohm, H, F, or V of a source"), default=None),
    Argument("impedance", "-", text("of a measured part: rows of frequency, real, imaginary"),
             shape="rows", default=None),
    Argument("series_resistance", "ohm", text("the part's own series resistance"), must=NOT_NEGATIVE,
             default=0.0),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="network",
        title=text("Node voltages of a passive circuit"),
        function=_network_law,
        arguments=(
            Argument("circuit", "-", text("the parts"), shape="table", columns=BRANCH_COLUMNS),
            Argument("frequencies", "Hz", text("where to compute"), must=POSITIVE, shape="numbers"),
        ),
        results=(Result("nodes", "V", text("real and imaginary part at each frequency, by node")),),
        accuracy=text("exact for the stated parts, to about 1e-12; coupling of coils is not counted"),
        sources=(
            Source("published", "Ho, Ruehli, Brennan, IEEE Trans. Circuits Syst. 22 (1975) 504-509"),
            Source("closed form", "Kirchhoff's laws"),
        ),
        worked=Worked(
            {"circuit": [
                {"kind": "source", "nodes": ["1", "common"], "value": 1.0},
                {"kind": "resistor", "nodes": ["1", "2"], "value": 100.0},
                {"kind": "resistor", "nodes": ["2", "common"], "value": 200.0},
                {"kind": "resistor", "nodes": ["1", "3"], "value": 300.0},
                {"kind": "resistor", "nodes": ["3", "common"], "value": 400.0},
                {"kind": "resistor", "nodes": ["2", "3"], "value": 500.0}],
             "frequencies": [1000.0]},
            {"nodes": {"1": [[1.0, 0.0]], "2": [[0.6580645, 0.0]], "3": [[0.5935484, 0.0]]}},
            tolerance=1e-6,
        ),
        also=_also,
    ),
)  # fmt: skip
