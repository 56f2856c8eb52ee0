"""Compiled: sorted lists in the books, step functions over time, and walking along working time.

A list is named by where its head lies. Searches begin at the end of a list and double their stride,
for most bookings are late ones. See `kernel_layout` for the names; what each function means stands
beside its plain twin in `profile` and `calendar`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias, TypeVar, cast

from numba import njit, types
from numba.extending import intrinsic

from pairwright.plan.calendar import NEVER
from pairwright.plan.kernel_layout import (
    C_AT,
    C_COUNT,
    C_LAST,
    C_SHELVES,
    INTERVAL,
    L_AT,
    L_COUNT,
    L_HINT,
    L_ROOM,
    PAIR,
    SHELF,
    SIZE,
    TIME,
    TIMES,
    TOP,
)

Numbers: TypeAlias = list[int]  # to the compiler: where an array of 64-bit whole numbers lies
Plain = TypeVar("Plain", bound=Callable[..., Any])


def leaf(function: Plain) -> Plain:
    """Compile a function that is part of the decoder; only the whole is kept on disk."""
    return cast("Plain", njit(nogil=True, error_model="numpy")(function))


def small(function: Plain) -> Plain:
    """Compile a function that becomes part of each function that calls it."""
    return cast("Plain", njit(nogil=True, error_model="numpy", forceinline=True)(function))


def _lies_at(_context: Any, array: Any) -> Any:
    """Where an array's numbers lie: handed on at less cost than the array, indexed without checks."""

    def made(context: Any, builder: Any, signature: Any, values: Any) -> Any:
        return context.make_array(signature.args[0])(context, builder, values[0]).data

    pointer: Any = types.CPointer
    return pointer(array.dtype)(array), made


lies_at: Any = intrinsic(_lies_at)


@small
def after(s: Numbers, head: int, width: int, key: int) -> int:
    """How many rows of a list begin at or before a key; the search begins where the last one ended."""
    at = s[head + L_AT]
    count = s[head + L_COUNT]
    low = min(s[head + L_HINT], count)
    high = low
    stride = 1
    if low < count and s[at + low * width] <= key:
        low += 1
        high = low
        while high < count and s[at + high * width] <= key:
            low = high + 1
            high += stride
            stride *= 2
        high = min(high, count)
    else:
        low -= 1
        while low >= 0 and s[at + low * width] > key:
            high = low
            low -= stride
            stride *= 2
        low = max(low + 1, 0)
    while low < high:
        middle = (low + high) >> 1
        if s[at + middle * width] > key:
            high = middle
        else:
            low = middle + 1
    s[head + L_HINT] = low
    return low


@small
def before(s: Numbers, head: int, width: int, key: int) -> int:
    """How many rows of a list begin before a key."""
    return after(s, head, width, key - 1)


@leaf
def make_room(s: Numbers, head: int, width: int, row: int) -> int:
    """Open a row of a list; answers where it lies."""
    at = s[head + L_AT]
    count = s[head + L_COUNT]
    if count == s[head + L_ROOM]:
        room = max(4, 2 * count)
        to = s[TOP]
        if to + room * width > s[SIZE]:
            raise MemoryError
        for n in range(count * width):
            s[to + n] = s[at + n]
        s[TOP] = to + room * width
        s[head + L_AT] = at = to
        s[head + L_ROOM] = room
    place = at + row * width
    for n in range(at + count * width - 1, place - 1, -1):
        s[n + width] = s[n]
    s[head + L_COUNT] = count + 1
    return place


@leaf
def close_room(s: Numbers, head: int, width: int, row: int) -> None:
    """Take a row out of a list."""
    at = s[head + L_AT]
    count = s[head + L_COUNT] - 1
    for n in range(at + row * width, at + count * width):
        s[n] = s[n + width]
    s[head + L_COUNT] = count


# step functions: rows of time and use


@leaf
def add(s: Numbers, head: int, start: int, end: int, count: int) -> None:
    """Book (or with a negative count take back) so many from start to end."""
    if start >= end:
        return
    i = before(s, head, PAIR, start)
    if i == s[head + L_COUNT] or s[s[head + L_AT] + i * PAIR] != start:
        use = s[s[head + L_AT] + (i - 1) * PAIR + 1] if i else 0
        place = make_room(s, head, PAIR, i)
        s[place] = start
        s[place + 1] = use
    j = s[head + L_COUNT]
    if end < NEVER:
        j = before(s, head, PAIR, end)
        if j == s[head + L_COUNT] or s[s[head + L_AT] + j * PAIR] != end:
            use = s[s[head + L_AT] + (j - 1) * PAIR + 1]
            place = make_room(s, head, PAIR, j)
            s[place] = end
            s[place + 1] = use
    at = s[head + L_AT]
    for k in range(i, j):
        s[at + k * PAIR + 1] += count
    if j < s[head + L_COUNT] and s[at + j * PAIR + 1] == s[at + (j - 1) * PAIR + 1]:
        close_room(s, head, PAIR, j)
    if i > 0 and s[at + i * PAIR + 1] == s[at + (i - 1) * PAIR + 1]:
        close_room(s, head, PAIR, i)


@small
def room_from(s: Numbers, head: int, at: int, minutes: int, room: int) -> int:
    """The first moment from which use stays at or below `room` for so many minutes."""
    rows = s[head + L_AT]
    last = s[head + L_COUNT] - 1
    i = after(s, head, PAIR, at) - 1
    end = at + minutes
    while i <= last and s[rows + i * PAIR] < end:
        if s[rows + i * PAIR + 1] > room:
            if i == last:
                return NEVER
            at = s[rows + (i + 1) * PAIR]
            end = at + minutes
        i += 1
    return at


@leaf
def last_full(s: Numbers, head: int, start: int, end: int, room: int) -> int:
    """The end of the last piece between two moments where use is above `room`; -1: there is none."""
    rows = s[head + L_AT]
    last = s[head + L_COUNT] - 1
    first = max(after(s, head, PAIR, start) - 1, 0)
    i = last if end >= NEVER else before(s, head, PAIR, end) - 1
    while i >= first:
        if s[rows + i * PAIR + 1] > room:
            return NEVER if i == last else s[rows + (i + 1) * PAIR]
        i -= 1
    return -1


# working time: rows of start, end and minutes worked before


@small
def open_after(p: Numbers, time: int, at: int) -> int:
    """The first interval that ends after a moment."""
    c = p[TIMES] + time * TIME
    rows = p[c + C_AT]
    count = p[c + C_COUNT]
    i = p[p[c + C_SHELVES] + min(max(at, 0) >> SHELF, p[c + C_LAST])]
    while i < count and p[rows + i * INTERVAL + 1] <= at:
        i += 1
    return i


@small
def advance(p: Numbers, time: int, at: int, work: int) -> int:
    """The moment when so many minutes of work, begun at or after a moment, are done."""
    rows = p[p[TIMES] + time * TIME + C_AT]
    count = p[p[TIMES] + time * TIME + C_COUNT]
    i = open_after(p, time, at)
    if i == count:
        return NEVER
    here = rows + i * INTERVAL
    end = max(p[here], at) + work
    if end <= p[here + 1]:
        return end
    done = p[here + 2] + max(0, at - p[here]) + work
    beyond = rows + count * INTERVAL
    here += INTERVAL
    while here < beyond and p[here + 2] < done:
        here += INTERVAL
    here -= INTERVAL
    end = p[here] + done - p[here + 2]
    return end if end <= p[here + 1] else NEVER


@leaf
def retreat(p: Numbers, time: int, at: int, work: int) -> int:
    """The latest working minute from which so many minutes of work are done by a moment; -1: none."""
    rows = p[p[TIMES] + time * TIME + C_AT]
    i = open_after(p, time, at)
    if i == p[p[TIMES] + time * TIME + C_COUNT] or p[rows + i * INTERVAL] >= at:
        i -= 1
    if i < 0:
        return -1
    here = rows + i * INTERVAL
    done = p[here + 2] + min(at, p[here + 1]) - p[here] - work
    if done < 0:
        return -1
    while p[here + 2] > done:
        here -= INTERVAL
    return p[here] + done - p[here + 2]
