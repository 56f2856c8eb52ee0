"""Compiled: how full stations and buffers were in a finished plan. The plain twin is `usage`."""

from __future__ import annotations

from pairwright.plan.kernel_layout import (
    BATCH,
    BATCHES,
    BOOKED,
    BOOKING,
    C_AT,
    C_COUNT,
    CHOSEN,
    E_FAMILY,
    END,
    ENTRY,
    FAMILY,
    FREED,
    H_AT_END,
    H_CLOSER,
    H_NEED,
    H_OWNER,
    H_POOL,
    HOLD,
    HOLDS,
    IN_BATCH,
    INTERVAL,
    L_AT,
    LIST,
    Q_MEMBERS,
    S_SETUP,
    START,
    STATION,
    STATIONS,
    TASK,
    TASK_COUNT,
    TASKS,
    TIME,
    TIMES,
    UNIT,
    UNITS,
    W_SETTING,
    W_STATION,
    WAY,
    WAYS,
)
from pairwright.plan.kernel_lists import Numbers, after, leaf, open_after, retreat


@leaf
def worked(p: Numbers, time: int, at: int) -> int:
    """Working minutes before a moment; without working time (-1) all of them."""
    if time < 0:
        return at
    rows = p[p[TIMES] + time * TIME + C_AT]
    i = open_after(p, time, at)
    if i == p[p[TIMES] + time * TIME + C_COUNT] or p[rows + i * INTERVAL] > at:
        i -= 1
    if i < 0:
        return 0
    here = rows + i * INTERVAL
    return p[here + 2] + min(at, p[here + 1]) - p[here]


@leaf
def begun(p: Numbers, s: Numbers, task: int) -> int:
    """When a task's unit begins to be busy for it: with the setup that the finished plan needs. [min]"""
    b = s[BOOKED] + task * BOOKING
    family = p[p[TASKS] + task * TASK + FAMILY]
    w = p[WAYS] + s[b + CHOSEN] * WAY
    matrix = p[p[STATIONS] + p[w + W_STATION] * STATION + S_SETUP]
    if family < 0 or matrix < 0:
        return s[b + START]
    head = s[UNITS] + s[b + UNIT] * LIST
    before = -1
    for i in range(after(s, head, ENTRY, s[b + START]) - 2, -1, -1):
        before = s[s[head + L_AT] + i * ENTRY + E_FAMILY]
        if before >= 0:
            break
    minutes = 0 if before == family else p[matrix + (before + 1) * p[matrix - 1] + family]
    return retreat(p, p[w + W_SETTING], s[b + START], minutes) if minutes else s[b + START]


@leaf
def busy_times(p: Numbers, s: Numbers, hours: Numbers, busy: Numbers, blocked: Numbers) -> None:
    """Minutes worked, and kept after the work, at each station; `hours` is each one's working time."""
    for task in range(p[TASK_COUNT]):
        b = s[BOOKED] + task * BOOKING
        if s[b + UNIT] < 0:
            continue
        if s[b + IN_BATCH] >= 0:
            q = s[BATCHES] + s[b + IN_BATCH] * BATCH + Q_MEMBERS
            if s[q] < 0:
                continue
            s[q] = -s[q]  # counted
        station = p[p[WAYS] + s[b + CHOSEN] * WAY + W_STATION]
        time = hours[station]
        done = worked(p, time, s[b + END])
        busy[station] += done - worked(p, time, begun(p, s, task))
        blocked[station] += worked(p, time, s[b + FREED]) - done


@leaf
def stays(p: Numbers, s: Numbers, holds: int, edges: Numbers) -> int:
    """Rows of pool, moment and change of places taken by stays; answers how many."""
    count = 0
    for hold in range(holds):
        h = p[HOLDS] + hold * HOLD
        if p[h + H_CLOSER] < 0 or p[h + H_AT_END]:
            continue
        b = s[BOOKED] + p[h + H_OWNER] * BOOKING
        edges[count] = p[h + H_POOL]
        edges[count + 1] = s[b + START] if s[b + UNIT] < 0 else s[b + END]
        edges[count + 2] = p[h + H_NEED]
        edges[count + 3] = p[h + H_POOL]
        edges[count + 4] = s[s[BOOKED] + p[h + H_CLOSER] * BOOKING + START]
        edges[count + 5] = -p[h + H_NEED]
        count += 6
    return count
