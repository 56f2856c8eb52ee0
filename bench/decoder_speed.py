"""The compiled decoder against its plain twin, on the sample works: the same plan, and how much sooner.

Both decoders make the plan by each of the search's rules, in this one run, in turn. The ratio is that of the sums
of each one's best times over all rules, in processor time, without making the arrays (a search makes them once) and
with it. Then the first compilation and a warm start, each in a process of its own, and how the time grows with the
order book. Limits: the same plan; at least 60 times as fast; a warm start of at most 1 s.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from typing import Any

from pairwright.app.opened import open_texts
from pairwright.plan.build import build_problem
from pairwright.plan.compiled import arrays_of, decode_compiled, state_of
from pairwright.plan.decode import decode_plain
from pairwright.plan.orders import rank_by
from pairwright.plan.search import GRID_RULES
from pairwright.plan.shop import build_shop
from pairwright.sample import layout

RATIO = 60.0
WARM = 1.0  # [s]
REPEATS = 7
START = """
import time
begin = time.process_time()
from pairwright.plan.compiled import usable
from tests.unit.plan.builder import book_of, single, step, works_of
from tests.unit.plan.test_compiled import problem_of_works
from pairwright.plan.compiled import decode_compiled
from pairwright.plan.decode import Rules
works = works_of(single("s", step("cut", "saw", 5)), stations={"saw": {}})
problem = problem_of_works(works, book_of("s"))
import numpy
before = time.process_time()
usable()
decode_compiled(problem, [0], rules=Rules(), release=problem.release)
print(time.process_time() - before)
"""


def best(act: Callable[[], Any], repeats: int) -> tuple[float, Any]:
    """Least processor time of a few runs, and what came of the last. [s]"""
    times = []
    for _ in range(repeats):
        begin = time.process_time()
        found = act()
        times.append(time.process_time() - begin)
    return min(times), found


def sample(pairs: int) -> tuple[Any, list[int]]:
    """The arrays of the sample works, and an order of its sets."""
    opened = open_texts(layout(pairs=pairs))
    shop = build_shop(opened.works, opened.now(), horizon=4 * 26 * 7 * 1440)
    problem = build_problem(shop, opened.book, times=opened.times)
    return problem, rank_by(problem, "slack")


def start(folder: str) -> float:
    """Processor time until a first plan of one operation is made, in a process of its own. [s]"""
    environment = {**os.environ, "NUMBA_CACHE_DIR": folder, "PYTHONPATH": os.pathsep.join(["src", "."])}
    done = subprocess.run(
        [sys.executable, "-c", START], capture_output=True, text=True, check=True, env=environment
    )
    return float(done.stdout)


def against_plain(pairs: int) -> bool:
    """Print the ratio at so many pairs; whether the limit and the plan are kept."""
    problem, rank = sample(pairs)
    making, _ = best(lambda: (problem.made.clear(), arrays_of(problem)), 3)
    plain_sum = compiled_sum = 0.0
    same = True
    for rules in GRID_RULES:
        slow, plain = best(lambda r=rules: decode_plain(problem, rank, rules=r, early=problem.release), 2)
        fast, books = best(
            lambda r=rules: decode_compiled(problem, rank, rules=r, release=problem.release), REPEATS
        )
        same = same and state_of(books) == plain.state
        plain_sum, compiled_sum = plain_sum + slow, compiled_sum + fast
        print(f"  window {rules.window}, defer {int(rules.defer)}, group {rules.group}: plain {slow * 1e3:.0f} ms, "
              f"compiled {fast * 1e3:.2f} ms, {slow / fast:.0f} times")  # fmt: skip
    count = len(GRID_RULES)
    ratio = plain_sum / compiled_sum
    with_arrays = plain_sum / (compiled_sum + count * making)
    print(f"{pairs} pairs, {problem.tasks} tasks: {ratio:.0f} times as fast; {with_arrays:.0f} times when the arrays "
          f"({making * 1e3:.0f} ms) are made for every plan; {problem.tasks * count / compiled_sum / 1e6:.2f} million "
          f"tasks a second; same plans: {same}")  # fmt: skip
    return same and ratio >= RATIO


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        first = start(folder)
        warm = min(start(folder) for _ in range(3))
    print(f"first compilation {first:.0f} s of processor time, warm start {warm:.2f} s (limit {WARM:.0f} s)")
    kept = against_plain(50)
    for pairs in (100, 200, 400):
        problem, rank = sample(pairs)
        arrays_of(problem)
        seconds, _ = best(
            lambda p=problem, r=rank: decode_compiled(p, r, rules=GRID_RULES[2], release=p.release), 3
        )
        print(
            f"{pairs} pairs, {problem.tasks} tasks: {problem.tasks / seconds / 1e6:.2f} million tasks a second"
        )
    print(f"limit {RATIO:.0f} times at 50 pairs: {'kept' if kept else 'not kept'}")
    return 0 if kept and warm <= WARM else 1


if __name__ == "__main__":
    raise SystemExit(main())
