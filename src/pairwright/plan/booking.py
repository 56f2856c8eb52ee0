"""Writing a task into the bookings, and taking it out again in reverse order."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from pairwright.plan.calendar import pieces
from pairwright.plan.problem import Problem
from pairwright.plan.profile import add
from pairwright.plan.seek import Found
from pairwright.plan.shop import LINE, SINGLE
from pairwright.plan.state import UNPLACED, State


def book(problem: Problem, state: State, *, task: int, way: int, found: Found) -> None:
    """Occupy what a task needs where it was found to fit."""
    start, end, unit, setup_from, setup, joined = found
    state.start[task] = start
    state.end[task] = state.freed[task] = end
    state.way[task] = way
    state.unit[task] = unit
    state.setup_from[task] = setup_from
    state.batch[task] = joined
    state.last_end = max(state.last_end, end)
    if unit < 0:
        return
    if joined >= 0:
        state.batch_load[joined] += problem.load[task]
        state.batch_members[joined] += 1
        return
    shop = problem.shop
    station = problem.way_station[way]
    occupied = setup_from if setup_from >= 0 else start
    i = bisect_right(state.unit_from[unit], occupied)
    state.unit_from[unit].insert(i, occupied)
    state.unit_to[unit].insert(i, end)
    state.unit_family[unit].insert(i, problem.family[task] if shop.setup_of[station] >= 0 else -1)
    state.unit_setup[unit].insert(i, setup)
    _people(problem, state, task, 1)
    if shop.kind[station] != SINGLE:
        _new_batch(problem, state, task, station)
    if shop.kind[station] == LINE:
        i = bisect_right(state.line_in[station], start)
        state.line_in[station].insert(i, start)
        state.line_out[station].insert(i, end)


def unbook(problem: Problem, state: State, *, task: int) -> None:
    """Take back the latest booking of a task; nothing booked after it may depend on it."""
    unit = state.unit[task]
    batch = state.batch[task]
    if unit >= 0 and batch >= 0 and state.batch_members[batch] > 1:
        state.batch_load[batch] -= problem.load[task]
        state.batch_members[batch] -= 1
    elif unit >= 0:
        _clear(problem, state, task, unit)
        if batch >= 0:
            _drop_batch(problem, state, task, batch)
    state.start[task] = state.end[task] = UNPLACED


def _clear(problem: Problem, state: State, task: int, unit: int) -> None:
    start = state.start[task]
    i = bisect_left(state.unit_from[unit], state.setup_from[task] if state.setup_from[task] >= 0 else start)
    del state.unit_from[unit][i], state.unit_to[unit][i]
    del state.unit_family[unit][i], state.unit_setup[unit][i]
    station = problem.way_station[state.way[task]]
    if problem.shop.kind[station] == LINE:
        i = bisect_left(state.line_in[station], start)
        del state.line_in[station][i], state.line_out[station][i]
    _people(problem, state, task, -1)


def keep_until(state: State, *, task: int, until: int) -> tuple[int, int, int]:
    """Hold a task's unit until a later moment; answers what `let_go` needs to undo it."""
    unit = state.unit[task]
    i = bisect_right(state.unit_from[unit], state.start[task]) - 1
    before = (task, state.freed[task], state.unit_to[unit][i])
    state.freed[task] = max(state.freed[task], until)
    state.unit_to[unit][i] = max(state.unit_to[unit][i], until)
    return before


def let_go(state: State, *, before: tuple[int, int, int]) -> None:
    """Undo `keep_until`."""
    task, freed, to = before
    unit = state.unit[task]
    i = bisect_right(state.unit_from[unit], state.start[task]) - 1
    state.freed[task] = freed
    state.unit_to[unit][i] = to


def next_entry(state: State, *, task: int) -> tuple[int, int]:
    """From when to when the unit's next entry after a task's own occupies it; (-1, -1): none."""
    unit = state.unit[task]
    i = bisect_right(state.unit_from[unit], state.start[task])
    if i == len(state.unit_from[unit]):
        return -1, -1
    return state.unit_from[unit][i], state.unit_to[unit][i]


def _people(problem: Problem, state: State, task: int, sign: int) -> None:
    """Ask for the crew in the worked pieces and in the setup, or let it go again."""
    shop = problem.shop
    way = state.way[task]
    people = sign * problem.way_people[way]
    if not people:
        return
    start, end = state.start[task], state.end[task]
    crew = problem.way_crew[way]
    if crew >= 0:
        times, use = state.crew_times[crew], state.crew_use[crew]
        if end - start == problem.way_minutes[way]:
            add(times, use, start=start, end=end, count=people)
        else:
            for a, b in pieces(shop.times[problem.way_time[way]], start, end=end):
                add(times, use, start=a, end=b, count=people)
    setter = problem.way_setup_crew[way]
    setup_from = state.setup_from[task]
    if setter >= 0 and setup_from >= 0:
        times, use = state.crew_times[setter], state.crew_use[setter]
        for a, b in pieces(shop.times[problem.way_setup_time[way]], setup_from, end=start):
            add(times, use, start=a, end=b, count=people)


def _new_batch(problem: Problem, state: State, task: int, station: int) -> None:
    way = state.way[task]
    number = len(state.batch_start)
    state.batch[task] = number
    state.batch_start.append(state.start[task])
    state.batch_end.append(state.end[task])
    state.batch_unit.append(state.unit[task])
    state.batch_station.append(station)
    state.batch_crew.append(problem.way_crew[way])
    state.batch_people.append(problem.way_people[way])
    state.batch_minutes.append(problem.way_minutes[way])
    state.batch_family.append(problem.family[task])
    state.batch_load.append(problem.load[task])
    state.batch_members.append(1)
    word = problem.word[task]
    i = bisect_right(state.word_starts[word], state.start[task])
    state.word_starts[word].insert(i, state.start[task])
    state.word_batches[word].insert(i, number)


def _drop_batch(problem: Problem, state: State, task: int, batch: int) -> None:
    word = problem.word[task]
    i = state.word_batches[word].index(batch)
    del state.word_starts[word][i], state.word_batches[word][i]
    for column in (
        state.batch_start, state.batch_end, state.batch_unit, state.batch_station, state.batch_crew,
        state.batch_people, state.batch_minutes, state.batch_family, state.batch_load, state.batch_members,
    ):  # fmt: skip
        column.pop()
