"""Placing a block: all its tasks, each as early as the others allow, or none of them.

Tasks are placed in order of precedence. Where a longest wait, the distance of mates, a kept place
or a buffer can't be honoured, the earlier task's bound is raised by as much as is needed for
certain, everything from there on is taken back, and placing goes on. Bounds only rise, and beyond
all bookings the works is empty, so this ends whenever the block fits into an empty works.
"""

from __future__ import annotations

from typing import Final

from pairwright.plan.booking import book, keep_until, let_go, next_entry, unbook
from pairwright.plan.calendar import NEVER
from pairwright.plan.problem import Problem
from pairwright.plan.profile import add, last_full
from pairwright.plan.seek import NOWHERE, Found, seek
from pairwright.plan.state import State

PLACED: Final = -1
NO_ROOM: Final = -2  # no place before the horizon, or too many tries
TOO_LONG: Final = -3  # within: so many tries that other ways are looked at first
FEW_TRIES: Final = 30  # for each task of a block; three are what a crowded works needs
TRIES: Final = 5_000
MOST_CHOICES: Final = 24
WEEK: Final = 10_080  # minutes
# Answers of `place_block` from 0 on: the number of the pool that must free a place first.


def place_block(problem: Problem, state: State, *, block: int, release: list[int], fill: int) -> int:
    """Place all tasks of a block; answers `PLACED`, `NO_ROOM` or the pool that is full.

    Each task takes the way on which it ends first. Where that leads nowhere, every combination of
    ways is tried, up to `MOST_CHOICES`.

    Parameters
    ----------
    problem : Problem
        The flat arrays.
    state : State
        Bookings; unchanged unless the answer is `PLACED`.
    block : int
        Which block.
    release : list[int]
        Earliest start of each task. [min]
    fill : int
        Share of a station's fill wait that a part-filled batch waits. [percent]
    """
    first, beyond = problem.block_from[block], problem.block_from[block + 1]
    if beyond - first == 1:
        return _place_single(problem, state, block, problem.block_task[first], release, fill)
    few = FEW_TRIES * (beyond - first + 5)
    kind = problem.block_kind[block]
    count = choices(problem, block=block)
    answer = NO_ROOM
    if state.lucky[kind] >= 0:
        answer = _place_chosen(problem, state, block, release, fill, few, state.lucky[kind])
    if answer in (NO_ROOM, TOO_LONG):
        answer = _place_tied(problem, state, block, release, fill, few)
    if answer not in (NO_ROOM, TOO_LONG):
        return answer
    hopeful = answer == TOO_LONG
    for choice in range(min(count, MOST_CHOICES) if count > 1 else 0):
        answer = _place_chosen(problem, state, block, release, fill, few, choice)
        if answer not in (NO_ROOM, TOO_LONG):
            state.lucky[kind] = choice
            return answer
    answer = _place_tied(problem, state, block, release, fill, TRIES) if hopeful else NO_ROOM
    return NO_ROOM if answer == TOO_LONG else answer


def _place_chosen(
    problem: Problem, state: State, block: int, release: list[int], fill: int, tries: int, choice: int
) -> int:
    """Place a block with one combination of ways."""
    first, beyond = problem.block_from[block], problem.block_from[block + 1]
    for row in range(first, beyond):
        task = problem.block_task[row]
        ways = max(1, problem.way_from[task + 1] - problem.way_from[task])
        state.only_way[task] = problem.way_from[task] + choice % ways
        choice //= ways
    answer = _place_tied(problem, state, block, release, fill, tries)
    for row in range(first, beyond):
        state.only_way[problem.block_task[row]] = -1
    return answer


def unplace_block(problem: Problem, state: State, *, block: int) -> None:
    """Take back a placed block; nothing placed after it may remain."""
    _take_back(problem, state, block, problem.block_from[block], problem.block_from[block + 1])


def choices(problem: Problem, *, block: int) -> int:
    """How many combinations of ways a block has."""
    count = 1
    for row in range(problem.block_from[block], problem.block_from[block + 1]):
        task = problem.block_task[row]
        count *= problem.way_from[task + 1] - problem.way_from[task]
    return count


def _place_tied(problem: Problem, state: State, block: int, release: list[int], fill: int, most: int) -> int:
    """Place the tasks of a block in order, going back where a wait, a mate or a place asks for it."""
    first, beyond = problem.block_from[block], problem.block_from[block + 1]
    for row in range(first, beyond):
        task = problem.block_task[row]
        state.floor_start[task] = release[task]
        state.floor_end[task] = 0
    give_up = _give_up(problem, state, block, release)
    row = first
    tries = 0
    while row < beyond:
        answer, back = _try_task(problem, state, block, problem.block_task[row], fill)
        tries += 1
        if answer == PLACED and back >= 0:
            again = first + problem.place_in_block[back]
            _take_back(problem, state, block, again, row)
            row = again
            if max(state.floor_start[back], state.floor_end[back]) > give_up:
                answer = NO_ROOM
            elif tries > most:
                answer = TOO_LONG
        elif answer == PLACED:
            row += 1
        if answer != PLACED:
            _take_back(problem, state, block, first, row)
            return answer
    return PLACED


def _give_up(problem: Problem, state: State, block: int, release: list[int]) -> int:
    """A moment so late that what has not fitted before does not fit at all. [min]

    Beyond all bookings and dated exceptions the works is empty and every week is like the other.
    """
    at = max(state.last_end, problem.shop.settled)
    need = WEEK
    for row in range(problem.block_from[block], problem.block_from[block + 1]):
        task = problem.block_task[row]
        at = max(at, release[task])
        need += WEEK
        for way in range(problem.way_from[task], problem.way_from[task + 1]):
            need += 4 * problem.way_minutes[way]
        for r in range(problem.pre_from[task], problem.pre_from[task + 1]):
            need += problem.pre_least[r]
            at = max(at, state.end[problem.pre_task[r]])
    return at + need


def _place_single(
    problem: Problem, state: State, block: int, task: int, release: list[int], fill: int
) -> int:
    """The common case: a block of one task, tied to nothing."""
    at = release[task]
    while True:
        found, way = best_way(problem, state, task=task, at=at, end_at=0, fill=fill)
        if found[0] >= NEVER:
            return NO_ROOM
        book(problem, state, task=task, way=way, found=found)
        state.area[task] = _area(problem, state, task, way)
        if problem.open_from[task] == problem.open_from[task + 1] and (
            problem.close_from[task] == problem.close_from[task + 1]
        ):
            return PLACED
        full, pool, _ = _take_holds(problem, state, block, task)
        if full < 0:
            return PLACED
        unbook(problem, state, task=task)
        if full >= NEVER:
            return pool
        at = full


def _try_task(problem: Problem, state: State, block: int, task: int, fill: int) -> tuple[int, int]:
    """Place one task of a block; answers (`PLACED`, task to go back to or -1), or (why not, -1)."""
    at = state.floor_start[task]
    mate = problem.mate[task]
    mate_placed = 0 <= mate < task  # tasks of a block are numbered in order
    if mate_placed:
        at = max(at, state.start[mate] - problem.mate_within[task])
    found, way = best_way(problem, state, task=task, at=at, end_at=state.floor_end[task], fill=fill)
    if found[0] >= NEVER:
        return NO_ROOM, -1
    back = _too_late(problem, state, task, found[0])
    if back >= 0:
        return PLACED, back
    if mate_placed and found[0] > state.start[mate] + problem.mate_within[task]:
        state.floor_start[mate] = found[0] - problem.mate_within[task]
        return PLACED, mate
    book(problem, state, task=task, way=way, found=found)
    state.area[task] = _area(problem, state, task, way)
    back = _keep_places(problem, state, task, found[0])
    if back < 0:
        full, pool, held = _take_holds(problem, state, block, task)
        if full < 0:
            return PLACED, -1
        if full >= NEVER:
            _release_places(state, task)
            unbook(problem, state, task=task)
            return pool, -1
        back = held
        state.floor_start[back] = max(state.floor_start[back] + 1, full)
    _release_places(state, task)
    unbook(problem, state, task=task)
    return PLACED, back


def best_way(
    problem: Problem, state: State, *, task: int, at: int, end_at: int, fill: int
) -> tuple[Found, int]:
    """The way on which a task ends first, after everything that goes before it. Ties: first start, order."""
    best, best_way_index = NOWHERE, -1
    before = range(problem.pre_from[task], problem.pre_from[task + 1])
    transport = problem.shop.transport
    only = state.only_way[task]
    for way in range(problem.way_from[task], problem.way_from[task + 1]):
        if only >= 0 and way != only:
            continue
        area = problem.way_area[way]
        early = at
        by = NEVER
        for row in before:
            other = problem.pre_task[row]
            lag = problem.pre_least[row]
            if problem.pre_brought[row]:
                here = state.area[other]
                if area < 0:
                    area = here
                if here >= 0 and transport[here][area] > lag:
                    lag = transport[here][area]
            ready = state.end[other] + lag
            early = max(early, ready)
            longest = problem.pre_longest[row]
            if longest >= 0 and state.end[other] + longest < by:
                by = state.end[other] + longest
        wait = 0
        if fill and problem.way_station[way] >= 0:
            wait = problem.shop.fill_wait[problem.way_station[way]] * fill // 100
        found = seek(problem, state, task=task, way=way, at=early, end_at=end_at, fill=wait, by=by)
        if found[1] < best[1] or (found[1] == best[1] and found[0] < best[0]):
            best, best_way_index = found, way
    return best, best_way_index


def _area(problem: Problem, state: State, task: int, way: int) -> int:
    """Where an item is: at the station, in the step's buffer, else where it was."""
    area = problem.way_area[way]
    if area < 0 and problem.pre_from[task] < problem.pre_from[task + 1]:
        area = state.area[problem.pre_task[problem.pre_from[task]]]
    return area


def _too_late(problem: Problem, state: State, task: int, start: int) -> int:
    """A task before this one that must end later for the longest wait to hold; -1: none."""
    back = -1
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        longest = problem.pre_longest[row]
        other = problem.pre_task[row]
        if longest < 0 or start <= state.end[other] + longest:
            continue
        state.floor_end[other] = max(state.floor_end[other], start - longest)
        if back < 0 or other < back:
            back = other
    return back


def _keep_places(problem: Problem, state: State, task: int, start: int) -> int:
    """Hold the units that the tasks before keep until this one starts; -1, or a task to place later."""
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        other = problem.pre_task[row]
        if not (problem.keeps[other] and problem.pre_next[row]) or state.unit[other] < 0:
            continue
        begins, ends = next_entry(state, task=other)
        if 0 <= begins < start:
            state.floor_start[other] = max(state.floor_start[other] + 1, ends)
            return other
        state.kept.append((task, *keep_until(state, task=other, until=start)))
    return -1


def _release_places(state: State, task: int) -> None:
    """Undo the units kept for this task."""
    kept = state.kept
    while kept and kept[-1][0] == task:
        _, other, freed, to = kept.pop()
        let_go(state, before=(other, freed, to))


def _take_holds(problem: Problem, state: State, block: int, task: int) -> tuple[int, int, int]:
    """Close and open what the task's holds say; answers (-1, -1, -1), or (full until, pool, task to move)."""
    opens = range(problem.open_from[task], problem.open_from[task + 1])
    closes = range(problem.close_from[task], problem.close_from[task + 1])
    start, end = state.start[task], state.end[task]
    for row in opens:
        hold = problem.open_hold[row]
        state.held_from[hold] = start
    done: list[int] = []
    for row in closes:
        hold = problem.close_hold[row]
        opener = problem.hold_open[hold]
        to = end if problem.hold_at_end[hold] else start
        if problem.block_of[opener] == block:
            full = _full(problem, state, hold, state.held_from[hold], to)
            if full >= 0:
                _undo_holds(problem, state, block, done)
                return full, problem.hold_pool[hold], opener
            _count(problem, state, hold, state.held_from[hold], to, 1)
        else:
            _count(problem, state, hold, to, NEVER, -1)
        state.held_to[hold] = to
        done.append(hold)
    for row in opens:
        hold = problem.open_hold[row]
        closer = problem.hold_close[hold]
        if closer < 0 or problem.block_of[closer] == block:
            continue
        full = _full(problem, state, hold, start, NEVER)
        if full >= 0:
            _undo_holds(problem, state, block, done)
            return full, problem.hold_pool[hold], task
        _count(problem, state, hold, start, NEVER, 1)
        done.append(hold)
    return -1, -1, -1


def _undo_holds(problem: Problem, state: State, block: int, holds: list[int]) -> None:
    """Reverse what `_take_holds` did for these holds."""
    for hold in reversed(holds):
        inside = problem.block_of[problem.hold_open[hold]] == block
        if not inside:
            _count(problem, state, hold, state.held_to[hold], NEVER, 1)
        elif problem.block_of[problem.hold_close[hold]] == block:
            _count(problem, state, hold, state.held_from[hold], state.held_to[hold], -1)
        else:
            _count(problem, state, hold, state.held_from[hold], NEVER, -1)


def _full(problem: Problem, state: State, hold: int, start: int, end: int) -> int:
    pool = problem.hold_pool[hold]
    room = problem.shop.places[pool] - problem.hold_need[hold]
    return last_full(state.pool_times[pool], state.pool_use[pool], start=start, end=end, room=room)


def _count(problem: Problem, state: State, hold: int, start: int, end: int, sign: int) -> None:
    pool = problem.hold_pool[hold]
    add(
        state.pool_times[pool],
        state.pool_use[pool],
        start=start,
        end=end,
        count=sign * problem.hold_need[hold],
    )


def _take_back(problem: Problem, state: State, block: int, first: int, beyond: int) -> None:
    """Take back the placed tasks of some rows of a block, the last one first."""
    for row in range(beyond - 1, first - 1, -1):
        task = problem.block_task[row]
        closes = range(problem.close_from[task], problem.close_from[task + 1])
        opens = range(problem.open_from[task], problem.open_from[task + 1])
        holds = [problem.close_hold[r] for r in closes]
        for r in opens:
            closer = problem.hold_close[problem.open_hold[r]]
            if closer >= 0 and problem.block_of[closer] != block:
                holds.append(problem.open_hold[r])
        _undo_holds(problem, state, block, holds)
        _release_places(state, task)
        unbook(problem, state, task=task)
