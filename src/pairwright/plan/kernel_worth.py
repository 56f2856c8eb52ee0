"""Compiled: what a finished plan is worth. The plain twins are in `emit`."""

from __future__ import annotations

from pairwright.plan.kernel_layout import (
    BOOKED,
    BOOKING,
    E_FAMILY,
    END,
    ENTRY,
    L_AT,
    L_COUNT,
    LIST,
    ORDERS,
    S_SETUP,
    S_UNITS,
    SET_OF,
    START,
    STATION,
    STATION_COUNT,
    STATIONS,
    TASK,
    TASK_COUNT,
    TASKS,
    UNITS,
)
from pairwright.plan.kernel_lists import Numbers, leaf


@leaf
def worth(p: Numbers, s: Numbers, done: Numbers) -> tuple[int, int]:
    """Flow time and minutes of setups; `done` is filled with the last end of each order. [min]

    Tasks of a set lie side by side.
    """
    flow = 0
    last = 0
    first = 0
    for task in range(p[TASK_COUNT]):
        b = s[BOOKED] + task * BOOKING
        number = p[p[TASKS] + task * TASK + SET_OF]
        if task == 0 or number != p[p[TASKS] + (task - 1) * TASK + SET_OF]:
            flow += last - first
            first = s[b + START]
            last = s[b + END]
        first = min(first, s[b + START])
        last = max(last, s[b + END])
        order = p[p[ORDERS] + number]
        done[order] = max(done[order], s[b + END])
    return flow + last - first, setup_minutes(p, s)


@leaf
def setup_minutes(p: Numbers, s: Numbers) -> int:
    """What must be changed over between true neighbours. [min]"""
    total = 0
    for station in range(p[STATION_COUNT]):
        place = p[STATIONS] + station * STATION
        matrix = p[place + S_SETUP]
        if matrix < 0:
            continue
        for unit in range(p[place + S_UNITS], p[place + STATION + S_UNITS]):
            head = s[UNITS] + unit * LIST
            before = -1
            for n in range(s[head + L_COUNT]):
                family = s[s[head + L_AT] + n * ENTRY + E_FAMILY]
                if family >= 0:
                    if family != before:
                        total += p[matrix + (before + 1) * p[matrix - 1] + family]
                    before = family
    return total
