"""The search: the same for the same effort, never worse for more, and stopped when asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count
from typing import Any

import pytest

from pairwright.base.errors import InputError
from pairwright.plan import document
from pairwright.plan.dice import Dice
from pairwright.plan.orders import NAMES, as_ranks, rank_by
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order
from tests.unit.plan.builder import EIGHT_HOURS, MONDAY, book_of, plan_of, single, step, works_of
from tests.unit.plan.test_lock import problem_of


def jumbled() -> tuple[Works, Book]:
    """Nine orders of three colours on two stations with setups: rules of thumb miss the best."""
    kinds = [single(name, step("a", "one", minutes, setup=name), step("b", "two", 95 - minutes))
             for name, minutes in (("r", 35), ("g", 45), ("b", 60))]  # fmt: skip
    works = works_of(
        *kinds, stations={"one": {"calendar": "shift", "setup": {"default": "25 min"}}, "two": {"calendar": "shift"}},
        calendars={"shift": EIGHT_HOURS},
    )  # fmt: skip
    return works, book_of(
        *(Order(f"O{n}", "rgb"[n * 2 % 3], "plain", 1 + n % 2, MONDAY, 1.0 + n % 3) for n in range(9))
    )


def test_the_same_effort_and_seed_make_the_same_plan() -> None:
    works, book = jumbled()

    one, two = (
        document(plan_of(works, book, objective="service", effort=40, seed=3), works) for _ in range(2)
    )

    assert one == two


def test_more_effort_is_never_worse() -> None:
    works, book = jumbled()

    values = [plan_of(works, book, objective="service", effort=e).objectives for e in (1, 8, 30, 90)]

    assert values == sorted(values, reverse=True)
    assert values[-1] < values[0]


def test_the_search_beats_every_rule_of_thumb() -> None:
    works, book = jumbled()

    grid = plan_of(works, book, objective="service", effort=19)
    searched = plan_of(works, book, objective="service", effort=200)

    assert searched.objective < grid.objective


def test_processes_change_nothing_but_the_time() -> None:
    works, book = jumbled()
    jobs: list[int] = []

    def runner(work: Callable[[Any], Any], some: Sequence[Any]) -> list[Any]:
        jobs.append(len(some))
        return [work(one) for one in reversed(some)][::-1]

    alone = plan_of(works, book, objective="service", effort=60)
    shared = plan_of(works, book, objective="service", effort=60, runner=runner, workers=4)

    assert document(alone, works) == document(shared, works)
    assert max(jobs) > 1


def test_a_limit_ends_the_search_by_the_clock() -> None:
    works, book = jumbled()
    told: list[int] = []
    ticks = count()

    plan = plan_of(
        works, book, effort=None, limit=20.0, clock=lambda: float(next(ticks)),
        progress=lambda _v, _b, _g, done, _of: told.append(done),
    )  # fmt: skip

    assert plan.status in ("optimal", "feasible")
    assert 1 < len(told) < 25


def test_the_search_stops_when_asked_but_never_without_a_plan() -> None:
    works, book = jumbled()

    plan = plan_of(works, book, should_stop=lambda: True, effort=1000)

    assert plan.status == "feasible"


def test_progress_tells_value_bound_and_gap() -> None:
    works, book = jumbled()
    told: list[tuple[float, float, float | None, int, int]] = []

    plan = plan_of(works, book, effort=20, progress=lambda *news: told.append(news))

    assert [t[3] for t in told] == sorted(t[3] for t in told)
    assert told[-1][:3] == (plan.objective, plan.lower_bound, plan.gap)
    assert all(t[4] == 20 for t in told)


def test_an_unknown_objective_is_refused() -> None:
    with pytest.raises(InputError):
        plan_of(*jumbled(), objective="beauty")


@pytest.mark.parametrize("name", NAMES)
def test_each_rule_of_thumb_ranks_every_set(name: str) -> None:
    problem = problem_of(*jumbled())

    assert sorted(rank_by(problem, name)) == list(range(len(problem.set_ids)))


def test_rules_of_thumb_say_what_they_say() -> None:
    works = works_of(
        single("s", step("a", "one", 10)), single("t", step("a", "one", 300)), stations={"one": {}}
    )
    orders = [Order("A", "s", "plain", 1, MONDAY, 1.0), Order("B", "t", "plain", 1, MONDAY, 5.0)]
    problem = problem_of(works, book_of(*orders))

    assert rank_by(problem, "due") == [0, 1]
    assert rank_by(problem, "slack") == [1, 0]  # the longer way leaves less slack
    assert rank_by(problem, "weight") == [1, 0]
    assert rank_by(problem, "longest") == [1, 0]


def test_ranks_undo_an_order() -> None:
    assert as_ranks([2, 0, 1]) == [1, 2, 0]


def test_dice_are_alike_for_a_seed_and_fair_enough() -> None:
    rolls = [Dice(7).roll() for _ in range(2)]
    dice = Dice(11)
    many = [dice.roll() for _ in range(20_000)]

    assert rolls[0] == rolls[1]
    # the mean of 20 000 even numbers lies within 5 standard errors (0.0020 each) of one half
    assert abs(sum(many) / len(many) - 0.5) < 5 * 0.00205
    assert 0.0 <= min(many) < max(many) < 1.0
