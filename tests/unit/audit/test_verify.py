"""The audit passes a good plan and names the rule that a broken one breaks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from pairwright.audit import RULES, verify
from tests.unit.audit.small import at, good_plan, loaded

Plan = dict[str, Any]
WORKS, BOOK, TIMES = loaded()


def plan() -> Plan:
    return good_plan(WORKS.revision)


def find(document: Plan, name: str) -> dict[str, Any]:
    return next(o for o in document["operations"] if o["id"] == name)


def move(document: Plan, name: str, start: int, end: int, **more: Any) -> None:
    find(document, name).update({"start": at(start), "end": at(end), **more})


def rules(document: Plan) -> set[str]:
    return {v.rule for v in verify(WORKS, BOOK, times=TIMES, document=document)}


def test_a_plan_worked_out_by_hand_keeps_every_rule() -> None:
    assert verify(WORKS, BOOK, times=TIMES, document=plan()) == ()


def unreadable(p: Plan) -> None:
    find(p, "a")["start"] = "Monday"


def unknown(p: Plan) -> None:
    find(p, "c")["station"] = "loft"


def complete_missing(p: Plan) -> None:
    p["operations"].remove(find(p, "h"))


def complete_twice(p: Plan) -> None:
    p["operations"].append({**find(p, "m"), "id": "m2", "start": at(1480), "end": at(1510)})


def identity(p: Plan) -> None:
    find(p, "g")["side"] = "right"


def station(p: Plan) -> None:
    find(p, "g").update(station="clamps", unit=0)


def duration(p: Plan) -> None:
    move(p, "g", 205, 234)


def earliest(p: Plan) -> None:
    move(p, "a", -60, 0)


def sequence(p: Plan) -> None:
    move(p, "g", 190, 220)
    find(p, "e")["held_until"] = at(200)


def transport(p: Plan) -> None:
    move(p, "o", 212, 257, pieces=[[at(212), at(240)], [at(255), at(257)]])


def least_wait(p: Plan) -> None:
    for name in "ij":
        move(p, name, 295, 355)
    for name in "kl":
        move(p, name, 355, 955, buffer_stays=[{"buffer": "rack", "from": at(355), "to": at(1440)}])


def longest_wait(p: Plan) -> None:
    move(p, "e", 95, 215, held_until=at(215))
    move(p, "g", 215, 245)


def calendar(p: Plan) -> None:
    move(p, "m", 1400, 1430)
    for name in "kl":
        find(p, name)["buffer_stays"][0]["to"] = at(1400)


def calendar_unattended(p: Plan) -> None:
    move(p, "g", 245, 275)
    find(p, "e")["held_until"] = at(245)


def pause(p: Plan) -> None:
    move(p, "o", 215, 270, pieces=[[at(215), at(235)], [at(260), at(270)]])


def pause_forbidden(p: Plan) -> None:
    move(p, "d", 225, 260, pieces=[[at(225), at(240)], [at(255), at(260)]])


def maintenance(p: Plan) -> None:
    move(p, "n", 1700, 1760, setup_start=at(1600))


def unit(p: Plan) -> None:
    move(p, "b", 50, 110)


def unit_held(p: Plan) -> None:
    find(p, "f")["unit"] = 0


def batch_word(p: Plan) -> None:
    find(p, "i")["batch"] = find(p, "j")["batch"] = None
    find(p, "a")["batch"] = find(p, "b")["batch"] = "together"


def batch_apart(p: Plan) -> None:
    move(p, "j", 305, 365)


def line(p: Plan) -> None:
    move(p, "h", 212, 242)


def setup_missing(p: Plan) -> None:
    find(p, "n")["setup_start"] = None


def setup_short(p: Plan) -> None:
    find(p, "n")["setup_start"] = at(125)


def crew(p: Plan) -> None:
    move(p, "d", 120, 140)
    move(p, "c", 120, 140, unit=1)


def skill(p: Plan) -> None:
    find(p, "c")["crew"] = "makers"
    find(p, "m")["crew"] = None
    p["operations"] = [o | ({"crew": "nobody"} if o["id"] == "c" else {}) for o in p["operations"]]


def held(p: Plan) -> None:
    find(p, "e")["held_until"] = None


def buffer_unlisted(p: Plan) -> None:
    find(p, "k")["buffer_stays"] = []


def mates_batch(p: Plan) -> None:
    move(p, "j", 360, 420, batch="warm-2")


def mates_within(p: Plan) -> None:
    move(p, "d", 255, 275)
    move(p, "f", 275, 395, held_until=at(395))


def assembly_early(p: Plan) -> None:
    move(p, "c", 40, 60)


def assembly_foreign(p: Plan) -> None:
    find(p, "c")["uses"] = ["T1-1.right.shell"]


def claims_completion(p: Plan) -> None:
    p["orders"][0]["completion"] = at(1400)


def claims_objective(p: Plan) -> None:
    p["objective"] = 60


def claims_bound(p: Plan) -> None:
    p["lower_bound"] = 10


def claims_gap(p: Plan) -> None:
    p["gap"] = 0.5


def claims_revision(p: Plan) -> None:
    p["revision"] = "0" * 64


BROKEN: list[tuple[str, Callable[[Plan], None]]] = [
    ("unreadable", unreadable), ("unknown", unknown), ("complete", complete_missing), ("complete", complete_twice),
    ("identity", identity), ("station", station), ("duration", duration), ("earliest", earliest),
    ("sequence", sequence), ("transport", transport), ("least_wait", least_wait),
    ("longest_wait", longest_wait), ("calendar", calendar), ("calendar", calendar_unattended),
    ("pause", pause), ("pause", pause_forbidden), ("maintenance", maintenance), ("unit", unit),
    ("unit", unit_held), ("batch", batch_word), ("batch", batch_apart), ("line", line),
    ("setup", setup_missing), ("setup", setup_short), ("crew", crew), ("held", held),
    ("buffer", buffer_unlisted), ("mates_batch", mates_batch), ("mates_within", mates_within),
    ("assembly", assembly_early), ("assembly", assembly_foreign), ("claims", claims_completion),
    ("claims", claims_objective), ("claims", claims_bound), ("claims", claims_gap),
    ("claims", claims_revision), ("unknown", skill),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "breaks"), BROKEN, ids=[f"{r}-{b.__name__}" for r, b in BROKEN])
def test_a_broken_plan_is_caught_by_the_right_rule(rule: str, breaks: Callable[[Plan], None]) -> None:
    document = plan()

    breaks(document)

    assert rule in rules(document)


def test_every_rule_is_broken_by_some_test() -> None:
    # in test_scarce.py, test_material.py, test_begun.py and plan/test_tools.py, where works or floor differ
    elsewhere = {"skill", "carrier", "material", "pot", "tool", "begun", "away"}
    assert set(RULES) == {rule for rule, _ in BROKEN} | elsewhere


@pytest.mark.parametrize(
    "document", [{}, {"now": at(0)}, {"now": at(0), "operations": [1, {"id": "x"}, None]}]
)
def test_any_document_that_parses_is_judged(document: Plan) -> None:
    assert rules(document)
