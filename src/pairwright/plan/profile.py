"""How many are in use at each moment: a step function as two flat lists.

`times[i]` to `times[i + 1]` has `use[i]`; the last piece runs on for ever, so an open end is
`NEVER`. Both lists begin with minute 0 and grow only where something is booked.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from pairwright.plan.calendar import NEVER


def add(times: list[int], use: list[int], *, start: int, end: int, count: int) -> None:
    """Book (or with a negative count take back) so many from start to end."""
    if start >= end:
        return
    i = bisect_left(times, start)
    if i == len(times) or times[i] != start:
        times.insert(i, start)
        use.insert(i, use[i - 1] if i else 0)
    if end >= NEVER:
        j = len(times)
    else:
        j = bisect_left(times, end, i)
        if j == len(times) or times[j] != end:
            times.insert(j, end)
            use.insert(j, use[j - 1])
    for k in range(i, j):
        use[k] += count
    # Pieces that no longer differ are joined, or trying and taking back would fill the lists.
    if j < len(times) and use[j] == use[j - 1]:
        del times[j], use[j]
    if i > 0 and use[i] == use[i - 1]:
        del times[i], use[i]


def room_from(times: list[int], use: list[int], *, at: int, minutes: int, room: int) -> int:
    """The first moment from which use stays at or below `room` for so many minutes."""
    last = len(times) - 1
    i = bisect_right(times, at) - 1
    end = at + minutes
    while i <= last and times[i] < end:
        if use[i] > room:
            if i == last:
                return NEVER
            at = times[i + 1]
            end = at + minutes
        i += 1
    return at


def last_full(times: list[int], use: list[int], *, start: int, end: int, room: int) -> int:
    """The end of the last piece between two moments where use is above `room`; -1: there is none."""
    last = len(times) - 1
    full = -1
    i = bisect_right(times, start) - 1
    i = max(i, 0)
    while i <= last and times[i] < end:
        if use[i] > room:
            full = NEVER if i == last else times[i + 1]
        i += 1
    return full
