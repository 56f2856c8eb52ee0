"""Matching against published cases, limits of probability theory, and a second library."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pairwright.base.laws import ask
from pairwright.pairing.best_pairs import LAWS
from pairwright.pairing.match import Edges, match_edges, pair_pool, pair_sides


def chosen(edges: list[tuple[int, int, int]]) -> tuple[set[tuple[int, int]], int]:
    """Pairs and total weight where the largest weight is wanted: distance is what lacks to the largest."""
    top = max(w for _, _, w in edges)
    ends = np.array([sorted(edge[:2]) for edge in edges])
    distances = np.array([float(top - w) for _, _, w in edges])
    pairs = set(match_edges(int(ends.max()) + 1, Edges(ends[:, 0], ends[:, 1], distances)))
    return pairs, sum(w for a, b, w in edges if (min(a, b), max(a, b)) in pairs)


# J. van Rantwijk's test set of maximum weight matching; each has a matching of all that it pairs
BLOSSOMS = {
    "blossom": ([(1, 2, 8), (1, 3, 9), (2, 3, 10), (3, 4, 7)], {(1, 2), (3, 4)}, 15),
    "with augmentation": (
        [(1, 2, 8), (1, 3, 9), (2, 3, 10), (3, 4, 7), (1, 6, 5), (4, 5, 6)], {(1, 6), (2, 3), (4, 5)}, 21
    ),
    "relabelled": (
        [(1, 2, 9), (1, 3, 8), (2, 3, 10), (1, 4, 5), (4, 5, 4), (1, 6, 3)], {(1, 6), (2, 3), (4, 5)}, 17
    ),
    "nested": (
        [(1, 2, 9), (1, 3, 9), (2, 3, 10), (2, 4, 8), (3, 5, 8), (4, 5, 10), (5, 6, 6)],
        {(1, 3), (2, 4), (5, 6)}, 23,
    ),
    "expanded": (
        [(1, 2, 45), (1, 5, 45), (2, 3, 50), (3, 4, 45), (4, 5, 50), (1, 6, 30), (3, 9, 35), (4, 8, 35),
         (5, 7, 26), (9, 10, 5)],
        {(1, 6), (2, 3), (4, 8), (5, 7), (9, 10)}, 146,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BLOSSOMS)
def test_a_published_blossom_case_is_solved(name: str) -> None:
    edges, pairs, weight = BLOSSOMS[name]

    assert chosen(edges) == (pairs, weight)


def test_more_pairs_come_before_a_better_pair() -> None:
    # van Rantwijk: on the path 5-11-5 the largest weight takes the 11, the most pairs the two 5s
    assert chosen([(1, 2, 5), (2, 3, 11), (3, 4, 5)])[0] == {(1, 2), (3, 4)}


def test_the_documented_assignment_is_found() -> None:
    # SciPy's documentation of its assignment: [[4, 1, 3], [2, 0, 5], [3, 2, 2]] costs 5; ours by the general matcher
    assert _least(np.array([[4.0, 1.0, 3.0], [2.0, 0.0, 5.0], [3.0, 2.0, 2.0]])) == 5.0


def test_left_and_right_pieces_on_a_line_pair_in_their_order() -> None:
    # closed form: on a line the least assignment keeps the order: 0-1, 4-2, 9-5
    found = pair_sides(np.array([[0.0], [4.0], [9.0]]), np.array([[5.0], [1.0], [2.0]]))

    assert found.pairs == ((0, 1), (1, 2), (2, 0))
    assert found.total == pytest.approx(1.0 + 2.0 + 4.0)


@pytest.mark.parametrize(("n", "expected"), [(2, 1.25), (5, 1.463611), (20, 1.596163)])
def test_random_assignments_cost_what_parisi_says(n: int, expected: float) -> None:
    # G. Parisi's formula (proved by Linusson and Wastlund): the least assignment of exponential costs is sum 1/k^2 on
    # average; ours by the general matcher, within four standard errors of the mean of the runs
    rng = np.random.default_rng(n)
    runs = 600
    totals = [_least(rng.exponential(size=(n, n))) for _ in range(runs)]

    error = float(np.std(totals)) / math.sqrt(runs)
    assert float(np.mean(totals)) == pytest.approx(expected, abs=4.0 * error)


def _least(costs: np.ndarray) -> float:
    """The least assignment through our general matcher: a graph between two sides."""
    n = len(costs)
    low = np.repeat(np.arange(n), n)
    high = n + np.tile(np.arange(n), n)
    pairs = match_edges(2 * n, Edges(low, high, costs.ravel()))
    return math.fsum(float(costs[i, j - n]) for i, j in pairs)


def test_random_pools_cost_what_wastlund_says() -> None:
    # J. Wastlund: the least perfect matching of a complete graph with exponential costs tends to pi^2/12 = 0.8225;
    # at 60 pieces it is some 2-3 % above
    rng = np.random.default_rng(7)
    low, high = np.triu_indices(60, 1)
    totals = []
    for _ in range(60):
        costs = rng.exponential(size=low.size)
        pairs = match_edges(60, Edges(low, high, costs))
        key = {(int(a), int(b)): float(c) for a, b, c in zip(low, high, costs, strict=True)}
        totals.append(math.fsum(key[p] for p in pairs))

    assert float(np.mean(totals)) == pytest.approx(math.pi**2 / 12.0, abs=0.05)


@pytest.mark.parametrize("seed", range(4))
def test_a_second_library_finds_the_same_total(seed: int) -> None:
    # networkx' own blossom algorithm, with and without a ceiling
    networkx = pytest.importorskip("networkx")
    rng = np.random.default_rng(seed)
    units = rng.standard_normal((41, 3))
    limit = (math.inf, 1.2, 0.8, 0.5)[seed]
    graph = networkx.Graph()
    for i in range(41):
        for j in range(i):
            if (apart := math.dist(units[i], units[j])) <= limit:
                graph.add_edge(i, j, weight=100.0 - apart)
    known = networkx.max_weight_matching(graph, maxcardinality=True)

    found = pair_pool(units, limit=limit)

    assert len(found.pairs) == len(known)
    assert found.total == pytest.approx(math.fsum(math.dist(units[i], units[j]) for i, j in known), rel=1e-9)
    assert found.proven


def test_pieces_on_a_line_pair_with_their_neighbours() -> None:
    # one feature, an even pool: sorted neighbours are the best (exchange argument)
    rng = np.random.default_rng(3)
    values = rng.normal(size=60)
    ranked = np.sort(values)

    found = pair_pool(values[:, None])

    assert found.total == pytest.approx(float(np.sum(ranked[1::2] - ranked[::2])), rel=1e-12)


def test_the_handbook_serves_both_kinds_of_pools() -> None:
    one = ask(LAWS[0], {"units": [[0.0], [5.0], [0.4], [5.1]]}).result
    two = ask(LAWS[0], {"left": [[0.0], [5.0]], "right": [[5.1], [0.4]]}).result

    assert one["pairs"] == [[0, 2], [1, 3]]
    assert two["pairs"] == [[0, 1], [1, 0]]
    assert one["total"] == pytest.approx(0.5)
    assert two["worst"] == pytest.approx(0.4)
