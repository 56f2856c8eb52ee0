"""Cutting as a flow: places where a cut can lie are nodes, strips and blanks are arcs between them.

Every leaf of a kind is one unit of flow from its lower to its upper edge, through strips and waste. Every
strip is one unit from its left to its right end, through blanks and waste. Places are those that can be
needed: sums of sizes from an edge or from the far side of a defect (any plan can be pushed together until
it lies there). An integral flow comes apart into leaves again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Final, Literal, TypeAlias

import numpy as np

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text

MOST_ARCS: Final = 60_000
Strip: TypeAlias = tuple[int, int, int]  # kind of leaf, lower edge (-1 where it does not matter), width
Arc: TypeAlias = tuple[str, Any, int, int, int]  # "leaf"/"strip"/"blank"/"waste"..., graph, from, to, what


@dataclass(frozen=True, slots=True)
class Part:
    """A blank as it may lie: which one, size along and across, kerf included, in ticks."""

    wanted: int
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A kind of leaf in ticks; defects as x0, x1, y0, y1."""

    length: int
    width: int
    number: int
    defects: tuple[tuple[int, int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the library found: counts of the arcs, cost, bound."""

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    counts: dict[Arc, int] | None
    bound: float


@dataclass(slots=True)
class Flow:
    """The graph: its arcs, and those that leave each node."""

    sheets: Sequence[Sheet]
    parts: Sequence[Part]
    numbers: Sequence[int]
    arcs: list[Arc] = field(default_factory=list)
    strips: dict[Strip, list[Arc]] = field(default_factory=dict)

    def key(self, kind: int, y: int, width: int) -> Strip:
        """The strip's graph: one for all places in a leaf without defects."""
        return (kind, y if self.sheets[kind].defects else -1, width)

    def used(self, kind: int, counts: dict[Arc, int]) -> int:
        """How many leaves of a kind are cut."""
        return sum(
            n for arc, n in counts.items() if arc[1] == kind and arc[0] in ("strip", "edge") and arc[2] == 0
        )

    def walk_strips(self, kind: int, counts: dict[Arc, int]) -> list[tuple[int, int]]:
        """One leaf's strips, lower edge and width; what is walked is taken out of the counts."""
        walked = _walk(counts, ("strip", "edge"), kind)
        return [(arc[2], arc[4]) for arc in walked if arc[0] == "strip"]

    def walk_blanks(self, kind: int, y: int, width: int, counts: dict[Arc, int]) -> list[tuple[Part, int]]:
        """One strip's blanks and where they begin."""
        walked = _walk(counts, ("blank", "waste"), self.key(kind, y, width))
        return [(self.parts[arc[4]], arc[2]) for arc in walked if arc[0] == "blank"]


def _walk(counts: dict[Arc, int], kinds: tuple[str, str], graph: Any) -> list[Arc]:
    """One unit of flow from the beginning on, larger things first."""
    at = 0
    walked: list[Arc] = []
    while True:
        onward = [
            arc for arc, n in counts.items() if n > 0 and arc[0] in kinds and arc[1] == graph and arc[2] == at
        ]
        if not onward:
            return walked
        arc = max(onward, key=lambda a: (a[0] == kinds[0], a[3], a[4]))
        counts[arc] -= 1
        walked.append(arc)
        at = arc[3]


def places(starts: Sequence[int], sizes: Sequence[int], *, end: int) -> list[int]:
    """Sums of sizes from any of the starts, up to the end; the end itself too.

    >>> places([0], [3, 5], end=9)
    [0, 3, 5, 6, 8, 9]
    """
    known = {s for s in starts if 0 <= s <= end}
    todo = list(known)
    while todo:
        at = todo.pop()
        for size in sizes:
            if at + size <= end and at + size not in known:
                known.add(at + size)
                todo.append(at + size)
        if len(known) > MOST_ARCS:
            raise _too_many()
    return sorted(known | {end})


def flow_of(sheets: Sequence[Sheet], parts: Sequence[Part], numbers: Sequence[int]) -> Flow:
    """Every arc that a plan can need."""
    flow = Flow(sheets, parts, numbers)
    for kind, sheet in enumerate(sheets):
        widths = sorted({p.across for p in parts if p.across <= sheet.width and p.along <= sheet.length})
        edges = places([0, *(d[3] for d in sheet.defects)], widths, end=sheet.width)
        for y in edges:
            for width in widths:
                if y + width <= sheet.width:
                    flow.arcs.append(("strip", kind, y, y + width, width))
                    key = flow.key(kind, y, width)
                    if key not in flow.strips:
                        flow.strips[key] = _blanks(flow, kind, y, width)
                        flow.arcs.extend(flow.strips[key])
            if len(flow.arcs) > MOST_ARCS:
                raise _too_many()
        flow.arcs.extend(("edge", kind, a, b, 0) for a, b in pairwise(edges))
    return flow


def _blanks(flow: Flow, kind: int, y: int, width: int) -> list[Arc]:
    """Blanks and waste of one strip."""
    sheet, key = flow.sheets[kind], flow.key(kind, y, width)
    fitting = [(n, p) for n, p in enumerate(flow.parts) if p.across <= width and p.along <= sheet.length]
    hit = [d for d in sheet.defects if d[2] < y + width and d[3] > y]
    at = places([0, *(d[1] for d in hit)], sorted({p.along for _, p in fitting}), end=sheet.length)
    found: list[Arc] = [("waste", key, a, b, 0) for a, b in pairwise(at)]
    for x in at:
        for n, part in fitting:
            clear = not any(d[0] < x + part.along and d[1] > x and d[2] < y + part.across for d in hit)
            if x + part.along <= sheet.length and clear:
                found.append(("blank", key, x, x + part.along, n))
    return found


def _too_many() -> InputError:
    return InputError(
        Problem("cutting", "blanks", text("of fewer different sizes"), f"more than {MOST_ARCS} places for a cut",
                text("round the sizes to whole millimetres, or cut part of them at a time"))
    )  # fmt: skip


def solve(flow: Flow, costs: Sequence[float], *, effort: int) -> Answer:
    """The cheapest whole flow, by the library."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    index = {arc: n for n, arc in enumerate(flow.arcs)}
    if {flow.parts[arc[4]].wanted for arc in index if arc[0] == "blank"} != set(range(len(flow.numbers))):
        return Answer("infeasible", None, 0.0)  # a blank has no place: the defects lie too close
    kinds = len(flow.sheets)
    size = len(flow.arcs) + kinds  # the last ones: leaves used of each kind
    matrix, low, high = _constraints(flow, index, size)
    cost = np.zeros(size)
    cost[len(flow.arcs) :] = costs
    whole = np.array([0 if arc[0] in ("waste", "edge") else 1 for arc in flow.arcs] + [1] * kinds)
    most = np.full(size, np.inf)
    most[len(flow.arcs) :] = [sheet.number for sheet in flow.sheets]
    done = milp(
        cost, integrality=whole, bounds=Bounds(np.zeros(size), most), constraints=LinearConstraint(matrix, low, high),
        options={"node_limit": effort, "mip_rel_gap": 0.0},
    )  # fmt: skip
    bound = float(done.mip_dual_bound) if done.mip_dual_bound is not None else 0.0
    if done.x is None:
        return Answer("infeasible" if done.status == 2 else "unknown", None, bound)
    counts = {arc: round(float(done.x[n])) for arc, n in index.items() if done.x[n] > 0.5}
    status: Literal["optimal", "feasible"] = "optimal" if done.status == 0 else "feasible"
    return Answer(status, counts, bound)


def _constraints(flow: Flow, index: dict[Arc, int], size: int) -> tuple[Any, Any, Any]:
    """Flow in is flow out at every place; strips are fed by leaves, blanks by strips; enough of each blank."""
    from scipy.sparse import coo_array

    rows: dict[Any, int] = {}
    entries: list[tuple[int, int, float]] = []

    def put(node: Any, column: int, value: float) -> None:
        entries.append((rows.setdefault(node, len(rows)), column, value))

    for arc, n in index.items():
        kind, graph, start, end, what = arc
        ends = flow.sheets[graph].width if kind in ("strip", "edge") else flow.sheets[graph[0]].length
        family = "leaf" if kind in ("strip", "edge") else "strip"
        put((family, graph, start), n, -1.0)
        if end < ends:
            put((family, graph, end), n, 1.0)
        if kind == "strip":
            put(("strip", flow.key(graph, start, what), 0), n, 1.0)
        if kind == "blank":
            put(("wanted", flow.parts[what].wanted), n, 1.0)
    for sheet in range(len(flow.sheets)):
        put(("leaf", sheet, 0), len(flow.arcs) + sheet, 1.0)
    low, high = np.zeros(len(rows)), np.zeros(len(rows))
    for node, row in rows.items():
        if node[0] == "wanted":
            low[row], high[row] = flow.numbers[node[1]], np.inf
    r, c, v = zip(*entries, strict=True)
    return coo_array((v, (r, c)), shape=(len(rows), size)).tocsr(), low, high
