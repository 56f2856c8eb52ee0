"""The server as a command, and the plan that it makes in the background."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from pairwright.app.serving import Basis, Clock, Weekly
from pairwright.web import Served
from tests.web.live import served as live


def serve(*arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pairwright", "serve", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=60)


def copy(laid_out: tuple[Path, dict[str, str]], tmp_path: Path) -> Path:
    shutil.copytree(laid_out[0], tmp_path / "works")
    return tmp_path / "works"


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.20", "shop", "::"])
def test_other_addresses_than_this_machines_own_are_refused(host: str, tmp_path: Path) -> None:
    answer = serve(str(tmp_path), "--host", host)

    assert answer.returncode == 2
    assert "accounts" in answer.stderr
    assert "Traceback" not in answer.stderr


def test_a_folder_that_is_no_works_is_told(tmp_path: Path) -> None:
    answer = serve(str(tmp_path), "--port", "0")

    assert answer.returncode == 2
    assert "Traceback" not in answer.stderr


def test_a_port_that_is_taken_is_told(laid_out: tuple[Path, dict[str, str]], tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        answer = serve(str(copy(laid_out, tmp_path)), "--port", str(taken.getsockname()[1]))

    assert answer.returncode == 2
    assert "--port 0" in answer.stderr


def test_a_second_server_of_one_works_is_refused(
    laid_out: tuple[Path, dict[str, str]], tmp_path: Path
) -> None:
    folder = copy(laid_out, tmp_path)
    with live(folder):
        answer = serve(str(folder), "--port", "0")

    assert answer.returncode == 1
    assert "Traceback" not in answer.stderr


def test_the_first_page_is_there_soon(laid_out: tuple[Path, dict[str, str]], tmp_path: Path) -> None:
    begun = time.monotonic()
    with live(copy(laid_out, tmp_path)) as address:
        with urllib.request.urlopen(address) as answer:
            assert answer.status == 200
        took = time.monotonic() - begun

    assert took < 12.0  # 3 s on a machine of its own (bench/); this one is shared


def test_a_clock_begins_where_it_is_told_and_runs_on() -> None:
    ticks = iter([10.0, 10.5, 13.2])
    clock = Clock(1000, lambda: next(ticks))

    assert (clock(), clock()) == (1000, 1003)


def _until(weekly: Weekly, stand: str, patience: float = 120.0) -> None:
    end = time.monotonic() + patience
    while weekly.progress().stand != stand:
        assert time.monotonic() < end, weekly.progress()
        time.sleep(0.05)


def test_the_week_is_planned_in_the_background_and_kept(served: Served, client: TestClient) -> None:
    assert "Planned from" not in client.get("/").text
    _until(served.weekly, "ready")

    page = client.get("/").text
    assert "The week from" in page
    assert "bottleneck" in page
    made = served.weekly.made()
    assert made is not None
    assert not served.weekly.start(made.basis, now=served.now())  # the same basis needs no new plan

    client.post(
        "/api/events",
        json={"key": "moves-on", "kind": "noted", "event_time": "2027-03-01T12:00:00+01:00", "actor": "P-14",
              "station": "hot-press", "data": {"text": "x"}},
    )  # fmt: skip
    assert "moved on" in client.get("/").text


def test_a_plan_can_be_stopped_and_the_one_before_stays(laid_out: tuple[Path, dict[str, str]]) -> None:
    weekly = Weekly(str(laid_out[0]), runs=2, effort=5000)

    assert weekly.start(Basis("a", 1), now=1_803_877_200)
    assert not weekly.start(Basis("b", 2), now=1_803_877_200)  # one at a time
    assert weekly.cancel()

    assert weekly.progress().stand == "cancelled"
    assert weekly.made() is None
    assert not weekly.cancel()


def test_a_works_that_can_not_be_planned_says_so(tmp_path: Path) -> None:
    weekly = Weekly(str(tmp_path), runs=1, effort=1)

    weekly.start(Basis("a", 1), now=1_803_877_200)
    _until(weekly, "failed")

    assert weekly.progress().stage.template
