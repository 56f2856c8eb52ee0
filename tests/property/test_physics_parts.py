"""Preferred values and the choice of measured parts: order, nearness, best choices."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from pairwright.base.errors import InputError
from pairwright.physics.part_choice import Seat, StockPart, choose_parts, level_coupling
from pairwright.physics.preferred import SERIES, nearest_preferred, preferred_values, two_preferred
from tests.strategies import finite

series = st.sampled_from(SERIES)
sizes = finite(-9.0, 6.0).map(lambda e: 10.0**e)


@pytest.mark.parametrize("pair", [("E6", "E12"), ("E12", "E24"), ("E48", "E96"), ("E96", "E192")])
def test_a_finer_series_holds_the_coarser_one(pair: tuple[str, str]) -> None:
    assert set(preferred_values(pair[0])) <= set(preferred_values(pair[1]))


@given(sizes, series)
def test_the_nearest_value_is_within_half_a_step(value: float, name: str) -> None:
    found = nearest_preferred(value, name)
    row = preferred_values(name)

    step = max(b / a for a, b in itertools.pairwise([*row, 10.0]))
    assert abs(found / value - 1.0) <= (step - 1.0) / 2.0 + 1e-6
    assert min(abs(found / 10.0 ** round(math.log10(found / v)) - v) for v in row) < 1e-5 * 10


@given(sizes, series)
def test_a_preferred_value_is_its_own_nearest(value: float, name: str) -> None:
    found = nearest_preferred(value, name)

    assert nearest_preferred(found, name) == found


@given(sizes, st.sampled_from(("E6", "E12", "E24")), st.sampled_from(("sum", "reciprocal")))
@example(3.3226483080780573, "E12", "sum")  # the nearest second part lies beyond the ratio
@settings(max_examples=30)
def test_two_parts_are_never_worse_than_one(value: float, name: str, joined: str) -> None:
    pair = two_preferred(value, name, joined=joined)  # type: ignore[arg-type]
    single = abs(nearest_preferred(value, name) / value - 1.0)

    assert abs(pair.deviation) <= single + 1e-12
    made = sum(pair.parts) if joined == "sum" else 1.0 / sum(1.0 / p for p in pair.parts)
    assert made == pytest.approx(pair.value, rel=1e-9)
    # by trying them all
    rows = [p * 10.0**d for d in range(-11, 9) for p in preferred_values(name)
            if value / 2000.0 < p * 10.0**d < value * 2000.0]  # fmt: skip
    best = min(
        abs((a + b if joined == "sum" else 1.0 / (1.0 / a + 1.0 / b)) / value - 1.0)
        for a in rows for b in rows if b / 100.0 * (1 - 1e-9) <= a <= b
    )  # fmt: skip
    assert abs(pair.deviation) == pytest.approx(min(best, single), abs=1e-9)


def lot(values: list[float], kind: str = "c") -> list[StockPart]:
    return [StockPart(f"{kind}{n:02}", kind, v) for n, v in enumerate(values)]


stocks = st.lists(finite(0.93, 1.07), min_size=4, max_size=9)


@given(stocks, finite(0.0, 3.0), finite(0.01, 3.0))
@settings(max_examples=40, deadline=None)
def test_competing_seats_get_the_best_choice_there_is(values: list[float], hit: float, match: float) -> None:
    seats = [Seat("A", "c", 1.0), Seat("B", "c", 1.01, weight=2.0)]
    stock = lot(values)

    found = choose_parts(seats, stock, hit=hit, match=match)

    def cost(parts: tuple[int, ...]) -> float:
        total = 0.0
        for seat, (a, b) in zip(seats, (parts[:2], parts[2:]), strict=True):
            one, other = values[a] / seat.target - 1.0, values[b] / seat.target - 1.0
            total += seat.weight * (0.5 * hit * (one**2 + other**2) + match * (one - other) ** 2)
        return total

    best = min(cost(p) for p in itertools.permutations(range(len(values)), 4))
    assert found.cost == pytest.approx(best, rel=1e-6, abs=1e-9)
    assert found.bound == pytest.approx(found.cost, rel=1e-9, abs=1e-12)
    taken = {p.name for p in (*found.left.values(), *found.right.values())}
    assert len(taken) == 4
    assert taken.isdisjoint(p.name for p in found.left_over)


def test_without_likeness_it_is_the_library_s_assignment() -> None:
    rng = np.random.default_rng(3)
    values = list(10.0 * (1.0 + 0.04 * rng.standard_normal(40)))
    targets = [9.7, 9.9, 10.0, 10.2, 10.4]

    found = choose_parts([Seat(f"S{n}", "c", t) for n, t in enumerate(targets)], lot(values), match=0.0)

    costs = np.array([[0.5 * (v / t - 1.0) ** 2 for v in values] for t in targets for _ in range(2)])
    rows, columns = linear_sum_assignment(costs)
    assert found.cost == pytest.approx(float(costs[rows, columns].sum()), rel=1e-6)


def test_seats_that_do_not_compete_take_their_own_best_pair() -> None:
    stock = [*lot([9.9, 10.05, 10.04, 9.5], "c"), *lot([1.0, 1.2, 1.21, 0.9], "l")]

    found = choose_parts([Seat("C", "c", 10.0), Seat("L", "l", 1.2)], stock, hit=1.0, match=4.0)

    assert {found.left["C"].name, found.right["C"].name} == {"c01", "c02"}
    assert {found.left["L"].name, found.right["L"].name} == {"l01", "l02"}
    assert max(found.apart, found.hit) < 0.006


def test_deviations_that_cancel_are_found_by_the_coupling() -> None:
    # two parts of which only the sum matters: +1 % beside -1 % is as good as 0 and 0
    coupling = np.ones((2, 2))
    stock = [*lot([1.01, 1.03, 0.97], "c"), *lot([0.99, 0.97, 1.03], "l")]
    seats = [Seat("C", "c", 1.0), Seat("L", "l", 1.0)]

    found = choose_parts(seats, stock, coupling=coupling, match=0.0)

    assert found.cost == pytest.approx(0.0, abs=1e-9)
    for board in (found.left, found.right):
        assert board["C"].value + board["L"].value == pytest.approx(2.0)


@given(st.integers(0, 10_000))
@settings(max_examples=15, deadline=None)
def test_exchanges_never_make_it_worse(seed: int) -> None:
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(3, 3))
    seats = [Seat(f"S{n}", "c", 1.0) for n in range(3)]
    stock = lot(list(1.0 + 0.03 * rng.standard_normal(10)))

    start = choose_parts(seats, stock)
    improved = choose_parts(seats, stock, coupling=root @ root.T)

    offs = [np.array([b[s.name].value - 1.0 for s in seats]) for b in (start.left, start.right)]
    h, apart = root @ root.T, offs[0] - offs[1]
    before = 0.5 * sum(float(o @ h @ o) for o in offs) + float(apart @ h @ apart)
    assert improved.cost <= before + 1e-12


def test_a_coupling_is_the_mean_square_level() -> None:
    s = np.array([[0.5, 0.2, 0.0], [-0.5, 0.1, 0.3]], dtype=complex)
    off = np.array([0.02, -0.01])

    level = 20.0 / math.log(10.0) * (off @ s.real)

    assert off @ level_coupling(s) @ off == pytest.approx(float(np.mean(level**2)))


def test_too_small_a_stock_is_refused() -> None:
    with pytest.raises(InputError, match="at least two parts"):
        choose_parts([Seat("C", "c", 10.0)], lot([10.0]))
    with pytest.raises(InputError, match="two parts for each"):
        choose_parts([Seat("A", "c", 1.0), Seat("B", "c", 1.0)], lot([1.0, 1.0, 1.0]))


def test_two_random_parts_seldom_agree() -> None:
    # closed form: two parts uniform within 5 % agree within 1 % with probability 1 - 0.9^2 = 0.19
    rng = np.random.default_rng(5)
    one, other = rng.uniform(-0.05, 0.05, (2, 200_000))

    assert np.mean(np.abs(one - other) < 0.01) == pytest.approx(0.19, abs=0.004)
    # and a stock of twenty cures that
    found = choose_parts([Seat("C", "c", 1.0)], lot(list(1.0 + one[:20])), hit=0.0)
    assert found.apart < 0.002
