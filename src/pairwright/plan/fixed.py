"""Operations that stay where they are: booked exactly, before anything else is placed.

A problem with fixed tasks keeps them out of its blocks: the decoder places what is left around
them. What ties a free task to a fixed one can no longer move the fixed one, so longest waits, mates
and kept places between the two are taken out of the arrays and looked after here.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from pairwright.base.time import MINUTE
from pairwright.plan.blocks import form_blocks
from pairwright.plan.booking import book, keep_until
from pairwright.plan.calendar import NEVER, retreat
from pairwright.plan.problem import Problem
from pairwright.plan.profile import add
from pairwright.plan.schedule import Operation
from pairwright.plan.seek import family_before
from pairwright.plan.state import UNPLACED, State


@dataclass(frozen=True, slots=True)
class Place:
    """Where a task lies; minutes from the origin, `unit` by the shop's number (-1: none)."""

    start: int
    end: int
    way: int
    unit: int
    batch: str | None


def operation_names(problem: Problem) -> list[str]:
    """A name for every operation, also where an item goes through a step more than once.

    The one that counts is item/step; what was lost with a scrapped piece ends in ``/lost-1`` and so
    on, what is done again for rework in ``/again-1``.
    """
    good: dict[str, list[int]] = {}
    names = [""] * len(problem.operations)
    again: dict[str, int] = {}
    for number, operation in enumerate(problem.operations):
        name = f"{operation.item}/{operation.facts.step.id}"
        if operation.rework:
            again[name] = again.get(name, 0) + 1
            names[number] = f"{name}/again-{again[name]}"
        else:
            good.setdefault(name, []).append(number)
    for name, numbers in good.items():
        for n, number in enumerate(numbers[:-1]):
            names[number] = f"{name}/lost-{n + 1}"
        names[numbers[-1]] = name
    return names


def tasks_by_name(problem: Problem, names: list[str]) -> dict[str, int]:
    """The task of every operation."""
    return {names[n]: task for task, numbers in enumerate(problem.task_operations) for n in numbers}


def places_of(problem: Problem, names: list[str], operations: Iterable[Operation]) -> dict[int, Place]:
    """Where an earlier plan has the tasks; what it has not, or not in this way, is left out."""
    by_name = {op.id: op for op in operations}
    shop = problem.shop
    found: dict[int, Place] = {}
    for task, numbers in enumerate(problem.task_operations):
        some = [by_name.get(names[n]) for n in numbers]
        first = some[0]
        if first is None or any(op is None or (op.start, op.end) != (first.start, first.end) for op in some):
            continue
        way = _way_of(problem, task, first)
        if way < 0:
            continue
        station = problem.way_station[way]
        unit = -1
        if station >= 0:
            unit = shop.unit_from[station] + (first.unit or 0)
            if unit >= shop.unit_from[station + 1]:
                continue
        start, end = ((at - shop.origin) // MINUTE for at in (first.start, first.end))
        found[task] = Place(start, end, way, unit, first.batch)
    return found


def _way_of(problem: Problem, task: int, op: Operation) -> int:
    shop = problem.shop
    wanted = -1 if op.station is None else shop.station_index.get(op.station, -2)
    for way in range(problem.way_from[task], problem.way_from[task + 1]):
        crew = problem.way_crew[way]
        named = None if crew < 0 or not problem.way_people[way] else shop.crew_ids[crew]
        if problem.way_station[way] == wanted and named == op.crew:
            return way
    return -1


def copied(state: State) -> State:
    """A state that can be changed without changing the first."""
    made: dict[str, Any] = {}
    for one in fields(state):
        value = getattr(state, one.name)
        if isinstance(value, list):
            value = [list(v) if isinstance(v, list) else v for v in value]
        made[one.name] = value
    return State(**made)


# booking


def setup_of(problem: Problem, state: State, *, task: int, place: Place) -> tuple[int, int]:
    """The setup that a task needs at its place as the unit stands: its start (-1: none), its minutes."""
    station = problem.way_station[place.way]
    family = problem.family[task]
    if station < 0 or family < 0 or problem.shop.setup_of[station] < 0:
        return -1, 0
    entry = bisect_left(state.unit_from[place.unit], place.start)
    before = family_before(state, place.unit, entry=entry)
    matrix = problem.shop.setup_times[problem.shop.setup_of[station]]
    minutes = 0 if before == family else matrix[before + 1][family]
    if not minutes:
        return -1, 0
    time = problem.shop.times[problem.way_setup_time[place.way]]
    return retreat(time, place.start, work=minutes), minutes


def book_place(problem: Problem, state: State, *, task: int, place: Place, batches: dict[str, int]) -> None:
    """Occupy what a task needs where it lies, holds apart; `batches` knows those that are booked."""
    joined = -1 if place.batch is None else batches.get(place.batch, -1)
    setup_from, setup = (-1, 0) if joined >= 0 or place.unit < 0 else setup_of(
        problem, state, task=task, place=place
    )  # fmt: skip
    found = (place.start, place.end, place.unit, setup_from, setup, joined)
    book(problem, state, task=task, way=place.way, found=found)
    state.area[task] = _area(problem, state, task, place.way)
    if place.batch is not None and joined < 0:
        batches[place.batch] = state.batch[task]


def _area(problem: Problem, state: State, task: int, way: int) -> int:
    area = problem.way_area[way]
    if area < 0 and problem.pre_from[task] < problem.pre_from[task + 1]:
        area = state.area[problem.pre_task[problem.pre_from[task]]]
    return area


def book_void(problem: Problem, state: State, *, task: int, at: int) -> None:
    """A task that never happens and never will: over at a moment, nothing occupied."""
    state.start[task] = state.end[task] = state.freed[task] = at
    state.way[task] = problem.way_from[task]
    state.area[task] = _area(problem, state, task, problem.way_from[task])


def keep_for_next(
    problem: Problem, state: State, *, task: int, starts: Mapping[int, int], without: int = NEVER
) -> None:
    """Hold the unit of a task that keeps its place until its item's next step starts.

    Parameters
    ----------
    problem, state
        The flat arrays and what is booked.
    task : int
        A booked task.
    starts : Mapping[int, int]
        Starts of the tasks that are known. [min]
    without : int
        How long the place is held where the next start is not known. [min]
    """
    if not problem.keeps[task] or state.unit[task] < 0:
        return
    for number in problem.task_operations[task]:
        following = problem.operation_next[number]
        if following >= 0:
            keep_until(state, task=task, until=starts.get(following, without))


def book_holds(problem: Problem, state: State, fixed: Collection[int], *, known: Mapping[int, int]) -> None:
    """Places in buffers and carriers that fixed tasks hold; without end where what ends it is not known.

    Parameters
    ----------
    problem, state
        The flat arrays and what is booked.
    fixed : Collection[int]
        Tasks that are booked. What they hold may have been booked before; it is then brought up to date.
    known : Mapping[int, int]
        Starts of tasks that will be booked where an earlier plan has them. [min]
    """
    for hold, (opener, closer) in enumerate(zip(problem.hold_open, problem.hold_close, strict=True)):
        if opener not in fixed or closer < 0:
            continue
        end = NEVER
        if closer in fixed:
            end = state.end[closer] if problem.hold_at_end[hold] else state.start[closer]
        elif closer in known and not problem.hold_at_end[hold]:
            end = known[closer]
        start = state.start[opener]
        if state.held_from[hold] < 0:
            _count(problem, state, hold, start, max(start, end), 1)
        else:
            before = state.held_to[hold] if state.held_to[hold] >= 0 else NEVER
            _count(problem, state, hold, min(before, end), max(before, end), 1 if end > before else -1)
        state.held_from[hold] = start
        state.held_to[hold] = end if end < NEVER else UNPLACED


def _count(problem: Problem, state: State, hold: int, start: int, end: int, sign: int) -> None:
    pool = problem.hold_pool[hold]
    add(
        state.pool_times[pool],
        state.pool_use[pool],
        start=start,
        end=end,
        count=sign * problem.hold_need[hold],
    )


def overfull(problem: Problem, state: State) -> list[tuple[int, int, int]]:
    """From when to when pools hold more than they have places, with the pool, in order of time."""
    found: list[tuple[int, int, int]] = []
    for pool, places in enumerate(problem.shop.places):
        if max(state.pool_use[pool], default=0) > places:
            times = state.pool_times[pool]
            rows = zip(times, [*times[1:], NEVER], state.pool_use[pool], strict=True)
            found += [(at, until, pool) for at, until, use in rows if use > places]
    return sorted(found)


# what is left to place


def around(problem: Problem, state: State, *, free: Collection[int], tie_holds: bool = False) -> Problem:
    """The same problem with only the free tasks in its blocks; every other task before them is booked.

    With `tie_holds` tasks that open and close a place in a buffer or a carrier are placed together:
    the place is then asked for no longer than it is needed.
    """
    order = sorted(free)
    local = {task: n for n, task in enumerate(order)}
    links = _links(problem, local, tie_holds=tie_holds)
    before = [
        [[local[o]] for o in problem.pre_task[problem.pre_from[t] : problem.pre_from[t + 1]] if o in local]
        for t in order
    ]
    blocks = form_blocks([problem.set_of[t] for t in order], links, before=before)
    block_of = [-1] * problem.tasks
    place_in_block = [0] * problem.tasks
    for n, task in enumerate(order):
        block_of[task], place_in_block[task] = blocks.of[n], blocks.places[n]
    tasks = [order[n] for n in blocks.tasks]
    kinds: dict[tuple[tuple[str, int], ...], int] = {}
    block_kind = []
    for first, beyond in zip(blocks.begins, blocks.begins[1:], strict=False):
        key = tuple(
            (problem.operations[problem.task_operations[t][0]].facts.name,
             problem.way_from[t + 1] - problem.way_from[t])
            for t in tasks[first:beyond]
        )  # fmt: skip
        block_kind.append(kinds.setdefault(key, len(kinds)))
    state.lucky = [-1] * (len(kinds) + 1)
    return replace(
        problem, block_of=block_of, block_from=blocks.begins, block_task=tasks, place_in_block=place_in_block,
        block_set=blocks.sets, block_waits=blocks.waits, block_kind=block_kind, next_from=blocks.next_from,
        next_block=blocks.next_block, **_untied(problem, state, local),
    )  # fmt: skip


def _links(problem: Problem, local: Mapping[int, int], *, tie_holds: bool) -> list[tuple[int, int]]:
    links: list[tuple[int, int]] = []
    for task, n in local.items():
        mate = problem.mate[task]
        if mate in local:
            links.append((n, local[mate]))
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other = problem.pre_task[row]
            if other in local and (
                problem.pre_longest[row] >= 0 or (problem.keeps[other] and problem.pre_next[row])
            ):
                links.append((local[other], n))
    if tie_holds:
        for opener, closer in zip(problem.hold_open, problem.hold_close, strict=True):
            if opener in local and closer in local:
                links.append((local[opener], local[closer]))
    return links


def _untied(problem: Problem, state: State, free: Mapping[int, int]) -> dict[str, Any]:
    """Arrays in which no free task can ask a fixed one to move."""
    longest = list(problem.pre_longest)
    release = list(problem.release)
    mate = [m if m in free else -1 for m in problem.mate]
    for task in free:
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other = problem.pre_task[row]
            if other not in free:
                longest[row] = -1
                release[task] = max(release[task], state.end[other] + problem.pre_least[row])
    keeps = [kept and task in free for task, kept in enumerate(problem.keeps)]
    return {"pre_longest": longest, "release": release, "mate": mate, "keeps": keeps}
