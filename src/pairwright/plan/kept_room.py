"""Whether an operation can stay where an earlier plan has it, with what is booked by now (pools apart)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping

from pairwright.plan.calendar import pieces
from pairwright.plan.fixed import Place, setup_of
from pairwright.plan.problem import Problem
from pairwright.plan.profile import last_full
from pairwright.plan.seek import when
from pairwright.plan.shop import LINE
from pairwright.plan.state import State


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
