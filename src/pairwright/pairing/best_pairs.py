"""The law of best pairs, as the handbook serves it: lists of feature vectors in, pairs out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final, NoReturn

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import NOT_NEGATIVE, Argument, Law, Result, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text
from pairwright.pairing.match import Floats, pair_pool, pair_sides

LARGEST: Final = 5000  # pieces in a pool: some seconds


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    got_text = "nothing" if got is None else shown(got)
    raise InputError(Problem("calc best_pairs", field, must_be, got_text, do))


def _features(name: str, rows: Sequence[Any], width: int | None = None) -> Floats:
    """Feature vectors as an array; plain numbers are vectors of one."""
    if len(rows) > LARGEST:
        _wrong(
            name, text("a list of at most {most}", most=LARGEST), f"{len(rows)}", do=text("split the pool")
        )
    vectors = [row if isinstance(row, Sequence) else [row] for row in rows]
    for n, vector in enumerate(vectors):
        if not vector or any(isinstance(v, Sequence) for v in vector):
            _wrong(
                f"{name}[{n}]", text("a list of numbers"), vector, do=text("write one vector for each piece")
            )
        wanted = len(vectors[0]) if width is None else width
        if len(vector) != wanted:
            _wrong(f"{name}[{n}]", text("{n} numbers, as of the first", n=wanted), vector,
                   do=text("measure the same features of each piece"))  # fmt: skip
    return np.asarray(vectors, dtype=np.float64) if vectors else np.empty((0, width or 1))


def _best_pairs_law(
    left: Sequence[Any] | None,
    right: Sequence[Any] | None,
    units: Sequence[Any] | None,
    limit: float | None,
) -> dict[str, Any]:
    ceiling = math.inf if limit is None else limit
    if units is not None:
        for name, given in (("left", left), ("right", right)):
            if given is not None:
                _wrong(name, text("left out where units are given"), given,
                       do=text("give units, or left and right"))  # fmt: skip
        found = pair_pool(_features("units", units), limit=ceiling)
    else:
        for name, given in (("left", left), ("right", right)):
            if given is None:
                _wrong(
                    name, text("a list of feature vectors"), None, do=text("give units, or left and right")
                )
        one = _features("left", left or ())
        width = one.shape[1] if len(one) else None
        found = pair_sides(one, _features("right", right or (), width), limit=ceiling)
    return {
        "pairs": [list(pair) for pair in found.pairs], "total": found.total, "worst": found.worst,
        "left_over": list(found.left_over), "right_over": list(found.right_over), "proven": found.proven,
    }  # fmt: skip


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="best_pairs",
        title=text("Best pairs by measured likeness"),
        function=_best_pairs_law,
        arguments=(
            Argument("left", "-", text("feature vectors of the left pieces"), shape="rows", least=0,
                     default=None),
            Argument("right", "-", text("feature vectors of the right pieces"), shape="rows", least=0,
                     default=None),
            Argument("units", "-", text("in place of both: one pool, in which any two may be a pair"),
                     shape="rows", least=0, default=None),
            Argument("limit", "-", text("largest Euclidean distance of a pair; none: no ceiling"),
                     NOT_NEGATIVE, default=None),
        ),
        results=(
            Result("pairs", "-", text("[left, right], or both places in units, counted from 0")),
            Result("total", "-", text("sum of distances; as many pairs as possible come first")),
            Result("worst", "-", text("largest distance; none without pairs")),
            Result("left_over", "-", text("left pieces, or units, that stay alone")),
            Result("right_over", "-", text("right pieces that stay alone")),
            Result("proven", "-", text("whether every allowed pair was weighed, so that nothing is better")),
        ),
        accuracy=text("exact to 1e-12 of the largest distance for left and right, for pools up to 400 or with "
                      "at most 80 000 pairs under the limit; larger ones weigh near neighbours"),
        sources=(
            Source("published", "J. Edmonds, Paths, trees, and flowers, Canad. J. Math. 17 (1965) 449-467"),
            Source("published", "D. F. Crouse, On implementing 2D rectangular assignment algorithms, IEEE Trans. "
                                "Aerosp. Electron. Syst. 52 (2016) 1679-1696"),
        ),
        worked=Worked(
            {"units": [[0.0, 0.0], [3.0, 4.0], [0.0, 1.0], [3.0, 5.0]], "limit": 2.0},
            {"pairs": [[0, 2], [1, 3]], "total": 2.0, "worst": 1.0},
        ),
    ),
)  # fmt: skip
