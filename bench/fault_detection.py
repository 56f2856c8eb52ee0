"""How surely the bench finds what is wrong, and how often it cries wolf.

Twenty kinds of fault at sizes fixed beforehand (`pairwright.simulation.faults`), and good units that differ
as good units do. Masks are made from other good units. One table with 95 % intervals (Clopper-Pearson).

    python bench/fault_detection.py [--faulty 200] [--good 2000] [--workers 2]
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from multiprocessing import get_context

import numpy as np

from pairwright.measure.examination import Examination, Setup, examine
from pairwright.measure.signal import Recording
from pairwright.measure.synchronized import sweep
from pairwright.quality.masks import Mask, judged, make_mask
from pairwright.simulation.faults import FAULTS
from pairwright.simulation.loudspeaker import Rig, play, scattered, two_way

SETUP = Setup(sweep(20.0, 20000.0, duration=2.0, rate=48000.0), drive=2.83, gate=0.2)
UPPER = ("second order", "third order", "residue", "crest")
COURSES = ("shape", *UPPER, "impedance")
MASK_UNITS = 200
ALARMS = 5e-4  # asked of each course
REMOUNT = 0.03  # of a level when a unit is mounted again [dB]: the house's own number


def measured(case: tuple[str | None, int]) -> Examination:
    """One unit through the rig: a fault's name or None, and its seed."""
    name, seed = case
    speaker, rig = scattered(two_way(), seed=seed), Rig()
    fault = next((f for f in FAULTS if f.name == name), None)
    if fault is not None:
        speaker, rig = fault.make(speaker, rig)
    usual = Rig()  # what the bench believes of its rig
    taken = play(speaker, _wave(), rig, seed=seed + 1)
    return examine(
        Recording(taken.microphone, taken.rate, 1.0 / usual.microphone, "Pa", simulated=True), SETUP,
        silence=Recording(taken.silence, taken.rate, 1.0 / usual.microphone, "Pa", simulated=True),
        current=Recording(taken.current, taken.rate, 1.0 / usual.probe, "A", simulated=True),
    )  # fmt: skip


@cache
def _wave() -> np.ndarray:
    return SETUP.sweep.samples(fade=0.003)


def masks_of(good: list[Examination]) -> dict[str, Mask]:
    """Masks of every course, of the level and of the delay."""
    found = {
        name: make_mask(
            np.array([one.courses[name].values for one in good]), alarms=ALARMS, upper_only=name in UPPER,
            least=REMOUNT if name == "shape" else 0.0,
        )
        for name in COURSES
    }  # fmt: skip
    for name in ("sensitivity", "delay"):
        rows = np.array([[one.numbers[name]] for one in good])
        found[name] = make_mask(rows, alarms=ALARMS, least=REMOUNT if name == "sensitivity" else 1e-5)
    return found


def verdict(one: Examination, masks: dict[str, Mask], polarity: float) -> tuple[str, tuple[str, ...]]:
    """good, bad or not proven, and what failed."""
    if not one.valid:
        return "not proven", ()
    said = {n: judged(masks[n], one.courses[n].values, one.courses[n].noise) for n in COURSES}
    said |= {n: judged(masks[n], np.array([one.numbers[n]])) for n in ("sensitivity", "delay")}
    said["polarity"] = "good" if one.numbers["polarity"] == polarity else "bad"
    failed = tuple(name for name, what in said.items() if what == "bad")
    if failed:
        return "bad", failed
    return ("not proven" if "not proven" in said.values() else "good"), ()


def interval(hits: int, of: int) -> tuple[float, float]:
    """Two-sided 95 % interval of a share (Clopper-Pearson)."""
    from scipy.stats import beta

    low = float(beta.ppf(0.025, hits, of - hits + 1)) if hits else 0.0
    high = float(beta.ppf(0.975, hits + 1, of - hits)) if hits < of else 1.0
    return low, high


def upper_bound(hits: int, of: int) -> float:
    """One-sided 95 % upper bound of a share."""
    from scipy.stats import beta

    return float(beta.ppf(0.95, hits + 1, of - hits)) if hits < of else 1.0


def main(arguments: list[str]) -> int:
    """Measure everything and print the table; exit status 1 where a promise is broken."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--faulty", type=int, default=200)
    parser.add_argument("--good", type=int, default=2000)
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args(arguments)
    began = time.perf_counter()
    with ProcessPoolExecutor(asked.workers, mp_context=get_context("spawn")) as pool:
        training = list(pool.map(measured, [(None, 10 * n) for n in range(MASK_UNITS)], chunksize=20))
        masks, polarity = masks_of(training), training[0].numbers["polarity"]
        cases = [(None, 1_000_000 + 10 * n) for n in range(asked.good)]
        good = [verdict(one, masks, polarity) for one in pool.map(measured, cases, chunksize=20)]
        print(f"masks from {MASK_UNITS} good units; all units simulated; 2 s sweeps")
        alarms = sum(one != "good" for one, _ in good)
        bound = upper_bound(alarms, len(good))
        print(f"good units: {len(good)}, not passed {alarms}, upper 95 % bound {bound:.2%}")
        broken = bound > 0.015
        print(f"\n{'fault':28} {'size':38} {'found':>7} {'95 % interval':>17}  said by")
        for place, fault in enumerate(FAULTS):
            cases = [(fault.name, 2_000_000 + 100_000 * place + 10 * n) for n in range(asked.faulty)]
            said = [verdict(one, masks, polarity) for one in pool.map(measured, cases, chunksize=10)]
            wanted = "not proven" if fault.unproven else "bad"
            hits = sum(one == wanted for one, _ in said)
            low, high = interval(hits, len(said))
            names = [name for _, failed in said for name in failed]
            most = sorted(set(names), key=lambda n: -names.count(n))[:2]
            print(f"{fault.name:28} {fault.size:38} {hits / len(said):7.1%} {low:8.1%}-{high:7.1%}  "
                  f"{', '.join(most) or wanted}", flush=True)  # fmt: skip
            broken |= hits < 0.95 * len(said)
    print(f"\n{time.perf_counter() - began:.0f} s on {asked.workers} processes")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
