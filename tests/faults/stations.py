"""Stations that post to a writer process, keep what was acknowledged, and try again until it is."""

from __future__ import annotations

import contextlib
import json
import os
import random
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from pathlib import Path
from typing import IO, Any

from tests.unit.floor.events import raw

PROGRAM = Path(__file__).with_name("writer_process.py")


class Desk:
    """The writer process: started, killed, started again."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder = folder
        self.options = options
        self.port = 0
        self.starts = 0
        self.process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        root = PROGRAM.parents[2]
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(root / "src"), str(root)))}
        self.process = subprocess.Popen(
            [sys.executable, str(PROGRAM), str(self.folder), *self.options], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, text=True, env=environment,
        )  # fmt: skip
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line.strip().isdigit(), "the writer process did not start"
        self.port = int(line)
        self.starts += 1

    def kill(self) -> None:
        assert self.process is not None
        self.port = 0
        self.process.kill()
        self.process.communicate()

    def stop(self) -> None:
        assert self.process is not None
        self.process.communicate(input="")


class Station(threading.Thread):
    """Posts one event after the other, each until it is acknowledged; now and then twice on purpose."""

    def __init__(self, desk: Desk, number: int, done: threading.Event) -> None:
        super().__init__(daemon=True)
        self.desk, self.number, self.done = desk, number, done
        self.acknowledged: dict[str, tuple[int, str]] = {}
        self.counts: Counter[str] = Counter()
        self.problems: list[str] = []

    def run(self) -> None:
        chance = random.Random(self.number)
        line: IO[bytes] | None = None
        count = 0
        while not self.done.is_set():
            count += 1
            event = self.event(count)
            posts = 2 if chance.random() < 0.02 else 1
            while posts and not self.done.is_set():
                try:
                    line = line or self.connect()
                    self.post(line, event)
                    posts -= 1
                except (OSError, ValueError):
                    self.counts["unknown"] += 1
                    hang_up(line)
                    line = None
                    time.sleep(0.01)
        hang_up(line)

    def event(self, count: int) -> dict[str, Any]:
        key, item = f"station-{self.number}-{count}", f"item C-{self.number}-{count // 40}"
        if count % 3:
            return raw("measured", item, key=key, characteristic=f"c{count % 7}", value=count)
        return raw("finished", item, key=key, step=f"step-{count}")

    def connect(self) -> IO[bytes]:
        if not self.desk.port:
            raise OSError("nobody there")
        with socket.create_connection(("127.0.0.1", self.desk.port), timeout=20) as made:
            return made.makefile("rwb")  # keeps the connection until it is closed itself

    def post(self, line: IO[bytes], event: dict[str, Any]) -> None:
        line.write(json.dumps(event).encode() + b"\n")
        line.flush()
        body = line.readline()
        answer = json.loads(body) if body.endswith(b"\n") else None
        if answer is None:
            raise OSError("the answer was lost")
        if "refused" in answer:
            self.problems.append(answer["refused"])
            return
        found = (answer["sequence"], answer["hash"])
        before = self.acknowledged.setdefault(answer["key"], found)
        if before != found:
            self.problems.append(f"{answer['key']} was {before}, is {found}")
        self.counts["replayed" if answer.get("replayed") else "fresh"] += 1


def hang_up(line: IO[bytes] | None) -> None:
    """Close a connection, whatever state it is in."""
    if line is not None:
        with contextlib.suppress(OSError):
            line.close()
