"""Circuit solutions a second on one core: our elimination against batches of numpy.linalg.solve.

Two circuits of seven unknown nodes: a usual crossover board, and one with a part between every two
nodes, so that no entry of its matrix is empty. A solution is one draw at one frequency, from the parts'
values to the node voltages. The library is timed twice: solving alone, its matrices given, and with the
matrices put together. Linear algebra is held to one thread. The limit is 3 million solutions of the
crossover a second (the aim 5), equal to the library within 1e-9.
"""

from __future__ import annotations

import itertools
import os
import sys
import time
from collections.abc import Callable

import numpy as np

from pairwright.physics.circuit_plan import CircuitPlan, circuit_plan
from pairwright.physics.circuit_spread import PartSpread, _matrices, _own, _stated, draw_parts, solve_draws
from pairwright.physics.network import Branch

LIMIT, AIM = 3e6, 5e6  # [1/s]
EQUAL = 1e-9  # [-]
DRAWS, FREQUENCIES, ROUNDS = 8192, 24, 7
NODES = "abcdefg"


def crossover() -> list[Branch]:
    """Low-pass with a corrector, high-pass with a pad, drive unit as measured."""
    load = tuple(
        (f, 5.6 + 20.0 / (1.0 + (f / 45.0 - 45.0 / f) ** 2), 0.004 * f) for f in np.geomspace(10, 3e4, 60)
    )
    return [
        Branch("source", ("in", "common"), 2.83),
        Branch("inductor", ("in", "a"), 1.2e-3, 0.3), Branch("capacitor", ("a", "b"), 15e-6, 0.05),
        Branch("resistor", ("b", "common"), 1.0), Branch("inductor", ("a", "woofer"), 0.6e-3, 0.2),
        Branch("measured", ("woofer", "common"), impedance=load),
        Branch("capacitor", ("woofer", "c"), 10e-6, 0.02), Branch("resistor", ("c", "common"), 7.0),
        Branch("capacitor", ("in", "d"), 5e-6, 0.02), Branch("inductor", ("d", "common"), 0.4e-3, 0.2),
        Branch("capacitor", ("d", "e"), 10e-6, 0.02), Branch("resistor", ("e", "tweeter"), 2.2),
        Branch("resistor", ("tweeter", "common"), 6.0),
    ]  # fmt: skip


def everything_joined() -> list[Branch]:
    """A part between every two of seven nodes."""
    kinds = (("inductor", 1e-3), ("capacitor", 1e-5))
    return [
        Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "a"), 4.0),
        *(Branch(*kinds[n % 2][:1], pair, kinds[n % 2][1], 0.2)
          for n, pair in enumerate(itertools.combinations(NODES, 2))),
        Branch("resistor", ("g", "common"), 8.0),
    ]  # fmt: skip


def one_thread() -> None:
    """Start again with linear algebra held to one thread: it is read when numpy is loaded."""
    names = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
    if any(os.environ.get(name) != "1" for name in names):
        os.execve(sys.executable, [sys.executable, *sys.argv], os.environ | dict.fromkeys(names, "1"))


def best(act: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Shortest of some runs: the machine's other work only ever adds. [s]"""
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        act()
        times.append(time.perf_counter() - begin)
    return min(times)


def by_library(
    plan: CircuitPlan, values: np.ndarray, series: np.ndarray
) -> tuple[np.ndarray, Callable[[], object], Callable[[], object]]:
    """What the library answers, and two acts to be timed: solving alone, and assembling with solving."""
    frequencies = range(plan.frequency.size)
    made = [_matrices(plan, values, series=series, at=f) for f in frequencies]

    def solve() -> np.ndarray:
        return np.array([np.linalg.solve(m, r[..., None])[..., 0].T for m, r in made])

    def whole() -> None:
        for f in frequencies:
            matrix, right = _matrices(plan, values, series=series, at=f)
            np.linalg.solve(matrix, right[..., None])

    return solve().transpose(1, 0, 2), solve, whole


def compare(name: str, circuit: list[Branch]) -> tuple[float, float]:
    """Print one circuit's rows; give our rate and the largest difference. [1/s, -]"""
    plan = circuit_plan(circuit, np.geomspace(20.0, 20e3, FREQUENCIES))
    spreads = {n: PartSpread(0.05, series_tolerance=0.1) for n, b in enumerate(circuit) if b.kind != "source"}
    drawn = draw_parts(circuit, spreads, seed=1, samples=DRAWS)
    factors = (drawn[0][0], drawn[1][0])
    chosen = list(plan.indices)
    values = factors[0][chosen] * _stated(plan)[:, None]
    series = factors[1][chosen] * _own(plan)[:, None]
    count = DRAWS * FREQUENCIES

    ours = solve_draws(plan, factors, nodes=plan.nodes, how="compiled")  # also compiles
    library, solve, whole = by_library(plan, values, series)
    apart = float(np.max(np.abs(ours - library).max(axis=2) / np.abs(library).max(axis=(0, 2))))
    rate = count / best(lambda: solve_draws(plan, factors, nodes=plan.nodes[-2:], how="compiled"))
    solving = count / best(solve, 3)
    assembling = count / best(whole, 3)
    print(f"{name}: {len(plan.nodes)} nodes, {len(plan.parts)} parts, {len(plan.steps)} steps")
    print(f"  ours, parts to voltages           {rate / 1e6:7.2f} million/s")
    print(f"  numpy.linalg.solve, solving alone {solving / 1e6:7.2f} million/s   ratio {rate / solving:5.1f}")
    print(
        f"  the same with its matrices made   {assembling / 1e6:7.2f} million/s   ratio {rate / assembling:5.1f}"
    )
    print(f"  largest difference, relative      {apart:.1e}")
    return rate, apart


def main() -> int:
    found = [compare("crossover", crossover()), compare("everything joined", everything_joined())]
    rate, apart = found[0][0], max(f[1] for f in found)
    kept = rate >= LIMIT and apart <= EQUAL
    print(
        f"limit {LIMIT / 1e6:g} million/s, aim {AIM / 1e6:g}, equal within {EQUAL:g}: {'kept' if kept else 'BROKEN'}"
    )
    return 0 if kept else 1


if __name__ == "__main__":
    one_thread()
    raise SystemExit(main())
