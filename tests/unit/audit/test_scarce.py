"""Rules that need a poorer works: too few carriers, places, people, skills; a slower line.

The works is made poorer after it was read: the definition's own checks would refuse some of it.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from pairwright.audit import verify
from pairwright.works import load_book, load_works
from tests.unit.audit import small

POORER: list[tuple[str, str, str, dict[str, Any]]] = [
    ("carrier", "carriers", "trolley", {"count": 1}),
    ("buffer", "buffers", "rack", {"places": 1}),
    ("crew", "crews", "makers", {"people": 1}),
    ("skill", "crews", "makers", {"skills": ("pressing",)}),
    ("line", "stations", "line", {"pitch": 3600.0}),
    ("batch", "stations", "oven", {"capacity": 1.0}),
    ("calendar", "crews", "makers", {"calendar": "mornings"}),
]


@pytest.mark.parametrize(("rule", "kind", "name", "less"), POORER, ids=[p[0] for p in POORER])
def test_the_same_plan_breaks_a_rule_where_there_is_less(
    rule: str, kind: str, name: str, less: dict[str, Any]
) -> None:
    _, book, times = small.loaded()
    texts = {
        **small.TEXTS,
        "works.toml": small.WORKS + '\n[calendars.mornings.week]\nmon = ["06:00-10:00"]\n',
    }
    works = load_works(texts)
    records = getattr(works.factory, kind)
    changed = {**records, name: records[name].model_copy(update=less)}
    poorer = dataclasses.replace(works, factory=works.factory.model_copy(update={kind: changed}))

    found = {v.rule for v in verify(poorer, book, times=times, document=small.good_plan(works.revision))}

    assert found == {rule}


def test_stock_takes_the_place_of_an_item_and_of_all_it_is_made_of() -> None:
    _, _, times = small.loaded()
    texts = {**small.TEXTS, "stock/parts.csv": "product,part,quantity\ntern,shell,1\n"}
    works = load_works(texts)
    plan = small.good_plan(works.revision)
    book = load_book(texts, works)

    with_shell = {v.rule for v in verify(works, book, times=times, document=plan)}
    plan["operations"] = [o for o in plan["operations"] if o["item"] != "T1-1.left.shell"]
    without = {v.rule for v in verify(works, book, times=times, document=plan)}

    assert with_shell == {"unknown"}
    assert without == set()
