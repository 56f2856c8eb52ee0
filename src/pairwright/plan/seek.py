"""The earliest time at which a task fits on one of its ways, between what is already booked."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Final, TypeAlias

from pairwright.plan.calendar import NEVER, WorkingTime, advance, retreat
from pairwright.plan.problem import Problem
from pairwright.plan.profile import last_full, room_from
from pairwright.plan.shop import LINE, SINGLE
from pairwright.plan.state import State

# start, end, unit, start of the setup (-1: none), setup minutes, batch joined (-1: none)
Found: TypeAlias = tuple[int, int, int, int, int, int]
NOWHERE: Final[Found] = (NEVER, NEVER, -1, -1, 0, -1)


def seek(
    problem: Problem, state: State, *, task: int, way: int, at: int, end_at: int, fill: int, by: int
) -> Found:
    """The earliest place of a task on a way.

    Parameters
    ----------
    problem : Problem
        The flat arrays.
    state : State
        What is booked.
    task, way : int
        Which task, on which of its ways.
    at : int
        Earliest start. [min]
    end_at : int
        Earliest end. [min]
    fill : int
        How long a new part-filled batch waits for more. [min]
    by : int
        Latest start that is of use; only the wait for more looks at it. [min]
    """
    station = problem.way_station[way]
    minutes = problem.way_minutes[way]
    if station < 0:
        start = max(at, end_at - minutes)
        return (start, start + minutes, -1, -1, 0, -1)
    shop = problem.shop
    if shop.kind[station] == SINGLE:
        return _alone(problem, state, task, way, at, end_at)
    if problem.load[task] > shop.capacity[station]:
        return NOWHERE
    alone = _alone(problem, state, task, way, at, end_at)
    joined = _join(problem, state, task, way, at, end_at, alone[1] + fill)
    if joined[0] < NEVER:
        return joined
    later = min(at + fill, by)
    if later > alone[0] and problem.load[task] < shop.capacity[station]:
        waited = _alone(problem, state, task, way, later, end_at)
        if waited[0] <= by:
            return waited
    return alone


def _alone(problem: Problem, state: State, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place that shares nothing."""
    if problem.family[task] >= 0 and problem.shop.setup_of[problem.way_station[way]] >= 0:
        return _with_setup(problem, state, task, way, at, end_at)
    return _plain(problem, state, task, way, at, end_at)


def _join(problem: Problem, state: State, task: int, way: int, at: int, end_at: int, by: int) -> Found:
    """A batch of the same word that has room, and ends no later than `by`."""
    word = problem.word[task]
    starts = state.word_starts[word]
    batches = state.word_batches[word]
    station = problem.way_station[way]
    room = problem.shop.capacity[station] - problem.load[task]
    for i in range(bisect_left(starts, at), len(starts)):
        if starts[i] > by:
            break
        batch = batches[i]
        end = state.batch_end[batch]
        if (
            state.batch_load[batch] <= room
            and state.batch_station[batch] == station
            and end_at <= end <= by
            and problem.way_minutes[way] <= state.batch_minutes[batch]
            and problem.way_crew[way] == state.batch_crew[batch]
            and problem.way_people[way] <= state.batch_people[batch]
            and problem.family[task] == state.batch_family[batch]
        ):
            return (starts[i], end, state.batch_unit[batch], -1, 0, batch)
    return NOWHERE


def _plain(problem: Problem, state: State, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place on any unit of a station without setups for this task."""
    shop = problem.shop
    station = problem.way_station[way]
    minutes = problem.way_minutes[way]
    time = shop.times[problem.way_time[way]]
    crew = problem.way_crew[way]
    people = problem.way_people[way] if crew >= 0 else 0
    keeps = problem.keeps[task]
    if end_at - minutes > at:
        at = max(at, retreat(time, end_at, work=minutes) if problem.pause[task] else end_at - minutes)
    line = shop.kind[station] == LINE
    while True:
        start, end = when(problem, time, task=task, way=way, at=at)
        if start >= NEVER:
            return NOWHERE
        if end < end_at:
            at = start + 1
            continue
        if line:
            at = _line_wait(state, shop.pitch[station], station, start, end)
            if at > start:
                continue
        unit, at = _free_unit(
            state, shop.unit_from[station], shop.unit_from[station + 1], start, end, minutes, keeps
        )
        if unit < 0:
            continue
        if people:
            at = _crew_wait(state, time, crew, shop.people[crew] - people, start, end, minutes)
            if at > start:
                if at >= NEVER:
                    return NOWHERE
                continue
        return (start, end, unit, -1, 0, -1)


def when(problem: Problem, time: WorkingTime, *, task: int, way: int, at: int) -> tuple[int, int]:
    """The first start at or after a moment that the calendar allows, and its end."""
    starts, ends = time.starts, time.ends
    minutes = problem.way_minutes[way]
    station = problem.way_station[way]
    i = bisect_right(ends, at)
    last = len(ends)
    if problem.shop.manned[station]:
        if problem.pause[task]:
            if i == last:
                return NEVER, NEVER
            at = max(at, starts[i])
            end = advance(time, at, work=minutes)
            return (at, end) if end < NEVER else (NEVER, NEVER)
        while i < last:
            start = starts[i]
            start = max(start, at)
            if start + minutes <= ends[i]:
                return start, start + minutes
            i += 1
        return NEVER, NEVER
    stop_starts, stop_ends = problem.shop.stop_starts[station], problem.shop.stop_ends[station]
    while i < last:
        at = max(at, starts[i])
        k = bisect_right(stop_ends, at)
        if k == len(stop_ends) or stop_starts[k] >= at + minutes:
            return at, at + minutes
        at = stop_ends[k]
        i = bisect_right(ends, at, i)
    return NEVER, NEVER


def _free_unit(
    state: State, first: int, beyond: int, start: int, end: int, minutes: int, keeps: bool
) -> tuple[int, int]:
    """A unit that is free, or (-1, the first moment at which one may be).

    Of several the one that leaves the least gap before it; a task that keeps its place takes the
    one that stays free longest.
    """
    best = -1
    best_gap = NEVER
    soonest = NEVER
    for unit in range(first, beyond):
        froms, tos = state.unit_from[unit], state.unit_to[unit]
        i = bisect_right(froms, start)
        if i > 0 and tos[i - 1] > start:
            free = tos[i - 1]
        elif i < len(froms) and froms[i] < end:
            free = tos[i]
            i += 1
        else:
            gap = start - (tos[i - 1] if i > 0 else 0)
            if keeps:
                gap = -(froms[i] if i < len(froms) else NEVER)
            if gap < best_gap or best < 0:
                best, best_gap = unit, gap
            continue
        last = len(froms)
        while i < last and froms[i] - free < minutes:
            free = tos[i]
            i += 1
        soonest = min(soonest, free)
    return (best, start) if best >= 0 else (-1, soonest)


def _crew_wait(
    state: State, time: WorkingTime, crew: int, room: int, start: int, end: int, minutes: int
) -> int:
    """`start` when the crew has room in every piece of the work, else the next start worth trying."""
    times, use = state.crew_times[crew], state.crew_use[crew]
    if room < 0:
        return NEVER
    if end - start == minutes:
        return room_from(times, use, at=start, minutes=minutes, room=room)
    return _pieces_wait(time, times, use, room, start, end)


def _pieces_wait(time: WorkingTime, times: list[int], use: list[int], room: int, start: int, end: int) -> int:
    starts, ends = time.starts, time.ends
    found = start
    for i in range(bisect_right(ends, start), len(ends)):
        if starts[i] >= end:
            break
        full = last_full(times, use, start=max(start, starts[i]), end=min(end, ends[i]), room=room)
        found = max(found, full)
    return found


def _line_wait(state: State, pitch: int, station: int, start: int, end: int) -> int:
    """`start` when entry and exit keep order and pitch, else the next start worth trying."""
    entries, exits = state.line_in[station], state.line_out[station]
    i = bisect_right(entries, start)
    if i < len(entries) and (entries[i] < start + pitch or exits[i] < end):
        return max(start + 1, entries[i] + pitch)
    if i > 0:
        if start < entries[i - 1] + pitch or start == entries[i - 1]:
            return max(start + 1, entries[i - 1] + pitch)
        if end < exits[i - 1]:
            return start + exits[i - 1] - end
    return start


def family_before(state: State, unit: int, *, entry: int) -> int:
    """The setup family in force before an entry of a unit; -1: the empty state."""
    families = state.unit_family[unit]
    for i in range(entry - 1, -1, -1):
        if families[i] >= 0:
            return families[i]
    return -1


def _with_setup(problem: Problem, state: State, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place on any unit, with the setup that it needs there."""
    station = problem.way_station[way]
    best = NOWHERE
    for unit in range(problem.shop.unit_from[station], problem.shop.unit_from[station + 1]):
        found = _gap(problem, state, task, way, at, end_at, unit, best[0])
        if found[0] < best[0] or (found[0] == best[0] and found[4] < best[4]):
            best = found
    return best


def _gap(
    problem: Problem, state: State, task: int, way: int, at: int, end_at: int, unit: int, by: int
) -> Found:
    """The earliest gap of a unit that holds the setup and the work; none that starts after `by`."""
    froms, tos = state.unit_from[unit], state.unit_to[unit]
    setups, families = state.unit_setup[unit], state.unit_family[unit]
    family = problem.family[task]
    station = problem.way_station[way]
    matrix = problem.shop.setup_times[problem.shop.setup_of[station]]
    last = len(froms)
    i = bisect_right(froms, at)
    before = family_before(state, unit, entry=i)
    while True:
        low = tos[i - 1] if i > 0 else 0
        high = froms[i] if i < last else NEVER
        if low > by:
            return NOWHERE
        setup = 0 if before == family else matrix[before + 1][family]
        if high - max(low, at) >= problem.way_minutes[way] and (
            i == last or before == family or _spares(matrix, setups, families, i, family)
        ):
            found = _in_gap(problem, state, task, way, max(at, low), end_at, unit, low, high, setup)
            if found[0] < NEVER:
                return found
        if i == last:
            return NOWHERE
        if families[i] >= 0:
            before = families[i]
        i += 1


def _spares(matrix: list[list[int]], setups: list[int], families: list[int], entry: int, family: int) -> bool:
    """Whether the next entry that asks for a family has setup enough before it to follow this one."""
    for i in range(entry, len(families)):
        if families[i] >= 0:
            return families[i] == family or matrix[family + 1][families[i]] <= setups[i]
    return True


def _in_gap(
    problem: Problem, state: State, task: int, way: int, at: int, end_at: int, unit: int, low: int, high: int,
    setup: int,
) -> Found:  # fmt: skip
    """The earliest place between two entries of a unit, its setup after the first of them."""
    shop = problem.shop
    minutes = problem.way_minutes[way]
    station = problem.way_station[way]
    time = shop.times[problem.way_time[way]]
    setting = shop.times[problem.way_setup_time[way]]
    crew, setter = problem.way_crew[way], problem.way_setup_crew[way]
    people = problem.way_people[way]
    line = shop.kind[station] == LINE
    if setup:
        at = max(at, advance(setting, low, work=setup))
    if end_at - minutes > at:
        at = max(at, retreat(time, end_at, work=minutes) if problem.pause[task] else end_at - minutes)
    while True:
        start, end = when(problem, time, task=task, way=way, at=at)
        if start >= NEVER or end > high:
            return NOWHERE
        if end < end_at:
            at = start + 1
            continue
        if line:
            at = _line_wait(state, shop.pitch[station], station, start, end)
            if at > start:
                continue
        setup_from = -1
        if setup:
            setup_from = retreat(setting, start, work=setup)
            if setter >= 0 and people:
                full = _pieces_wait(setting, state.crew_times[setter], state.crew_use[setter],
                                    shop.people[setter] - people, setup_from, start)  # fmt: skip
                if full > setup_from:
                    at = max(start + 1, advance(setting, full, work=setup)) if full < NEVER else NEVER
                    continue
        if crew >= 0 and people:
            at = _crew_wait(state, time, crew, shop.people[crew] - people, start, end, minutes)
            if at > start:
                continue
        return (start, end, unit, setup_from, setup, -1)
