"""Compiled: the earliest time at which a task fits on one of its ways. The plain twin is `seek`."""

from __future__ import annotations

from typing import Final, TypeAlias

from pairwright.plan.calendar import NEVER
from pairwright.plan.kernel_layout import (
    BATCH,
    BATCHES,
    C_AT,
    C_COUNT,
    CREWS,
    E_FAMILY,
    E_FROM,
    E_SETUP,
    E_TO,
    ENTRY,
    FAMILY,
    INTERVAL,
    KEEPS,
    L_AT,
    L_COUNT,
    LINES,
    LIST,
    LOAD,
    PAIR,
    PAUSE,
    PEOPLE,
    Q_CREW,
    Q_END,
    Q_FAMILY,
    Q_LOAD,
    Q_MINUTES,
    Q_PEOPLE,
    Q_STATION,
    Q_UNIT,
    S_CAPACITY,
    S_KIND,
    S_MANNED,
    S_PITCH,
    S_SETUP,
    S_STOP_COUNT,
    S_STOPS,
    S_UNITS,
    STATION,
    STATIONS,
    TASK,
    TASKS,
    TIME,
    TIMES,
    UNITS,
    W_CREW,
    W_MINUTES,
    W_PEOPLE,
    W_SETTER,
    W_SETTING,
    W_STATION,
    W_TIME,
    WAY,
    WAYS,
    WORD,
    WORDS,
)
from pairwright.plan.kernel_lists import (
    Numbers,
    advance,
    after,
    before,
    last_full,
    leaf,
    open_after,
    retreat,
    room_from,
    small,
)
from pairwright.plan.shop import LINE, SINGLE

# start, end, unit, start of the setup, setup minutes, batch joined: as in the plain twin
Found: TypeAlias = tuple[int, int, int, int, int, int]
NOWHERE: Final[Found] = (NEVER, NEVER, -1, -1, 0, -1)


@leaf
def seek(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int, fill: int, by: int) -> Found:
    """The earliest place of a task on a way."""
    w = p[WAYS] + way * WAY
    station = p[w + W_STATION]
    if station < 0:
        minutes = p[w + W_MINUTES]
        start = max(at, end_at - minutes)
        return (start, start + minutes, -1, -1, 0, -1)
    place = p[STATIONS] + station * STATION
    if p[place + S_KIND] == SINGLE:
        return alone(p, s, task, way, at, end_at)
    load = p[p[TASKS] + task * TASK + LOAD]
    if load > p[place + S_CAPACITY]:
        return NOWHERE
    single = alone(p, s, task, way, at, end_at)
    joined = join(p, s, task, way, at, end_at, single[1] + fill)
    if joined[0] < NEVER:
        return joined
    later = min(at + fill, by)
    if later > single[0] and load < p[place + S_CAPACITY]:
        waited = alone(p, s, task, way, later, end_at)
        if waited[0] <= by:
            return waited
    return single


@small
def alone(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place that shares nothing."""
    station = p[p[WAYS] + way * WAY + W_STATION]
    if p[p[TASKS] + task * TASK + FAMILY] >= 0 and p[p[STATIONS] + station * STATION + S_SETUP] >= 0:
        return with_setup(p, s, task, way, at, end_at)
    return plain(p, s, task, way, at, end_at)


@leaf
def join(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int, by: int) -> Found:
    """A batch of the same word that has room, and ends no later than `by`."""
    t = p[TASKS] + task * TASK
    w = p[WAYS] + way * WAY
    station = p[w + W_STATION]
    room = p[p[STATIONS] + station * STATION + S_CAPACITY] - p[t + LOAD]
    head = s[WORDS] + p[t + WORD] * LIST
    rows = s[head + L_AT]
    for i in range(before(s, head, PAIR, at), s[head + L_COUNT]):
        start = s[rows + i * PAIR]
        if start > by:
            break
        batch = s[rows + i * PAIR + 1]
        q = s[BATCHES] + batch * BATCH
        end = s[q + Q_END]
        if (
            s[q + Q_LOAD] <= room
            and s[q + Q_STATION] == station
            and end_at <= end <= by
            and p[w + W_MINUTES] <= s[q + Q_MINUTES]
            and p[w + W_CREW] == s[q + Q_CREW]
            and p[w + W_PEOPLE] <= s[q + Q_PEOPLE]
            and p[t + FAMILY] == s[q + Q_FAMILY]
        ):
            return (start, end, s[q + Q_UNIT], -1, 0, batch)
    return NOWHERE


@small
def no_sooner(p: Numbers, task: int, way: int, at: int, end_at: int) -> int:
    """The earliest start that an earliest end allows."""
    w = p[WAYS] + way * WAY
    minutes = p[w + W_MINUTES]
    if end_at - minutes > at:
        if p[p[TASKS] + task * TASK + PAUSE]:
            return max(at, retreat(p, p[w + W_TIME], end_at, minutes))
        return max(at, end_at - minutes)
    return at


@small
def plain(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place on any unit of a station without setups for this task."""
    w = p[WAYS] + way * WAY
    station = p[w + W_STATION]
    place = p[STATIONS] + station * STATION
    minutes = p[w + W_MINUTES]
    crew = p[w + W_CREW]
    people = p[w + W_PEOPLE] if crew >= 0 else 0
    keeps = p[p[TASKS] + task * TASK + KEEPS]
    at = no_sooner(p, task, way, at, end_at)
    while True:
        start, end = when(p, task, way, at)
        if start >= NEVER:
            return NOWHERE
        if end < end_at:
            at = start + 1
            continue
        if p[place + S_KIND] == LINE:
            at = line_wait(s, station, p[place + S_PITCH], start, end)
            if at > start:
                continue
        unit, at = free_unit(s, p[place + S_UNITS], p[place + STATION + S_UNITS], start, end, minutes, keeps)
        if unit < 0:
            continue
        if people:
            at = crew_wait(p, s, p[w + W_TIME], crew, people, start, end, minutes)
            if at > start:
                if at >= NEVER:
                    return NOWHERE
                continue
        return (start, end, unit, -1, 0, -1)


@small
def when(p: Numbers, task: int, way: int, at: int) -> tuple[int, int]:
    """The first start at or after a moment that the calendar allows, and its end."""
    w = p[WAYS] + way * WAY
    minutes = p[w + W_MINUTES]
    time = p[w + W_TIME]
    place = p[STATIONS] + p[w + W_STATION] * STATION
    rows = p[p[TIMES] + time * TIME + C_AT]
    last = p[p[TIMES] + time * TIME + C_COUNT]
    i = open_after(p, time, at)
    if p[place + S_MANNED]:
        if p[p[TASKS] + task * TASK + PAUSE]:
            if i == last:
                return NEVER, NEVER
            at = max(at, p[rows + i * INTERVAL])
            end = advance(p, time, at, minutes)
            return (at, end) if end < NEVER else (NEVER, NEVER)
        while i < last:
            start = max(p[rows + i * INTERVAL], at)
            if start + minutes <= p[rows + i * INTERVAL + 1]:
                return start, start + minutes
            i += 1
        return NEVER, NEVER
    stops = p[place + S_STOPS]
    count = p[place + S_STOP_COUNT]
    while i < last:
        at = max(at, p[rows + i * INTERVAL])
        k = 0
        high = count
        while k < high:
            middle = (k + high) >> 1
            if p[stops + count + middle] > at:
                high = middle
            else:
                k = middle + 1
        if k == count or p[stops + k] >= at + minutes:
            return at, at + minutes
        at = p[stops + count + k]
        while i < last and p[rows + i * INTERVAL + 1] <= at:
            i += 1
    return NEVER, NEVER


@small
def free_unit(
    s: Numbers, first: int, beyond: int, start: int, end: int, minutes: int, keeps: int
) -> tuple[int, int]:
    """A unit that is free, or (-1, the first moment at which one may be)."""
    best = -1
    best_gap = NEVER
    soonest = NEVER
    for unit in range(first, beyond):
        head = s[UNITS] + unit * LIST
        rows = s[head + L_AT]
        last = s[head + L_COUNT]
        i = after(s, head, ENTRY, start)
        row = rows + i * ENTRY
        if i > 0 and s[row - ENTRY + E_TO] > start:
            free = s[row - ENTRY + E_TO]
        elif i < last and s[row + E_FROM] < end:
            free = s[row + E_TO]
            i += 1
        else:
            gap = start - (s[row - ENTRY + E_TO] if i > 0 else 0)
            if keeps:
                gap = -(s[row + E_FROM] if i < last else NEVER)
            if gap < best_gap or best < 0:
                best = unit
                best_gap = gap
            continue
        while i < last and s[rows + i * ENTRY + E_FROM] - free < minutes:
            free = s[rows + i * ENTRY + E_TO]
            i += 1
        soonest = min(soonest, free)
    return (best, start) if best >= 0 else (-1, soonest)


@small
def crew_wait(
    p: Numbers, s: Numbers, time: int, crew: int, people: int, start: int, end: int, minutes: int
) -> int:
    """`start` when the crew has room in every piece of the work, else the next start worth trying."""
    room = p[p[PEOPLE] + crew] - people
    if room < 0:
        return NEVER
    if end - start == minutes:
        return room_from(s, s[CREWS] + crew * LIST, start, minutes, room)
    return pieces_wait(p, s, time, crew, room, start, end)


@leaf
def pieces_wait(p: Numbers, s: Numbers, time: int, crew: int, room: int, start: int, end: int) -> int:
    """The last moment up to which the crew is short in a piece of the work; `start`: it never is."""
    rows = p[p[TIMES] + time * TIME + C_AT]
    found = start
    for i in range(open_after(p, time, start), p[p[TIMES] + time * TIME + C_COUNT]):
        begin = p[rows + i * INTERVAL]
        if begin >= end:
            break
        until = min(end, p[rows + i * INTERVAL + 1])
        full = last_full(s, s[CREWS] + crew * LIST, max(start, begin), until, room)
        found = max(found, full)
    return found


@leaf
def line_wait(s: Numbers, station: int, pitch: int, start: int, end: int) -> int:
    """`start` when entry and exit keep order and pitch, else the next start worth trying."""
    head = s[LINES] + station * LIST
    i = after(s, head, PAIR, start)
    row = s[head + L_AT] + i * PAIR
    if i < s[head + L_COUNT] and (s[row] < start + pitch or s[row + 1] < end):
        return max(start + 1, s[row] + pitch)
    if i > 0:
        if start < s[row - PAIR] + pitch or start == s[row - PAIR]:
            return max(start + 1, s[row - PAIR] + pitch)
        if end < s[row - PAIR + 1]:
            return start + s[row - PAIR + 1] - end
    return start


@small
def with_setup(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int) -> Found:
    """The earliest place on any unit, with the setup that it needs there."""
    place = p[STATIONS] + p[p[WAYS] + way * WAY + W_STATION] * STATION
    best = NOWHERE
    for unit in range(p[place + S_UNITS], p[place + STATION + S_UNITS]):
        found = gap_for(p, s, task, way, at, end_at, unit, best[0])
        if found[0] < best[0] or (found[0] == best[0] and found[4] < best[4]):
            best = found
    return best


@leaf
def gap_for(p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int, unit: int, by: int) -> Found:
    """The earliest gap of a unit that holds the setup and the work; none that starts after `by`."""
    head = s[UNITS] + unit * LIST
    rows = s[head + L_AT]
    last = s[head + L_COUNT]
    family = p[p[TASKS] + task * TASK + FAMILY]
    w = p[WAYS] + way * WAY
    minutes = p[w + W_MINUTES]
    matrix = p[p[STATIONS] + p[w + W_STATION] * STATION + S_SETUP]
    across = p[matrix - 1]
    i = after(s, head, ENTRY, at)
    earlier = -1
    for k in range(i - 1, -1, -1):
        if s[rows + k * ENTRY + E_FAMILY] >= 0:
            earlier = s[rows + k * ENTRY + E_FAMILY]
            break
    while True:
        row = rows + i * ENTRY
        low = s[row - ENTRY + E_TO] if i > 0 else 0
        high = s[row + E_FROM] if i < last else NEVER
        if low > by:
            return NOWHERE
        setup = 0 if earlier == family else p[matrix + (earlier + 1) * across + family]
        if high - max(low + setup, at) >= minutes and (
            i == last or earlier == family or spares(p, s, matrix, rows, i, last, family)
        ):
            found = in_gap(p, s, task, way, max(at, low), end_at, unit, low, high, setup)
            if found[0] < NEVER:
                return found
        if i == last:
            return NOWHERE
        if s[row + E_FAMILY] >= 0:
            earlier = s[row + E_FAMILY]
        i += 1


@small
def spares(p: Numbers, s: Numbers, matrix: int, rows: int, entry: int, last: int, family: int) -> bool:
    """Whether the next entry that asks for a family has setup enough before it to follow this one."""
    for i in range(entry, last):
        other = s[rows + i * ENTRY + E_FAMILY]
        if other >= 0:
            asked = p[matrix + (family + 1) * p[matrix - 1] + other]
            return bool(other == family or asked <= s[rows + i * ENTRY + E_SETUP])
    return True


@leaf
def in_gap(
    p: Numbers, s: Numbers, task: int, way: int, at: int, end_at: int, unit: int, low: int, high: int,
    setup: int,
) -> Found:  # fmt: skip
    """The earliest place between two entries of a unit, its setup after the first of them."""
    w = p[WAYS] + way * WAY
    station = p[w + W_STATION]
    place = p[STATIONS] + station * STATION
    minutes = p[w + W_MINUTES]
    people = p[w + W_PEOPLE]
    crew = p[w + W_CREW]
    setter = p[w + W_SETTER]
    setting = p[w + W_SETTING]
    if setup:
        at = max(at, advance(p, setting, low, setup))
    at = no_sooner(p, task, way, at, end_at)
    while True:
        start, end = when(p, task, way, at)
        if start >= NEVER or end > high:
            return NOWHERE
        if end < end_at:
            at = start + 1
            continue
        if p[place + S_KIND] == LINE:
            at = line_wait(s, station, p[place + S_PITCH], start, end)
            if at > start:
                continue
        setup_from = -1
        if setup:
            setup_from = retreat(p, setting, start, setup)
            if setter >= 0 and people:
                room = p[p[PEOPLE] + setter] - people
                full = pieces_wait(p, s, setting, setter, room, setup_from, start)
                if full > setup_from:
                    at = max(start + 1, advance(p, setting, full, setup)) if full < NEVER else NEVER
                    continue
        if crew >= 0 and people:
            at = crew_wait(p, s, p[w + W_TIME], crew, people, start, end, minutes)
            if at > start:
                continue
        return (start, end, unit, setup_from, setup, -1)
