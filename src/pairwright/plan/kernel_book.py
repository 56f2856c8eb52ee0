"""Compiled: writing a task into the books, and taking it out again. The plain twin is `booking`."""

from __future__ import annotations

from pairwright.plan.kernel_layout import (
    BATCH,
    BATCH_COUNT,
    BATCHES,
    BOOKED,
    BOOKING,
    C_AT,
    C_COUNT,
    CHOSEN,
    CREWS,
    E_FAMILY,
    E_FROM,
    E_SETUP,
    E_TO,
    END,
    ENTRY,
    FAMILY,
    FREED,
    IN_BATCH,
    INTERVAL,
    KEEPING,
    KEPT,
    KEPT_COUNT,
    L_AT,
    L_COUNT,
    LAST_END,
    LINES,
    LIST,
    LOAD,
    PAIR,
    Q_CREW,
    Q_END,
    Q_FAMILY,
    Q_LOAD,
    Q_MEMBERS,
    Q_MINUTES,
    Q_PEOPLE,
    Q_START,
    Q_STATION,
    Q_UNIT,
    S_KIND,
    S_SETUP,
    SETUP_FROM,
    START,
    STATION,
    STATIONS,
    TASK,
    TASKS,
    TIME,
    TIMES,
    UNIT,
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
from pairwright.plan.kernel_lists import Numbers, add, after, before, close_room, leaf, make_room, open_after
from pairwright.plan.kernel_seek import Found
from pairwright.plan.shop import LINE, SINGLE


@leaf
def book(p: Numbers, s: Numbers, task: int, way: int, found: Found) -> None:
    """Occupy what a task needs where it was found to fit."""
    start, end, unit, setup_from, setup, joined = found
    b = s[BOOKED] + task * BOOKING
    s[b + START] = start
    s[b + END] = end
    s[b + FREED] = end
    s[b + CHOSEN] = way
    s[b + UNIT] = unit
    s[b + SETUP_FROM] = setup_from
    s[b + IN_BATCH] = joined
    s[LAST_END] = max(s[LAST_END], end)
    if unit < 0:
        return
    if joined >= 0:
        q = s[BATCHES] + joined * BATCH
        s[q + Q_LOAD] += p[p[TASKS] + task * TASK + LOAD]
        s[q + Q_MEMBERS] += 1
        return
    station = p[p[WAYS] + way * WAY + W_STATION]
    place = p[STATIONS] + station * STATION
    occupied = setup_from if setup_from >= 0 else start
    head = s[UNITS] + unit * LIST
    row = make_room(s, head, ENTRY, after(s, head, ENTRY, occupied))
    s[row + E_FROM] = occupied
    s[row + E_TO] = end
    s[row + E_FAMILY] = p[p[TASKS] + task * TASK + FAMILY] if p[place + S_SETUP] >= 0 else -1
    s[row + E_SETUP] = setup
    people(p, s, task, 1)
    if p[place + S_KIND] != SINGLE:
        new_batch(p, s, task, station)
    if p[place + S_KIND] == LINE:
        head = s[LINES] + station * LIST
        row = make_room(s, head, PAIR, after(s, head, PAIR, start))
        s[row] = start
        s[row + 1] = end


@leaf
def unbook(p: Numbers, s: Numbers, task: int) -> None:
    """Take back the latest booking of a task; nothing booked after it may depend on it."""
    b = s[BOOKED] + task * BOOKING
    batch = s[b + IN_BATCH]
    if s[b + UNIT] >= 0:
        q = s[BATCHES] + batch * BATCH
        if batch >= 0 and s[q + Q_MEMBERS] > 1:
            s[q + Q_LOAD] -= p[p[TASKS] + task * TASK + LOAD]
            s[q + Q_MEMBERS] -= 1
        else:
            clear(p, s, task)
            if batch >= 0:
                drop_batch(p, s, task, batch)
    s[b + START] = -1
    s[b + END] = -1


@leaf
def clear(p: Numbers, s: Numbers, task: int) -> None:
    """Take a task's entry out of its unit, its line and its crew."""
    b = s[BOOKED] + task * BOOKING
    start = s[b + START]
    head = s[UNITS] + s[b + UNIT] * LIST
    occupied = s[b + SETUP_FROM] if s[b + SETUP_FROM] >= 0 else start
    close_room(s, head, ENTRY, before(s, head, ENTRY, occupied))
    station = p[p[WAYS] + s[b + CHOSEN] * WAY + W_STATION]
    if p[p[STATIONS] + station * STATION + S_KIND] == LINE:
        head = s[LINES] + station * LIST
        close_room(s, head, PAIR, before(s, head, PAIR, start))
    people(p, s, task, -1)


@leaf
def people(p: Numbers, s: Numbers, task: int, sign: int) -> None:
    """Ask for the crew in the worked pieces and in the setup, or let it go again."""
    b = s[BOOKED] + task * BOOKING
    w = p[WAYS] + s[b + CHOSEN] * WAY
    count = sign * p[w + W_PEOPLE]
    if not count:
        return
    start = s[b + START]
    end = s[b + END]
    crew = p[w + W_CREW]
    if crew >= 0:
        if end - start == p[w + W_MINUTES]:
            add(s, s[CREWS] + crew * LIST, start, end, count)
        else:
            add_pieces(p, s, crew, p[w + W_TIME], start, end, count)
    setter = p[w + W_SETTER]
    if setter >= 0 and s[b + SETUP_FROM] >= 0:
        add_pieces(p, s, setter, p[w + W_SETTING], s[b + SETUP_FROM], start, count)


@leaf
def add_pieces(p: Numbers, s: Numbers, crew: int, time: int, start: int, end: int, count: int) -> None:
    """Ask for so many of a crew in every working interval between two moments."""
    rows = p[p[TIMES] + time * TIME + C_AT]
    for i in range(open_after(p, time, start), p[p[TIMES] + time * TIME + C_COUNT]):
        begin = p[rows + i * INTERVAL]
        if begin >= end:
            break
        until = min(end, p[rows + i * INTERVAL + 1])
        add(s, s[CREWS] + crew * LIST, max(start, begin), until, count)


@leaf
def new_batch(p: Numbers, s: Numbers, task: int, station: int) -> None:
    """Begin a batch with a task that is booked."""
    b = s[BOOKED] + task * BOOKING
    t = p[TASKS] + task * TASK
    w = p[WAYS] + s[b + CHOSEN] * WAY
    number = s[BATCH_COUNT]
    q = s[BATCHES] + number * BATCH
    s[BATCH_COUNT] = number + 1
    s[b + IN_BATCH] = number
    s[q + Q_START] = s[b + START]
    s[q + Q_END] = s[b + END]
    s[q + Q_UNIT] = s[b + UNIT]
    s[q + Q_STATION] = station
    s[q + Q_CREW] = p[w + W_CREW]
    s[q + Q_PEOPLE] = p[w + W_PEOPLE]
    s[q + Q_MINUTES] = p[w + W_MINUTES]
    s[q + Q_FAMILY] = p[t + FAMILY]
    s[q + Q_LOAD] = p[t + LOAD]
    s[q + Q_MEMBERS] = 1
    head = s[WORDS] + p[t + WORD] * LIST
    row = make_room(s, head, PAIR, after(s, head, PAIR, s[b + START]))
    s[row] = s[b + START]
    s[row + 1] = number


@leaf
def drop_batch(p: Numbers, s: Numbers, task: int, batch: int) -> None:
    """Take back the batch that was begun last."""
    head = s[WORDS] + p[p[TASKS] + task * TASK + WORD] * LIST
    i = before(s, head, PAIR, s[s[BATCHES] + batch * BATCH + Q_START])
    while s[s[head + L_AT] + i * PAIR + 1] != batch:
        i += 1
    close_room(s, head, PAIR, i)
    s[BATCH_COUNT] -= 1


@leaf
def entry_of(s: Numbers, task: int) -> int:
    """Where the entry of a booked task lies in its unit's list."""
    b = s[BOOKED] + task * BOOKING
    head = s[UNITS] + s[b + UNIT] * LIST
    return s[head + L_AT] + (after(s, head, ENTRY, s[b + START]) - 1) * ENTRY


@leaf
def keep_until(s: Numbers, task: int, other: int, until: int) -> None:
    """Hold another task's unit until a later moment, for a task."""
    b = s[BOOKED] + other * BOOKING
    row = entry_of(s, other)
    k = s[KEPT] + s[KEPT_COUNT] * KEEPING
    s[KEPT_COUNT] += 1
    s[k] = task
    s[k + 1] = other
    s[k + 2] = s[b + FREED]
    s[k + 3] = s[row + E_TO]
    s[b + FREED] = max(s[b + FREED], until)
    s[row + E_TO] = max(s[row + E_TO], until)


@leaf
def release_places(s: Numbers, task: int) -> None:
    """Undo the units kept for this task."""
    while s[KEPT_COUNT] > 0:
        k = s[KEPT] + (s[KEPT_COUNT] - 1) * KEEPING
        if s[k] != task:
            return
        s[KEPT_COUNT] -= 1
        row = entry_of(s, s[k + 1])
        s[s[BOOKED] + s[k + 1] * BOOKING + FREED] = s[k + 2]
        s[row + E_TO] = s[k + 3]


@leaf
def next_entry(s: Numbers, task: int) -> tuple[int, int]:
    """From when to when the unit's next entry after a task's own occupies it; (-1, -1): none."""
    b = s[BOOKED] + task * BOOKING
    head = s[UNITS] + s[b + UNIT] * LIST
    i = after(s, head, ENTRY, s[b + START])
    if i == s[head + L_COUNT]:
        return -1, -1
    row = s[head + L_AT] + i * ENTRY
    return s[row + E_FROM], s[row + E_TO]
