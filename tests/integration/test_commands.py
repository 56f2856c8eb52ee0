"""The commands as scripts use them: shapes of the contract, exit statuses, same bytes, nothing lost."""

from __future__ import annotations

import hashlib
import io
import json
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.opened import Opened
from pairwright.app.planning import PlanResult, plan_works
from pairwright.cli.main import status_of

Run = Callable[..., tuple[int, Any]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def one(*arguments: str) -> tuple[int, Any]:
        capsys.readouterr()
        status = status_of(list(arguments))
        printed = capsys.readouterr().out
        return status, json.loads(printed) if "--json" in arguments else printed

    return one


@pytest.fixture
def folder(opened: Opened, tmp_path: Path) -> Path:
    root = tmp_path / "works"
    for name, body in opened.texts.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(body, "utf-8")
    return root


def digests(root: Path) -> dict[str, str]:
    return {
        p.relative_to(root).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(root.rglob("*"))
        if p.is_file()
    }


def keys(row: dict[str, Any]) -> set[str]:
    return set(row)


def test_check_prints_the_public_shape(run: Run, folder: Path) -> None:
    status, answer = run("check", str(folder), "--json")

    assert status == 0
    assert keys(answer) >= {"works", "revision", "ok", "findings", "durations"}
    assert answer["ok"] is True
    assert all(keys(f) >= {"code", "severity", "subject", "text", "source"} for f in answer["findings"])
    wanted = {"product", "option", "part", "step", "low", "likely", "high", "computed", "reason"}
    assert all(keys(d) >= wanted and d["low"] <= d["likely"] <= d["high"] for d in answer["durations"])


def test_plan_prints_the_public_shape_and_is_verified(run: Run, folder: Path) -> None:
    status, answer = run("plan", str(folder), "--json", "--quiet", "--effort", "2")

    assert status == 0
    assert answer["verified"] is True
    assert answer["status"] in ("optimal", "feasible")
    assert keys(answer) >= {
        "works", "revision", "now", "objective_kind", "status", "objective", "lower_bound", "gap",
        "makespan_end", "verified", "orders", "operations", "reasons",
    }  # fmt: skip
    assert all(keys(o) >= {"order", "due", "completion", "late"} for o in answer["orders"])
    wanted = {
        "id", "order", "set", "item", "side", "product", "option", "part", "step", "index", "rework", "station",
        "unit", "start", "end", "pieces", "setup_start", "batch", "crew", "carrier", "held_until",
        "buffer_stays", "uses",
    }  # fmt: skip
    assert all(keys(o) >= wanted for o in answer["operations"])
    assert 0 <= answer["lower_bound"] <= answer["objective"]


def test_makespan_has_its_own_objective(run: Run, folder: Path) -> None:
    status, answer = run("plan", str(folder), "--json", "--quiet", "--effort", "2", "--objective", "makespan")

    assert status == 0
    assert answer["objective_kind"] == "makespan"
    assert answer["gap"] == pytest.approx(
        (answer["objective"] - answer["lower_bound"]) / answer["lower_bound"]
    )


def test_a_limit_bounds_the_search(run: Run, folder: Path) -> None:
    status, answer = run("plan", str(folder), "--json", "--quiet", "--limit", "0.5")

    assert status == 0
    assert answer["verified"] is True


def test_forecast_prints_the_public_shape(run: Run, folder: Path) -> None:
    status, answer = run(
        "forecast", str(folder), "--json", "--quiet", "--runs", "4", "--effort", "2", "--workers", "1"
    )

    assert status == 0
    assert (answer["runs"], answer["seed"]) == (4, 0)
    assert all(o["p10"] <= o["p50"] <= o["p90"] and 0 <= o["on_time"] <= 1 for o in answer["orders"])
    assert all(keys(s) >= {"station", "utilisation", "blocked", "starved"} for s in answer["stations"])
    assert all(keys(b) >= {"buffer", "mean", "p95", "max"} for b in answer["buffers"])
    assert answer["bottleneck"] in {s["station"] for s in answer["stations"]}
    assert answer["throughput_per_week"] > 0


def test_two_plies_more_move_the_press_its_load_and_a_date(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "works"
    run("demo", str(folder), "--layout-only", "--quiet")
    before = digests(folder)

    change = "products/alder.shell.layup.plies=13"
    status, answer = run("compare", str(folder), "--change", change, "--json", "--quiet", "--effort", "1")

    press = [d for d in answer["durations"] if (d["part"], d["step"]) == ("shell", "press")]
    load = next(s for s in answer["stations"] if s["station"] == "hot-press")
    assert status == 0
    assert press
    assert all(d["after"] > d["before"] for d in press)
    assert load["after"] > load["before"]
    assert any(o["after"] != o["before"] for o in answer["orders"])
    assert answer["cost"]["after"] > answer["cost"]["before"]
    assert digests(folder) == before


def test_the_book_says_why_a_date_moves(run: Run, folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    status, _ = run(
        "book", str(folder), "--out", str(out), "--quiet", "--runs", "3", "--effort", "2", "--workers", "1",
        "--change", "products/alder.shell.layup.plies=13",
    )  # fmt: skip

    page = (out / "book.html").read_text("utf-8")
    assert status == 0
    assert "coldest of 12 glue lines" in page
    assert "products/alder.shell.layup.plies" in page
    assert (out / "book.pdf").read_bytes().startswith(b"%PDF")


def test_the_same_call_gives_the_same_bytes(run: Run, tmp_path: Path) -> None:
    call = ("--pairs", "4", "--runs", "12", "--effort", "2", "--quiet", "--seed", "3")

    first, _ = run("demo", str(tmp_path / "one"), *call, "--workers", "1")
    second, _ = run("demo", str(tmp_path / "two"), *call, "--workers", "2")

    assert (first, second) == (0, 0)
    assert digests(tmp_path / "one") == digests(tmp_path / "two")


def test_the_demo_never_overwrites_what_it_did_not_make(run: Run, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine", "utf-8")

    status, answer = run("demo", str(tmp_path), "--layout-only", "--quiet", "--json")

    assert status == 2
    assert "nothing of yours is overwritten" in answer["do"] or answer["field"]
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]


def test_without_the_confidential_recipe_the_works_still_plans(run: Run, folder: Path) -> None:
    (folder / "restricted" / "gloss-clear.toml").unlink()

    status, answer = run("check", str(folder), "--json")
    planned, plan = run("plan", str(folder), "--json", "--quiet", "--effort", "1")

    sealed = [d for d in answer["durations"] if "gloss-clear" in d["reason"]]
    codes = {f["code"] for f in answer["findings"]}
    assert status == 0
    assert codes >= {"recipe_sealed", "film_not_judged"}
    assert "film_below_reserve" not in codes
    assert sealed
    assert not any(d["computed"] for d in sealed)
    assert (planned, plan["verified"]) == (0, True)


def test_a_reader_may_have_a_decimal_comma_and_inches(run: Run, folder: Path) -> None:
    _, plain = run("check", str(folder))
    works = folder / "works.toml"
    works.write_text(works.read_text("utf-8").replace('language = "en"', 'language = "de"'), "utf-8")

    _, comma = run("check", str(folder), "--lengths", "inch")

    assert "0.3 mm" in plain
    assert "0,0118 in" in comma


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ("products/alder.shell.layup.plies=0", "layup"),
        ("products/alder.shell.layup.plys=11", "plys"),
        ("products/elm.shell.layup.plies=11", "elm"),
        ("nonsense", "--change"),
        ("products/alder.shell.steps.press.recipe.platen=hot", "platen"),
    ],
)
def test_a_wrong_change_is_told_in_five_parts(run: Run, folder: Path, change: str, field: str) -> None:
    status, answer = run("compare", str(folder), "--change", change, "--json", "--quiet")

    assert status == 2
    assert keys(answer) >= {"where", "field", "must_be", "got", "do"}
    assert field in json.dumps(answer)


@pytest.mark.parametrize("body", ["", "{", "[1, 2", '{"a": NaN}', "\x00", "[" * 100_000, '"plan"'])
def test_a_plan_file_that_does_not_parse_is_the_callers_mistake(
    run: Run, folder: Path, tmp_path: Path, body: str
) -> None:
    file = tmp_path / "plan.json"
    file.write_text(body, "utf-8")

    status, answer = run("plan", str(folder), "--verify", str(file), "--json")

    if status == 1:  # it parsed: then it is judged
        assert answer["ok"] is False
    else:
        assert status == 2
        assert keys(answer) >= {"where", "field", "must_be", "got", "do"}


def test_calc_answers_a_list_without_stopping(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = [
        {"law": "steam_pressure", "inputs": {"temperature": 373.15}},
        {"law": "steam_pressure", "inputs": {"temperature": -5}},
        {"law": "no_such_law", "inputs": {}},
        {"law": "clamp_force", "inputs": {"pressure": 1e6, "length": 0.5, "width": 0.1}},
    ]
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(asked)))

    status, answers = run("calc", "--stdin", "--json")

    assert status == 1
    assert [a["law"] for a in answers] == [a["law"] for a in asked]
    assert answers[0]["result"]["pressure"] == pytest.approx(101_418, rel=1e-3)
    assert answers[3]["result"]["force"] == pytest.approx(50_000)
    assert ["error" in a for a in answers] == [False, True, True, False]


def test_calc_outside_the_range_gives_the_number_with_a_finding(run: Run) -> None:
    status, answer = run("calc", "equilibrium_moisture", "temperature=105 degC", "humidity=50 %", "--json")

    assert status == 0
    assert answer["result"]["moisture"] > 0
    assert [f["code"] for f in answer["findings"]] == ["out_of_range"]


@pytest.mark.parametrize(
    "given",
    [["humidity=50 %"], ["temperature=20 kg", "humidity=50 %"], ["temperature=20 degC", "humidity=150 %"],
     ["temperature=20 degC", "humidity=50 %", "colour=red"], ["temperature"]],
)  # fmt: skip
def test_calc_refuses_in_five_parts(run: Run, given: list[str]) -> None:
    status, answer = run("calc", "equilibrium_moisture", *given, "--json")

    assert status == 2
    assert keys(answer) >= {"where", "field", "must_be", "got", "do"}


@pytest.mark.parametrize(
    "call", [["nosuch"], ["plan"], ["plan", ".", "--objective", "speed"], ["demo", "--pairs", "0"]]
)
def test_a_wrong_call_is_told_in_five_parts(run: Run, call: list[str]) -> None:
    status, answer = run(*call, "--json")

    assert status == 2
    assert keys(answer) >= {"where", "field", "must_be", "got", "do"}


def test_more_workers_give_the_same_plan(opened: Opened, planned: PlanResult) -> None:
    again = plan_works(opened, actor="test", now=opened.now(), effort=3, workers=2)

    assert again.document == planned.document


def test_an_interrupt_ends_the_search_with_what_was_found(folder: Path) -> None:
    call = [sys.executable, "-m", "pairwright", "plan", str(folder), "--json", "--quiet", "--limit", "120"]
    with subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as search:
        time.sleep(8)
        search.send_signal(signal.SIGINT)
        printed, told = search.communicate(timeout=60)

    assert search.returncode == 0, told
    assert json.loads(printed)["verified"] is True
