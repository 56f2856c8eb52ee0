"""`promise` on the sample works: a date that moves nobody, and nothing written unless it is kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.opened import Opened, open_works
from pairwright.app.planning import PlanResult
from pairwright.app.promising import Wanted, place_order, promise_order
from pairwright.app.replanning import plan_from
from pairwright.archive import write_folder
from pairwright.cli.main import status_of


@pytest.fixture
def folder(opened: Opened, planned: PlanResult, tmp_path: Path) -> Path:
    write_folder(tmp_path / "w", dict(opened.texts))
    (tmp_path / "plan.json").write_text(json.dumps(planned.document))
    return tmp_path


def called(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, Any]:
    status = status_of([*args, "--json"])
    return status, json.loads(capsys.readouterr().out)


def test_a_promise_moves_no_operation_of_the_plan(opened: Opened, planned: PlanResult) -> None:
    kept = plan_from(planned.document, "plan")

    placed = place_order(opened, kept, Wanted("sorrel", 1, "ink"))

    assert [f"{v.rule} {v.subject}: {v.text}" for v in placed.result.violations] == []
    before = {(op.id, op.start, op.end) for op in kept.schedule.operations}
    after = {(op.id, op.start, op.end) for op in placed.frozen.schedule.operations}
    assert before <= after
    own = [op for op in placed.frozen.schedule.operations if op.order == placed.order]
    assert placed.date == max(op.end for op in own)


def test_the_price_of_an_earlier_date_is_named(opened: Opened, planned: PlanResult) -> None:
    kept = plan_from(planned.document, "plan")

    promise = promise_order(opened, kept, Wanted("alder", 1, "oak"), actor="test", runs=6, workers=1)

    assert promise.p50 is not None
    assert promise.p90 is not None
    assert promise.p50 <= promise.p90
    assert promise.limited_by
    if promise.sooner is not None:
        assert promise.sooner < promise.placed.date
        assert all(before != after for _, before, after in promise.moves)
    for one in promise.would_help:
        assert one.gain > 0
        assert one.verified


def test_each_help_gives_the_stated_gain_when_it_is_computed_again(
    opened: Opened, planned: PlanResult
) -> None:
    from pairwright.app.opened import open_changed

    kept = plan_from(planned.document, "plan")
    promise = promise_order(opened, kept, Wanted("sorrel", 1, "ink"), actor="test", runs=0)

    for one in promise.would_help:
        other = place_order(open_changed(opened, [one.change]), kept, Wanted("sorrel", 1, "ink"))
        assert promise.placed.date - other.date == one.gain
        assert other.result.violations == ()


def test_nothing_is_written_without_keep(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {p: p.read_bytes() for p in (folder / "w").rglob("*") if p.is_file()}

    status, body = called(capsys, "promise", str(folder / "w"), "--product", "tansy", "--option", "slate",
                          "--quantity", "1", "--plan", str(folder / "plan.json"), "--quick")  # fmt: skip

    assert status == 0
    assert {"date", "p50", "p90", "limited_by", "would_help", "moves"} <= set(body)
    assert {p: p.read_bytes() for p in (folder / "w").rglob("*") if p.is_file()} == before


def test_a_kept_promise_is_an_order_and_a_plan_that_is_verified(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = folder / "w" / "orders.csv"
    before = sheet.read_text()

    status, body = called(capsys, "promise", str(folder / "w"), "--product", "sorrel", "--option", "ink",
                          "--quantity", "1", "--plan", str(folder / "plan.json"), "--quick", "--keep")  # fmt: skip

    assert status == 0
    assert body["kept"]
    assert sheet.read_text().startswith(before)
    order = open_works(folder / "w").book.orders[-1]
    assert (order.id, order.product, order.quantity) == (body["order"], "sorrel", 1)
    status, verdict = called(capsys, "plan", str(folder / "w"), "--verify", str(folder / "plan.json"))
    assert verdict == {"ok": True, "violations": []}

    status, more = called(capsys, "promise", str(folder / "w"), "--product", "sorrel", "--option", "ink",
                          "--quantity", "1", "--plan", str(folder / "plan.json"), "--quick")  # fmt: skip
    assert status == 0
    assert more["order"] != body["order"]
    assert more["date"] >= body["date"]


@pytest.mark.parametrize(
    ("args", "field"),
    [
        (("--product", "elm", "--quantity", "1"), "product"),
        (("--product", "sorrel", "--option", "mauve", "--quantity", "1"), "option"),
        (("--product", "sorrel", "--quantity", "1"), "option"),
        (("--product", "sorrel", "--option", "ink", "--quantity", "1", "--wish", "Easter"), "due"),
        (("--product", "sorrel", "--option", "ink", "--quantity", "1", "--order", "M001"), "--order"),
        (("--product", "sorrel", "--option", "ink", "--quantity", "0"), "quantity"),
    ],
)
def test_a_wrong_call_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], args: tuple[str, ...], field: str
) -> None:
    status, body = called(capsys, "promise", str(folder / "w"), *args, "--plan", str(folder / "plan.json"))

    assert status == 2
    assert field.strip("-") in body["field"]
