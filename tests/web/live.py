"""The real server on a free port of this machine, for tests that need a browser."""

from __future__ import annotations

import queue
import re
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def served(folder: Path, *options: str, patience: float = 60.0) -> Iterator[str]:
    """Serve a works; gives the address. What the server said is shown when it does not come up."""
    command = [
        sys.executable,
        "-m",
        "pairwright",
        "serve",
        str(folder),
        "--port",
        "0",
        "--runs",
        "4",
        "--effort",
        "1",
    ]
    process = subprocess.Popen(
        [*command, *options], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    try:
        yield _address(process, patience)
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(10)
        if process.stdout is not None:
            process.stdout.close()


def _address(process: subprocess.Popen[str], patience: float) -> str:
    said: list[str] = []
    lines: queue.Queue[str] = queue.Queue()

    def read() -> None:
        for line in process.stdout or ():
            lines.put(line)

    threading.Thread(target=read, daemon=True).start()
    end = time.monotonic() + patience
    while time.monotonic() < end:
        try:
            said.append(lines.get(timeout=0.2))
        except queue.Empty:
            if process.poll() is not None:
                break
            continue
        found = re.search(r"http://\S+/", said[-1])
        if found:
            address = found.group().rstrip("/")
            _answers(address, end)
            return address
    raise AssertionError("the server did not come up: " + "".join(said))


def _answers(address: str, end: float) -> None:
    while True:
        try:
            with urllib.request.urlopen(f"{address}/health", timeout=2):
                return
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.05)
