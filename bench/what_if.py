"""A what-if of one whole product: a recipe changed, then every step, every finding, every duration anew.

The product is the sample works' floorstander in all its options. What is timed is what the process computes
(`check` and `durations`); reading the changed text is timed beside it and has no limit here. The compiled press
loop is warm, as in a program that stays open. Two values of each kind go before, so that only what a change
touches is new.
"""

from __future__ import annotations

import statistics
import time

from pairwright.physics.press import warm_up
from pairwright.process import check, durations
from pairwright.sample import layout
from pairwright.works import load_works
from pairwright.works.edit import apply_changes

LIMIT = 60e-3  # [s]
PRODUCT = "alder"
CHANGES: dict[str, tuple[str, list[str]]] = {
    "platen": ("products/alder.shell.steps.press.recipe.platen", [f"{t / 10} degC" for t in range(1070, 1180, 10)]),
    "plies": ("products/alder.shell.layup.plies", ["7", "9", "11", "13", "15", "17", "19"]),
    "room": ("works.climate.temperature", [f"{t / 10} degC" for t in range(180, 240, 5)]),
    "oven": (
        "products/alder.cabinet.steps.clear-1-stove.recipe.air",
        [f"{t / 10} degC" for t in range(440, 520, 10)],
    ),
}  # fmt: skip


def measured(path: str, values: list[str], texts: dict[str, str]) -> tuple[list[float], list[float]]:
    """Seconds of reading and of computing, for each value. [s]"""
    reading, computing = [], []
    for value in values:
        begin = time.perf_counter()
        works = load_works(apply_changes(texts, [(path, value)]))
        loaded = time.perf_counter()
        check(works, product=PRODUCT)
        durations(works, product=PRODUCT)
        computing.append(time.perf_counter() - loaded)
        reading.append(loaded - begin)
    return reading[2:], computing[2:]


def main() -> int:
    texts = layout(pairs=2)
    works = load_works(texts)
    steps = sum(len(part.steps) for (name, _), v in works.variants.items() if name == PRODUCT
                for part in v.parts.values())  # fmt: skip
    options = sum(name == PRODUCT for name, _ in works.variants)
    warm_up()
    print(f"{PRODUCT}: {steps} steps in {options} options")
    kept = True
    for name, (path, values) in CHANGES.items():
        reading, computing = measured(path, values, texts)
        median = statistics.median(computing)
        kept = kept and median <= LIMIT
        print(f"{name}: findings and durations {median * 1e3:.0f} ms (up to {max(computing) * 1e3:.0f} ms); "
              f"reading the changed text {statistics.median(reading) * 1e3:.0f} ms")  # fmt: skip
    print(f"limit {LIMIT * 1e3:g} ms: {'kept' if kept else 'BROKEN'}")
    return 0 if kept else 1


if __name__ == "__main__":
    raise SystemExit(main())
