"""Killed in the middle, again and again: what was acknowledged is there, once, unchanged."""

from __future__ import annotations

import random
import threading
import time
from collections import Counter
from pathlib import Path

import pytest

from pairwright.archive.record import open_record
from tests.faults.stations import Desk, Station


def killed_again_and_again(
    folder: Path, kills: int, *options: str
) -> tuple[dict[str, tuple[int, str]], Counter[str], list[str]]:
    """Post from 20 stations while the writer is killed; what was acknowledged, counts, problems."""
    desk, done, chance = Desk(folder, *options), threading.Event(), random.Random(kills)
    stations = [Station(desk, n, done) for n in range(20)]
    desk.start()
    for station in stations:
        station.start()
    for _ in range(kills):
        before = sum(len(s.acknowledged) for s in stations)
        until = time.monotonic() + 30
        while sum(len(s.acknowledged) for s in stations) == before and time.monotonic() < until:
            time.sleep(0.002)
        time.sleep(chance.uniform(0.02, 0.35))
        desk.kill()
        desk.start()
    time.sleep(0.3)
    done.set()
    for station in stations:
        station.join(timeout=30)
        assert not station.is_alive()
    desk.kill()
    acknowledged = {key: found for station in stations for key, found in station.acknowledged.items()}
    counts = sum((station.counts for station in stations), Counter({"starts": desk.starts}))
    return acknowledged, counts, [problem for station in stations for problem in station.problems]


def losses(folder: Path, acknowledged: dict[str, tuple[int, str]]) -> Counter[str]:
    """What is wrong with the record after the kills."""
    found: Counter[str] = Counter()
    with open_record(folder) as record:
        rows: dict[str, tuple[int, str]] = {}
        for entry in record.events():
            found["doubled"] += entry.event.key in rows
            rows[entry.event.key] = (entry.sequence, entry.hash)
        found["lost"] = len(acknowledged.keys() - rows.keys())
        found["changed"] = sum(rows.get(key, told) != told for key, told in acknowledged.items())
        found["gaps"] = sorted(sequence for sequence, _ in rows.values()) != list(range(1, len(rows) + 1))
        found["unsound"] = not record.verify().ok
        found["never sent"] = sum(not key.startswith("station-") for key in rows)
    return +found


def check(folder: Path, kills: int) -> None:
    acknowledged, counts, problems = killed_again_and_again(folder, kills)

    assert problems == []
    assert losses(folder, acknowledged) == Counter()
    assert counts["starts"] == kills + 1
    assert len(acknowledged) > 20 * kills
    assert counts["replayed"] > 0
    assert counts["unknown"] > 0
    print(
        f"{kills} kills: {len(acknowledged)} events acknowledged, {counts['replayed']} answered anew, none lost"
    )


def test_nothing_acknowledged_is_lost_or_doubled_by_a_kill(tmp_path: Path) -> None:
    check(tmp_path, 25)


@pytest.mark.slow
def test_nothing_acknowledged_is_lost_or_doubled_by_two_hundred_kills(tmp_path: Path) -> None:
    check(tmp_path, 200)


def test_the_kill_test_notices_an_answer_that_comes_too_early(tmp_path: Path) -> None:
    acknowledged, _, _ = killed_again_and_again(tmp_path, 4, "--early")

    assert losses(tmp_path, acknowledged)["lost"] > 0
