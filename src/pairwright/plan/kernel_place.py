"""Compiled: placing a block, all its tasks or none of them. The plain twin is `place`."""

from __future__ import annotations

from typing import Final, cast

import numpy as np

from pairwright.plan.calendar import NEVER
from pairwright.plan.kernel_book import book, keep_until, next_entry, release_places, unbook
from pairwright.plan.kernel_layout import (
    AREA_COUNT,
    B_BROUGHT,
    B_LEAST,
    B_LONGEST,
    B_NEXT,
    B_TASK,
    BEFORE,
    BEFORES,
    BLOCK,
    BLOCK_OF,
    BLOCKS,
    BOOKED,
    BOOKING,
    CLOSES,
    DONE,
    DONE_COUNT,
    EARLY,
    END,
    FLOOR_END,
    FLOOR_START,
    H_AT_END,
    H_CLOSER,
    H_NEED,
    H_OPENER,
    H_POOL,
    HELD,
    HOLD,
    HOLDS,
    IN_AREA,
    K_KIND,
    K_MEMBERS,
    KEEPS,
    LAST_END,
    LIST,
    LUCKY,
    MATE,
    MEMBERS,
    ONLY_WAY,
    OPENS,
    PLACES,
    POOLS,
    ROW_IN_BLOCK,
    S_FILL,
    SETTLED,
    START,
    STATION,
    STATIONS,
    T_BEFORE,
    T_CLOSES,
    T_OPENS,
    T_WAYS,
    TASK,
    TASKS,
    TRANSPORT,
    UNIT,
    W_AREA,
    W_MINUTES,
    W_STATION,
    WAY,
    WAYS,
    WITHIN,
)
from pairwright.plan.kernel_lists import Numbers, add, last_full, leaf, small
from pairwright.plan.kernel_seek import NOWHERE, Found, seek
from pairwright.plan.place import FEW_TRIES, MOST_CHOICES, NO_ROOM, PLACED, TOO_LONG, TRIES, WEEK

HOLDING: Final = 2  # a row of a hold in the books: from, to
# As values, not as literals: functions called with either would be compiled twice.
NO_END: Final = cast("int", np.int64(0))
LATEST: Final = cast("int", np.int64(NEVER))
MANY_TRIES: Final = cast("int", np.int64(TRIES))


@leaf
def place_block(p: Numbers, s: Numbers, block: int, fill: int) -> int:
    """Place all tasks of a block; answers `PLACED`, `NO_ROOM` or the pool that is full."""
    k = p[BLOCKS] + block * BLOCK
    count = p[k + BLOCK + K_MEMBERS] - p[k + K_MEMBERS]
    if count == 1:
        return place_single(p, s, block, p[p[MEMBERS] + p[k + K_MEMBERS]], fill)
    few = FEW_TRIES * (count + 5)
    lucky = s[LUCKY] + p[k + K_KIND]
    answer = NO_ROOM
    if s[lucky] >= 0:
        answer = place_chosen(p, s, block, fill, few, s[lucky])
    if answer in (NO_ROOM, TOO_LONG):
        answer = place_tied(p, s, block, fill, few)
    if answer not in (NO_ROOM, TOO_LONG):
        return answer
    hopeful = answer == TOO_LONG
    ways = choices(p, block)
    for choice in range(ways if ways > 1 else 0):
        answer = place_chosen(p, s, block, fill, few, choice)
        if answer not in (NO_ROOM, TOO_LONG):
            s[lucky] = choice
            return answer
    answer = place_tied(p, s, block, fill, MANY_TRIES) if hopeful else NO_ROOM
    return NO_ROOM if answer == TOO_LONG else answer


@leaf
def choices(p: Numbers, block: int) -> int:
    """How many combinations of ways a block has, of those that are looked at."""
    k = p[BLOCKS] + block * BLOCK
    count = 1
    for row in range(p[k + K_MEMBERS], p[k + BLOCK + K_MEMBERS]):
        t = p[TASKS] + p[p[MEMBERS] + row] * TASK
        count = min(MOST_CHOICES, count * (p[t + TASK + T_WAYS] - p[t + T_WAYS]))
    return count


@leaf
def place_chosen(p: Numbers, s: Numbers, block: int, fill: int, tries: int, choice: int) -> int:
    """Place a block with one combination of ways."""
    k = p[BLOCKS] + block * BLOCK
    for row in range(p[k + K_MEMBERS], p[k + BLOCK + K_MEMBERS]):
        task = p[p[MEMBERS] + row]
        t = p[TASKS] + task * TASK
        ways = max(1, p[t + TASK + T_WAYS] - p[t + T_WAYS])
        s[s[BOOKED] + task * BOOKING + ONLY_WAY] = p[t + T_WAYS] + choice % ways
        choice //= ways
    answer = place_tied(p, s, block, fill, tries)
    for row in range(p[k + K_MEMBERS], p[k + BLOCK + K_MEMBERS]):
        s[s[BOOKED] + p[p[MEMBERS] + row] * BOOKING + ONLY_WAY] = -1
    return answer


@leaf
def place_tied(p: Numbers, s: Numbers, block: int, fill: int, most: int) -> int:
    """Place the tasks of a block in order, going back where a wait, a mate or a place asks for it."""
    k = p[BLOCKS] + block * BLOCK
    first = p[k + K_MEMBERS]
    beyond = p[k + BLOCK + K_MEMBERS]
    for row in range(first, beyond):
        b = s[BOOKED] + p[p[MEMBERS] + row] * BOOKING
        s[b + FLOOR_START] = s[b + EARLY]
        s[b + FLOOR_END] = 0
    limit = give_up(p, s, first, beyond)
    row = first
    tries = 0
    while row < beyond:
        answer, back = try_task(p, s, block, p[p[MEMBERS] + row], fill)
        tries += 1
        if answer == PLACED and back >= 0:
            again = first + p[p[TASKS] + back * TASK + ROW_IN_BLOCK]
            take_back(p, s, block, again, row)
            row = again
            b = s[BOOKED] + back * BOOKING
            if max(s[b + FLOOR_START], s[b + FLOOR_END]) > limit:
                answer = NO_ROOM
            elif tries > most:
                answer = TOO_LONG
        elif answer == PLACED:
            row += 1
        if answer != PLACED:
            take_back(p, s, block, first, row)
            return answer
    return PLACED


@leaf
def give_up(p: Numbers, s: Numbers, first: int, beyond: int) -> int:
    """A moment so late that what has not fitted before does not fit at all. [min]"""
    at = max(s[LAST_END], p[SETTLED])
    need = WEEK
    for row in range(first, beyond):
        task = p[p[MEMBERS] + row]
        t = p[TASKS] + task * TASK
        at = max(at, s[s[BOOKED] + task * BOOKING + EARLY])
        need += WEEK
        for way in range(p[t + T_WAYS], p[t + TASK + T_WAYS]):
            need += 4 * p[p[WAYS] + way * WAY + W_MINUTES]
        for r in range(p[t + T_BEFORE], p[t + TASK + T_BEFORE]):
            f = p[BEFORES] + r * BEFORE
            need += p[f + B_LEAST]
            at = max(at, s[s[BOOKED] + p[f + B_TASK] * BOOKING + END])
    return at + need


@leaf
def place_single(p: Numbers, s: Numbers, block: int, task: int, fill: int) -> int:
    """The common case: a block of one task, tied to nothing."""
    found, way = best_way(p, s, task, s[s[BOOKED] + task * BOOKING + EARLY], NO_END, fill)
    return place_found(p, s, block, task, fill, found, way)


@leaf
def place_found(p: Numbers, s: Numbers, block: int, task: int, fill: int, found: Found, way: int) -> int:
    """Place the one task of a block where it was found to fit, or where its holds allow it."""
    t = p[TASKS] + task * TASK
    while True:
        if found[0] >= NEVER:
            return NO_ROOM
        book(p, s, task, way, found)
        set_area(p, s, task, way)
        if p[t + T_OPENS] == p[t + TASK + T_OPENS] and p[t + T_CLOSES] == p[t + TASK + T_CLOSES]:
            return PLACED
        full, pool, _ = take_holds(p, s, block, task)
        if full < 0:
            return PLACED
        unbook(p, s, task)
        if full >= NEVER:
            return pool
        found, way = best_way(p, s, task, full, NO_END, fill)


@leaf
def try_task(p: Numbers, s: Numbers, block: int, task: int, fill: int) -> tuple[int, int]:
    """Place one task of a block; answers (`PLACED`, task to go back to or -1), or (why not, -1)."""
    t = p[TASKS] + task * TASK
    b = s[BOOKED] + task * BOOKING
    at = s[b + FLOOR_START]
    mate = p[t + MATE]
    within = p[t + WITHIN]
    mate_placed = 0 <= mate < task
    mates = s[BOOKED] + mate * BOOKING
    if mate_placed:
        at = max(at, s[mates + START] - within)
    found, way = best_way(p, s, task, at, s[b + FLOOR_END], fill)
    if found[0] >= NEVER:
        return NO_ROOM, -1
    back = too_late(p, s, task, found[0])
    if back >= 0:
        return PLACED, back
    if mate_placed and found[0] > s[mates + START] + within:
        s[mates + FLOOR_START] = found[0] - within
        return PLACED, mate
    book(p, s, task, way, found)
    set_area(p, s, task, way)
    back = keep_places(p, s, task, found[0])
    if back < 0:
        full, pool, held = take_holds(p, s, block, task)
        if full < 0:
            return PLACED, -1
        if full >= NEVER:
            release_places(s, task)
            unbook(p, s, task)
            return pool, -1
        back = held
        floor = s[BOOKED] + back * BOOKING + FLOOR_START
        s[floor] = max(s[floor] + 1, full)
    release_places(s, task)
    unbook(p, s, task)
    return PLACED, back


@leaf
def best_way(p: Numbers, s: Numbers, task: int, at: int, end_at: int, fill: int) -> tuple[Found, int]:
    """The way on which a task ends first, after everything that goes before it. Ties: first start, order."""
    t = p[TASKS] + task * TASK
    best = NOWHERE
    chosen = -1
    only = s[s[BOOKED] + task * BOOKING + ONLY_WAY]
    for way in range(p[t + T_WAYS], p[t + TASK + T_WAYS]):
        if only >= 0 and way != only:
            continue
        w = p[WAYS] + way * WAY
        area = p[w + W_AREA]
        early = at
        by = LATEST
        for row in range(p[t + T_BEFORE], p[t + TASK + T_BEFORE]):
            f = p[BEFORES] + row * BEFORE
            other = s[BOOKED] + p[f + B_TASK] * BOOKING
            lag = p[f + B_LEAST]
            if p[f + B_BROUGHT]:
                here = s[other + IN_AREA]
                if area < 0:
                    area = here
                if here >= 0:
                    lag = max(lag, p[p[TRANSPORT] + here * p[AREA_COUNT] + area])
            early = max(early, s[other + END] + lag)
            if p[f + B_LONGEST] >= 0:
                by = min(by, s[other + END] + p[f + B_LONGEST])
        wait = 0
        if fill and p[w + W_STATION] >= 0:
            wait = p[p[STATIONS] + p[w + W_STATION] * STATION + S_FILL] * fill // 100
        found = seek(p, s, task, way, early, end_at, wait, by)
        if found[1] < best[1] or (found[1] == best[1] and found[0] < best[0]):
            best = found
            chosen = way
    return best, chosen


@small
def set_area(p: Numbers, s: Numbers, task: int, way: int) -> None:
    """Where an item is: at the station, in the step's buffer, else where it was."""
    t = p[TASKS] + task * TASK
    area = p[p[WAYS] + way * WAY + W_AREA]
    if area < 0 and p[t + T_BEFORE] < p[t + TASK + T_BEFORE]:
        other = p[p[BEFORES] + p[t + T_BEFORE] * BEFORE + B_TASK]
        area = s[s[BOOKED] + other * BOOKING + IN_AREA]
    s[s[BOOKED] + task * BOOKING + IN_AREA] = area


@leaf
def too_late(p: Numbers, s: Numbers, task: int, start: int) -> int:
    """A task before this one that must end later for the longest wait to hold; -1: none."""
    t = p[TASKS] + task * TASK
    back = -1
    for row in range(p[t + T_BEFORE], p[t + TASK + T_BEFORE]):
        f = p[BEFORES] + row * BEFORE
        longest = p[f + B_LONGEST]
        other = p[f + B_TASK]
        b = s[BOOKED] + other * BOOKING
        if longest < 0 or start <= s[b + END] + longest:
            continue
        s[b + FLOOR_END] = max(s[b + FLOOR_END], start - longest)
        if back < 0 or other < back:
            back = other
    return back


@leaf
def keep_places(p: Numbers, s: Numbers, task: int, start: int) -> int:
    """Hold the units that the tasks before keep until this one starts; -1, or a task to place later."""
    t = p[TASKS] + task * TASK
    for row in range(p[t + T_BEFORE], p[t + TASK + T_BEFORE]):
        f = p[BEFORES] + row * BEFORE
        other = p[f + B_TASK]
        b = s[BOOKED] + other * BOOKING
        if not (p[p[TASKS] + other * TASK + KEEPS] and p[f + B_NEXT]) or s[b + UNIT] < 0:
            continue
        begins, ends = next_entry(s, other)
        if 0 <= begins < start:
            s[b + FLOOR_START] = max(s[b + FLOOR_START] + 1, ends)
            return other
        keep_until(s, task, other, start)
    return -1


@leaf
def take_holds(p: Numbers, s: Numbers, block: int, task: int) -> tuple[int, int, int]:
    """Close and open what the task's holds say; answers (-1, -1, -1), or (full until, pool, task to move)."""
    t = p[TASKS] + task * TASK
    b = s[BOOKED] + task * BOOKING
    start = s[b + START]
    for row in range(p[t + T_OPENS], p[t + TASK + T_OPENS]):
        s[s[HELD] + p[p[OPENS] + row] * HOLDING] = start
    s[DONE_COUNT] = 0
    for row in range(p[t + T_CLOSES], p[t + TASK + T_CLOSES]):
        hold = p[p[CLOSES] + row]
        h = p[HOLDS] + hold * HOLD
        held = s[HELD] + hold * HOLDING
        to = s[b + END] if p[h + H_AT_END] else start
        if p[p[TASKS] + p[h + H_OPENER] * TASK + BLOCK_OF] == block:
            full = full_until(p, s, h, s[held], to)
            if full >= 0:
                undo_done(p, s, block)
                return full, p[h + H_POOL], p[h + H_OPENER]
            count(p, s, h, s[held], to, 1)
        else:
            count(p, s, h, to, LATEST, -1)
        s[held + 1] = to
        s[s[DONE] + s[DONE_COUNT]] = hold
        s[DONE_COUNT] += 1
    for row in range(p[t + T_OPENS], p[t + TASK + T_OPENS]):
        hold = p[p[OPENS] + row]
        h = p[HOLDS] + hold * HOLD
        closer = p[h + H_CLOSER]
        if closer < 0 or p[p[TASKS] + closer * TASK + BLOCK_OF] == block:
            continue
        full = full_until(p, s, h, start, LATEST)
        if full >= 0:
            undo_done(p, s, block)
            return full, p[h + H_POOL], task
        count(p, s, h, start, LATEST, 1)
        s[s[DONE] + s[DONE_COUNT]] = hold
        s[DONE_COUNT] += 1
    return -1, -1, -1


@leaf
def undo_done(p: Numbers, s: Numbers, block: int) -> None:
    """Reverse what has been done so far for a task's holds."""
    for n in range(s[DONE_COUNT] - 1, -1, -1):
        undo_hold(p, s, block, s[s[DONE] + n])


@leaf
def undo_hold(p: Numbers, s: Numbers, block: int, hold: int) -> None:
    """Reverse what `take_holds` did for a hold."""
    h = p[HOLDS] + hold * HOLD
    held = s[HELD] + hold * HOLDING
    if p[p[TASKS] + p[h + H_OPENER] * TASK + BLOCK_OF] != block:
        count(p, s, h, s[held + 1], LATEST, 1)
    elif p[p[TASKS] + p[h + H_CLOSER] * TASK + BLOCK_OF] == block:
        count(p, s, h, s[held], s[held + 1], -1)
    else:
        count(p, s, h, s[held], LATEST, -1)


@small
def full_until(p: Numbers, s: Numbers, h: int, start: int, end: int) -> int:
    """Until when a hold finds no place in its pool; -1: it does."""
    pool = p[h + H_POOL]
    return last_full(s, s[POOLS] + pool * LIST, start, end, p[p[PLACES] + pool] - p[h + H_NEED])


@small
def count(p: Numbers, s: Numbers, h: int, start: int, end: int, sign: int) -> None:
    """Take a hold's places in its pool, or give them back."""
    add(s, s[POOLS] + p[h + H_POOL] * LIST, start, end, sign * p[h + H_NEED])


@leaf
def take_back(p: Numbers, s: Numbers, block: int, first: int, beyond: int) -> None:
    """Take back the placed tasks of some rows of a block, the last one first."""
    for row in range(beyond - 1, first - 1, -1):
        task = p[p[MEMBERS] + row]
        t = p[TASKS] + task * TASK
        for r in range(p[t + TASK + T_OPENS] - 1, p[t + T_OPENS] - 1, -1):
            hold = p[p[OPENS] + r]
            closer = p[p[HOLDS] + hold * HOLD + H_CLOSER]
            if closer >= 0 and p[p[TASKS] + closer * TASK + BLOCK_OF] != block:
                undo_hold(p, s, block, hold)
        for r in range(p[t + TASK + T_CLOSES] - 1, p[t + T_CLOSES] - 1, -1):
            undo_hold(p, s, block, p[p[CLOSES] + r])
        release_places(s, task)
        unbook(p, s, task)
