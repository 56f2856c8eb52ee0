"""The plan follows a played floor, day by day: every rule is kept, and what began lies where it really lay."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from pairwright import sample
from pairwright.app.following import Followed, follow, latest_plan
from pairwright.app.opened import open_definition
from pairwright.app.planning import plan_works
from pairwright.app.recording import Floor, open_floor
from pairwright.app.writing import write_json
from pairwright.archive import write_folder
from pairwright.base.time import DAY
from pairwright.base.words import ENGLISH
from pairwright.cli.main import status_of
from pairwright.floor.things import Item
from pairwright.simulation.play import Player, stage
from pairwright.simulation.rehearsal import Clock

DAYS = 3


@dataclass(frozen=True)
class Played:
    """A floor that was followed at the end of each day."""

    folder: Path
    floor: Floor
    days: tuple[Followed, ...]


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    folder = tmp_path_factory.mktemp("follow") / "works"
    write_folder(folder, sample.layout(pairs=1, start=date(2027, 3, 1), seed=1))
    opened = open_definition(folder)
    write_json(folder / "plan.json", plan_works(opened, actor="test", now=opened.now(), effort=1).document)
    staged = stage(opened, days=DAYS, seed=5)
    clock = Clock(staged.begin)
    found: list[Followed] = []
    with open_floor(folder, clock=clock) as floor:
        player = Player(floor, clock)
        for day in range(DAYS):
            first, beyond = staged.begin + day * DAY, staged.begin + (day + 1) * DAY
            for moment in staged.moments:
                if first <= moment.at < beyond:
                    player.play(moment)
            player.settle()
            found.append(follow(floor, actor="test"))
            write_json(folder / "plan.json", found[-1].plan)
        yield Played(folder, floor, tuple(found))


@pytest.mark.parametrize("day", range(DAYS))
def test_every_day_the_plan_keeps_every_rule(played: Played, day: int) -> None:
    found = played.days[day]

    assert [f"{v.rule} {v.subject}: {v.text}" for v in found.replanned.result.violations] == []
    assert found.found
    assert found.replanned.frozen.moved_share <= 0.05


@pytest.mark.parametrize("day", range(DAYS))
def test_what_began_lies_where_it_really_lay(played: Played, day: int) -> None:
    found = played.days[day]
    lies = {op.id: (op.start, op.end) for op in found.schedule.operations}
    begun = found.replanned.frozen.live.begun
    recorded = {row.operation for row in found.reality.rows if row.standing != "not begun"}

    assert len(recorded) > 20
    assert recorded <= begun.keys()
    assert all(lies[name] == span for name, span in begun.items())
    assert all(op.start >= found.now for op in found.schedule.operations if op.id not in begun)


def test_the_record_itself_says_when_each_step_ended(played: Played) -> None:
    """Independent of the mapping: pieces of the played floor have the plan's ids."""
    found = played.days[-1]
    lies = {op.id: op for op in found.schedule.operations}
    state = played.floor.state()
    some = [
        (thing.id, done)
        for thing in state.things()
        if isinstance(thing, Item) and not thing.scrapped
        for done in thing.done
        if done.start is not None and not done.stale and f"{thing.id}/{done.step}" in lies
    ]

    assert len(some) > 50
    assert all(0 <= done.start - lies[f"{item}/{done.step}"].start < 60 for item, done in some if done.start)


def test_a_followed_plan_followed_again_says_the_same(played: Played) -> None:
    first = follow(played.floor, actor="test")
    again = follow(played.floor, actor="test")

    assert first.as_json(ENGLISH) == again.as_json(ENGLISH)
    assert first.replanned.frozen.moved == ()
    assert first.schedule.operations == played.days[-1].schedule.operations


def test_orders_that_came_in_are_placed(played: Played) -> None:
    before = {row.order for row in played.days[0].replanned.before.orders}
    after = {row.order for row in played.days[0].schedule.orders}

    assert before < after


def test_the_latest_plan_is_made_once_for_a_state_of_the_record(played: Played) -> None:
    first = latest_plan(played.floor)

    assert first is not None
    assert first is latest_plan(played.floor)
    assert first.operations == played.days[-1].schedule.operations


def test_the_command_prints_the_plan_and_reality(played: Played, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["follow", str(played.folder), "--json", "-q", "--keep"]) == 0
    body = json.loads(capsys.readouterr().out)

    assert body["verified"] is True
    assert body["followed"]["hash"] == played.floor.record.head().hash
    assert {row["standing"] for row in body["reality"]["operations"]} >= {"ended", "not planned"}
    assert json.loads((played.folder / "plan.json").read_text("utf-8"))["now"] == body["now"]
    assert status_of(["plan", str(played.folder), "--verify", str(played.folder / "plan.json"), "-q"]) in (
        0,
        1,
    )
