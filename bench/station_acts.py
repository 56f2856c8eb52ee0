"""How long a refusal, an act and a station's page take, on a record of a year's size.

The sample works with a record of some 100 000 events: finished pairs that have left, and 300 cabinets in
every step of their route. A refusal counts from the call to the recorded refusal, everything included:
looking up, judging, one durable write. The first act pays for the recipes' physics, once for each
revision; the first page for filing what is in the making. Both are printed, and not limited. The limit is
300 ms for a refusal, the slowest of 60.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

from pairwright import sample
from pairwright.app.recording import Floor, open_floor
from pairwright.app.stationing import Act, Refusal, act, board
from pairwright.archive import write_folder
from pairwright.base.time import DAY, iso

LIMIT = 0.3  # [s]
CABINETS, WAITING, ROUNDS = 3200, 300, 60
TOGETHER = ("measure", "look-over", "clean", "pack")


def main() -> int:
    """Print the times; 1 where a refusal is slower than the limit."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "works"
        write_folder(folder, sample.layout(pairs=24, start=date(2027, 3, 1), seed=1))
        clock = [0]
        with open_floor(folder, clock=lambda: clock[0]) as floor:
            clock[0] = now = floor.opened.now() + 300 * DAY
            began, batch = time.perf_counter(), []
            for raw in _history(floor, now):
                batch.append(raw)
                if len(batch) == 2000:
                    floor.append(floor.read(batch))
                    batch = []
            floor.append(floor.read(batch))
            head = floor.record.head().sequence
            print(
                f"refusals, acts and pages on {head} events (written in {time.perf_counter() - began:.0f} s)"
            )
            return _measure(floor, now)


def _history(floor: Floor, now: int) -> Iterator[dict[str, Any]]:
    zone = floor.opened.works.zone
    route = floor.opened.works.variants["sorrel", "ink"].parts["cabinet"].steps
    steps = [step for step in route if step.stations and not step.together]
    keys = iter(range(10**9))

    def raw(kind: str, about: str, name: str, at: int, **data: Any) -> dict[str, Any]:
        return {"key": f"h-{next(keys)}", "kind": kind, "event_time": iso(at, zone), "actor": "P1", about: name,
                "data": data}  # fmt: skip

    for number in range(1, CABINETS):
        name, at = f"C-{number}", now - 250 * DAY + number * 1800
        yield raw("registered", "item", name, at, product="sorrel", option="ink", part="cabinet")
        leaves = number <= CABINETS - WAITING
        for place, step in enumerate(steps if leaves else steps[: number % len(steps)]):
            yield {**raw("finished", "item", name, at + place * 600, step=step.id),
                   "station": step.stations[0].station}  # fmt: skip
        if leaves and number % 2 == 0:
            pair = f"S-{number}"
            yield raw("mated", "set", pair, at + DAY, a=f"C-{number - 1}", b=name)
            for step_id in TOGETHER:
                yield raw("finished", "set", pair, at + DAY, step=step_id)
            yield raw("measured", "set", pair, at + DAY, characteristic="level", value=86.0)
            yield raw("released", "set", pair, at + DAY, dossier="d" * 64)
            yield raw("shipped", "set", pair, at + DAY)


def _measure(floor: Floor, now: int) -> int:
    keys = iter(range(10**9))

    def tried(name: str, *scans: str, at: str | None = None, **data: Any) -> object:
        return act(floor, Act(name, f"b-{next(keys)}", "P1", at, scans, data=data), now=now)

    print(
        f"first act, with the recipes' physics   {_timed(lambda: tried('note', text='begun'), 1)[0]:8.1f} ms"
    )
    early = f"C-{CABINETS - WAITING + 5}"
    found: list[float] = []
    for _ in range(ROUNDS // 2):
        for wrong in (("start", early, "packing"), ("start", "C-2", "sanding-cell")):
            began = time.perf_counter()
            answer = tried(wrong[0], wrong[1], at=wrong[2])
            found.append((time.perf_counter() - began) * 1000.0)
            if not isinstance(answer, Refusal):
                print("not refused:", answer)
                return 1
    found.sort()
    print(f"refusal, median and slowest of {ROUNDS}      {found[len(found) // 2]:8.1f} {found[-1]:8.1f} ms")
    notes = _timed(lambda: tried("note", at="oven", text="x"), 20)
    print(f"note, median and slowest of 20         {notes[10]:8.1f} {notes[-1]:8.1f} ms")
    first = _timed(lambda: board(floor, "spray-booth", now=now), 1)
    later = _timed(lambda: board(floor, "spray-booth", now=now), 20)
    print(f"page, the first                        {first[0]:8.1f} ms")
    print(f"page, median and slowest of 20         {later[10]:8.1f} {later[-1]:8.1f} ms")
    return 0 if found[-1] <= LIMIT * 1000.0 else 1


def _timed(what: Callable[[], object], rounds: int) -> list[float]:
    times: list[float] = []
    for _ in range(rounds):
        began = time.perf_counter()
        what()
        times.append((time.perf_counter() - began) * 1000.0)
    return sorted(times)


if __name__ == "__main__":
    sys.exit(main())
