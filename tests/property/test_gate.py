"""Nothing leaves with anything missing, and every refusal tells all of it."""

from __future__ import annotations

import random

import pytest

from pairwright.gate import RULES, lacking
from tests.unit.gate.histories import DAMAGES, SIDES, Damage, damaged, whole


def told(seed: int) -> tuple[set[str], set[str]]:
    history, wanted = damaged(random.Random(seed))
    return {lack.rule for lack in lacking(history.asked())}, wanted


def wrong(seeds: range) -> list[int]:
    """Histories in which something is missing that is not told, or told that is not missing."""
    return [
        seed
        for seed in seeds
        for found, wanted in (told(seed),)
        if not wanted <= found or bool(found) != bool(wanted)
    ]


def test_a_whole_history_lacks_nothing() -> None:
    assert lacking(whole().asked()) == ()


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("damage", DAMAGES, ids=lambda d: d.__name__)
def test_whatever_is_missing_is_told_by_its_rule(damage: Damage, side: str) -> None:
    history = whole()
    rule = damage(history, side)

    assert rule in {lack.rule for lack in lacking(history.asked())}


def test_random_histories_are_never_let_through_with_anything_missing() -> None:
    assert wrong(range(600)) == []


@pytest.mark.slow
def test_ten_thousand_random_histories_are_never_let_through_with_anything_missing() -> None:
    assert wrong(range(10_000)) == []


@pytest.mark.parametrize("rule", RULES)
def test_without_any_one_rule_something_would_be_let_through_or_left_untold(
    rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(RULES, rule, lambda _: ())

    assert wrong(range(200)) != []


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda d: d.__name__)
def test_a_concession_by_a_named_authority_closes_one_lack_and_says_so(damage: Damage) -> None:
    history = whole()
    damage(history, "left")
    lacks = lacking(history.asked())
    for lack in lacks:
        history.add("reported", "set T-1", 400, text=str(lack.says), nonconformance=lack.nonconformance)
    open_still = lacking(history.asked())
    for lack in lacks:
        history.add("disposed", "set T-1", 410, nonconformance=lack.nonconformance, disposition="concession",
                    authority="p-9", reason="seen and agreed")  # fmt: skip
    after = lacking(history.asked())

    assert any(lack.conceded is None for lack in open_still)
    assert {lack.nonconformance for lack in lacks} <= {a.nonconformance for a in after if a.conceded == "p-9"}
