"""Wall time of `pairwright --help` as a whole process: median of 5, after one run that fills the caches.

The limit is 0.4 s: nobody waits for help. What is slow here is nearly always an import; the script
names the dearest ones (`python -X importtime`).
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

LIMIT = 0.4  # [s]
RUNS = 5
COMMAND = [str(Path(sys.executable).parent / "pairwright"), "--help"]


def once() -> float:
    """Seconds from start to end of one process. [s]"""
    begin = time.perf_counter()
    subprocess.run(COMMAND, check=True, capture_output=True)
    return time.perf_counter() - begin


def dearest(count: int = 5) -> list[tuple[float, str]]:
    """The imports that take longest in themselves. [s]"""
    log = subprocess.run(
        [sys.executable, "-X", "importtime", *COMMAND], check=True, capture_output=True, text=True
    ).stderr
    found = []
    for line in log.splitlines():
        own, _, rest = line.removeprefix("import time:").partition("|")
        if own.strip().isdigit():
            found.append((int(own) / 1e6, rest.rpartition("|")[2].strip()))
    return sorted(found, reverse=True)[:count]


def main() -> int:
    try:
        first = once()
    except (OSError, subprocess.CalledProcessError) as error:
        print(f"pairwright --help can't be run: {error}")
        return 1
    times = sorted(once() for _ in range(RUNS))
    median = statistics.median(times)
    print(f"pairwright --help: median {median:.3f} s of {RUNS} (from {times[0]:.3f} to {times[-1]:.3f} s)")
    print(f"the first run, left out: {first:.3f} s")
    print("dearest imports: " + ", ".join(f"{name} {seconds * 1e3:.0f} ms" for seconds, name in dearest()))
    print(f"limit {LIMIT} s: {'kept' if median <= LIMIT else 'BROKEN'}")
    return 0 if median <= LIMIT else 1


if __name__ == "__main__":
    raise SystemExit(main())
