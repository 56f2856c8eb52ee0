"""The audit counts material for itself: whatever is missing, spoilt, drawn twice or left out is told."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any, TypeAlias

import pytest

from pairwright.audit import verify
from pairwright.works import Book, Works
from pairwright.works.material import Article, Coating
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Lot, Purchase
from tests.unit.audit.small import at, good_plan, loaded

Plan: TypeAlias = dict[str, Any]
NEEDS = (
    MaterialNeed("tern", "ash", "cabinet", "glue", "hinge", 2.0),
    MaterialNeed("wren", "oak", "body", "form", "varnish", 0.5),
    MaterialNeed("tern", "ash", "shell", "form", "varnish", 0.25),
)
HINGE = {"kind": "article", "name": "Hinge", "source": "works", "lead_time": "1 d"}
VARNISH = {
    "kind": "coating", "name": "Varnish", "source": "works", "unit": "L", "solids": "40 %",
    "density": "1000 kg/m3", "pot_life": "2 h", "lead_time": "3 d",
}  # fmt: skip


def stocked() -> tuple[Works, Book, Any]:
    """Hinges in two lots, one of them over today; varnish in a lot, more of it tomorrow."""
    works, book, times = loaded()
    materials = {
        **works.materials, "hinge": Article.model_validate(HINGE), "varnish": Coating.model_validate(VARNISH),
    }  # fmt: skip
    lots = (
        Lot("L1", "hinge", 2.0, expiry=date(2027, 3, 1)), Lot("L2", "hinge", 2.0), Lot("L3", "varnish", 1.0),
    )  # fmt: skip
    coming = (Purchase("P1", "varnish", 5.0, date(2027, 3, 2)),)
    return replace(works, materials=materials), replace(book, lots=lots, purchases=coming), times


def counted(works: Works) -> Plan:
    """The hand-made plan with what it says of its materials: also worked out on paper."""
    plan = good_plan(works.revision)
    plan["materials"] = [
        {"material": "hinge", "date": "2027-03-01", "need": 4.0,
         "from": [{"lot": "L1", "amount": 2.0}, {"lot": "L2", "amount": 2.0}], "short": 0.0},
        {"material": "varnish", "date": "2027-03-01", "need": 1.0,
         "from": [{"lot": "L3", "amount": 1.0}], "short": 0.0},
    ]  # fmt: skip
    plan["pots"] = [
        {"material": "varnish", "station": "press", "mixed": at(0), "until": at(120), "amount": 0.5,
         "operations": ["a", "b"]},
        {"material": "varnish", "station": "press", "mixed": at(150), "until": at(270), "amount": 0.5,
         "operations": ["n"]},
    ]  # fmt: skip
    return plan


def faults(plan: Plan, book: Book | None = None) -> list[tuple[str, str]]:
    works, own, times = stocked()
    found = verify(works, book or own, times=times, document=plan, needs=NEEDS)
    return [(v.rule, v.subject) for v in found]


def test_a_plan_that_counts_its_material_rightly_is_sound() -> None:
    works, _, _ = stocked()

    assert faults(counted(works)) == []


@pytest.mark.parametrize(
    ("spoil", "rule", "subject"),
    [
        (lambda p: p["materials"].pop(0), "material", "hinge"),
        (lambda p: p["materials"][0].update(need=3.0), "material", "hinge"),
        (lambda p: p["materials"][0]["from"].pop(), "material", "hinge"),
        (lambda p: p["materials"][0].update(short=-1.0), "material", "hinge"),
        (lambda p: p["materials"][0]["from"][0].update(lot="L9"), "material", "hinge"),
        (lambda p: p["materials"][0]["from"][0].update(lot="L3"), "material", "hinge"),
        (lambda p: p["materials"][0].update({"from": [{"lot": "L2", "amount": 4.0}]}), "material", "hinge"),
        (
            lambda p: p["materials"][1].update({"from": [{"purchase": "P1", "amount": 1.0}]}),
            "material",
            "varnish",
        ),
        (lambda p: p["materials"][1].update({"from": [], "short": 1.0}), "material", "varnish"),
        (lambda p: p["materials"][1].update(date="yesterday"), "unreadable", "materials"),
        (lambda p: p["materials"].append(7), "unreadable", "materials"),
        (lambda p: p["pots"].pop(), "pot", "n"),
        (lambda p: p["pots"][0].update(mixed=at(10)), "pot", "a"),
        (lambda p: p["pots"][0].update(until=at(121)), "pot", "varnish"),
        (lambda p: p["pots"][0].update(amount=0.7), "pot", "varnish"),
        (lambda p: p["pots"][0].update(station="bench"), "pot", "a"),
        (lambda p: p["pots"][0]["operations"].append("c"), "pot", "c"),
        (lambda p: p["pots"].append({}), "unreadable", "pots"),
    ],
)
def test_whatever_is_said_wrongly_is_told(spoil: Callable[[Plan], object], rule: str, subject: str) -> None:
    works, _, _ = stocked()
    plan = copy.deepcopy(counted(works))

    spoil(plan)

    assert (rule, subject) in faults(plan)


def test_an_operation_that_begins_before_its_material_is_there_is_told() -> None:
    """The hinges of the second cabinet come on the 2nd; it is glued on the 1st."""
    works, book, _ = stocked()
    short = replace(
        book, lots=(book.lots[0], book.lots[2]),
        purchases=(*book.purchases, Purchase("P2", "hinge", 9.0, date(2027, 3, 2))),
    )  # fmt: skip

    assert ("material", "d") in faults(counted(works), short)


def test_material_that_is_over_counts_as_none() -> None:
    works, book, _ = stocked()
    spoilt = replace(book, lots=(replace(book.lots[0], expiry=date(2027, 2, 28)), *book.lots[1:]))

    assert ("material", "d") in faults(counted(works), spoilt)


def test_a_plan_that_does_not_count_material_is_judged_without_it() -> None:
    works, book, _ = stocked()

    assert faults(good_plan(works.revision), replace(book, lots=(), purchases=())) == []
