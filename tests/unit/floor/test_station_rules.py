"""The rules of a works, one at a time, on a floor in memory."""

from __future__ import annotations

import itertools
from functools import cache
from typing import Any

import pytest

from pairwright.base.time import DAY, HOUR, MINUTE, iso, parse_instant
from pairwright.floor import Event, State, accept, known_of, read_event, weigh
from pairwright.floor.carriers import holder_of
from pairwright.floor.qualification import may_do, qualifications
from pairwright.floor.routes import Position, Routes, mate_of
from pairwright.floor.works_rules import rules_of
from pairwright.sample import layout
from pairwright.works import load_works

NOW = parse_instant("2027-04-20T10:00:00+02:00")
CLAMP = ("sorrel", "ink", "cabinet", "front-clamp")
REST = ("sorrel", "ink", "cabinet", "rest")


@cache
def routes() -> Routes:
    needs = {("sorrel", "ink", "cabinet", "front"): {"joint-glue": 0.0099}}
    return Routes(load_works(layout(pairs=1)), least={CLAMP: 80.0 * MINUTE, REST: 8.0 * DAY}, needs=needs)


class Shop:
    """A floor in memory that keeps the rules of the sample works."""

    def __init__(self) -> None:
        self.state = State()
        self.rules = rules_of(routes())
        self.known = known_of(routes().works)
        self.keys = itertools.count(1)

    def event(self, kind: str, subject: str = "", /, *, ago: float = 0.0, **data: Any) -> Event:
        raw: dict[str, Any] = {
            "key": f"k-{next(self.keys)}", "kind": kind, "event_time": iso(int(NOW - ago), routes().works.zone),
            "actor": data.pop("actor", "P1"), "data": data,
        }  # fmt: skip
        if "station" in data:
            raw["station"] = data.pop("station")
        if subject:
            kind_of, _, name = subject.partition(" ")
            raw[kind_of] = name
        return read_event(raw, known=self.known)

    def tell(self, kind: str, subject: str = "", /, **more: Any) -> None:
        """What happened, whether by the rules or not."""
        accept(self.state, weigh(self.state, self.event(kind, subject, **more)))

    def codes(self, kind: str, subject: str = "", /, **more: Any) -> list[str]:
        return [
            f.code for f in weigh(self.state, self.event(kind, subject, **more), rules=self.rules).findings
        ]

    def cabinet(self, name: str, upto: str = "", /, *, ago: float = DAY, **facts: Any) -> None:
        self.tell(
            "registered",
            f"item {name}",
            product="sorrel",
            option="ink",
            part="cabinet",
            ago=99 * DAY,
            **facts,
        )
        for step in routes().works.variants["sorrel", "ink"].parts["cabinet"].steps:
            if not upto:
                return
            if step.stations:
                self.tell("finished", f"item {name}", step=step.id, ago=ago)
            if step.id == upto:
                return

    def position(self, name: str) -> Position:
        item = self.state.item(name)
        assert item is not None
        found = routes().position(self.state, item)
        assert found is not None
        return found


@pytest.fixture
def shop() -> Shop:
    return Shop()


def test_the_next_step_is_the_first_that_is_not_done(shop: Shop) -> None:
    shop.cabinet("C-1", "edges")

    due = shop.position("C-1").next
    assert due is not None
    assert due.id == "sand"
    assert shop.codes("started", "item C-1", step="sand", station="sanding-cell") == []
    assert shop.codes("started", "item C-1", step="seal-1") == ["out_of_sequence"]
    assert shop.codes("started", "item C-1", step="sand", station="oven") == ["wrong_station"]


def test_a_thing_of_which_nobody_knows_what_it_is_follows_the_general_rules_only(shop: Shop) -> None:
    assert shop.codes("started", "item X-1", step="polish", station="oven") == []


def test_a_pure_wait_shows_as_time_that_must_have_passed(shop: Shop) -> None:
    shop.cabinet("C-1", "clear-3-stove", ago=8 * DAY - MINUTE)
    shop.cabinet("C-2", "clear-3-stove", ago=8 * DAY)

    due = shop.position("C-1").next
    assert due is not None
    assert due.id == "last-flat"
    assert shop.codes("started", "item C-1", step="last-flat") == ["uncured"]
    assert shop.codes("started", "item C-2", step="last-flat") == []


def test_glue_is_closed_within_its_open_time_to_the_second(shop: Shop) -> None:
    shop.cabinet("C-1", "front", ago=10 * MINUTE)
    shop.cabinet("C-2", "front", ago=10 * MINUTE + 1)

    assert shop.codes("started", "item C-1", step="front-clamp") == []
    assert shop.codes("started", "item C-2", step="front-clamp") == ["open_time_over"]


def test_a_cure_is_not_cut_short_and_then_rests(shop: Shop) -> None:
    shop.cabinet("C-1", "front", ago=2 * HOUR)
    shop.tell("started", "item C-1", step="front-clamp", ago=80 * MINUTE - 1)

    assert shop.codes("finished", "item C-1", step="front-clamp") == ["uncured"]
    assert shop.codes("finished", "item C-1", step="front-clamp", ago=-1) == []


def test_a_decision_opens_the_way_that_time_had_closed(shop: Shop) -> None:
    shop.cabinet("C-1", "front", ago=HOUR)
    shop.tell("reported", "item C-1", text="glue lay open", nonconformance="N-1")
    before = shop.codes("started", "item C-1", step="front-clamp")
    shop.tell(
        "disposed",
        "item C-1",
        nonconformance="N-1",
        disposition="concession",
        authority="P9",
        reason="fresh glue",
    )

    assert before == ["open_time_over"]
    assert shop.codes("started", "item C-1", step="front-clamp") == []


def test_rework_is_the_next_step_whatever_was_done_after_it(shop: Shop) -> None:
    shop.cabinet("C-1", "clear-flat", ago=5 * DAY)
    shop.tell(
        "disposed", "item C-1", nonconformance="N-1", disposition="rework", to_step="clear-2", authority="P9"
    )

    assert shop.codes("started", "item C-1", step="clear-3") == ["out_of_sequence"]
    assert shop.codes("started", "item C-1", step="clear-2") == []


def test_steps_done_together_count_only_since_the_halves_are_mates(shop: Shop) -> None:
    for name in ("C-1", "C-2", "C-3"):
        shop.cabinet(name, "units")
    shop.tell("mated", "set S-1", a="C-1", b="C-2")
    shop.tell("finished", "set S-1", step="measure")
    measured = shop.codes("started", "set S-1", step="look-over")
    shop.tell("unmated", "set S-1", a="C-1", b="C-2", reason="dent")
    shop.tell("mated", "set S-1", a="C-1", b="C-3", reason="dent")

    assert measured == []
    due = shop.position("C-1").next
    assert due is not None
    assert due.id == "measure"


def test_a_set_waits_for_its_slower_half(shop: Shop) -> None:
    shop.cabinet("C-1", "units")
    shop.cabinet("C-2", "network")
    shop.tell("mated", "set S-1", a="C-1", b="C-2")

    assert shop.codes("started", "set S-1", step="measure") == ["out_of_sequence"]


def test_the_mate_is_known_before_the_pair_is_formed(shop: Shop) -> None:
    for name, side in (("C-1", "a"), ("C-2", "b")):
        shop.cabinet(name, side=side, set="S-1")
    first = shop.state.item("C-1")
    assert first is not None

    mate = mate_of(shop.state, first)

    assert mate is not None
    assert mate.id == "C-2"


def test_mates_stay_in_step_unless_a_decision_set_them_apart(shop: Shop) -> None:
    for name in ("C-1", "C-2"):
        shop.cabinet(name, "colour-2-dry", ago=2 * DAY)
    shop.tell("mated", "set S-1", a="C-1", b="C-2")
    shop.tell("started", "item C-1", step="clear-1", ago=2 * HOUR + 1)
    late = shop.codes("started", "item C-2", step="clear-1")
    shop.tell(
        "disposed", "item C-2", nonconformance="N-1", disposition="rework", to_step="colour-2", authority="P9"
    )
    for step in ("colour-2", "colour-2-dry"):
        shop.tell("finished", "item C-2", step=step, ago=3 * HOUR)

    assert late == ["mate_out_of_step"]
    assert shop.codes("started", "item C-2", step="clear-1") == []


def test_a_half_that_was_reworked_goes_through_the_oven_without_its_mate(shop: Shop) -> None:
    for name in ("C-1", "C-2"):
        shop.cabinet(name, "clear-1", ago=HOUR)
    shop.tell("mated", "set S-1", a="C-1", b="C-2")
    shop.tell("started", "item C-1", step="clear-1-stove", batch="B-1")
    together = shop.codes("started", "item C-2", step="clear-1-stove", batch="B-2")
    shop.tell(
        "disposed", "item C-2", nonconformance="N-1", disposition="rework", to_step="clear-1", authority="P9"
    )
    shop.tell("finished", "item C-2", step="clear-1", ago=HOUR)

    assert together == ["mate_in_other_batch"]
    assert shop.codes("started", "item C-2", step="clear-1-stove", batch="B-2") == []


def test_a_carrier_is_free_again_after_the_step_that_gives_it_back(shop: Shop) -> None:
    shop.cabinet("C-1", "edges")
    shop.tell("finished", "item C-1", step="sand")
    shop.tell("finished", "item C-1", step="seal-1", carrier="paint-1")
    held = holder_of(routes(), shop.state, "paint-1")
    for step in ("seal-1-dry", "clear-3-stove"):
        shop.tell("finished", "item C-1", step=step)

    assert held is not None
    assert held.id == "C-1"
    assert holder_of(routes(), shop.state, "paint-1") is None


def test_a_skill_counts_from_its_day_to_its_last_and_its_correction_counts(shop: Shop) -> None:
    nobody = may_do(shop.state, "P1", skill="sanding", day="2027-04-20")
    shop.tell("qualified", person="P1", skill="sanding", until="2027-04-20")
    event = shop.event("qualified", person="P2", skill="sanding")
    accept(shop.state, weigh(shop.state, event))
    before = may_do(shop.state, "P2", skill="sanding", day="2027-04-20")
    shop.tell("corrected", event=event.key, reason="did_not_occur")

    assert nobody is None  # a works that keeps no list asks for none
    assert may_do(shop.state, "P1", skill="sanding", day="2027-04-20") is None
    assert may_do(shop.state, "P1", skill="sanding", day="2027-04-21") is not None
    assert before is None
    assert qualifications(shop.state, "P2") == {}
    assert may_do(shop.state, "P2", skill="sanding", day="2027-04-20") is not None


def test_a_step_may_take_any_lot_of_its_material(shop: Shop) -> None:
    shop.cabinet("C-1", "brace-clamp")
    for lot, material in (("L-1", "joint-glue"), ("L-2", "joint-glue"), ("L-3", "unit-bond")):
        shop.tell("received", f"lot {lot}", material=material, quantity=1.0, unit="kg")

    def taking(*lots: str) -> list[str]:
        inputs = [{"lot": lot, "quantity": 0.005, "unit": "kg"} for lot in lots]
        return shop.codes("started", "item C-1", step="front", inputs=inputs)

    assert taking("L-1", "L-2") == []
    assert taking("L-1", "L-3") == ["wrong_lot"]


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({}, []),
        ({"programme": "sorrel-sanding"}, []),
        ({"programme": "sorrel-sanding", "revision": "E"}, []),
        ({"programme": "sorrel-sanding", "revision": "D"}, ["programme_out_of_date"]),
        ({"programme": "tansy-sanding"}, ["wrong_programme"]),
    ],
)
def test_the_programme_is_the_one_the_works_names(
    shop: Shop, given: dict[str, str], codes: list[str]
) -> None:
    shop.cabinet("C-1", "edges")

    assert shop.codes("started", "item C-1", step="sand", station="sanding-cell", **given) == codes
