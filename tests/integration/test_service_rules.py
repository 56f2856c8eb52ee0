"""`service` is never worse than what a foreman would do: the usual dispatch rules, by the same decoder.

Five priorities (first come, earliest due date, shortest processing, least slack, weight over work), each
minute by minute, shift by shift and set after set, with the arithmetic of bench/plan_quality.py and not the
search's own. Compared is the whole value: weighted lateness, then flow time, then setups.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from bench.plan_quality import MANNERS, dispatched
from bench.plant_works import layout
from pairwright import sample
from pairwright.app.opened import open_texts
from pairwright.plan import make_plan
from pairwright.works import Book, StepTime, Works
from tests.property.random_works import Drawn, drawn_works
from tests.unit.plan.builder import NOW, times_of


def compare(works: Works, book: Book, times: tuple[StepTime, ...], now: int) -> int:
    """How many rules found a plan; none of them may be better than ours."""
    found = dispatched(works, book, times=times, now=now)
    if not found:
        return 0
    ours = tuple(value for _, value in make_plan(works, book, times=times, now=now).objectives)
    for name, score in found.items():
        assert ours <= (score.first, score.flow, score.setups), name
    return len(found)


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("sample", sample.layout(pairs=8)),
        ("plant", layout(pairs=10)),
        ("plant, no setups", layout(pairs=10, setups=False)),
    ],
)
def test_no_dispatch_rule_beats_the_plan(name: str, texts: dict[str, str]) -> None:
    opened = open_texts(texts, name)

    assert compare(opened.works, opened.book, opened.times, opened.now()) == 5 * len(MANNERS)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "texts"),
    [
        *((f"sample {n}", sample.layout(pairs=n)) for n in (20, 50)),
        *((f"plant {n}", layout(pairs=n)) for n in (20, 50, 200)),
    ],
)
def test_no_dispatch_rule_beats_the_plan_of_a_longer_book(name: str, texts: dict[str, str]) -> None:
    opened = open_texts(texts, name)

    assert compare(opened.works, opened.book, opened.times, opened.now()) > 0


def test_no_dispatch_rule_beats_the_plan_of_thirty_random_works() -> None:
    rules: list[int] = []

    @settings(
        max_examples=40, derandomize=True, database=None, phases=[Phase.generate], deadline=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(drawn_works(most_orders=8))
    def judge(drawn: Drawn) -> None:
        rules.append(compare(drawn.works, drawn.book, times_of(drawn.works), NOW))

    judge()

    assert sum(count > 0 for count in rules) >= 30
