"""The plant of bench/: what it is, that it plans without a violation, what its forecast compares."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from statistics import mean, variance

import pytest

from bench.plant_works import COATS, FOLDER, layout
from pairwright import plan
from pairwright.app.checking import check_works
from pairwright.app.opened import Opened, open_texts, open_works
from pairwright.app.planning import PlanResult, plan_works
from pairwright.works import apply_changes

HOUR = 3600


def plant(pairs: int, *, setups: bool = True) -> Opened:
    return open_texts(layout(pairs=pairs, setups=setups), "plant")


def made(opened: Opened, objective: str, effort: int = 12) -> PlanResult:
    return plan_works(opened, actor="test", now=opened.now(), objective=objective, effort=effort)


def test_the_folder_is_what_its_script_writes() -> None:
    texts = {name: (FOLDER / name).read_text("utf-8") for name in layout()}

    assert texts == layout()
    assert {p.relative_to(FOLDER).as_posix() for p in FOLDER.rglob("*") if p.is_file()} == set(texts)


def test_the_plant_checks_without_a_finding() -> None:
    result = check_works(open_works(FOLDER), actor="test")

    assert result.ok
    assert result.findings == ()


def test_a_pair_is_sixty_operations_on_sixteen_stations() -> None:
    opened = plant(3)
    operations = made(opened, "service", 1).schedule.operations

    assert set(Counter(op.set for op in operations).values()) == {60}
    assert len(opened.works.factory.stations) == 16
    assert Counter(op.step.split("-")[0] for op in operations if op.station == "booth") == {"coat": 3 * COATS}


def test_without_setups_nothing_else_is_different() -> None:
    with_, without = (tomllib.loads(layout(setups=s)["works.toml"]) for s in (True, False))

    assert {name for name, one in with_["stations"].items() if one.pop("setup", None)} == {"press", "booth"}
    assert with_ == without
    assert dict(made(plant(4, setups=False), "makespan").schedule.objectives)["setup_time"] == 0.0


@pytest.mark.parametrize("objective", ["service", "makespan"])
@pytest.mark.parametrize("setups", [True, False])
def test_ten_pairs_plan_without_a_violation(objective: str, setups: bool) -> None:
    result = made(plant(10, setups=setups), objective)

    assert result.violations == ()
    assert 0 <= result.schedule.lower_bound <= result.schedule.objective


@pytest.mark.parametrize("objective", ["service", "makespan"])
def test_fifty_pairs_plan_without_a_violation(objective: str) -> None:
    result = made(plant(50), objective, 4)

    assert result.violations == ()
    assert result.schedule.lower_bound <= result.schedule.objective
    assert len(result.schedule.operations) == 3000


@pytest.mark.slow
@pytest.mark.parametrize("objective", ["service", "makespan"])
@pytest.mark.parametrize("setups", [True, False])
def test_two_hundred_pairs_plan_without_a_violation(objective: str, setups: bool) -> None:
    result = made(plant(200, setups=setups), objective)

    assert result.violations == ()
    assert result.schedule.lower_bound <= result.schedule.objective


def test_the_facts_of_the_plant_hold_in_its_plan() -> None:
    """Read off the operations by this test alone: hours, charges, clamps, recoat windows."""
    opened = plant(6)
    operations = {op.id: op for op in made(opened, "service").schedule.operations}
    for op in operations.values():
        into_shift = (op.start - opened.now()) % (24 * HOUR)
        if op.station == "oven":
            assert into_shift % HOUR == 0
        if op.station not in ("oven", "clamps"):
            assert into_shift + op.end - op.start <= 8 * HOUR
        if op.step in ("brace", "front"):
            clamp = operations[f"{op.item}/{op.step}-clamp"]
            assert 0 <= clamp.start - op.end <= 600
    charges = Counter(op.start for op in operations.values() if op.station == "oven")
    assert max(charges.values()) <= 4
    for name in {op.item for op in operations.values() if op.station == "booth"}:
        for n in range(1, COATS + 1):
            wait = operations[f"{name}/coat-{n}-dry"].start - operations[f"{name}/coat-{n}"].end
            assert 15 * 60 <= wait <= 90 * 60
            if n < COATS:
                gap = operations[f"{name}/coat-{n + 1}"].start - operations[f"{name}/coat-{n}-dry"].end
                assert HOUR <= gap <= (96 + 24) * HOUR


def completions(opened: Opened, like: plan.Schedule, seed: int, runs: int) -> Sequence[float]:
    """Mean completion of the orders in each future. [s]"""
    chunk = plan.forecast_chunk(
        opened.works, opened.book, times=opened.times, schedule=like, seed=seed, first=0, last=runs
    )
    return [mean(row) for row in chunk.completions]


def test_the_same_luck_compares_two_plants_sharply() -> None:
    """A second booth: the variance of its gain, with the same futures and with different ones."""
    before = plant(5)
    after = open_texts(apply_changes(before.texts, [("works.stations.booth.places", "2")]), "plant")
    like = made(before, "service", 4).schedule
    same_decisions = plan.plan_like(after.works, after.book, like=like, times=after.times, now=after.now())
    runs = 40

    base = completions(before, like, 5, runs)
    same = [a - b for a, b in zip(base, completions(after, same_decisions, 5, runs), strict=True)]
    other = [a - b for a, b in zip(base, completions(after, same_decisions, 6, runs), strict=True)]

    print(f"gain {mean(same) / HOUR:.1f} h; variance {variance(same):.0f} s2 with the same luck, "
          f"{variance(other):.0f} s2 with other luck: {variance(other) / variance(same):.1f} times")  # fmt: skip
    assert variance(same) < variance(other)
