"""The compiled decoder at its edges: when it is used, how it grows, that nothing starts it by chance."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

from pairwright.plan import compiled
from pairwright.plan.compiled import decode_compiled, state_of, usable
from pairwright.plan.decode import Rules, decode_plain
from pairwright.plan.forecast import forecast_chunk
from pairwright.plan.futures import levels_of
from pairwright.plan.orders import rank_by
from pairwright.plan.ready import held
from pairwright.sample import layout
from tests.conftest import ROOT
from tests.property.test_compiled_plan import differences, problem_of
from tests.unit.plan.builder import book_of, pair, plan_of, step, times_of, works_of

needs_compiler = pytest.mark.skipif(not usable(), reason="the compiler has no folder to keep its work in")

STATIONS: dict[str, dict[str, Any]] = {
    "bench": {}, "oven": {"kind": "batch", "capacity": 2, "manned": False},
}  # fmt: skip


def small() -> Any:
    """A works of two stations, with an order of four pairs."""
    glue = {**step("glue", "bench", 40), "scrap": 0.2, "rework": {"chance": 0.2, "to": "glue"}}
    works = works_of(
        pair("p", glue, step("bake", "oven", 90, buffer="room"), step("pack", "bench", 7)),
        stations=STATIONS, buffers={"room": {"name": "r", "places": 3}},
    )  # fmt: skip
    return works, book_of(("p", 4))


def test_a_plan_of_a_few_operations_never_starts_the_compiler() -> None:
    script = (
        "import sys\n"
        "from tests.unit.plan.builder import book_of, pair, plan_of, step, works_of\n"
        "works = works_of(pair('p', step('glue', 'bench', 40)), stations={'bench': {}})\n"
        "plan_of(works, book_of(('p', 2)))\n"
        "assert 'numba' not in sys.modules\n"
    )
    environment = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"}

    run = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False, env=environment, cwd=ROOT
    )

    assert run.returncode == 0, run.stderr


def test_without_a_folder_for_the_compiler_the_plain_decoder_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    def nowhere() -> None:
        raise RuntimeError("cannot cache function: no locator available")

    monkeypatch.setattr("pairwright.plan.kernel_decode.compiled", nowhere)
    monkeypatch.setattr(compiled, "_running", [])
    usable.cache_clear()
    try:
        assert not compiled.expect(1 << 40)
    finally:
        usable.cache_clear()


@needs_compiler
def test_books_too_small_grow_and_the_plan_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    works, book = small()
    problem = problem_of_works(works, book)
    rank = rank_by(problem, "due")
    monkeypatch.setattr(compiled, "LEAST_ROOM", 4)
    monkeypatch.setattr(compiled, "ROOM", 0)

    books = decode_compiled(problem, rank, rules=Rules(), release=problem.release)

    assert state_of(books) == decode_plain(problem, rank, rules=Rules(), early=problem.release).state


@needs_compiler
def test_what_waits_for_material_waits_in_both() -> None:
    works, book = small()
    problem = problem_of_works(works, book)
    late = held(problem, {"A-1.left/glue": problem.shop.origin + 60 * 5000})

    assert late.made == []
    assert differences(late, rank_by(late, "due"), Rules(window=480, defer=True)) == []


@needs_compiler
def test_what_is_booked_before_stays_booked() -> None:
    works, book = small()
    problem = problem_of_works(works, book)
    rank = rank_by(problem, "due")
    begun = decode_plain(problem, rank, rules=Rules(), early=problem.release)
    free = [b for b in range(problem.blocks) if problem.block_set[b] == 3]
    members = [problem.block_task[problem.block_from[b]] for b in free]
    for b in reversed(free):
        from pairwright.plan.place import unplace_block

        unplace_block(problem, begun.state, block=b)
    assert all(begun.state.start[t] < 0 for t in members)
    number = {b: n for n, b in enumerate(free)}
    rest = replace(
        problem, block_of=[number.get(b, -1) for b in problem.block_of],
        block_from=list(range(len(free) + 1)), block_task=members, block_set=[3] * len(free),
        block_waits=[sum(b in problem.next_block[problem.next_from[o]:problem.next_from[o + 1]] for o in free)
                     for b in free],
        block_kind=[0] * len(free),
        next_from=[sum(1 for o in free[:n] for x in problem.next_block[problem.next_from[o]:problem.next_from[o + 1]]
                       if x in number) for n in range(len(free) + 1)],
        next_block=[number[x] for o in free for x in problem.next_block[problem.next_from[o]:problem.next_from[o + 1]]
                    if x in number],
    )  # fmt: skip

    assert differences(rest, rank, Rules(), state=begun.state) == []


@needs_compiler
def test_futures_by_arrays_are_the_futures_run_by_run() -> None:
    works, book = small()
    schedule = plan_of(works, book)
    told = {"times": times_of(works), "schedule": schedule, "seed": 5, "first": 0, "last": 40}

    plain = forecast_chunk(works, book, compiled=False, **told)

    assert len(set(plain.completions)) > 5
    assert forecast_chunk(works, book, compiled=True, **told) == plain


@needs_compiler
@pytest.mark.slow
def test_futures_of_the_sample_works_are_the_same_by_arrays() -> None:
    from pairwright.app.opened import open_texts
    from pairwright.plan import make_plan

    opened = open_texts(layout(pairs=10))
    schedule = make_plan(opened.works, opened.book, times=opened.times, now=opened.now(), effort=4)
    told = {"times": opened.times, "schedule": schedule, "seed": 2, "first": 0, "last": 12}

    plain = forecast_chunk(opened.works, opened.book, compiled=False, **told)

    assert forecast_chunk(opened.works, opened.book, compiled=True, **told) == plain


@needs_compiler
@pytest.mark.slow
@pytest.mark.parametrize("pairs", [10, 50])
def test_the_sample_works_is_planned_alike(pairs: int) -> None:
    from pairwright.app.opened import open_texts
    from pairwright.plan.build import build_problem
    from pairwright.plan.search import GRID_RULES
    from pairwright.plan.shop import build_shop

    opened = open_texts(layout(pairs=pairs))
    shop = build_shop(opened.works, opened.now(), horizon=26 * 7 * 1440)
    problem = build_problem(shop, opened.book, times=opened.times)

    for rules in GRID_RULES:
        assert differences(problem, rank_by(problem, "slack"), rules) == []


def test_levels_last_as_long_as_between_their_edges() -> None:
    import numpy as np

    rows = np.array([[0, 10, 2], [0, 30, -2], [0, 20, 1], [0, 40, -1], [0, 30, 1], [0, 30, -1]])

    assert levels_of(rows, 50) == {0: 20, 2: 10, 3: 10, 1: 10}
    assert levels_of(rows[:0], 7) == {0: 7}
    assert levels_of(rows[:0], 0) == {}


def problem_of_works(works: Any, book: Any) -> Any:
    """The arrays of a works with an order book."""
    from tests.property.random_works import Drawn

    return problem_of(Drawn(works, book))
