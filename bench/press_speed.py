"""One press cycle of a 15-ply shell: the compiled loop against stiff solvers of a library, in one run.

The limit is 5 ms after warm-up. The library (scipy's BDF and LSODA, banded or sparse Jacobian, vectorised
right-hand side, the same cells) is given a tolerance at which its opening time agrees with a very fine
solution to one in two thousand, as ours does.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array, eye_array

from pairwright.physics.heat import HeatModel
from pairwright.physics.layers import cells_of
from pairwright.physics.press import Glue, Ply, PressStack, press_cycle, warm_up
from pairwright.physics.wood import CONDUCTIVITY_TEMPERATURE

LIMIT = 5e-3  # [s]
RUNS = 15
PLATEN, START, TARGET, GAS = 408.15, 293.15, 0.95, 8.314462618
GLUE = Glue(1.792e9, 80e3, order=1.0, spread=0.15, water=0.4)
STACK = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 15, GLUE)


def ours(model: HeatModel) -> float:
    """Opening time by our loop. [s]"""
    return press_cycle(STACK, platen=PLATEN, initial=START, target_cure=TARGET, model=model).open_time


def library(method: str, tolerance: float) -> float:
    """Opening time by a stiff solver of the library on the same cells. [s]"""
    c = cells_of(STACK.layers(), 60)
    n, lines = c.width.size, np.array(c.lines)
    m = lines.size

    def rates(_: float, y: np.ndarray) -> np.ndarray:
        t = y[:n]
        half = 0.5 * c.width / (c.conductivity * (1.0 + c.rise * (t - CONDUCTIVITY_TEMPERATURE)))
        flow = np.empty(n + 1)
        flow[0], flow[n] = (PLATEN - t[0]) / half[0], (t[-1] - PLATEN) / half[-1]
        flow[1:n] = (t[:-1] - t[1:]) / (half[:-1] + half[1:])
        heat = (flow[:-1] - flow[1:]) / (c.width * (c.capacity + c.slope * t))
        weight = half[lines + 1] / (half[lines] + half[lines + 1])
        at = weight * t[lines] + (1.0 - weight) * t[lines + 1]
        return np.concatenate([heat, GLUE.rate_constant * np.exp(-GLUE.activation_energy / (GAS * at))])

    def cured(_: float, y: np.ndarray) -> float:
        return float(y[n:].min() + np.log1p(-TARGET))

    cured.terminal = True  # type: ignore[attr-defined]
    y0 = np.concatenate([np.full(n, START), np.zeros(m)])
    given: dict[str, object] = {}
    if method == "BDF":
        sparsity = (diags_array([np.ones(n - 1), np.ones(n), np.ones(n - 1)], offsets=[-1, 0, 1])).tolil()
        sparsity.resize((n + m, n + m))
        for j, i in enumerate(lines):
            sparsity[n + j, i] = sparsity[n + j, i + 1] = 1
        given["jac_sparsity"] = (sparsity + eye_array(n + m)).tocsc()
    run = solve_ivp(rates, (0.0, 7200.0), y0, method=method, rtol=tolerance, atol=10.0 * tolerance,
                    events=cured, **given)  # fmt: skip
    return float(run.t_events[0][0])


def timed(call: Callable[[], float], runs: int = RUNS) -> tuple[float, float]:
    """Answer and median seconds of a call. [s]"""
    answer, times = 0.0, []
    for _ in range(runs):
        begin = time.perf_counter()
        answer = call()
        times.append(time.perf_counter() - begin)
    return answer, statistics.median(times)


def main() -> int:
    begin = time.perf_counter()
    warm_up()
    warm = time.perf_counter() - begin
    fine = ours(HeatModel(cells=240, growth=0.01, compiled=True))
    ours(HeatModel(compiled=True))
    opened, compiled = timed(lambda: ours(HeatModel(compiled=True)), 5 * RUNS)
    _, plain = timed(lambda: ours(HeatModel(compiled=False)), 5)
    print(f"a 15-ply shell opens after {opened:.1f} s; on 240 cells with short steps after {fine:.1f} s")
    print(f"warm-up {warm:.2f} s; compiled {compiled * 1e3:.2f} ms, plain {plain * 1e3:.0f} ms a cycle")
    for method, tolerance in (("BDF", 1e-5), ("LSODA", 1e-5)):
        answer, seconds = timed(lambda m=method, t=tolerance: library(m, t), 5)
        print(f"library {method} at {tolerance:g}: {seconds * 1e3:.0f} ms, {answer:.1f} s, "
              f"{seconds / compiled:.0f} times as long")  # fmt: skip
    kept = compiled <= LIMIT and abs(opened / fine - 1.0) < 5e-4
    print(f"limit {LIMIT * 1e3:g} ms: {'kept' if kept else 'BROKEN'}")
    return 0 if kept else 1


if __name__ == "__main__":
    raise SystemExit(main())
