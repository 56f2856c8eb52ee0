"""Sheets with a mistake are refused by the command: whole, soon, in little room, with row and column.

Every case runs in a process of its own that may take 300 MiB more than it began with.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.damaged.sheet_cases import CASES, Sheet
from tests.damaged.test_damaged import BASE, ENVIRONMENT, PARTS, told

SECONDS = 5.0
ROOM = 300 << 20  # bytes beside what the program takes by itself

RUNNER = """
import contextlib, io, json, os, resource, sys, time
sys.argv = ["pairwright"]
from pairwright.cli.main import status_of
import openpyxl, numpy, pairwright.app.importing, pairwright.archive.xlsx_sheets, pairwright.app.recording

def one(arguments, room):
    with open("/proc/self/statm") as file:
        size = int(file.read().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (size + room, size + room))
    out, err = io.StringIO(), io.StringIO()
    begin = time.perf_counter()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = status_of(arguments)
    return {"status": status, "out": out.getvalue(), "err": err.getvalue(), "seconds": time.perf_counter() - begin}

answers = []
for arguments in json.load(sys.stdin):
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        with os.fdopen(write, "w") as pipe:
            json.dump(one(arguments, ROOM), pipe)
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as pipe:
        body = pipe.read()
    _, status = os.waitpid(child, 0)
    answers.append(json.loads(body) if body and status == 0 else {"status": -1, "out": "", "err": "died", "seconds": 0})
json.dump(answers, sys.stdout)
"""


def run(calls: list[list[str]], folder: Path) -> list[dict[str, Any]]:
    done = subprocess.run(
        [sys.executable, "-c", f"ROOM = {ROOM}\n{RUNNER}"],
        input=json.dumps(calls), capture_output=True, text=True, env=ENVIRONMENT, cwd=folder,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)
    return found


def key(case: Sheet) -> str:
    return f"{case.number} {case.name}"


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Path:
    import shutil

    from pairwright.app.recording import open_floor

    folder = tmp_path_factory.mktemp("sheets") / "works"
    shutil.copytree(BASE, folder)
    open_floor(folder).close()
    return folder


@pytest.fixture(scope="module")
def answers(works: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What the command says to each sheet; sheets that are good are only shown, so that cases stay apart."""
    calls = []
    for number, case in enumerate(CASES):
        folder = works.parent / f"case-{number}"
        folder.mkdir()
        path = case.make(folder)
        more = ["--dry-run"] if case.taken else []
        calls.append(["import", str(works), str(path), "--kind", case.kind, "--json", *more])
    return dict(zip(map(key, CASES), run(calls, works.parent), strict=True))


def test_every_number_of_the_list_has_a_case() -> None:
    assert {c.number for c in CASES} >= {*range(1, 13), 18, 19, 22, *range(25, 79)}
    assert len({key(c) for c in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=[key(c).replace(" ", "-") for c in CASES])
def test_a_sheet_is_taken_or_refused_in_five_parts(case: Sheet, answers: dict[str, dict[str, Any]]) -> None:
    answer = answers[key(case)]

    assert "Traceback" not in answer["out"] + answer["err"]
    assert answer["seconds"] <= SECONDS
    if case.taken:
        assert answer["status"] == 0, answer
        shown(case, json.loads(answer["out"]))
        return
    assert answer["status"] == 2, answer
    problems = told(answer["out"])
    assert all(p[part] for p in problems for part in PARTS)
    line = "; ".join(" ".join(p[part] for part in PARTS[:4]) + " " + p["do"] for p in problems)
    assert all(piece in line for piece in case.says), line


def shown(case: Sheet, document: dict[str, Any]) -> None:
    """That the rows were read as they were meant."""
    if case.rows == ({"change": "same"},):
        assert (document["same"], document["changes"]) == (1, [])
        return
    found = {one["id"]: one for one in document["changes"]}
    for wanted in case.rows:
        change = found[wanted.get("id", "N1")]
        after = {"id": change["id"]} | {name: new for name, (_, new) in change["fields"].items()}
        assert wanted.items() <= after.items()


def test_nothing_of_a_refused_sheet_is_in_the_record(works: Path, answers: dict[str, dict[str, Any]]) -> None:
    from pairwright.app.recording import open_floor

    with open_floor(works, readonly=True) as floor:
        events = list(floor.record.events())
        verdict = floor.record.verify()

    assert len(answers) == len(CASES)
    assert {e.event.actor for e in events} == {"works"}
    assert verdict.ok


def test_a_process_that_takes_too_much_is_noticed(tmp_path: Path) -> None:
    """The limit of room bites: with next to none the import fails, and says so without a traceback."""
    path = next(c for c in CASES if c.number == 64).make(tmp_path)

    done = subprocess.run(
        [sys.executable, "-c", f"ROOM = {1 << 16}\n{RUNNER}"],
        input=json.dumps([["import", str(BASE), str(path), "--kind", "orders", "--dry-run", "--json"]]),
        capture_output=True, text=True, env=ENVIRONMENT, cwd=tmp_path,
    )  # fmt: skip

    answer = json.loads(done.stdout)[0]
    assert answer["status"] != 0
