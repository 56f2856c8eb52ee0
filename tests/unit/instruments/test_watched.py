"""A watched folder: finished files only, each with its station."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pairwright.base.errors import InputError
from pairwright.instruments.watched import MOST, content_of, finished, station_of

STATIONS = ("press-1", "press-12", "oven")


def put(folder: Path, name: str, changed: float) -> Path:
    path = folder / name
    path.write_text("time,air [degC]\n")
    os.utime(path, (changed, changed))
    return path


def test_finished_files_are_found_and_growing_ones_left(tmp_path: Path) -> None:
    put(tmp_path, "press-12_monday.csv", 100.0)
    put(tmp_path, "oven.CSV", 100.0)
    put(tmp_path, "oven_now.csv", 999.0)
    put(tmp_path, "notes.txt", 100.0)

    found = {f.path.name: f.station for f in finished(tmp_path, STATIONS, now=1000.0)}

    assert found == {"oven.CSV": "oven", "press-12_monday.csv": "press-12"}


def test_links_and_folders_are_not_followed(tmp_path: Path) -> None:
    outside = put(tmp_path, "secret.txt", 100.0)
    (tmp_path / "oven_a.csv").symlink_to(outside)
    (tmp_path / "oven_b.csv").mkdir()
    os.mkfifo(tmp_path / "oven_c.csv")

    assert list(finished(tmp_path, STATIONS, now=1e12)) == []


def test_a_name_without_a_station_names_none() -> None:
    assert station_of("press-1", STATIONS) is None
    assert station_of("press-13_a.csv", STATIONS) is None
    assert station_of("press-1.csv", STATIONS) == "press-1"


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        list(finished(tmp_path / "none", STATIONS, now=0.0))


def test_a_log_that_is_too_large_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "oven_a.csv"
    path.write_bytes(b"0" * (MOST + 1))

    with pytest.raises(InputError):
        content_of(path)
