"""The engine's known faults are stepped around."""

from __future__ import annotations

from pathlib import Path

import pytest

from pairwright.archive import engine
from pairwright.archive.engine import Lock, file_system, has_reset_fault, refuse_network
from pairwright.base.errors import RefusedError


@pytest.mark.parametrize(
    ("version", "fault"),
    [
        # mended in 3.51.3, 3.50.7 and 3.44.6 (the engine's own release notes); present from 3.7.0 on
        ((3, 6, 23), False), ((3, 7, 0), True), ((3, 40, 1), True), ((3, 44, 5), True), ((3, 44, 6), False),
        ((3, 45, 0), True), ((3, 49, 1), True), ((3, 50, 6), True), ((3, 50, 7), False), ((3, 51, 0), True),
        ((3, 51, 2), True), ((3, 51, 3), False), ((3, 52, 0), False), ((4, 0, 0), False),
    ],
)  # fmt: skip
def test_versions_with_the_fault_are_known(version: tuple[int, int, int], fault: bool) -> None:
    assert has_reset_fault(version) is fault


def test_a_record_on_a_network_share_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine, "file_system", lambda path: "nfs4")

    with pytest.raises(RefusedError, match="network share"):
        refuse_network(tmp_path / "record.db")


def test_the_file_system_of_a_folder_is_found() -> None:
    assert file_system(Path("/proc/self")) == "proc"


def test_a_lock_is_held_by_one_and_can_be_given_back(tmp_path: Path) -> None:
    first = Lock(tmp_path / "record.db")

    with pytest.raises(RefusedError, match="being written"):
        Lock(tmp_path / "record.db")
    first.release()
    first.release()
    Lock(tmp_path / "record.db").release()
