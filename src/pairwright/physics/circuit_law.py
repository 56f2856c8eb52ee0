"""The law of a circuit whose parts scatter: yield, band of levels, sensitivities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import FRACTION, NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import COMMON_PRACTICE, Source
from pairwright.base.words import text
from pairwright.physics.circuit_spread import (
    PART_SHAPES,
    PartSpread,
    circuit_yield,
    part_sensitivities,
)
from pairwright.physics.network import BRANCH_COLUMNS, read_branch
from pairwright.physics.part_choice import DB_PER_UNIT


def _circuit_spread(
    circuit: Sequence[Mapping[str, Any]], frequencies: Sequence[float], node: str, limit_db: float,
    samples: int, seed: int,
) -> dict[str, Any]:  # fmt: skip
    parts = [read_branch(row, n) for n, row in enumerate(circuit)]
    unknown = {n for b in parts for n in b.nodes} - {"common"}
    if node not in unknown:
        raise InputError(Problem("calc circuit_spread", "node", text("a node of the circuit but the common one"),
                                 shown(node), text("correct the name")))  # fmt: skip
    spreads = {
        n: PartSpread(row["tolerance"], row["distribution"], row["series_tolerance"], row["inner"],
                      row["lot"] or "", row["lot_share"])
        for n, row in enumerate(circuit) if row["kind"] != "source"
    }  # fmt: skip
    at = np.array(frequencies, dtype=np.float64)
    found = circuit_yield(
        parts, at, spreads=spreads, node=node, limit_db=limit_db, seed=seed, samples=samples
    )
    slopes = DB_PER_UNIT * part_sensitivities(parts, at, node=node).real
    return {
        "share": found.share, "share_low": found.low, "share_high": found.high,
        "worst_frequency": found.worst_frequency, "failing": [float(v) for v in found.failing],
        "lower_db": [float(v) for v in found.lower_db], "upper_db": [float(v) for v in found.upper_db],
        "sensitivity_db": [[float(v) for v in row] for row in slopes],
    }  # fmt: skip


_PART: Final = (
    *BRANCH_COLUMNS,
    Argument("tolerance", "-", text("relative half width of its value"), must=Span(0.0, 1.0, open_high=True),
             default=0.0),
    Argument("distribution", "-", text("shape of its scatter; a normal one has sd = tolerance/3, a hollow one "
                                       "avoids the inner half width"), shape="word", choices=PART_SHAPES,
             default="uniform"),
    Argument("inner", "-", text("relative half width that a hollow scatter avoids"), must=FRACTION, default=0.0),
    Argument("series_tolerance", "-", text("relative half width of its series resistance"),
             must=Span(0.0, 1.0, open_high=True), default=0.0),
    Argument("lot", "-", text("name of the lot that it shares with others"), shape="word", default=None),
    Argument("lot_share", "-", text("share of the variance that is common to the lot"), must=FRACTION, default=0.0),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="circuit_spread",
        title=text("Circuit whose parts scatter: share within limits, sensitivities"),
        function=_circuit_spread,
        arguments=(
            Argument("circuit", "-", text("the parts with their tolerances"), shape="table", columns=_PART),
            Argument("frequencies", "Hz", text("where to compute"), must=POSITIVE, shape="numbers"),
            Argument("node", "-", text("whose level counts"), shape="word"),
            Argument("limit_db", "dB", text("largest deviation of the level from nominal"), must=POSITIVE),
            Argument("samples", "-", text("number of draws"), must=Span(100, 2_000_000), shape="whole",
                     range=Span(2_000), default=20_000),
            Argument("seed", "-", text("of the draw"), must=NOT_NEGATIVE, shape="whole", default=1),
        ),
        results=(
            Result("share", "-", text("of boards within the limit at every frequency")),
            Result("share_low", "-", text("95 % interval of the share, low end")),
            Result("share_high", "-", text("95 % interval of the share, high end")),
            Result("worst_frequency", "Hz", text("where most boards fail")),
            Result("failing", "-", text("share that fails, by frequency")),
            Result("lower_db", "dB", text("2.5 % of the boards lie lower, by frequency")),
            Result("upper_db", "dB", text("2.5 % of the boards lie higher, by frequency")),
            Result("sensitivity_db", "dB", text("change of level per unit of relative change of each part, by "
                                                "frequency: per per cent divide by 100")),
        ),
        accuracy=text("voltages within 1e-9; shares within their interval; tolerances are limits, lots are alike, and "
                      "independent draws look worse for a pair than it is"),
        sources=(
            Source("closed form", "Kirchhoff's laws"),
            Source("published", "Director, Rohrer, IEEE Trans. Circuit Theory 16 (1969) 318-323 (adjoint)"),
            Source("standard", "IEC 60062 (tolerance letters)"),
            COMMON_PRACTICE,
        ),
        worked=Worked(
            {"circuit": [
                {"kind": "source", "nodes": ["in", "common"], "value": 1.0},
                {"kind": "resistor", "nodes": ["in", "out"], "value": 4.0},
                {"kind": "resistor", "nodes": ["out", "common"], "value": 4.0}],
             "frequencies": [1000.0], "node": "out", "limit_db": 0.5},
            {"share": 1.0, "sensitivity_db": [[8.685889638], [-4.342944819], [4.342944819]]},
            tolerance=1e-6,
        ),
    ),
)  # fmt: skip
