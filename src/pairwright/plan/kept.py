"""Which operations of an earlier plan can stay when something has happened.

Operations are looked at in order of their planned starts. One that can't stay where it was, because
its place, its people, its hours or what goes before it are no longer there, is *hit*. What comes
after a hit operation, or must keep step with it, is *affected*. Everything else stays.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pairwright.plan.calendar import NEVER, pieces
from pairwright.plan.fixed import (
    Place,
    around,
    book_holds,
    book_place,
    book_void,
    keep_for_next,
    overfull,
    setup_of,
)
from pairwright.plan.place import PLACED, place_block
from pairwright.plan.problem import Problem
from pairwright.plan.profile import last_full
from pairwright.plan.seek import when
from pairwright.plan.shop import LINE
from pairwright.plan.state import State, empty_state


@dataclass(slots=True)
class Keeping:
    """What is known before anything is placed, by task; times in minutes."""

    problem: Problem
    now: int
    places: Mapping[int, Place]  # where an earlier plan has it
    begun: Mapping[int, Place]  # facts: they lie where they lie
    void: frozenset[int]  # never happened and never will
    pinned: frozenset[int]
    loose: frozenset[int]  # may be placed anew from now on


@dataclass(slots=True)
class Kept:
    """Everything that stays, booked, and the tasks that are still to be placed."""

    state: State
    fixed: set[int]
    free: set[int]
    affected: set[int]  # hit, or behind or beside what is hit
    broken: list[int] = field(default_factory=list)  # pinned, and can't stay


def keep(keeping: Keeping, *, everything: bool = True) -> Kept:
    """Book what can stay; with `everything` off, only what has begun or is pinned."""
    problem = keeping.problem
    after = _after(problem)
    tied = _tied(problem)
    free = set(keeping.loose) - keeping.begun.keys() - keeping.void - keeping.pinned
    free |= {
        t for t in range(problem.tasks) if t not in keeping.places and t not in keeping.begun
    } - keeping.void
    _spread(free, after, tied, keeping)
    affected = set(free)
    if not everything:
        free |= set(range(problem.tasks)) - keeping.begun.keys() - keeping.void - keeping.pinned
    order = _order(keeping)
    while True:
        kept = _book(keeping, order, free, affected, after, tied)
        if kept is not None:
            return kept


def _spread(free: set[int], after: list[list[int]], tied: list[list[int]], keeping: Keeping) -> None:
    """Add what comes after the tasks, and what must keep step with them; facts and pins stay."""
    stack = list(free)
    while stack:
        task = stack.pop()
        for other in (*after[task], *tied[task]):
            if other not in free and other not in keeping.begun and other not in keeping.void:
                if other in keeping.pinned:
                    continue
                free.add(other)
                stack.append(other)


def _after(problem: Problem) -> list[list[int]]:
    after: list[list[int]] = [[] for _ in range(problem.tasks)]
    for task in range(problem.tasks):
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            after[problem.pre_task[row]].append(task)
    return after


def _tied(problem: Problem) -> list[list[int]]:
    """The other tasks of each task's block."""
    tied: list[list[int]] = [[] for _ in range(problem.tasks)]
    for first, beyond in zip(problem.block_from, problem.block_from[1:], strict=False):
        if beyond - first > 1:
            some = problem.block_task[first:beyond]
            for task in some:
                tied[task] = some
    return tied


def _order(keeping: Keeping) -> list[int]:
    """Tasks that have a place and have not begun, by start; of a batch the longest first."""
    problem = keeping.problem

    def key(task: int) -> tuple[int, int, int, int]:
        place = keeping.places[task]
        return (place.start, -problem.way_minutes[place.way], -problem.way_people[place.way], task)

    return sorted((t for t in keeping.places if t not in keeping.begun and t not in keeping.void), key=key)


def _book(
    keeping: Keeping, order: list[int], free: set[int], affected: set[int], after: list[list[int]],
    tied: list[list[int]],
) -> Kept | None:  # fmt: skip
    """One attempt to book everything that is not free; None: more has become free, try again."""
    problem = keeping.problem
    state = empty_state(problem)
    batches: dict[str, int] = {}
    starts = {t: keeping.places[t].start for t in order if t not in free}
    _book_begun(keeping, state, batches, starts)
    broken = _book_pinned(keeping, state, batches, starts, order)
    first = _behind_begun(keeping, state, free)
    for task in order:
        if task in free or task in keeping.pinned:
            continue
        place = keeping.places[task]
        if stays(problem, state, task=task, place=place, batches=batches, now=keeping.now):
            book_place(problem, state, task=task, place=place, batches=batches)
            keep_for_next(problem, state, task=task, starts=starts)
        elif _set_free([task], free, affected, after, tied, keeping, state):
            return None
    fixed = {t for t in range(problem.tasks) if t not in free} | first
    book_holds(problem, state, fixed, known={})
    more = _too_many(keeping, state, fixed, first)
    if more:
        _set_free(more, free, set(), after, tied, keeping, state)
        return None
    return Kept(state, fixed, free - first, affected, broken)


def _set_free(
    tasks: Iterable[int], free: set[int], affected: set[int], after: list[list[int]], tied: list[list[int]],
    keeping: Keeping, state: State,
) -> bool:  # fmt: skip
    """Free tasks with all that depends on them; whether one of them is booked already."""
    more = set(tasks)
    _spread(more, after, tied, keeping)
    more -= free
    free |= more
    affected |= more
    return any(state.start[t] >= 0 for t in more)


def _book_begun(keeping: Keeping, state: State, batches: dict[str, int], starts: Mapping[int, int]) -> None:
    """Facts first: what has begun, with what it holds."""
    problem = keeping.problem
    facts = sorted(
        keeping.begun.items(), key=lambda row: (row[1].start, -problem.way_minutes[row[1].way], row[0])
    )
    for task, place in facts:
        book_place(problem, state, task=task, place=place, batches=batches)
    for task in sorted(keeping.void):
        book_void(problem, state, task=task, at=keeping.now)
    known = {**starts, **{task: place.start for task, place in facts}}
    for task, _ in facts:
        keep_for_next(problem, state, task=task, starts=known)
    book_holds(problem, state, keeping.begun.keys() | keeping.void, known=starts)


def _book_pinned(
    keeping: Keeping, state: State, batches: dict[str, int], starts: Mapping[int, int], order: list[int]
) -> list[int]:
    """Pinned operations next; answers those that can't be where they are pinned."""
    broken: list[int] = []
    for task in order:
        if task in keeping.pinned:
            place = keeping.places[task]
            if not has_room(keeping.problem, state, task=task, place=place, batches=batches):
                broken.append(task)
            book_place(keeping.problem, state, task=task, place=place, batches=batches)
            keep_for_next(keeping.problem, state, task=task, starts=starts)
    return broken


def _behind_begun(keeping: Keeping, state: State, free: set[int]) -> set[int]:
    """Place first what is free and must follow something begun within a time; answers what was placed.

    Blocks are placed alone, in order of their planned starts, as soon as they can be.
    """
    problem = keeping.problem
    urgent = [t for t in free if _follows_begun(keeping, t)]
    placed: set[int] = set()
    if urgent:
        free_now = around(problem, state, free=free)
        release = [max(keeping.now, at) for at in free_now.release]
        blocks = {free_now.block_of[t] for t in urgent}

        def key(block: int) -> tuple[int, int]:
            task = free_now.block_task[free_now.block_from[block]]
            return (keeping.places[task].start if task in keeping.places else NEVER, block)

        for block in sorted(blocks, key=key):
            some = free_now.block_task[free_now.block_from[block] : free_now.block_from[block + 1]]
            rows = (r for t in some for r in range(free_now.pre_from[t], free_now.pre_from[t + 1]))
            if any(state.start[o] < 0 and o not in some for o in (free_now.pre_task[r] for r in rows)):
                continue
            if place_block(free_now, state, block=block, release=release, fill=0) == PLACED:
                placed |= set(some)
                _let_go(keeping, state, some)
    _let_go(keeping, state, list(keeping.places))
    return placed


def _follows_begun(keeping: Keeping, task: int) -> bool:
    problem, begun = keeping.problem, keeping.begun
    if problem.mate[task] in begun:
        return True
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        other = problem.pre_task[row]
        tie = problem.pre_longest[row] >= 0 or (problem.keeps[other] and problem.pre_next[row])
        if tie and other in begun:
            return True
    return False


def _let_go(keeping: Keeping, state: State, tasks: list[int]) -> None:
    """End the holding of units by what has begun: at the start of the next step, or when it was planned."""
    problem = keeping.problem
    for task in tasks:
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other = problem.pre_task[row]
            if other in keeping.begun and problem.keeps[other] and state.unit[other] >= 0:
                unit = state.unit[other]
                i = bisect_right(state.unit_from[unit], state.start[other]) - 1
                if state.unit_to[unit][i] >= NEVER:
                    start = state.start[task] if state.start[task] >= 0 else keeping.places[task].start
                    until = max(state.end[other], start)
                    state.unit_to[unit][i] = state.freed[other] = until


def _too_many(keeping: Keeping, state: State, fixed: set[int], first: set[int]) -> list[int]:
    """Where a pool holds more than it has places: those that came last and may still move."""
    problem = keeping.problem
    at, pool = overfull(problem, state)
    if pool < 0:
        return []
    holding: list[tuple[int, int, int]] = []
    for hold, number in enumerate(problem.hold_pool):
        opener, closer = problem.hold_open[hold], problem.hold_close[hold]
        if number != pool or opener not in fixed or closer < 0:
            continue
        if opener in first or opener in keeping.begun or opener in keeping.pinned or opener in keeping.void:
            continue
        until = state.held_to[hold] if state.held_to[hold] >= 0 else NEVER
        if state.held_from[hold] <= at < until:
            holding.append((state.held_from[hold], opener, problem.hold_need[hold]))
    i = bisect_right(state.pool_times[pool], at) - 1
    excess = state.pool_use[pool][i] - problem.shop.places[pool]
    found: list[int] = []
    for _, opener, need in sorted(holding, reverse=True):
        if excess > 0:
            found.append(opener)
            excess -= need
    return found


# whether a task can stay


def stays(
    problem: Problem, state: State, *, task: int, place: Place, batches: Mapping[str, int], now: int
) -> bool:
    """Whether a task can stay at its place with what is booked by now (pools apart)."""
    if place.start < now or place.start < problem.release[task]:
        return False
    return is_ready(problem, state, task=task, place=place) and has_room(
        problem, state, task=task, place=place, batches=batches
    )


def has_room(problem: Problem, state: State, *, task: int, place: Place, batches: Mapping[str, int]) -> bool:
    """Whether a task's place, its people and its hours are there (pools apart)."""
    if place.unit < 0:
        return True
    joined = -1 if place.batch is None else batches.get(place.batch, -1)
    if joined >= 0:
        return state.batch_start[joined] == place.start and state.batch_end[joined] == place.end
    shop = problem.shop
    station = problem.way_station[place.way]
    time = shop.times[problem.way_time[place.way]]
    if when(problem, time, task=task, way=place.way, at=place.start) != (place.start, place.end):
        return False
    return (
        _unit_is_free(problem, state, task, place)
        and _crew_is_there(problem, state, task, place)
        and (shop.kind[station] != LINE or _keeps_line(state, shop.pitch[station], station, place))
    )


def is_ready(problem: Problem, state: State, *, task: int, place: Place) -> bool:
    """Whether everything before the task ends in time, and not too early."""
    area = problem.way_area[place.way]
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        other = problem.pre_task[row]
        if state.start[other] < 0:
            return False
        lag = problem.pre_least[row]
        if problem.pre_brought[row]:
            here = state.area[other]
            if area < 0:
                area = here
            if here >= 0:
                lag = max(lag, problem.shop.transport[here][area])
        gap = place.start - state.end[other]
        if gap < lag or 0 <= problem.pre_longest[row] < gap:
            return False
    return True


def _unit_is_free(problem: Problem, state: State, task: int, place: Place) -> bool:
    froms, tos = state.unit_from[place.unit], state.unit_to[place.unit]
    setup_from, setup = setup_of(problem, state, task=task, place=place)
    if setup and setup_from < 0:
        return False
    occupied = setup_from if setup else place.start
    i = bisect_right(froms, occupied)
    if (i > 0 and tos[i - 1] > occupied) or (i < len(froms) and froms[i] < place.end):
        return False
    family = problem.family[task]
    row = problem.shop.setup_of[problem.way_station[place.way]]
    if family < 0 or row < 0:
        return True
    matrix = problem.shop.setup_times[row]
    setups, families = state.unit_setup[place.unit], state.unit_family[place.unit]
    for n in range(i, len(families)):
        if families[n] >= 0:
            return families[n] == family or matrix[family + 1][families[n]] <= setups[n]
    return True


def _crew_is_there(problem: Problem, state: State, task: int, place: Place) -> bool:
    way = place.way
    people = problem.way_people[way]
    crew, setter = problem.way_crew[way], problem.way_setup_crew[way]
    shop = problem.shop
    asked = [(crew, problem.way_time[way], place.start, place.end)]
    setup_from, setup = setup_of(problem, state, task=task, place=place)
    if setup:
        asked.append((setter, problem.way_setup_time[way], setup_from, place.start))
    for who, time, start, end in asked:
        if who < 0 or not people:
            continue
        room = shop.people[who] - people
        for a, b in pieces(shop.times[time], start, end=end):
            full = last_full(state.crew_times[who], state.crew_use[who], start=a, end=b, room=room)
            if full >= 0:
                return False
    return True


def _keeps_line(state: State, pitch: int, station: int, place: Place) -> bool:
    entries, exits = state.line_in[station], state.line_out[station]
    i = bisect_right(entries, place.start)
    if i < len(entries) and (entries[i] < place.start + pitch or exits[i] < place.end):
        return False
    return i == 0 or (place.start >= entries[i - 1] + max(pitch, 1) and place.end >= exits[i - 1])
