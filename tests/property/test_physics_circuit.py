"""Many draws of a circuit: the compiled kernel, its plain twin and the library agree; sensitivities; yield."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.physics.circuit_plan import circuit_plan
from pairwright.physics.circuit_spread import (
    PartSpread,
    circuit_yield,
    draw_parts,
    part_sensitivities,
    share_interval,
    solve_draws,
)
from pairwright.physics.network import Branch, network
from tests.strategies import finite

TONES = np.geomspace(20.0, 20e3, 7)
LOAD = tuple(
    (f, 5.6 + 20.0 / (1.0 + (f / 45.0 - 45.0 / f) ** 2), 0.004 * f) for f in np.geomspace(10.0, 30e3, 40)
)
NAMES = "abcdefg"


def crossover(own: float = 0.2) -> list[Branch]:
    """Two branches of a usual board with a corrector and a pad: seven nodes to find."""
    return [
        Branch("source", ("in", "common"), 2.83),
        Branch("inductor", ("in", "a"), 1.2e-3, own), Branch("capacitor", ("a", "b"), 15e-6, 0.05),
        Branch("resistor", ("b", "common"), 1.0), Branch("inductor", ("a", "woofer"), 0.6e-3, own),
        Branch("measured", ("woofer", "common"), impedance=LOAD),
        Branch("capacitor", ("woofer", "c"), 10e-6), Branch("resistor", ("c", "common"), 7.0),
        Branch("capacitor", ("in", "d"), 5e-6), Branch("inductor", ("d", "common"), 0.4e-3, own),
        Branch("capacitor", ("d", "e"), 10e-6), Branch("resistor", ("e", "tweeter"), 2.2),
        Branch("resistor", ("tweeter", "common"), 6.0),
    ]  # fmt: skip


def everything_joined() -> list[Branch]:
    """Seven nodes, each joined to each: no entry of the matrix is empty."""
    pairs = [(one, other) for n, one in enumerate(NAMES) for other in NAMES[n + 1 :]]
    kinds = (("inductor", 1e-3), ("capacitor", 1e-5))
    return [
        Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "a"), 4.0),
        *(Branch(kinds[n % 2][0], pair, kinds[n % 2][1], 0.2) for n, pair in enumerate(pairs)),
        Branch("resistor", ("g", "common"), 8.0),
    ]  # fmt: skip


def drawn_circuit(circuit: list[Branch], value: np.ndarray, own: np.ndarray) -> list[Branch]:
    return [
        Branch(b.kind, b.nodes, b.value if b.kind == "source" else b.value * v, b.series_resistance * s,
               tuple((f, re * v, im * v) for f, re, im in b.impedance))
        for b, v, s in zip(circuit, value, own, strict=True)
    ]  # fmt: skip


def by_library(
    circuit: list[Branch], factors: tuple[np.ndarray, np.ndarray], nodes: tuple[str, ...]
) -> np.ndarray:
    draws = [
        network(drawn_circuit(circuit, factors[0][:, n], factors[1][:, n]), TONES)
        for n in range(factors[0].shape[1])
    ]
    return np.array([[d[node] for d in draws] for node in nodes]).transpose(0, 2, 1)


@pytest.mark.parametrize("circuit", [crossover(), crossover(own=0.0), everything_joined()])
def test_the_kernel_its_twin_and_the_library_give_the_same(circuit: list[Branch]) -> None:
    plan = circuit_plan(circuit, TONES)
    spreads = {n: PartSpread(0.1, series_tolerance=0.3) for n in range(1, len(circuit))}
    values, series = draw_parts(circuit, spreads, seed=4, samples=9)
    factors = (values[0], series[0])

    fast = solve_draws(plan, factors, nodes=plan.nodes, how="compiled", lanes=4)
    twin = solve_draws(plan, factors, nodes=plan.nodes, how="plain", lanes=9)
    library = by_library(circuit, factors, plan.nodes)

    assert fast.shape == (7, 7, 9) or len(plan.nodes) != 7
    auto = solve_draws(plan, factors, nodes=plan.nodes)

    scale = np.abs(library).max()
    assert np.abs(auto - library).max() <= 1e-12 * scale
    assert np.abs(fast - twin).max() <= 4e-16 * scale  # the compiler may fuse nothing: rounding alike
    assert np.abs(fast - library).max() <= 1e-9 * scale
    assert np.abs(fast - library).max() <= 1e-12 * scale  # what it really keeps here


parts = st.builds(
    lambda kind, ends, value, own: Branch(
        kind, ends, {"resistor": 10.0, "inductor": 1e-3, "capacitor": 1e-5}[kind] * value, own
    ),
    st.sampled_from(("resistor", "inductor", "capacitor")),
    st.sampled_from([(x, y) for n, x in enumerate(NAMES) for y in [*NAMES[n + 1 :], "common", "in"]]),
    finite(0.05, 20.0),
    st.sampled_from((0.0, 0.0, 0.01, 0.3)),
)


@given(st.lists(parts, min_size=6, max_size=18), st.integers(0, 9))
@settings(max_examples=80, deadline=None)
def test_any_circuit_is_solved_as_the_library_solves_it(found: list[Branch], seed: int) -> None:
    used = {n for b in found for n in b.nodes} - {"common", "in"}
    circuit = [Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "a"), 5.0),
               *(Branch("resistor", (n, "common"), 1e3) for n in sorted(used | {"a"})), *found]  # fmt: skip
    values, series = draw_parts(
        circuit, {n: PartSpread(0.05) for n in range(1, len(circuit))}, seed=seed, samples=3
    )
    plan = circuit_plan(circuit, TONES)

    fast = solve_draws(
        plan, (values[0], series[0]), nodes=plan.nodes, how="compiled" if seed < 8 else "plain"
    )
    library = by_library(circuit, (values[0], series[0]), plan.nodes)

    assert np.abs(fast - library).max() <= 1e-9 * np.abs(library).max()


def test_a_pivot_that_vanishes_is_solved_with_exchange() -> None:
    # coil and capacitor without loss cancel at node a, exactly at the tone: its pivot is rounding only
    tone = 1000.0
    coil = 1e-3
    capacitor = 1.0 / ((2.0 * math.pi * tone) ** 2 * coil)
    circuit = [
        Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "a"), 1e7),
        Branch("inductor", ("a", "common"), coil), Branch("capacitor", ("a", "common"), capacitor),
        Branch("resistor", ("a", "b"), 2e7), Branch("resistor", ("b", "common"), 5.0),
    ]  # fmt: skip
    at = np.array([tone, tone * (1.0 + 1e-9), 200.0])
    plan = circuit_plan(circuit, at)
    ones = np.ones((len(circuit), 2))

    found = solve_draws(plan, (ones, ones), nodes=("a", "b"), how="compiled")
    nominal = network(circuit, at)

    for n, name in enumerate(("a", "b")):
        assert found[n, :, 0] == pytest.approx(nominal[name], rel=1e-6)


def test_a_weak_pivot_waits() -> None:
    # node x: coil and capacitor towards common cancel at the tone, so that only the path onward holds it
    tone, coil = 500.0, 2e-3
    circuit = [
        Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "x"), 8e4),
        Branch("inductor", ("x", "common"), coil),
        Branch("capacitor", ("x", "common"), 1.0 / ((2.0 * math.pi * tone) ** 2 * coil)),
        Branch("capacitor", ("x", "y"), 1e-5), Branch("inductor", ("y", "common"), 1e-3),
    ]  # fmt: skip

    plan = circuit_plan(circuit, np.array([tone]))
    found = solve_draws(plan, (np.ones((6, 1)), np.ones((6, 1))), nodes=("x", "y"), how="compiled")

    nominal = network(circuit, np.array([tone]))
    assert found[0, 0, 0] == pytest.approx(nominal["x"][0], rel=1e-9)
    assert found[1, 0, 0] == pytest.approx(nominal["y"][0], rel=1e-9)


def test_sources_with_resistance_and_two_of_them_add() -> None:
    circuit = [
        Branch("source", ("in", "common"), 2.0), Branch("source", ("b", "c"), 1.5, 3.0),
        Branch("resistor", ("in", "b"), 2.0), Branch("capacitor", ("b", "common"), 1e-5),
        Branch("inductor", ("c", "common"), 1e-3, 0.3), Branch("resistor", ("c", "in"), 9.0),
        Branch("source", ("common", "neg"), 1.0), Branch("resistor", ("neg", "c"), 6.0),
    ]  # fmt: skip
    plan = circuit_plan(circuit, TONES)
    ones = np.ones((len(circuit), 1))

    found = solve_draws(plan, (ones, ones), nodes=("b", "c"), how="compiled")

    nominal = network(circuit, TONES)
    assert found[0, :, 0] == pytest.approx(nominal["b"], rel=1e-12)
    assert found[1, :, 0] == pytest.approx(nominal["c"], rel=1e-12)


def test_an_ideal_source_between_two_nodes_is_refused() -> None:
    floating = [Branch("source", ("a", "b"), 1.0), Branch("resistor", ("a", "common"), 1.0),
                Branch("resistor", ("b", "common"), 1.0)]  # fmt: skip

    with pytest.raises(InputError, match="series resistance"):
        circuit_plan(floating, TONES)


@given(st.sampled_from(range(1, 13)), st.sampled_from(("woofer", "tweeter")))
@settings(max_examples=25, deadline=None)
def test_sensitivities_are_the_change_of_a_slightly_changed_part(part: int, node: str) -> None:
    circuit = crossover()
    found = part_sensitivities(circuit, TONES, node=node)[part]
    step = 1e-5
    moved = []
    for sign in (1.0, -1.0):
        factors = np.ones((len(circuit), 1))
        factors[part] += sign * step
        moved.append(network(drawn_circuit(circuit, factors[:, 0], np.ones(len(circuit))), TONES)[node])

    numerical = (np.log(moved[0]) - np.log(moved[1])) / (2.0 * step)
    assert np.abs(found - numerical).max() <= 2e-7


def test_the_sensitivities_of_a_linear_circuit_obey_euler() -> None:
    # closed form: voltage is of degree 0 when every impedance is scaled: r + l - c sums to 0 where no part
    # has a resistance of its own; and of degree 1 in the source
    circuit = [Branch("source", ("in", "common"), 1.0), Branch("inductor", ("in", "o"), 1e-3),
               Branch("capacitor", ("o", "common"), 1e-5), Branch("resistor", ("o", "common"), 8.0)]  # fmt: skip

    source, coil, capacitor, resistor = part_sensitivities(circuit, TONES, node="o")

    assert source == pytest.approx(np.ones(7), rel=1e-9)
    assert coil - capacitor + resistor == pytest.approx(np.zeros(7), abs=1e-9)


def test_first_order_yield_and_drawn_yield_agree_for_small_spreads() -> None:
    circuit = crossover()
    spreads = {n: PartSpread(0.01, "normal") for n in range(1, len(circuit))}
    at = np.geomspace(200.0, 8e3, 9)
    found = circuit_yield(
        circuit, at, spreads=spreads, node="tweeter", limit_db=math.inf, samples=20_000, seed=5
    )

    db = 20.0 / math.log(10.0) * part_sensitivities(circuit, at, node="tweeter").real[1:]
    sd = np.sqrt(((db * 0.01 / 3.0) ** 2).sum(axis=0))
    assert found.upper_db - found.lower_db == pytest.approx(2.0 * 1.96 * sd, rel=0.05)
    assert found.share == 1.0


def test_parts_of_one_lot_make_mates_alike() -> None:
    circuit = crossover()
    apart = {n: PartSpread(0.05) for n in range(1, len(circuit))}
    together = {n: PartSpread(0.05, lot=f"lot {n}", lot_share=0.9) for n in range(1, len(circuit))}

    def difference(spreads: dict[int, PartSpread]) -> float:
        values, _ = draw_parts(circuit, spreads, seed=2, samples=4000, boards=2)
        return float(np.std(values[0] - values[1]))

    assert difference(together) < 0.5 * difference(apart)


@pytest.mark.parametrize("shape", ["uniform", "triangular", "hollow"])
@pytest.mark.parametrize("share", [0.0, 0.6])
def test_a_part_keeps_its_limits_and_its_shape_in_a_lot(shape: str, share: float) -> None:
    circuit = [Branch("resistor", ("a", "common"), 4.0)]
    spread = PartSpread(0.05, shape, inner=0.02 if shape == "hollow" else 0.0, lot="x", lot_share=share)  # type: ignore[arg-type]

    drawn = draw_parts(circuit, {0: spread}, seed=1, samples=40_000)[0][0, 0] - 1.0

    assert np.abs(drawn).max() <= 0.05
    sd = {"uniform": 0.05 / 3**0.5, "triangular": 0.05 / 6**0.5,
          "hollow": ((0.05**3 - 0.02**3) / (3.0 * 0.03)) ** 0.5}[shape]  # fmt: skip
    assert drawn.std() == pytest.approx(sd, rel=0.02)
    assert drawn.mean() == pytest.approx(0.0, abs=5e-4)
    if shape == "hollow":
        assert np.abs(drawn).min() >= 0.02


def test_the_same_seed_gives_the_same_yield() -> None:
    arguments = {"spreads": {1: PartSpread(0.1)}, "node": "woofer", "limit_db": 0.2, "samples": 3000}
    one, two = (circuit_yield(crossover(), TONES, **arguments, seed=7) for _ in range(2))  # type: ignore[arg-type]

    assert one.share == two.share
    assert 0.0 < one.low < one.share < one.high < 1.0


@given(finite(0.0, 1.0), st.integers(5, 10_000))
def test_the_interval_of_a_share_holds_it(share: float, count: int) -> None:
    low, high = share_interval(share, count)

    assert 0.0 <= low <= share + 1e-12
    assert share - 1e-12 <= high <= 1.0
    assume(count > 10)
    assert high - low < 0.7
