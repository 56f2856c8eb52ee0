"""Damaged works are refused with five-part messages: by the loader, and by the command."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from pairwright.base.errors import InputError, Problem
from pairwright.works import load_book, load_works
from tests.damaged.cases import CASES, Case, Texts

BASE = Path(__file__).parent / "base"
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2] / "src")}
PARTS = ("where", "field", "must_be", "got", "do")

# runs the command once per folder and prints what came of it
ALL_IN_ONE = """
import contextlib, io, json, sys
from pairwright.cli.main import run
answers = []
for folder in sys.argv[1:]:
    out, err, status = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            run(["check", folder, "--json"])
        except SystemExit as done:
            status = done.code
    answers.append({"status": status, "out": out.getvalue(), "err": err.getvalue()})
print(json.dumps(answers))
"""

each_case = pytest.mark.parametrize("case", CASES, ids=[c.name.replace(" ", "-") for c in CASES])


def base_texts() -> Texts:
    return {
        path.relative_to(BASE).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(BASE.rglob("*"))
        if path.is_file()
    }


def damaged(case: Case) -> Texts:
    texts = base_texts()
    case.damage(texts)
    return texts


def fits(case: Case, problem: dict[str, str]) -> bool:
    return (
        problem["where"].startswith(case.where)
        and case.field in problem["field"]
        and case.must_be in problem["must_be"]
    )


def says(problem: Problem) -> dict[str, str]:
    return problem.as_json()


def test_the_base_works_is_whole() -> None:
    texts = base_texts()

    works = load_works(texts)

    assert set(works.variants) == {("alder", "walnut"), ("alder", "birch"), ("tansy", "satin")}
    assert len(load_book(texts, works).orders) == 3


def test_there_are_at_least_forty_ways() -> None:
    assert len({c.name for c in CASES}) == len(CASES) >= 40


@each_case
def test_the_loader_says_all_five_parts(case: Case) -> None:
    texts = damaged(case)

    with pytest.raises(InputError) as caught:
        load_book(texts, load_works(texts))

    problems = [says(p) for p in caught.value.problems]
    assert any(fits(case, p) for p in problems), "\n".join(p.line() for p in caught.value.problems)
    assert all(p[part].strip() for p in problems for part in PARTS)


@each_case
def test_one_mistake_makes_few_messages(case: Case) -> None:
    texts = damaged(case)

    with pytest.raises(InputError) as caught:
        load_book(texts, load_works(texts))

    # a mistake may show in two places (an unknown part leaves the right one unused), not in ten
    assert len(caught.value.problems) <= 4, "\n".join(p.line() for p in caught.value.problems)


def test_all_mistakes_are_told_at_once() -> None:
    texts = base_texts()
    chosen = [c for c in CASES if c.name in (
        "a unit missing", "an unknown part", "an unknown time zone", "a veneer of no wood",
        "a single with a mate", "hours that overlap",
    )]  # fmt: skip
    for case in chosen:
        case.damage(texts)

    with pytest.raises(InputError) as caught:
        load_works(texts)

    problems = [says(p) for p in caught.value.problems]
    assert len(chosen) == 6
    for case in chosen:
        assert any(fits(case, p) for p in problems), case.name


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Every damaged works laid out as a folder."""
    root = tmp_path_factory.mktemp("damaged")
    found: dict[str, Path] = {}
    for number, case in enumerate(CASES):
        found[case.name] = root / f"works-{number}"
        for name, body in damaged(case).items():
            target = found[case.name] / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_text(body, encoding="utf-8")
    return found


@pytest.fixture(scope="module")
def answers(folders: dict[str, Path]) -> dict[str, dict[str, Any]]:
    """What the command says to each folder, all in one process to spare the start-ups."""
    done = subprocess.run(
        [sys.executable, "-c", ALL_IN_ONE, *map(str, folders.values())],
        capture_output=True, text=True, env=ENVIRONMENT, cwd=next(iter(folders.values())).parent,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return dict(zip(folders, json.loads(done.stdout), strict=True))


@each_case
def test_the_command_refuses_and_writes_nothing(
    case: Case, folders: dict[str, Path], answers: dict[str, dict[str, Any]]
) -> None:
    answer = answers[case.name]

    assert answer["status"] == 2, answer
    assert "Traceback" not in answer["out"] + answer["err"]
    problems = told(answer["out"])
    assert all(set(PARTS) <= set(p) and all(p[part] for part in PARTS) for p in problems)
    # of a works without works.toml the folder itself is named: reading it is not the loader's
    assert case.name == "no works.toml" or any(fits(case, p) for p in problems), answer["out"]
    folder = folders[case.name]
    assert {
        p.relative_to(folder).as_posix(): p.read_text() for p in folder.rglob("*") if p.is_file()
    } == damaged(case)
    assert {p for p in folder.parent.iterdir() if p not in folders.values()} == set()


@pytest.mark.parametrize("arguments", [("check",), ("plan",), ("check", "--json")], ids=" ".join)
def test_a_real_process_exits_with_2(arguments: tuple[str, ...], folders: dict[str, Path]) -> None:
    folder = folders["an unknown station"]

    answer = subprocess.run(
        [sys.executable, "-m", "pairwright", arguments[0], str(folder), *arguments[1:]],
        capture_output=True, text=True, env=ENVIRONMENT, cwd=folder.parent,
    )  # fmt: skip

    assert answer.returncode == 2
    assert "Traceback" not in answer.stdout + answer.stderr
    assert "hot-pres" in answer.stdout + answer.stderr
    assert sum(1 for p in folder.rglob("*") if p.is_file()) == len(base_texts())


def told(output: str) -> list[dict[str, str]]:
    """The errors of a JSON answer: one object, a list, or under a name."""
    document = json.loads(output)
    if isinstance(document, dict):
        document = document.get("errors", document.get("error", document))
    return document if isinstance(document, list) else [document]
