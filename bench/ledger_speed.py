"""The record under load: durable writes, 20 clients of which half read, ancestry in a record of 200,000 events.

Limits: at least 1500 durable writes a second (20 clients, nothing else running); with half of the clients
reading histories the slowest write in a hundred within 60 ms; the whole ancestry of any serial within
0.3 s. An append is answered only after its transaction is on the disk (WAL, synchronous FULL).

    bench/ledger_speed.py [EVENTS]      a smaller record for a quick look
"""

from __future__ import annotations

import itertools
import random
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from pairwright.archive.record import Record, open_record
from pairwright.archive.selfcheck import self_check
from pairwright.floor import Event, read_event

LEAST_RATE = 1500.0  # [1/s]
SLOWEST_WRITE = 0.060  # [s], 99 of 100
SLOWEST_ANCESTRY = 0.3  # [s]
CLIENTS = 20
SECONDS = 6.0
LOTS = 40
HALF_STEPS = [f"step-{n:02d}" for n in range(44)]
UNIT_STEPS = ["wind", "motor", "cone", "set", "close", "test"]
START = 1_803_877_200


def event(key: str, kind: str, at: int, *, subject: tuple[str, str] | None = None, **data: Any) -> Event:
    raw: dict[str, Any] = {
        "key": key,
        "kind": kind,
        "event_time": time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(START + at)),
        "actor": f"P{at % 17:03d}",
        "station": "bench-1",
        "data": data,
    }
    if subject is not None:
        raw[subject[0]] = subject[1]
    return read_event(raw)


def history() -> Iterator[Event]:
    """The life of one set after the other: lots, drive units, halves, pair, measurement, release."""
    keys = (f"key-{n:08d}" for n in itertools.count())
    clock = itertools.count()

    def make(kind: str, subject: tuple[str, str] | None = None, **data: Any) -> Event:
        return event(next(keys), kind, next(clock), subject=subject, **data)

    for lot in range(LOTS):
        yield make("received", ("lot", f"L{lot:03d}"), quantity=1e6, unit="kg", material=f"material-{lot}")
    for number in itertools.count(1):
        one = f"S{number:05d}"
        halves = (f"{one}-L", f"{one}-R")
        for half in halves:
            units = [f"{half}-U{n}" for n in range(4)]
            for unit in units:
                for n, step in enumerate(UNIT_STEPS):
                    lot = {"lot": f"L{(number + n) % LOTS:03d}", "quantity": 0.05}
                    yield make("started", ("item", unit), step=step, inputs=[lot])
                    yield make("finished", ("item", unit), step=step)
                yield make(
                    "measured", ("item", unit), characteristic="resonance", value=31.0, instrument="M7"
                )
            for n, step in enumerate(HALF_STEPS):
                lot = {"lot": f"L{(number * 7 + n) % LOTS:03d}", "quantity": 0.25}
                yield make("started", ("item", half), step=step, batch=f"B{number // 4:05d}", inputs=[lot])
                yield make("finished", ("item", half), step=step)
            for unit in units:
                yield make("mounted", ("item", unit), into=half)
        yield make("mated", ("set", one), left=halves[0], right=halves[1])
        yield make("measured", ("set", one), characteristic="level-difference", value=0.2, instrument="M7")
        yield make("released", ("set", one), dossier=f"{number:064x}")


def fill(record: Record, count: int) -> float:
    """Fill a record, a few hundred events at a time; answers events a second. [1/s]"""
    source, begin, done = history(), time.perf_counter(), 0
    while done < count:
        part = list(itertools.islice(source, min(400, count - done)))
        record.append(part)
        done += len(part)
    return count / (time.perf_counter() - begin)


def clients(record: Record, kinds: list[str], items: list[str]) -> dict[str, list[float]]:
    """Clients that write or read for a few seconds; times by kind. [s]"""
    times: dict[str, list[float]] = {"write": [], "read": []}
    until = time.perf_counter() + SECONDS
    guard = threading.Lock()

    def run(number: int, kind: str) -> None:
        chance = random.Random(number)
        mine: list[float] = []
        acts: dict[str, Callable[[int], object]] = {
            "write": lambda n: record.append([
                event(f"load-{items[0]}-{len(kinds)}-{number}-{n}", "measured", n,
                      subject=("item", f"T{number}-{n % 50}"), characteristic="level", value=n)
            ]),
            "read": lambda _n: record.trace(chance.choice(items)),
        }  # fmt: skip
        for n in itertools.count():
            begin = time.perf_counter()
            if begin > until:
                break
            acts[kind](n)
            mine.append(time.perf_counter() - begin)
        with guard:
            times[kind] += mine

    threads = [threading.Thread(target=run, args=(n, kind)) for n, kind in enumerate(kinds)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return times


def percentile(times: list[float], share: float) -> float:
    return sorted(times)[min(len(times) - 1, int(len(times) * share))]


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    kept = True
    with tempfile.TemporaryDirectory() as folder:
        found = self_check(folder)
        print(f"SQLite {found.engine} on {found.file_system}, one sync: median {found.sync_p50 * 1e3:.2f} ms, "
              f"99 of 100 within {found.sync_p99 * 1e3:.2f} ms")  # fmt: skip
        with open_record(Path(folder)) as record:
            rate = fill(record, count)
            print(f"a record of {count} events, 400 at a time: {rate:.0f} events/s")
            sets = max(1, (count - LOTS) // 400)
            chosen = random.Random(7).sample(range(1, sets + 1), min(30, sets))
            times = []
            for number in chosen:
                begin = time.perf_counter()
                answer = record.trace(f"S{number:05d}")
                times.append(time.perf_counter() - begin)
                size = 0 if answer is None else len(answer.made_of)
            slowest = max(times)
            kept &= slowest <= SLOWEST_ANCESTRY
            print(f"ancestry of a set ({size} links), {len(times)} of them: median {statistics.median(times):.3f} s, "
                  f"slowest {slowest:.3f} s; limit {SLOWEST_ANCESTRY} s: "
                  f"{'kept' if slowest <= SLOWEST_ANCESTRY else 'BROKEN'}")  # fmt: skip
            begin = time.perf_counter()
            verdict = record.verify(derived=False)
            print(f"verify, chain and pages: {time.perf_counter() - begin:.1f} s, ok {verdict.ok}")
            halves = [f"S{number:05d}-L-U0" for number in chosen]
            alone = clients(record, ["write"] * CLIENTS, halves)["write"]
            rate = len(alone) / SECONDS
            kept &= rate >= LEAST_RATE
            print(f"{CLIENTS} clients writing: {rate:.0f} durable writes/s, 99 of 100 within "
                  f"{percentile(alone, 0.99) * 1e3:.0f} ms; limit {LEAST_RATE:.0f}/s: "
                  f"{'kept' if rate >= LEAST_RATE else 'BROKEN'}")  # fmt: skip
            mixed = clients(record, ["write", "read"] * (CLIENTS // 2), halves)
            worst = percentile(mixed["write"], 0.99)
            kept &= worst <= SLOWEST_WRITE
            print(f"{CLIENTS} clients, half reading: {len(mixed['write']) / SECONDS:.0f} writes/s, 99 of 100 within "
                  f"{worst * 1e3:.0f} ms, {len(mixed['read']) / SECONDS:.0f} reads/s, 99 of 100 within "
                  f"{percentile(mixed['read'], 0.99) * 1e3:.0f} ms; limit {SLOWEST_WRITE * 1e3:.0f} ms for a write: "
                  f"{'kept' if worst <= SLOWEST_WRITE else 'BROKEN'}")  # fmt: skip
    return 0 if kept else 1


if __name__ == "__main__":
    raise SystemExit(main())
