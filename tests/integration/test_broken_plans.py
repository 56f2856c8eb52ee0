"""A good plan of the sample works, broken in every way that there is a rule for."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.opened import Opened
from pairwright.app.planning import PlanResult, verify_plan
from pairwright.cli.main import status_of
from pairwright.works import Step

Plan = dict[str, Any]
Op = dict[str, Any]


class Broken:
    """A copy of the plan, with what a fault needs to find its victim."""

    def __init__(self, opened: Opened, document: Plan) -> None:
        self.works = opened.works
        self.plan = copy.deepcopy(document)
        self.ops: list[Op] = self.plan["operations"]

    def step(self, op: Op) -> Step:
        return self.works.variants[op["product"], op["option"]].parts[op["part"]].steps[op["index"]]

    def manned(self, op: Op) -> bool:
        return op["station"] is not None and self.works.factory.stations[op["station"]].manned

    def first(self, wanted: Callable[[Op], object]) -> Op:
        return next(o for o in self.ops if wanted(o))

    def before(self, op: Op) -> Op | None:
        return next((o for o in self.ops if o["item"] == op["item"] and o["index"] == op["index"] - 1), None)

    def plain(self, op: Op) -> bool:
        """Manned, worked in one piece, by itself."""
        return self.manned(op) and not op["pieces"] and op["batch"] is None and op["setup_start"] is None


def at(op: Op, field: str) -> datetime:
    return datetime.fromisoformat(op[field])


def move(op: Op, start: datetime) -> None:
    """To another time, as long as before, in one piece."""
    length = at(op, "end") - at(op, "start")
    op["start"], op["end"], op["pieces"] = start.isoformat(), (start + length).isoformat(), []


def unreadable(b: Broken) -> None:
    b.ops[0]["start"] = "soon"


def unknown(b: Broken) -> None:
    b.first(b.manned)["station"] = "loft"


def left_out(b: Broken) -> None:
    b.ops.remove(b.first(lambda o: o["index"] == 1))


def done_twice(b: Broken) -> None:
    b.ops.append({**b.ops[5], "id": "again"})


def wrong_index(b: Broken) -> None:
    b.first(lambda o: o["index"] == 2)["index"] = 1


def swapped_side(b: Broken) -> None:
    b.first(lambda o: o["side"] == "left")["side"] = "right"


def wrong_station(b: Broken) -> None:
    op = b.first(lambda o: o["station"] == "hot-press")
    op.update(station="assembly", unit=0)


def too_short(b: Broken) -> None:
    op = b.first(b.plain)
    op["end"] = (at(op, "end") - timedelta(minutes=1)).isoformat()


def before_now(b: Broken) -> None:
    move(b.first(b.plain), datetime.fromisoformat(b.plan["now"]) - timedelta(days=3))


def out_of_order(b: Broken) -> None:
    op = b.first(lambda o: b.plain(o) and b.before(o) is not None)
    before = b.before(op)
    assert before is not None
    move(op, at(before, "start"))


def too_soon(b: Broken) -> None:
    op = b.first(lambda o: (p := b.before(o)) is not None and b.step(p).next_min > 3600)
    before = b.before(op)
    assert before is not None
    move(op, at(before, "end") + timedelta(minutes=40))


def too_late(b: Broken) -> None:
    op = b.first(lambda o: (p := b.before(o)) is not None and b.step(p).next_max is not None)
    move(op, at(op, "start") + timedelta(days=20))


def beamed_over(b: Broken) -> None:
    areas = b.works.factory.stations

    def apart(op: Op) -> bool:
        before = b.before(op)
        return (
            before is not None and before["station"] is not None and op["station"] is not None
            and b.works.factory.transport.time(areas[before["station"]].area, areas[op["station"]].area) > 0
        )  # fmt: skip

    op = b.first(apart)
    before = b.before(op)
    assert before is not None
    move(op, at(before, "end"))


def on_sunday_night(b: Broken) -> None:
    op = b.first(b.plain)
    start = at(op, "start") + timedelta(days=40)
    move(op, (start + timedelta(days=6 - start.weekday())).replace(hour=3))


def oven_begun_at_night(b: Broken) -> None:
    op = b.first(
        lambda o: o["station"] is not None and not b.manned(o)
        and not b.works.factory.calendars[b.works.factory.stations[o["station"]].calendar].always
    )  # fmt: skip
    start = at(op, "start") + timedelta(days=40)
    move(op, (start + timedelta(days=6 - start.weekday())).replace(hour=3))


def paused_where_it_may_not(b: Broken) -> None:
    op = b.first(lambda o: b.plain(o) and not b.step(o).pause)
    start, end = at(op, "start"), at(op, "end")
    half = start + (end - start) / 2
    late = timedelta(hours=1)
    op["pieces"] = [
        [start.isoformat(), half.isoformat()],
        [(half + late).isoformat(), (end + late).isoformat()],
    ]
    op["end"] = (end + late).isoformat()


def during_maintenance(b: Broken) -> None:
    op = b.first(lambda o: b.plain(o) and b.works.factory.stations[o["station"]].maintenance)
    stop = b.works.factory.stations[op["station"]].maintenance[0]
    move(op, stop.start.replace(tzinfo=stop.start.tzinfo or b.works.zone))


def two_on_a_place(b: Broken) -> None:
    op = b.first(b.plain)
    other = b.first(lambda o: b.plain(o) and o["station"] == op["station"] and o is not op)
    other["unit"] = op["unit"]
    move(other, at(op, "start"))


def torn_batch(b: Broken) -> None:
    op = b.first(lambda o: o["batch"] and sum(p["batch"] == o["batch"] for p in b.ops) > 1)
    move(op, at(op, "start") + timedelta(minutes=2))


def overfull_batch(b: Broken) -> None:
    op = b.first(lambda o: o["batch"] is not None)
    same = (o for o in b.ops if o["batch"] is not None and b.step(o).batch == b.step(op).batch)
    for other in same:
        other.update({k: op[k] for k in ("batch", "station", "unit", "start", "end")})


def crowded_line(b: Broken) -> None:
    line = [
        o for o in b.ops if o["station"] is not None and b.works.factory.stations[o["station"]].kind == "line"
    ]
    one = line[0]
    other = next(o for o in line if o["batch"] != one["batch"] or (o["batch"] is None and o is not one))
    other["start"], other["end"] = one["start"], one["end"]


def no_setup(b: Broken) -> None:
    for op in b.ops:
        op["setup_start"] = None


def too_few_people(b: Broken) -> None:
    crew = b.first(b.plain)
    name = b.works.factory.stations[crew["station"]].crew
    for op in b.ops:
        if b.plain(op) and b.works.factory.stations[op["station"]].crew == name:
            move(op, at(crew, "start"))


def foreign_crew(b: Broken) -> None:
    op = b.first(lambda o: o["crew"] is not None)
    op["crew"] = next(c for c in b.works.factory.crews if c != op["crew"])


def carriers_kept(b: Broken) -> None:
    for op in b.ops:
        if b.step(op).returns is not None and b.step(op).takes is None:
            move(op, at(op, "start") + timedelta(days=400))


def stays_not_listed(b: Broken) -> None:
    b.first(lambda o: o["buffer_stays"])["buffer_stays"] = []


def rest_room_overfull(b: Broken) -> None:
    for op in b.ops:
        before = b.before(op)
        if before is not None and b.step(before).buffer is not None:
            move(op, at(op, "start") + timedelta(days=400))


def mates_in_two_batches(b: Broken) -> None:
    op = b.first(lambda o: o["batch"] is not None and b.step(o).mates == "same batch")
    op["batch"] = "another"
    move(op, at(op, "start") + timedelta(hours=5))


def mates_apart(b: Broken) -> None:
    op = b.first(lambda o: o["side"] is not None and b.step(o).mates_within is not None)
    move(op, at(op, "start") + timedelta(days=30))


def foreign_part(b: Broken) -> None:
    op = b.first(lambda o: o["uses"])
    other = b.first(lambda o: o["uses"] and o is not op and o["step"] == op["step"])
    op["uses"] = other["uses"]


def part_not_ready(b: Broken) -> None:
    op = b.first(lambda o: o["uses"] and any(p["item"] in o["uses"] for p in b.ops))
    move(op, min(at(p, "start") for p in b.ops if p["item"] in op["uses"]))


def place_let_go(b: Broken) -> None:
    b.first(lambda o: b.step(o).keeps_place)["held_until"] = None


def false_completion(b: Broken) -> None:
    b.plan["orders"][0]["completion"] = b.plan["now"]


def false_bound(b: Broken) -> None:
    b.plan["lower_bound"] = b.plan["objective"] + 3600


FAULTS: list[tuple[str, Callable[[Broken], None]]] = [
    ("unreadable", unreadable), ("unknown", unknown), ("complete", left_out), ("complete", done_twice),
    ("complete", wrong_index), ("identity", swapped_side), ("station", wrong_station),
    ("duration", too_short), ("earliest", before_now), ("sequence", out_of_order),
    ("least_wait", too_soon), ("longest_wait", too_late), ("transport", beamed_over),
    ("calendar", on_sunday_night), ("calendar", oven_begun_at_night), ("pause", paused_where_it_may_not),
    ("maintenance", during_maintenance), ("unit", two_on_a_place), ("batch", torn_batch),
    ("batch", overfull_batch), ("line", crowded_line), ("setup", no_setup), ("crew", too_few_people),
    ("skill", foreign_crew), ("carrier", carriers_kept), ("buffer", stays_not_listed),
    ("buffer", rest_room_overfull), ("mates_batch", mates_in_two_batches), ("mates_within", mates_apart),
    ("assembly", foreign_part), ("assembly", part_not_ready), ("held", place_let_go),
    ("claims", false_completion), ("claims", false_bound),
]  # fmt: skip


def test_the_plan_itself_keeps_every_rule(planned: PlanResult) -> None:
    assert planned.violations == ()
    assert len(planned.schedule.operations) > 500


@pytest.mark.parametrize(("rule", "fault"), FAULTS, ids=[f.__name__ for _, f in FAULTS])
def test_a_broken_plan_is_caught_by_its_rule(
    rule: str, fault: Callable[[Broken], None], opened: Opened, planned: PlanResult
) -> None:
    broken = Broken(opened, json.loads(json.dumps(planned.document)))

    fault(broken)

    assert rule in {v.rule for v in verify_plan(opened, broken.plan, actor="test")}


def test_the_command_says_no_to_a_broken_plan(
    opened: Opened, planned: PlanResult, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, body in opened.texts.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(body, "utf-8")
    broken = Broken(opened, json.loads(json.dumps(planned.document)))
    place_let_go(broken)
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(planned.document), "utf-8")
    bad.write_text(json.dumps(broken.plan), "utf-8")

    accepted = status_of(["plan", str(tmp_path), "--verify", str(good), "--json"])
    opinion = json.loads(capsys.readouterr().out)
    refused = status_of(["plan", str(tmp_path), "--verify", str(bad), "--json"])
    verdict = json.loads(capsys.readouterr().out)

    assert (accepted, opinion) == (0, {"ok": True, "violations": []})
    assert refused == 1
    assert {v["rule"] for v in verdict["violations"]} == {"held"}
