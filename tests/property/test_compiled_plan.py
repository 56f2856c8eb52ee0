"""The compiled decoder makes what the plain one makes: every booking of every works drawn at random."""

from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.plan.build import build_problem
from pairwright.plan.chance import Drawn as Luck
from pairwright.plan.compiled import decode_compiled, state_of, usable
from pairwright.plan.decode import WHOLE, Rules, decode_plain
from pairwright.plan.emit import completions, needed_setups, score_of
from pairwright.plan.fixed import copied
from pairwright.plan.problem import Problem
from pairwright.plan.shop import build_shop
from pairwright.plan.state import State
from tests.property.random_works import Drawn, drawn_works
from tests.unit.plan.builder import NOW, times_of

HORIZON = 26 * 7 * 1440

needs_compiler = pytest.mark.skipif(not usable(), reason="the compiler has no folder to keep its work in")

any_rules = st.builds(
    Rules,
    window=st.sampled_from((WHOLE, 60, 120, 480, 1440, 4320)),
    fill=st.sampled_from((0, 50, 100)),
    in_process=st.sampled_from((0, 0, 1, 2)),
    defer=st.booleans(),
    group=st.sampled_from((-1, 0, 240, 1440)),
)


def differences(problem: Problem, rank: list[int], rules: Rules, state: State | None = None,
                release: list[int] | None = None) -> list[str]:  # fmt: skip
    """What the two decoders do not agree upon."""
    early = problem.release if release is None else release
    began = None if state is None else copied(state)
    plain = decode_plain(problem, rank, rules=rules, early=early, state=began)
    books = decode_compiled(problem, rank, rules=rules, release=early, state=state)
    compiled = state_of(books)
    found = [f.name for f in fields(State) if getattr(plain.state, f.name) != getattr(compiled, f.name)]
    found += ["locked"] * (plain.locked != books.locked)
    found += ["placed"] * (plain.placed != books.placed)
    found += ["no_room"] * (plain.no_room != books.block)
    if plain.complete and state is None:
        score = score_of(problem, plain.state, objective="service", now=problem.shop.origin)
        found += ["done"] * (books.done != completions(problem, plain.state))
        found += ["flow"] * (books.flow * 60 != score.flow)
        found += ["setups"] * (books.setups != needed_setups(problem, plain.state).minutes)
    return found


def problem_of(drawn: Drawn, luck: int | None = None) -> Problem:
    """The arrays; with luck, of a drawn future."""
    shop = build_shop(drawn.works, NOW, horizon=HORIZON)
    chance = None if luck is None else Luck(shop, seed=1, run=luck, keys={})
    return build_problem(shop, drawn.book, times=times_of(drawn.works), chance=chance)


@needs_compiler
@settings(max_examples=200, deadline=None)
@given(drawn_works(), any_rules, st.randoms(use_true_random=False))
def test_the_compiled_decoder_makes_the_same_plan(drawn: Drawn, rules: Rules, order: st.DataObject) -> None:
    problem = problem_of(drawn)
    rank = list(range(len(problem.set_ids)))
    order.shuffle(rank)  # type: ignore[attr-defined]

    assert differences(problem, rank, rules) == []


@needs_compiler
@pytest.mark.slow
@settings(max_examples=2000, deadline=None)
@given(drawn_works(most_orders=6), any_rules, st.integers(0, 3), st.randoms(use_true_random=False))
def test_the_compiled_decoder_makes_the_same_plan_at_length(
    drawn: Drawn, rules: Rules, luck: int, order: st.DataObject
) -> None:
    problem = problem_of(drawn, luck or None)
    rank = list(range(len(problem.set_ids)))
    order.shuffle(rank)  # type: ignore[attr-defined]
    release = [at + (97 * task) % 4000 * (luck % 2) for task, at in enumerate(problem.release)]

    assert differences(problem, rank, rules, release=release) == []
