"""Thirty small works in which a set can't be made: the reasons named, each proven by leaving it out.

The change is made to the works itself, not to what the planner thinks of it, so the two ways of
leaving a fact out judge each other.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from pairwright.plan.infeasible import impossible_sets
from pairwright.plan.reasons import Fact
from pairwright.works.definition import Works
from pairwright.works.factory import Calendar
from tests.unit.plan.builder import (
    EIGHT_HOURS,
    NOW,
    WITH_BREAK,
    book_of,
    pair,
    part,
    plan_of,
    single,
    step,
    times_of,
    works_of,
)  # fmt: skip

MORNING = {"week": {"mon": ["06:00-08:00"]}}
EVENING = {"week": {"mon": ["18:00-20:00"]}}
HOURS: dict[str, Any] = {"shift": EIGHT_HOURS, "broken": WITH_BREAK, "morning": MORNING, "evening": EVENING}
ONE = {"one": {}, "two": {}}
FRAME = {"frame": {"name": "f", "count": 1}}
RACK = {"rack": {"name": "r", "places": 1}}
CREW = {"few": {"people": 1, "calendar": "always", "skills": ["gluing"]}}
EARLY_LATE = {"one": {"calendar": "morning"}, "two": {"calendar": "evening"}}
OVEN = {"oven": {"kind": "batch", "capacity": 1, "manned": False}}
PLACES = {"bench": {"kind": "parallel", "places": 4}}


def case(product: dict[str, Any], stations: dict[str, Any], facts: set[str], **factory: Any) -> Any:
    return product, stations, facts, factory


CASES: dict[str, Any] = {
    "longer than a shift": case(
        single("s", step("a", "one", 500)), {"one": {"calendar": "shift"}}, {"pause s.body.a", "calendar shift"}),
    "longer than a half shift": case(
        single("s", step("a", "one", 300)), {"one": {"calendar": "broken"}}, {"pause s.body.a", "calendar broken"}),
    "longer than the crew's hours": case(
        single("s", step("a", "one", 130)), {"one": {"crew": "few"}}, {"pause s.body.a", "calendar morning"},
        crews={"few": {"people": 1, "calendar": "morning"}}),
    "station and crew never meet": case(
        single("s", step("a", "one", 30, pause=True)), {"one": {"calendar": "evening", "crew": "few"}},
        {"calendar morning", "calendar evening"}, crews={"few": {"people": 1, "calendar": "morning"}}),
    "more people than the crew": case(
        single("s", step("a", "one", 30, people=2)), {"one": {"crew": "few"}}, {"people few"}, crews=CREW),
    "a skill that the crew has not": case(
        single("s", step("a", "one", 30, skill="welding")), {"one": {"crew": "few"}}, {"skill welding"}, crews=CREW),
    "least wait above longest wait": case(
        single("s", step("a", "one", 10, next_min=60, next_max=30), step("b", "two", 10)), ONE,
        {"next_max s.body.a", "next_min s.body.a"}),
    "brought too slowly for the window": case(
        single("s", step("a", "one", 10, next_max=5), step("b", "two", 10)),
        {"one": {"area": "x"}, "two": {"area": "y"}}, {"next_max s.body.a", "transport "},
        transport={"default": "9 min"}),
    "hours too far apart for the window": case(
        single("s", step("a", "one", 10, next_max=60), step("b", "two", 10)), EARLY_LATE,
        {"next_max s.body.a", "calendar morning", "calendar evening"}),
    "a wait that ends when nobody works": case(
        single("s", step("a", "one", 10, next_min=720, next_max=740), step("b", "two", 10)),
        {"one": {"calendar": "morning"}, "two": {"calendar": "shift"}},
        {"next_max s.body.a", "next_min s.body.a", "calendar morning", "calendar shift"}),
    "a window over a step too long for what is left of the day": case(
        single("s", step("a", "one", 240, next_max=10), step("b", "two", 300)),
        {"one": {"calendar": "shift"}, "two": {"calendar": "shift"}},
        {"next_max s.body.a", "pause s.body.a", "pause s.body.b", "calendar shift"}),
    "three windows in a row": case(
        single("s", step("a", "one", 10, next_max=30), step("w", None, 400, next_max=30), step("b", "two", 10)),
        {"one": {"calendar": "morning"}, "two": {"calendar": "evening"}},
        {"next_max s.body.a", "next_max s.body.w", "calendar morning", "calendar evening"}),
    "an item larger than the oven": case(
        single("s", step("a", "oven", 30, load=2.0)), OVEN, {"capacity oven"}),
    "mates that do not fit one charge": case(
        pair("p", step("a", "oven", 30, mates="same batch")), OVEN, {"capacity oven", "same_batch p.body.a"}),
    "mates that must share where nothing is shared": case(
        pair("p", step("a", "bench", 30, mates="same batch")), PLACES, {"same_batch p.body.a"}),
    "mates too close for one place": case(
        pair("p", step("a", "one", 60, mates_within=20)), {"one": {}}, {"mates_within p.body.a", "places one"}),
    "mates too close for one person": case(
        pair("p", step("a", "bench", 60, mates_within=20)), {"bench": {**PLACES["bench"], "crew": "few"}},
        {"mates_within p.body.a", "people few"}, crews=CREW),
    "mates too close for a line's pitch": case(
        pair("p", step("a", "line", 60, mates_within=20)),
        {"line": {"kind": "line", "places": 5, "pitch": "30 min", "manned": False}},
        {"mates_within p.body.a", "pitch line", "capacity line"}),
    "mates kept close through one carrier": case(
        pair("p", step("a", "bench", 60, takes="frame", returns="frame", mates_within=20)), PLACES,
        {"mates_within p.body.a", "carrier frame"}, carriers=FRAME),
    "both halves hold the only carrier when they meet": case(
        pair("p", step("a", "bench", 30, takes="frame"), step("t", "bench", 10, together=True, returns="frame")),
        PLACES, {"carrier frame"}, carriers=FRAME),
    "both halves wait in the only place": case(
        pair("p", step("a", "bench", 30, buffer="rack"), step("t", "bench", 10, together=True)), PLACES,
        {"buffer rack"}, buffers=RACK),
    "an item that takes more places than the buffer has": case(
        single("s", step("a", "bench", 30, buffer="rack"), step("b", "bench", 10),
               parts={"body": part(step("a", "bench", 30, buffer="rack"), step("b", "bench", 10), places=2)}),
        PLACES, {"buffer rack"}, buffers=RACK),
    "two parts wait in the only place": case(
        single("s", step("a", "bench", 30, uses=["foot"]),
               parts={"foot": part(step("turn", "bench", 20, buffer="rack"), quantity=2)}),
        PLACES, {"buffer rack"}, buffers=RACK),
    "two parts hold the only carrier until they are used": case(
        single("s", step("a", "bench", 30, uses=["foot"]), parts={
            "foot": part(step("turn", "one", 20, keeps_place=True), quantity=2)}),
        {**PLACES, "one": {}}, {"keeps_place s.foot.turn", "places one"}),
    "both halves keep the only place until they meet": case(
        pair("p", step("a", "one", 30, keeps_place=True), step("t", "bench", 10, together=True)),
        {**PLACES, "one": {}}, {"keeps_place p.body.a", "places one"}),
    "early-bound halves too close for one place": case(
        pair("p", step("a", "one", 60), early=True, mates_within="30 min"), {"one": {}},
        {"mates_within p.body.a", "places one"}),
    "a setup longer than the window": case(
        single("s", step("a", "one", 10, setup="red", next_max=20), step("b", "one", 10, setup="blue")),
        {"one": {"setup": {"default": "60 min"}}},
        {"next_max s.body.a", "setup one", "places one"}),
    "a stop for ever": case(
        single("s", step("a", "one", 10)), {"one": {"maintenance": "for ever"}}, {"maintenance one"}),
    "no hours at all": case(
        single("s", step("a", "one", 10)), {"one": {"calendar": "never"}}, {"calendar never"},
        calendars={"never": {"week": {}}}),
    "a window into the weekend": case(
        single("s", step("a", "one", 10, next_min=60, next_max=120), step("b", "two", 10)),
        {"one": {"calendar": "saturday"}, "two": {"calendar": "shift"}},
        {"next_max s.body.a", "calendar saturday", "calendar shift"},
        calendars={"saturday": {"week": {"sat": ["06:00-14:00"]}}}),
    "a cure that ends at night and can not wait": case(
        single("s", step("a", "clamps", 600, next_max=60), step("b", "one", 10)),
        {"clamps": {"manned": False, "calendar": "morning"}, "one": {"calendar": "shift"}},
        {"next_max s.body.a", "calendar morning", "calendar shift"}),
}  # fmt: skip


def works_for(name: str) -> Works:
    from datetime import datetime

    product, stations, _, factory = CASES[name]
    for table in stations.values():
        if table.get("maintenance") == "for ever":
            table = table.update(maintenance=[{"start": datetime(2027, 3, 1), "length": "10000 d"}])
    calendars = {**HOURS, **factory.get("calendars", {})}
    return works_of(product, stations=stations, **{**factory, "calendars": calendars})


def named(fact: str) -> Fact:
    kind, _, subject = fact.partition(" ")
    return kind, subject


def without(works: Works, fact: Fact) -> Works:
    """The works changed so that the fact is no more."""
    kind, subject = fact
    factory = works.factory
    step_field = {
        "next_max": {"next_max": None}, "next_min": {"next_min": 0.0}, "pause": {"pause": True},
        "same_batch": {"mates": "free"}, "mates_within": {"mates_within": 1e9}, "keeps_place": {"keeps_place": False},
    }.get(kind)  # fmt: skip
    if step_field is not None:
        return _with_step(works, subject, step_field)
    if kind == "skill":
        crews = {n: c.model_copy(update={"skills": (*c.skills, subject)}) for n, c in factory.crews.items()}
        return replace(works, factory=factory.model_copy(update={"crews": crews}))
    if kind == "transport":
        return replace(works, factory=factory.model_copy(update={"transport": type(factory.transport)()}))
    group, update = {
        "calendar": ("calendars", None), "people": ("crews", {"people": 99}), "buffer": ("buffers", {"places": 99}),
        "carrier": ("carriers", {"count": 99}), "capacity": ("stations", {"capacity": 99.0}),
        "places": ("stations", {"places": 99}), "maintenance": ("stations", {"maintenance": ()}),
        "setup": ("stations", {"setup": None}), "pitch": ("stations", {"pitch": 0.0}),
    }[kind]  # fmt: skip
    table = dict(getattr(factory, group))
    table[subject] = Calendar(always=True) if update is None else table[subject].model_copy(update=update)
    return replace(works, factory=factory.model_copy(update={group: table}))


def _with_step(works: Works, name: str, update: dict[str, Any]) -> Works:
    product_id, part_name, step_id = name.split(".")
    variants = {}
    for key, product in works.variants.items():
        if product.id == product_id:
            record = product.parts[part_name]
            steps = tuple(s.model_copy(update=update) if s.id == step_id else s for s in record.steps)
            parts = {**product.parts, part_name: record.model_copy(update={"steps": steps})}
            product = product.model_copy(update={"parts": parts})
        variants[key] = product
    return replace(works, variants=variants)


def test_there_are_thirty_of_them() -> None:
    assert len(CASES) >= 30


@pytest.mark.parametrize("name", CASES)
def test_the_reasons_are_those_of_which_any_one_is_enough(name: str) -> None:
    works = works_for(name)
    book = book_of(CASES[name][0]["id"])

    found = impossible_sets(works, book, times=times_of(works), now=NOW)

    assert len(found) == 1
    assert (found[0].proven, found[0].alone) == (True, True)
    assert set(found[0].facts) == {named(fact) for fact in CASES[name][2]}


@pytest.mark.parametrize(("name", "fact"), [(n, f) for n, c in CASES.items() for f in sorted(c[2])])
def test_without_the_fact_there_is_a_plan(name: str, fact: str) -> None:
    works = works_for(name)
    book = book_of(CASES[name][0]["id"])

    assert plan_of(works, book, effort=1).status == "infeasible"
    changed = without(works, named(fact))
    assert plan_of(changed, book, effort=1).status in ("optimal", "feasible")


def test_the_document_says_why_in_words() -> None:
    plan = plan_of(works_for("least wait above longest wait"), book_of("s"))

    assert plan.status == "infeasible"
    assert plan.operations == ()
    assert [str(reason) for reason in plan.reasons] == [
        "s.body.a: the next step begins at most 30 min after it",
        "s.body.a: the next step begins at least 60 min after it",
    ]


def test_two_contradictions_are_lifted_only_together() -> None:
    works = works_of(
        single("s", step("a", "one", 500), step("b", "two", 30, people=2)),
        stations={"one": {"calendar": "shift"}, "two": {"crew": "few"}}, calendars=HOURS, crews=CREW,
    )  # fmt: skip

    found = impossible_sets(works, book_of("s"), times=times_of(works), now=NOW)

    assert not found[0].alone
    kinds = {kind for kind, _ in found[0].facts}
    assert "people" in kinds
    assert kinds & {"pause", "calendar"}
    assert len(found[0].facts) == 2
