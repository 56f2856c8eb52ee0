"""Rules that need a poorer works: too few carriers, places, people, skills; a fuller oven."""

from __future__ import annotations

import pytest
from tests.unit.audit import small

from pairwright.audit import verify
from pairwright.works import load_book, load_works

POORER = [
    ("carrier", "count = 2", "count = 1"),
    ("buffer", 'name = "Resting rack"\nplaces = 2', 'name = "Resting rack"\nplaces = 1'),
    ("crew", "people = 2", "people = 1"),
    ("skill", 'skills = ["pressing", "gluing"]', 'skills = ["pressing", "polishing"]'),
    ("line", 'pitch = "10 min"', 'pitch = "60 min"'),
    ("setup", 'setup = { default = "30 min" }', 'setup = { default = "45 min" }'),
]


@pytest.mark.parametrize(("rule", "was", "becomes"), POORER, ids=[p[0] for p in POORER])
def test_the_same_plan_breaks_a_rule_where_there_is_less(rule: str, was: str, becomes: str) -> None:
    _, _, times = small.loaded()
    changed = small.WORKS.replace(was, becomes, 1)
    assert changed != small.WORKS
    texts = {**small.TEXTS, "works.toml": changed}
    if rule == "skill":  # let the definition itself stay sound
        texts["products/tern.toml"] = small.TERN.replace('skill = "gluing"', 'skill = "polishing"')
        texts["works.toml"] = changed.replace('"polishing"', '"polishing", "gluing"')
    works = load_works(texts)
    if rule == "skill":
        works.factory.crews["makers"].__dict__["skills"] = ("pressing",)

    found = {v.rule for v in verify(works, load_book(texts, works), times, small.good_plan(works.revision))}

    assert found == {rule}


def test_stock_takes_the_place_of_an_item_and_of_all_it_is_made_of() -> None:
    _, _, times = small.loaded()
    texts = {**small.TEXTS, "stock/parts.csv": "product,part,quantity\ntern,shell,1\n"}
    works = load_works(texts)
    plan = small.good_plan(works.revision)
    book = load_book(texts, works)

    with_shell = {v.rule for v in verify(works, book, times, plan)}
    plan["operations"] = [o for o in plan["operations"] if o["item"] != "T1-1.left.shell"]
    without = {v.rule for v in verify(works, book, times, plan)}

    assert with_shell == {"unknown"}
    assert without == set()
