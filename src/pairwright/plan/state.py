"""What has been placed so far: flat lists that grow while a plan is made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pairwright.plan.away import crew_profiles
from pairwright.plan.problem import Problem

UNPLACED: Final = -1


@dataclass(slots=True)
class State:
    """Bookings by unit, crew, pool, line and batch, and where each task lies.

    Entries of a unit are sorted: occupied from `unit_from` (its setup included) to `unit_to`,
    `unit_family` what the entry asks (-1: nothing), `unit_setup` the setup minutes before it.
    """

    unit_from: list[list[int]]
    unit_to: list[list[int]]
    unit_family: list[list[int]]
    unit_setup: list[list[int]]
    crew_times: list[list[int]]
    crew_use: list[list[int]]
    pool_times: list[list[int]]
    pool_use: list[list[int]]
    line_in: list[list[int]]
    line_out: list[list[int]]
    # batches, in the order in which they were made; and of each word by start
    batch_start: list[int]
    batch_end: list[int]
    batch_unit: list[int]
    batch_station: list[int]
    batch_crew: list[int]
    batch_people: list[int]
    batch_minutes: list[int]
    batch_family: list[int]
    batch_load: list[int]
    batch_members: list[int]
    word_starts: list[list[int]]
    word_batches: list[list[int]]
    # tasks
    start: list[int]
    end: list[int]
    way: list[int]
    unit: list[int]
    setup_from: list[int]
    batch: list[int]
    area: list[int]
    freed: list[int]  # when the unit is free again
    # holds
    held_from: list[int]
    held_to: list[int]
    # while a block is tried: earliest start and end of its tasks, and units kept for a task
    floor_start: list[int]
    floor_end: list[int]
    kept: list[tuple[int, int, int, int]]
    only_way: list[int]  # the one way that is looked at, -1: all
    lucky: list[int]  # of each kind of block the combination of ways that worked, where the quickest did not
    last_end: int = 0  # no booking reaches beyond


def empty_state(problem: Problem) -> State:
    """Nothing placed yet."""
    shop = problem.shop
    units = shop.unit_from[-1]
    stations = len(shop.station_ids)
    words = len(problem.words)
    n = problem.tasks
    holds = len(problem.hold_pool)
    crew_times, crew_use = crew_profiles(shop.away)
    return State(
        unit_from=[[] for _ in range(units)], unit_to=[[] for _ in range(units)],
        unit_family=[[] for _ in range(units)], unit_setup=[[] for _ in range(units)],
        crew_times=crew_times, crew_use=crew_use,
        pool_times=[[0] for _ in shop.places], pool_use=[[0] for _ in shop.places],
        line_in=[[] for _ in range(stations)], line_out=[[] for _ in range(stations)],
        batch_start=[], batch_end=[], batch_unit=[], batch_station=[], batch_crew=[], batch_people=[],
        batch_minutes=[], batch_family=[], batch_load=[], batch_members=[],
        word_starts=[[] for _ in range(words)], word_batches=[[] for _ in range(words)],
        start=[UNPLACED] * n, end=[UNPLACED] * n, way=[UNPLACED] * n, unit=[UNPLACED] * n,
        setup_from=[UNPLACED] * n, batch=[UNPLACED] * n, area=[UNPLACED] * n, freed=[UNPLACED] * n,
        held_from=[UNPLACED] * holds, held_to=[UNPLACED] * holds,
        floor_start=[0] * n, floor_end=[0] * n, kept=[], only_way=[-1] * n,
        lucky=[-1] * (max(problem.block_kind, default=0) + 1),
    )  # fmt: skip
