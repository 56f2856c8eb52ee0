"""The drill: back up while 20 clients write, restore into an empty folder, miss nothing."""

from __future__ import annotations

import threading
import time
from pathlib import Path

from pairwright.archive.backup import backup, restore
from pairwright.archive.record import open_record
from tests.faults.stations import Desk, Station

NOW = 1_803_900_000


def test_a_backup_under_load_holds_all_that_was_acknowledged_before_it(tmp_path: Path) -> None:
    works, done = tmp_path / "works", threading.Event()
    works.mkdir()
    desk = Desk(works)
    stations = [Station(desk, n, done) for n in range(20)]
    desk.start()
    for station in stations:
        station.start()
    time.sleep(1.0)

    before = {key: found for station in stations for key, found in dict(station.acknowledged).items()}
    begin = time.perf_counter()
    made = backup(works, tmp_path / "copy", now=NOW)
    taken = time.perf_counter() - begin
    at_the_end = sum(len(station.acknowledged) for station in stations)
    time.sleep(0.3)
    later = sum(len(station.acknowledged) for station in stations)
    done.set()
    for station in stations:
        station.join(timeout=30)
    desk.stop()

    other = tmp_path / "other"
    other.mkdir()
    begin = time.perf_counter()
    restore(tmp_path / "copy", other)
    back = time.perf_counter() - begin
    with open_record(other) as record, open_record(works) as whole:
        found = {entry.event.key: (entry.sequence, entry.hash) for entry in record.events()}
        assert record.verify(expected=made.head).ok
        assert whole.verify(expected=made.head).ok
    print(
        f"{len(found)} of {later} events in the backup; made in {taken:.2f} s under load, restored in {back:.2f} s"
    )
    assert before.items() <= found.items()
    assert len(before) > 100
    assert at_the_end > len(before), "nobody wrote during the backup"
    assert later > at_the_end, "writing did not go on after the backup"
    assert [problem for station in stations for problem in station.problems] == []
    assert back < 300  # five minutes to be back, the figure that a works plans with
