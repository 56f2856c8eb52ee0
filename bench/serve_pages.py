"""How soon `pairwright serve` answers, and how long its pages take: 3 s to the first page, 60 ms a page at p95.

On the sample works with a few hours played; each page is asked for 40 times after one that warms it.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path
from statistics import median

from pairwright.cli.main import status_of
from tests.web.pages import addresses
from tests.web.played import play

FIRST, PAGE = 3.0, 0.060
STARTS, TIMES = 4, 40


def ask(address: str) -> float:
    begun = time.perf_counter()
    try:
        with urllib.request.urlopen(address, timeout=60) as answer:
            answer.read()
    except urllib.error.HTTPError as error:
        error.read()
        if error.code >= 500:
            raise
    return time.perf_counter() - begun


def start(folder: Path) -> tuple[subprocess.Popen[str], str, float]:
    """A server, its address, and the time from nothing to its first page."""
    begun = time.perf_counter()
    command = [
        sys.executable,
        "-m",
        "pairwright",
        "serve",
        str(folder),
        "--port",
        "0",
        "--effort",
        "1",
        "--runs",
        "2",
    ]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    line = process.stdout.readline() if process.stdout is not None else ""
    address = line.split()[-1].rstrip("/")
    ask(f"{address}/")
    return process, address, time.perf_counter() - begun


def main() -> int:
    broken = False
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "works"
        if status_of(["demo", str(folder), "--layout-only"]) != 0:
            return 3
        made = play(folder)
        times = []
        for _ in range(STARTS):
            process, _, took = start(folder)
            process.terminate()
            process.wait()
            times.append(took)
        first = median(times[1:])
        broken |= first > FIRST
        print(f"serve to its first page: {first:.2f} s (limit {FIRST:g} s)")
        process, address, _ = start(folder)
        try:
            while json.load(urllib.request.urlopen(f"{address}/api/plan"))["stand"] == "working":
                time.sleep(0.5)
            for page, where in addresses(made).items():
                ask(address + where)
                found = sorted(ask(address + where) for _ in range(TIMES))
                slow = found[int(TIMES * 0.95)]
                broken |= slow > PAGE
                print(
                    f"{page:18s} p50 {found[TIMES // 2] * 1e3:6.1f} ms  p95 {slow * 1e3:6.1f} ms (limit {PAGE * 1e3:g})"
                )
        finally:
            process.terminate()
            process.wait()
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
