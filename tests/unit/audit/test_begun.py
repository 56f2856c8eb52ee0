"""What has begun lies in the plan where the floor says that it lies."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pairwright.audit import Away, verify
from tests.unit.audit.small import at, good_plan, loaded

WORKS, BOOK, TIMES = loaded()
MINUTE = 60


def seconds(stamp: str) -> int:
    return int(datetime.fromisoformat(stamp).timestamp())


def gone_on(minutes: int = 1) -> tuple[dict[str, Any], dict[str, tuple[int, int]]]:
    """The good plan looked at some minutes later, and what has begun by then."""
    plan = {**good_plan(WORKS.revision), "now": at(minutes)}
    begun = {
        op["id"]: (seconds(op["start"]), seconds(op["end"]))
        for op in plan["operations"]
        if seconds(op["setup_start"] or op["start"]) < seconds(at(minutes))
    }
    return plan, begun


def rules(plan: dict[str, Any], begun: dict[str, tuple[int, int]]) -> list[str]:
    return [v.rule for v in verify(WORKS, BOOK, times=TIMES, document=plan, begun=begun)]


def test_what_has_begun_may_lie_before_now() -> None:
    plan, begun = gone_on()

    assert begun
    assert rules(plan, begun) == []
    assert "earliest" in rules(plan, {})


def test_what_has_begun_does_not_move() -> None:
    plan, begun = gone_on()
    name, (start, end) = next(iter(begun.items()))

    assert "begun" in rules(plan, {**begun, name: (start - 5 * MINUTE, end - 5 * MINUTE)})


def test_what_has_begun_is_in_the_plan() -> None:
    plan, begun = gone_on()

    assert "begun" in rules(plan, {**begun, "nothing": (seconds(at(0)), seconds(at(1)))})


def test_what_is_still_to_come_has_not_begun() -> None:
    plan, begun = gone_on()
    last = max(plan["operations"], key=lambda op: seconds(op["start"]))

    assert "begun" in rules(plan, {**begun, last["id"]: (seconds(last["start"]), seconds(last["end"]))})


def test_a_plan_may_list_itself_what_had_begun() -> None:
    plan, begun = gone_on()
    listed = {name: [op["start"], op["end"]] for op in plan["operations"] if (name := op["id"]) in begun}

    assert [v.rule for v in verify(WORKS, BOOK, times=TIMES, document={**plan, "begun": listed})] == []
    assert "earliest" in [v.rule for v in verify(WORKS, BOOK, times=TIMES, document=plan)]


def test_nothing_is_worked_with_tooling_that_is_away() -> None:
    plan = good_plan(WORKS.revision)
    steps = {(part, s.id): s for v in WORKS.variants.values() for part, p in v.parts.items() for s in p.steps}
    op = next(o for o in plan["operations"] if steps[o["part"], o["step"]].setup is not None)
    family = str(steps[op["part"], op["step"]].setup)
    start, end = seconds(op["start"]), seconds(op["end"])

    def rules_when_away(first: int, last: int) -> set[str]:
        gone = [Away(family, first, last)]
        return {v.rule for v in verify(WORKS, BOOK, times=TIMES, document=plan, away=gone)}

    assert "away" in rules_when_away(start, start + MINUTE)
    assert "away" in rules_when_away(end - MINUTE, end + MINUTE)
    assert rules_when_away(seconds(at(-60)), seconds(at(-30))) == set()
