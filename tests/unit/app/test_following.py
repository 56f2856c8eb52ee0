"""The plan follows single events: late, lost, unknown, mated otherwise, come in, fallen through."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pairwright import sample
from pairwright.app.following import Followed, follow, latest_plan
from pairwright.app.following_slots import pieces_of, slots_of
from pairwright.app.opened import open_definition
from pairwright.app.planning import plan_works
from pairwright.app.recording import Floor, open_floor
from pairwright.app.writing import write_json
from pairwright.archive import write_folder
from pairwright.base.errors import InputError
from pairwright.base.time import HOUR, MINUTE, iso
from pairwright.floor.things import Bond, Done, Item
from pairwright.plan.schedule import Operation, Schedule
from pairwright.plan.schedule import from_document as plan_of

ORDERS = """order,product,option,quantity,due
B1,sorrel,ink,2,2027-05-28
"""


class Bench:
    """A works with a plan and a record that keeps no rules: what follows must bear any record."""

    def __init__(self, folder: Path, document: dict[str, Any]) -> None:
        write_folder(folder, {**sample.layout(pairs=1, start=date(2027, 3, 1), seed=1), "orders.csv": ORDERS})
        write_json(folder / "plan.json", document)
        self.plan: Schedule = plan_of(document)
        self.floor: Floor = open_floor(folder, clock=lambda: self.plan.now, rules=lambda _: ())
        self._keys = itertools.count(1)

    def tell(self, kind: str, at: int, item: str | None = None, **data: Any) -> None:
        station = data.pop("station", None)
        raw = {"key": f"k{next(self._keys)}", "kind": kind, "actor": "P1", "data": data,
               "event_time": iso(at, self.floor.opened.works.zone)}  # fmt: skip
        raw |= {"item": item} if item else {}
        raw |= {"station": station} if station else {}
        self.floor.append(self.floor.read([raw]))

    def did(self, name: str, op: Operation, *, start: int, end: int | None) -> None:
        self.tell("started", start, name, step=op.step, station=op.station)
        if end is not None:
            self.tell("finished", end, name, step=op.step, station=op.station)

    def be(self, name: str, op: Operation, **more: Any) -> None:
        self.tell("registered", self.plan.now, name, product=op.product, option=op.option, part=op.part,
                  order=op.order, **more)  # fmt: skip

    def first(self, part: str, at: str = "B1-1") -> Operation:
        """The first operation of the first item of a part in a set."""
        some = [op for op in self.plan.operations if op.part == part and op.set == at and op.station]
        return min(some, key=lambda op: (op.start, op.id))

    def follow(self, **more: Any) -> Followed:
        found = follow(self.floor, actor="test", **more)
        assert [f"{v.rule} {v.subject}: {v.text}" for v in found.replanned.result.violations] == []
        assert found.found
        return found


@pytest.fixture(scope="module")
def document(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("plan")
    write_folder(folder, {**sample.layout(pairs=1, start=date(2027, 3, 1), seed=1), "orders.csv": ORDERS})
    opened = open_definition(folder)
    return plan_works(opened, actor="test", now=opened.now(), effort=1).document


@pytest.fixture
def bench(tmp_path: Path, document: dict[str, Any]) -> Iterator[Bench]:
    made = Bench(tmp_path / "works", document)
    yield made
    made.floor.close()


def test_a_late_start_is_seen_and_lies_where_it_was(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be(op.item, op, set=op.set, side=op.side)
    bench.did(op.item, op, start=op.start + 90 * MINUTE, end=op.end + 100 * MINUTE)

    found = bench.follow()

    row = next(row for row in found.reality.rows if row.operation == op.id)
    assert (row.standing, row.by, row.overrun) == ("ended", 90 * MINUTE, 10 * MINUTE)
    lies = next(one for one in found.schedule.operations if one.id == op.id)
    assert (lies.start, lies.end) == (op.start + 90 * MINUTE, op.end + 100 * MINUTE)


def test_what_runs_on_ends_no_sooner_than_now(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be(op.item, op, set=op.set, side=op.side)
    bench.did(op.item, op, start=op.start, end=None)

    found = bench.follow(now=op.end + 2 * HOUR)

    row = next(row for row in found.reality.rows if row.operation == op.id)
    assert (row.standing, row.end) == ("running", None)
    assert next(one for one in found.schedule.operations if one.id == op.id).end == op.end + 2 * HOUR


def test_a_piece_without_a_set_is_the_next_of_its_order_and_stays_it(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be("SHELL-9", op)
    bench.did("SHELL-9", op, start=op.start, end=op.end)

    found = bench.follow()
    write_json(bench.floor.folder / "plan.json", found.plan)
    again = bench.follow()

    slot = found.trail["items"]["SHELL-9"]
    shells = {one.item: one.start for one in reversed(bench.plan.operations) if one.part == "shell"}
    assert slot == min(shells, key=lambda name: (shells[name], name))
    assert again.trail["items"] == found.trail["items"]
    assert again.trail["planned"] == found.trail["planned"]


def test_a_piece_that_the_plan_has_no_place_for_is_told(bench: Bench) -> None:
    op = bench.first("shell")
    count = len({one.item for one in bench.plan.operations if one.part == "shell"})
    for number in range(count + 1):
        bench.be(f"SHELL-{number}", op)
        bench.did(f"SHELL-{number}", op, start=op.start + number * HOUR, end=op.end + number * HOUR)

    found = bench.follow()

    assert [str(one) for one in found.told if "none of the pieces" in str(one)] == [
        f"SHELL-{count} (shell) of order B1 is none of the pieces that the plan has"
    ]


def test_what_was_scrapped_is_made_again_and_the_next_piece_takes_its_place(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be("OLD", op, set=op.set, side=op.side)
    bench.did("OLD", op, start=op.start, end=op.end)
    bench.tell("reported", op.end, "OLD", text="split", nonconformance="N1")
    bench.tell("disposed", op.end, "OLD", nonconformance="N1", disposition="scrap", authority="P9")

    found = bench.follow()
    after = {one.id: one for one in found.schedule.operations}

    slot = found.trail["items"]["OLD"]
    assert after[f"{slot}/{op.step}/lost-1"].start == op.start
    assert after[f"{slot}/{op.step}"].start >= found.now

    write_json(bench.floor.folder / "plan.json", found.plan)
    bench.be("NEW", op, set=op.set, side=op.side)
    bench.did("NEW", op, start=op.end + HOUR, end=op.end + 2 * HOUR)
    again = bench.follow()
    later = {one.id: one for one in again.schedule.operations}
    assert again.trail["items"] == {"OLD": slot, "NEW": slot}
    assert later[f"{slot}/{op.step}/lost-1"].start == op.start
    assert later[f"{slot}/{op.step}"].start == op.end + HOUR


def test_what_goes_back_is_done_again(bench: Bench) -> None:
    steps = bench.floor.opened.works.variants["sorrel", "ink"].parts["crossover"].steps
    last = next(n for n, step in enumerate(steps) if step.rework is not None)
    some = sorted((o for o in bench.plan.operations if o.part == "crossover"), key=lambda o: o.start)
    if not some:
        pytest.skip("crossovers come from stock in this plan")
    item = some[0].item
    bench.be(item, some[0], set=some[0].set)
    route = {o.step: o for o in some if o.item == item}
    for step in steps[: last + 1]:
        bench.did(item, route[step.id], start=route[step.id].start, end=route[step.id].end)
    end = route[steps[last].id].end
    bench.tell("reported", end, item, text="noisy", nonconformance="N1")
    bench.tell("disposed", end, item, nonconformance="N1", disposition="rework", authority="P9",
               to_step=steps[last].rework.to if steps[last].rework else None)  # fmt: skip

    found = bench.follow()

    names = {one.id: one for one in found.schedule.operations}
    assert names[f"{item}/{steps[last].id}/again-1"].start >= found.now


def test_an_order_that_came_in_is_placed_and_one_that_fell_through_is_left_out(bench: Bench) -> None:
    bench.tell(
        "ordered", bench.plan.now, order="N7", product="tansy", option="slate", quantity=1, due="2027-06-30"
    )
    bench.tell("cancelled", bench.plan.now, order="B1", reason="withdrawn")

    found = bench.follow()

    assert [row.order for row in found.schedule.orders] == ["N7"]
    assert any("B1 is left out" in str(one) for one in found.replanned.says)


def test_a_step_that_nobody_recorded_is_taken_as_done_and_told(bench: Bench) -> None:
    op = bench.first("shell")
    second = next(o for o in bench.plan.operations if o.item == op.item and o.index > op.index and o.station)
    bench.be(op.item, op, set=op.set, side=op.side)
    bench.did(op.item, second, start=second.start, end=second.end)

    found = bench.follow()

    assert any(op.step in str(one) and "taken as done" in str(one) for one in found.told)
    assert op.id not in {row.operation for row in found.reality.rows}
    assert next(one for one in found.schedule.operations if one.id == op.id).end <= second.start


def test_a_held_piece_is_told(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be(op.item, op, set=op.set, side=op.side)
    bench.tell("held", op.start, op.item, reason="look at the edge")

    assert any("look at the edge" in str(one) for one in bench.follow().told)


def test_a_moment_before_the_last_event_is_refused(bench: Bench) -> None:
    op = bench.first("shell")
    bench.be(op.item, op, set=op.set, side=op.side)
    bench.did(op.item, op, start=op.start, end=op.end)

    with pytest.raises(InputError) as refused:
        bench.follow(now=op.start)

    assert refused.value.problems[0].field == "--now"


def test_without_a_kept_plan_there_is_nothing_to_follow(bench: Bench) -> None:
    (bench.floor.folder / "plan.json").unlink()

    assert latest_plan(bench.floor) is None
    with pytest.raises(InputError) as refused:
        follow(bench.floor, actor="test")
    assert refused.value.problems[0].field == "file"


def test_halves_that_are_mated_otherwise_stand_for_the_set_that_they_make_up(bench: Bench) -> None:
    opened = bench.floor.opened
    slots = slots_of(opened.works, open_definition(bench.floor.folder).book, covered=frozenset())
    part = slots["B1-1.a"].part
    done = (Done("x", 1, 2, None, "P1", None, None, None, "k", 1),)
    bond = Bond("B1-1", "H3", "H1", ("a", "b"), "k", 9)
    halves = [
        Item(name, "item", n, n, product="sorrel", option="ink", order="B1", part=part, done=done,
             pair=bond if name in bond.halves else None)
        for n, name in enumerate(("H1", "H2", "H3", "H4"))
    ]  # fmt: skip
    known = {"H1": "B1-1.a", "H2": "B1-1.b", "H3": "B1-2.a", "H4": "B1-2.b"}

    found = pieces_of(slots, halves, (), known=known, starts={})

    assert found.names["H3"] == "B1-1.a"
    assert found.names["H1"] == "B1-1.b"
    assert {found.names["H2"], found.names["H4"]} == {"B1-2.a", "B1-2.b"}
    assert sum("now stands for" in str(one) for one in found.told) >= 2
