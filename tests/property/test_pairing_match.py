"""Matching: counted out in full on small pools, and what must hold on any."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairwright.pairing import match
from pairwright.pairing.match import most_pairs, near_edges, pair_pool, pair_sides
from tests.strategies import finite, seeds

pools = st.lists(st.lists(finite(-5.0, 5.0), min_size=2, max_size=2), min_size=0, max_size=7)
limits = st.one_of(st.just(math.inf), finite(0.0, 6.0))


def all_matchings(free: tuple[int, ...]) -> list[list[tuple[int, int]]]:
    """Every matching of a pool, found by trying all."""
    if len(free) < 2:
        return [[]]
    first, rest = free[0], free[1:]
    found = all_matchings(rest)
    for n, mate in enumerate(rest):
        found += [[(first, mate), *more] for more in all_matchings(rest[:n] + rest[n + 1 :])]
    return found


def best_by_trying(
    choices: list[list[tuple[int, int]]], left: np.ndarray, right: np.ndarray, limit: float
) -> tuple[int, float]:
    scored = []
    for pairs in choices:
        apart = [float(np.linalg.norm(left[i] - right[j])) for i, j in pairs]
        if all(d <= limit * (1.0 + 1e-12) for d in apart):
            scored.append((-len(pairs), math.fsum(apart)))
    count, total = min(scored)
    return -count, total


@given(pools, limits)
def test_no_choice_that_was_tried_is_better(units: list[list[float]], limit: float) -> None:
    array = np.asarray(units).reshape(-1, 2)
    found = pair_pool(array, limit=limit)

    count, total = best_by_trying(all_matchings(tuple(range(len(units)))), array, array, limit)

    assert len(found.pairs) == count
    assert found.total == pytest.approx(total, rel=1e-9, abs=1e-9)
    assert found.proven


@given(pools.filter(lambda p: len(p) <= 5), pools.filter(lambda p: len(p) <= 5), limits)
def test_no_choice_of_left_and_right_is_better(
    left: list[list[float]], right: list[list[float]], limit: float
) -> None:
    one, other = np.asarray(left).reshape(-1, 2), np.asarray(right).reshape(-1, 2)
    found = pair_sides(one, other, limit=limit)
    choices = [
        list(zip(rows, columns, strict=True))
        for size in range(min(len(left), len(right)) + 1)
        for rows in itertools.combinations(range(len(left)), size)
        for columns in itertools.permutations(range(len(right)), size)
    ]

    count, total = best_by_trying(choices, one, other, limit)

    assert len(found.pairs) == count
    assert found.total == pytest.approx(total, rel=1e-9, abs=1e-9)


@given(seeds, st.integers(2, 60), st.integers(1, 4), limits)
def test_every_piece_is_in_one_pair_or_left_over(seed: int, count: int, width: int, limit: float) -> None:
    units = np.random.default_rng(seed).normal(size=(count, width))
    found = pair_pool(units, limit=limit)

    places = [place for pair in found.pairs for place in pair]
    assert sorted([*places, *found.left_over]) == list(range(count))
    assert all(i < j for i, j in found.pairs)
    assert found.worst is None or found.worst <= limit * (1.0 + 1e-12)
    assert found.total == pytest.approx(
        sum(float(np.linalg.norm(units[i] - units[j])) for i, j in found.pairs)
    )
    assert len(found.pairs) <= most_pairs(units, limit)


@given(seeds, finite(-10.0, 10.0), finite(0.1, 100.0))
def test_moving_and_stretching_the_features_changes_no_pair(seed: int, move: float, stretch: float) -> None:
    units = np.random.default_rng(seed).normal(size=(20, 3))

    assert pair_pool(stretch * units + move).pairs == pair_pool(units).pairs


@given(seeds, finite(0.1, 3.0), finite(0.1, 3.0))
def test_a_higher_ceiling_never_costs_a_pair(seed: int, one: float, other: float) -> None:
    units = np.random.default_rng(seed).normal(size=(25, 3))
    low, high = sorted((one, other))

    assert len(pair_pool(units, limit=low).pairs) <= len(pair_pool(units, limit=high).pairs)


@given(seeds)
def test_the_sides_may_be_exchanged(seed: int) -> None:
    rng = np.random.default_rng(seed)
    left, right = rng.normal(size=(9, 2)), rng.normal(size=(12, 2))
    there, back = pair_sides(left, right, limit=1.5), pair_sides(right, left, limit=1.5)

    assert there.total == pytest.approx(back.total)
    assert len(there.pairs) == len(back.pairs)
    assert there.left_over == back.right_over or len(there.left_over) == len(back.right_over)


@pytest.mark.parametrize("limit", [math.inf, 2.5, 1.2])
@pytest.mark.parametrize("groups", [1, 3])
def test_near_neighbours_find_as_many_pairs_and_hardly_a_worse_total(
    monkeypatch: pytest.MonkeyPatch, limit: float, groups: int
) -> None:
    rng = np.random.default_rng(groups)
    units = np.concatenate([rng.normal(size=(61, 4)) + np.array([9.0 * g, 0, 0, 0]) for g in range(groups)])
    exact = pair_pool(units, limit=limit)

    monkeypatch.setattr(match, "EDGES", 10)
    near = pair_pool(units, limit=limit)

    assert exact.proven
    assert near.proven == (limit == 1.2 and groups == 3)  # there even near neighbours end up weighing all
    assert len(near.pairs) == len(exact.pairs)
    assert exact.total * (1.0 - 1e-9) <= near.total <= exact.total * 1.001


def test_equal_pieces_hide_no_pair(monkeypatch: pytest.MonkeyPatch) -> None:
    # 90 pieces at three places: neighbours alone would all be the same few
    monkeypatch.setattr(match, "EDGES", 10)
    monkeypatch.setattr(match, "NEIGHBOURS", 4)
    units = np.repeat([[0.0], [1.0], [2.0]], 30, axis=0)

    found = pair_pool(units)

    assert len(found.pairs) == 45
    assert found.total == 0.0


@given(seeds, st.integers(3, 30), finite(0.2, 3.0))
def test_neighbours_are_a_part_of_all_pairs(seed: int, count: int, limit: float) -> None:
    units = np.random.default_rng(seed).normal(size=(count, 2))
    every = near_edges(units, limit=limit, neighbours=count)

    keys = set(zip(every.low.tolist(), every.high.tolist(), strict=True))
    assert every.complete
    assert keys == {
        (i, j)
        for j in range(count)
        for i in range(j)
        if np.linalg.norm(units[i] - units[j]) <= limit * (1 + 1e-12)
    }


def test_a_distance_equal_to_the_ceiling_is_allowed_in_spite_of_rounding() -> None:
    # 0.4 - 0.1 is a little more than 0.3 in binary
    assert pair_pool(np.array([[0.1], [0.4]]), limit=0.3).pairs == ((0, 1),)
    assert pair_sides(np.array([[0.1]]), np.array([[0.4]]), limit=0.3).pairs == ((0, 0),)
