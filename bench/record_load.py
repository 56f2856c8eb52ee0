"""The record of a played floor under load: 20 clients of which half read, durable writes, ancestry of every set.

What `ledger_speed.py` measures on made-up events is measured here on what people at stations record: two
years of the sample works, played first (about 200,000 events). Limits: at least 1500 durable writes a second
(20 clients, nothing else running); with half of the clients reading histories the slowest write in a hundred
within 60 ms; the whole ancestry of any set within 0.3 s.

    bench/record_load.py [DAYS]         fewer days for a quick look
"""

from __future__ import annotations

import itertools
import random
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from pairwright import sample
from pairwright.app.recording import Floor, open_floor
from pairwright.archive import write_folder
from pairwright.simulation.play import simulate_floor

DAYS = 740
LEAST_RATE = 1500.0  # [1/s]
SLOWEST_WRITE = 0.060  # [s], 99 of 100
SLOWEST_ANCESTRY = 0.3  # [s]
CLIENTS = 20
SECONDS = 6.0


def percentile(times: Sequence[float], share: float) -> float:
    return sorted(times)[min(len(times) - 1, int(len(times) * share))]


def run_clients(
    floor: Floor, kinds: Sequence[str], names: Sequence[str], *, turn: str
) -> dict[str, list[float]]:
    """Clients that write or read for some seconds; times by kind. [s]"""
    times: dict[str, list[float]] = {"write": [], "read": []}
    guard = threading.Lock()
    until = time.perf_counter() + SECONDS

    def write(client: int, number: int) -> None:
        raw = {
            "key": f"load-{turn}-{client}-{number}", "kind": "measured", "actor": "sim-load", "simulated": True,
            "event_time": "2030-01-07T08:00:00+01:00", "item": f"LOAD-{client}-{number % 50}",
            "data": {"characteristic": "level", "value": number / 100},
        }  # fmt: skip
        floor.append(floor.read(raw))

    def run(client: int, kind: str) -> None:
        chance = random.Random(client)
        acts: dict[str, Callable[[int], object]] = {
            "write": lambda number: write(client, number),
            "read": lambda _: floor.record.trace(chance.choice(names)),
        }
        mine: list[float] = []
        for number in itertools.count():
            begin = time.perf_counter()
            if begin > until:
                break
            acts[kind](number)
            mine.append(time.perf_counter() - begin)
        with guard:
            times[kind] += mine

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(kinds)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return times


def row(what: str, value: str, limit: str, *, kept: bool) -> bool:
    print(f"{what:<58}{value:>14}  {limit:<16}{'kept' if kept else 'BROKEN'}")
    return kept


def measured(folder: Path) -> bool:
    """The table; answers whether every limit was kept."""
    with open_floor(folder) as floor:
        with floor.record.reading() as reading:
            sets = [one.id for one in reading.every("set")]
            halves = [one.id for one in reading.every("item", part="cabinet")]
            events = reading.head().sequence
        times, links = [], 0
        for name in sets:
            begin = time.perf_counter()
            found = floor.record.trace(name)
            times.append(time.perf_counter() - begin)
            links = max(links, 0 if found is None else len(found.made_of))
        worst = max(times)
        good = row(f"ancestry of {len(sets)} sets at {events} events, slowest ({links} links)",
                   f"{worst:.3f} s", f"{SLOWEST_ANCESTRY} s", kept=worst <= SLOWEST_ANCESTRY)  # fmt: skip
        alone = run_clients(floor, ["write"] * CLIENTS, halves, turn="alone")["write"]
        rate = len(alone) / SECONDS
        good &= row(
            f"{CLIENTS} clients writing", f"{rate:.0f} /s", f"{LEAST_RATE:.0f} /s", kept=rate >= LEAST_RATE
        )
        mixed = run_clients(floor, ["write", "read"] * (CLIENTS // 2), halves, turn="mixed")
        slow = percentile(mixed["write"], 0.99)
        good &= row(f"{CLIENTS} clients, half reading: writes, 99 of 100 within", f"{slow * 1e3:.0f} ms",
                    f"{SLOWEST_WRITE * 1e3:.0f} ms", kept=slow <= SLOWEST_WRITE)  # fmt: skip
        reads = percentile(mixed["read"], 0.99)
        print(f"  beside them {len(mixed['write']) / SECONDS:.0f} writes/s, {len(mixed['read']) / SECONDS:.0f} reads/s "
              f"(99 of 100 within {reads * 1e3:.0f} ms)")  # fmt: skip
        return good


def main() -> int:
    days = int(sys.argv[1]) if len(sys.argv) > 1 else DAYS
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "works"
        write_folder(folder, sample.layout(pairs=40, start=date(2027, 3, 1), seed=1))
        begin = time.perf_counter()
        played, _ = simulate_floor(folder, days=days, seed=1)
        seconds = time.perf_counter() - begin
        print(f"{days} days played in {seconds:.0f} s: {played.events} events, {played.released} sets released, "
              f"{len(played.surprises)} surprises")  # fmt: skip
        return 0 if measured(folder) and not played.surprises else 1


if __name__ == "__main__":
    raise SystemExit(main())
