"""`replan` on the sample works: ten kinds of trouble, each a plan that keeps every rule and moves little else."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench.replan_speed import troubles
from pairwright.app.opened import Opened
from pairwright.app.planning import PlanResult
from pairwright.app.replanning import KeptPlan, plan_from, replan_works
from pairwright.app.replanning_news import read_text
from pairwright.archive import write_folder
from pairwright.base.time import iso
from pairwright.base.words import ENGLISH
from pairwright.cli.main import status_of
from pairwright.plan.freezing import SHARE

KINDS = [
    "nothing", "late", "press stopped", "booth stopped", "shell scrapped", "half scrapped", "rework",
    "person absent", "urgent order", "material late", "lot missing", "order cancelled", "mould away",
    "carriers away", "oven batch lost",
]  # fmt: skip


@pytest.fixture(scope="module")
def kept(planned: PlanResult) -> KeptPlan:
    return plan_from(planned.document, "plan")


@pytest.fixture(scope="module")
def moment(kept: KeptPlan) -> int:
    """Amid an operation, soon after the first batch has left the oven."""
    ops = kept.schedule.operations
    oven = min(op.end for op in ops if op.station == "oven")
    running = min(
        (op for op in ops if op.station and op.start >= oven and op.end - op.start >= 1200),
        key=lambda o: o.start,
    )
    return running.start + 600


@pytest.fixture(scope="module")
def rows(opened: Opened, kept: KeptPlan, moment: int) -> dict[str, list[dict[str, Any]]]:
    return dict(troubles(opened, kept.schedule, moment))


def told(opened: Opened, moment: int, rows: list[dict[str, Any]]) -> str:
    return json.dumps({"now": iso(moment, opened.works.zone), "news": rows})


@pytest.mark.parametrize("kind", KINDS)
def test_trouble_is_gone_on_from_and_little_else_moves(
    opened: Opened, kept: KeptPlan, moment: int, rows: dict[str, list[dict[str, Any]]], kind: str
) -> None:
    news = read_text(told(opened, moment, rows[kind]), "news", opened, like=kept.schedule)

    found = replan_works(opened, news, actor="test", kept=kept)

    assert [f"{v.rule} {v.subject}: {v.text}" for v in found.result.violations] == []
    assert found.found
    assert found.frozen.moved_share <= SHARE
    lies = {op.id: (op.start, op.end) for op in found.frozen.schedule.operations}
    assert all(lies[name] == span for name, span in found.frozen.live.begun.items())
    assert found.says
    if kind == "nothing":
        assert found.frozen.moved == ()


def test_the_difference_names_the_trouble(
    opened: Opened, kept: KeptPlan, moment: int, rows: dict[str, list[dict[str, Any]]]
) -> None:
    news = read_text(told(opened, moment, rows["booth stopped"]), "news", opened, like=kept.schedule)

    found = replan_works(opened, news, actor="test", kept=kept)

    said = " ".join(ENGLISH.say(one) for one in found.says)
    assert "Spray booth stands still until" in said or "no order's completion moves" in said


@pytest.fixture
def folder(opened: Opened, tmp_path: Path) -> Iterator[Path]:
    write_folder(tmp_path / "w", dict(opened.texts))
    yield tmp_path
    shutil.rmtree(tmp_path, ignore_errors=True)


def called(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, Any]:
    status = status_of([*args, "--json"])
    return status, json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    "kind", ["shell scrapped", "booth stopped", "urgent order", "order cancelled", "material late"]
)
def test_the_command_answers_as_promised_and_its_plan_is_verified(
    folder: Path, opened: Opened, planned: PlanResult, kept: KeptPlan, moment: int,
    rows: dict[str, list[dict[str, Any]]], kind: str, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    (folder / "plan.json").write_text(json.dumps(planned.document))
    (folder / "news.json").write_text(told(opened, moment, rows[kind]))
    works = str(folder / "w")

    status, body = called(capsys, "replan", works, "--events", str(folder / "news.json"),
                          "--plan", str(folder / "plan.json"), "--out", str(folder / "next.json"))  # fmt: skip

    assert status == 0
    assert body["verified"]
    assert 0.0 <= body["moved_share"] <= SHARE
    assert all({"operation", "before", "after"} <= set(row) for row in body["moved"])
    assert body["difference"]
    status, verdict = called(capsys, "plan", works, "--verify", str(folder / "next.json"))
    assert verdict == {"ok": True, "violations": []}
    assert status == 0
    assert not (folder / "w" / "plan.json").exists()


def test_events_of_the_record_count_as_news(opened: Opened, kept: KeptPlan, moment: int) -> None:
    zone = opened.works.zone
    first = min(kept.schedule.operations, key=lambda op: (op.start, op.id))
    lines = [
        {"key": "k1", "kind": "started", "event_time": iso(first.start, zone), "actor": "P1", "item": first.item,
         "data": {"step": first.step}},
        {"key": "k2", "kind": "finished", "event_time": iso(first.end + 600, zone), "actor": "P1",
         "item": first.item, "data": {"step": first.step}},
        {"key": "k3", "kind": "noted", "event_time": iso(first.end + 900, zone), "actor": "P1", "item": first.item,
         "data": {"text": "nothing that bears on a plan"}},
    ]  # fmt: skip
    body = "\n".join(json.dumps(line) for line in lines)

    news = read_text(body, "events", opened, like=kept.schedule)
    found = replan_works(opened, news, actor="test", kept=kept)

    assert found.found
    assert dict(found.frozen.live.begun) == {first.id: (first.start, -(-(first.end + 600) // 60) * 60)}


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ("{", "table"), ('[{"news": "late"', "list"), ('{"news": "late"}\nnot json', "line"), ("7\n8", "row"),
        ('{"news": [{"news": "now", "at": "noon"}]}', "at"), ('{"news": [], "mood": "fine"}', "mood"),
        ('{"kind": "exploded", "key": "k", "actor": "P1", "event_time": "2027-03-01T06:00:00Z", "data": {}}', "kind"),
    ],
)  # fmt: skip
def test_a_file_that_is_no_news_is_refused(
    folder: Path, planned: PlanResult, capsys: pytest.CaptureFixture[str], body: str, field: str
) -> None:
    (folder / "plan.json").write_text(json.dumps(planned.document))
    (folder / "news.json").write_text(body)

    status, answer = called(capsys, "replan", str(folder / "w"), "--events", str(folder / "news.json"),
                            "--plan", str(folder / "plan.json"), "--keep")  # fmt: skip

    assert status == 2
    assert answer["field"] == field
    assert not (folder / "w" / "plan.json").exists()
