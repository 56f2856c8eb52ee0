"""Compiled: blocks placed one after another, and what the plan is worth. The plain twin is `decode`.

Queues are heaps of blocks; the key of a block lies in its row of the books. A block lies in one queue
at most, so what comes first never depends on how a heap is built.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from typing import Any, Final, cast

import numpy as np
from numba import njit

from pairwright.plan import (
    kernel_book,
    kernel_layout,
    kernel_lists,
    kernel_place,
    kernel_seek,
    kernel_usage,
    kernel_worth,
)
from pairwright.plan.calendar import NEVER
from pairwright.plan.decode import LATER, MOST_ATTEMPTS
from pairwright.plan.kernel_layout import (
    ADMITTED,
    ATTEMPT,
    B_LEAST,
    B_TASK,
    BEFORE,
    BEFORES,
    BLOCK,
    BLOCK_COUNT,
    BLOCK_OF,
    BLOCKS,
    BOOKED,
    BOOKING,
    CLOSES,
    COMPLETE,
    EARLY,
    END,
    H_OPENER,
    H_POOL,
    HOLD,
    HOLDS,
    K_DEPTH,
    K_MEMBERS,
    K_NEXTS,
    K_SET,
    K_SIDE,
    K_WAITS,
    KEY,
    KEYS,
    L_AT,
    L_COUNT,
    LIST,
    LOCKED,
    MEMBERS,
    NEXTS,
    NOWHERE_TO_GO,
    PLACED_COUNT,
    POOL_COUNT,
    QUEUED,
    READY,
    SET,
    SET_COUNT,
    SETS,
    SIZE,
    STACK,
    STACKED,
    STIRRED,
    T_BEFORE,
    T_CLOSES,
    TASK,
    TASKS,
    WAITING,
    Y_AT,
    Y_OUTSIDE,
    Y_RANK,
    Y_WAITS,
    Y_WINDOW,
    Z_INSIDE,
    Z_LINE,
    Z_OUTSIDE,
    Z_RANK,
    Z_TO_PLACE,
)
from pairwright.plan.kernel_lists import Numbers, leaf, lies_at, make_room, small
from pairwright.plan.kernel_place import NO_END, best_way, place_block, place_found, take_back
from pairwright.plan.kernel_seek import Found
from pairwright.plan.kernel_usage import busy_times, stays
from pairwright.plan.kernel_worth import worth
from pairwright.plan.place import NO_ROOM, PLACED

_GAMMA: Final = (np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(1))
_MIX: Final = (np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB))


# heaps of blocks


@small
def sooner(s: Numbers, one: int, other: int) -> bool:
    """Whether the key in one row of a heap comes before the key in another.

    Which one does is as good as chance, so it is reckoned without a branch.
    """
    last = (s[one + 2] < s[other + 2]) | ((s[one + 2] == s[other + 2]) & (s[one + 3] < s[other + 3]))
    second = (s[one + 1] < s[other + 1]) | ((s[one + 1] == s[other + 1]) & last)
    return (s[one] < s[other]) | ((s[one] == s[other]) & second)


@small
def moved(s: Numbers, to: int, row: int) -> None:
    """Copy a row of a heap."""
    s[to] = s[row]
    s[to + 1] = s[row + 1]
    s[to + 2] = s[row + 2]
    s[to + 3] = s[row + 3]


@leaf
def push(s: Numbers, head: int, block: int) -> None:
    """Put a block into a heap, under the key that it has now."""
    n = s[head + L_COUNT]
    last = make_room(s, head, QUEUED, n)
    rows = s[head + L_AT]
    y = s[KEYS] + block * KEY
    key = (s[y + Y_WINDOW], s[y + Y_RANK], s[y + Y_AT])
    s[last], s[last + 1], s[last + 2], s[last + 3] = key[0], key[1], key[2], block
    rise(s, rows, n)


@leaf
def rise(s: Numbers, rows: int, n: int) -> None:
    """Let a row of a heap rise to where it belongs."""
    while n > 0:
        parent = (n - 1) >> 1
        if not sooner(s, rows + n * QUEUED, rows + parent * QUEUED):
            return
        swapped(s, rows + n * QUEUED, rows + parent * QUEUED)
        n = parent


@small
def swapped(s: Numbers, one: int, other: int) -> None:
    """Change places of two rows of a heap."""
    for n in range(QUEUED):
        s[one + n], s[other + n] = s[other + n], s[one + n]


@leaf
def pop(s: Numbers, head: int) -> int:
    """Take the first block out of a heap."""
    rows = s[head + L_AT]
    first = s[rows + 3]
    count = s[head + L_COUNT] - 1
    s[head + L_COUNT] = count
    n = 0
    child = 1
    while child + 1 < count:  # the gap goes down to the last row, by the sooner child
        child += int(sooner(s, rows + (child + 1) * QUEUED, rows + child * QUEUED))
        moved(s, rows + n * QUEUED, rows + child * QUEUED)
        n = child
        child = 2 * n + 1
    if child < count:
        moved(s, rows + n * QUEUED, rows + child * QUEUED)
        n = child
    moved(s, rows + n * QUEUED, rows + count * QUEUED)
    rise(s, rows, n)
    return first


@small
def set_key(s: Numbers, block: int, window: int, rank: int, at: int) -> None:
    """Say when a block's turn is."""
    y = s[KEYS] + block * KEY
    s[y + Y_WINDOW] = window
    s[y + Y_RANK] = rank
    s[y + Y_AT] = at


# the order of blocks


@leaf
def open_queue(p: Numbers, s: Numbers, release: Numbers, window: int, in_process: int) -> None:
    """What is ready before anything is placed."""
    sets = p[SET_COUNT]
    for block in range(p[BLOCK_COUNT]):
        k = p[BLOCKS] + block * BLOCK
        y = s[KEYS] + block * KEY
        z = s[SETS] + p[k + K_SET] * SET
        s[y + Y_WAITS] = p[k + K_WAITS]
        s[z + Z_TO_PLACE] += 1
        if not p[k + K_WAITS]:
            at = release[p[p[MEMBERS] + p[k + K_MEMBERS]]]
            set_key(s, block, at // window, s[z + Z_RANK], at)
            s[y + Y_OUTSIDE] = s[z + Z_OUTSIDE]
            s[z + Z_OUTSIDE] = block
    for _ in range(min(sets, in_process if in_process else sets)):
        admit(p, s)


@leaf
def admit(p: Numbers, s: Numbers) -> None:
    """Let the next set in, and every block of it that is ready."""
    while s[ADMITTED] < p[SET_COUNT]:
        number = s[s[SETS] + s[ADMITTED] * SET + Z_LINE]
        s[ADMITTED] += 1
        z = s[SETS] + number * SET
        s[z + Z_INSIDE] = 1
        block = s[z + Z_OUTSIDE]
        while block >= 0:
            push(s, s[READY], block)
            block = s[s[KEYS] + block * KEY + Y_OUTSIDE]
        s[z + Z_OUTSIDE] = -1
        if s[z + Z_TO_PLACE]:
            return


@small
def ready_time(p: Numbers, s: Numbers, task: int) -> int:
    """When the first task of a block could begin, for all that goes before it. [min]"""
    t = p[TASKS] + task * TASK
    at = s[s[BOOKED] + task * BOOKING + EARLY]
    for row in range(p[t + T_BEFORE], p[t + TASK + T_BEFORE]):
        f = p[BEFORES] + row * BEFORE
        at = max(at, s[s[BOOKED] + p[f + B_TASK] * BOOKING + END] + p[f + B_LEAST])
    return at


@leaf
def turn_comes(p: Numbers, s: Numbers, block: int, window: int) -> None:
    """A block for which nothing is missing any more."""
    k = p[BLOCKS] + block * BLOCK
    at = ready_time(p, s, p[p[MEMBERS] + p[k + K_MEMBERS]])
    if s[ATTEMPT]:
        at = order_value(p, block, s[ATTEMPT])
    z = s[SETS] + p[k + K_SET] * SET
    set_key(s, block, at // window, s[z + Z_RANK], at)
    if s[z + Z_INSIDE]:
        push(s, s[READY], block)
    else:
        s[s[KEYS] + block * KEY + Y_OUTSIDE] = s[z + Z_OUTSIDE]
        s[z + Z_OUTSIDE] = block


@leaf
def after_block(p: Numbers, s: Numbers, block: int, window: int, in_process: int) -> None:
    """What a placed block sets going: blocks that waited for it, for its pools, for its set's end."""
    k = p[BLOCKS] + block * BLOCK
    for row in range(p[k + K_NEXTS], p[k + BLOCK + K_NEXTS]):
        later = p[p[NEXTS] + row]
        y = s[KEYS] + later * KEY
        s[y + Y_WAITS] -= 1
        if not s[y + Y_WAITS]:
            turn_comes(p, s, later, window)
    for row in range(p[k + K_MEMBERS], p[k + BLOCK + K_MEMBERS]):
        t = p[TASKS] + p[p[MEMBERS] + row] * TASK
        for r in range(p[t + T_CLOSES], p[t + TASK + T_CLOSES]):
            h = p[HOLDS] + p[p[CLOSES] + r] * HOLD
            waiting = s[WAITING] + p[h + H_POOL] * LIST
            if p[p[TASKS] + p[h + H_OPENER] * TASK + BLOCK_OF] != block and s[waiting + L_COUNT]:
                push(s, s[READY], pop(s, waiting))
    z = s[SETS] + p[k + K_SET] * SET
    s[z + Z_TO_PLACE] -= 1
    s[s[STACK] + s[STACKED]] = block
    s[STACKED] += 1
    if in_process and not s[z + Z_TO_PLACE]:
        s[STACKED] = 0
        s[ATTEMPT] = 0
        admit(p, s)


@leaf
def stir(p: Numbers, s: Numbers) -> None:
    """Try everything that waits once more, unless nothing has been placed since the last time."""
    if s[STIRRED] == s[PLACED_COUNT]:
        return
    s[STIRRED] = s[PLACED_COUNT]
    for pool in range(p[POOL_COUNT]):
        waiting = s[WAITING] + pool * LIST
        for n in range(s[waiting + L_COUNT]):
            push(s, s[READY], s[s[waiting + L_AT] + n * QUEUED + 3])
        s[waiting + L_COUNT] = 0


@leaf
def order_value(p: Numbers, block: int, attempt: int) -> int:
    """Another order of the blocks of a set: parts first half by half, half by half, or by lot."""
    k = p[BLOCKS] + block * BLOCK
    if attempt == 1:
        return p[k + K_SIDE] - 10 * p[k + K_DEPTH]
    if attempt == 2:
        return p[k + K_SIDE]
    if attempt == 3:
        return -p[k + K_DEPTH]
    z = np.uint64(block * MOST_ATTEMPTS + attempt)
    z = (z ^ (z >> _GAMMA[0])) * _MIX[0]
    z = (z ^ (z >> _GAMMA[1])) * _MIX[1]
    return np.int64((z ^ (z >> _GAMMA[2])) >> _GAMMA[3])  # type: ignore[return-value]


@leaf
def set_anew(p: Numbers, s: Numbers) -> None:
    """Take back the set that locked, and make its blocks ready in another order."""
    number = -1
    for pool in range(p[POOL_COUNT]):
        waiting = s[WAITING] + pool * LIST
        if number < 0 and s[waiting + L_COUNT]:
            number = p[p[BLOCKS] + s[s[waiting + L_AT] + 3] * BLOCK + K_SET]
        s[waiting + L_COUNT] = 0
    s[ATTEMPT] += 1
    for n in range(s[STACKED] - 1, -1, -1):
        block = s[s[STACK] + n]
        k = p[BLOCKS] + block * BLOCK
        take_back(p, s, block, p[k + K_MEMBERS], p[k + BLOCK + K_MEMBERS])
    s[PLACED_COUNT] -= s[STACKED]
    s[s[SETS] + number * SET + Z_TO_PLACE] += s[STACKED]
    s[STACKED] = 0
    s[STIRRED] = -1
    for block in range(p[BLOCK_COUNT]):
        k = p[BLOCKS] + block * BLOCK
        if p[k + K_SET] == number:
            s[s[KEYS] + block * KEY + Y_WAITS] = p[k + K_WAITS]
            if not p[k + K_WAITS]:
                set_key(s, block, 0, 0, order_value(p, block, s[ATTEMPT]))
                push(s, s[READY], block)


@leaf
def not_yet(
    p: Numbers, s: Numbers, block: int, window: int, fill: int, group: int
) -> tuple[bool, bool, Found, int]:
    """Whether a block could not begin within its window; it then has a later key.

    Else whether placing it now would find the same place, and which.
    """
    y = s[KEYS] + block * KEY
    task = p[p[MEMBERS] + p[p[BLOCKS] + block * BLOCK + K_MEMBERS]]
    early = s[s[BOOKED] + task * BOOKING + EARLY]
    at = max(early, s[y + Y_AT])
    found, way = best_way(p, s, task, at, NO_END, fill)
    if found[0] >= NEVER:
        return False, False, found, way
    if found[0] // window > s[y + Y_WINDOW]:
        set_key(s, block, found[0] // window, s[y + Y_RANK], found[0])
        return True, False, found, way
    if found[4] and group >= 0 and s[y + Y_RANK] < LATER:
        set_key(s, block, (found[0] + group) // window, s[y + Y_RANK] + LATER, found[0])
        return True, False, found, way
    return False, at <= ready_time(p, s, task), found, way


@leaf
def decode(
    p: Numbers, s: Numbers, release: Numbers, window: int, fill: int, in_process: int, defer: bool, group: int,
    serial: bool,
) -> tuple[int, int]:  # fmt: skip
    """Place everything; answers how it ended, and the block that fits nowhere (-1: none)."""
    open_queue(p, s, release, window, in_process)
    ready = s[READY]
    while True:
        while s[ready + L_COUNT]:
            block = pop(s, ready)
            known = False
            if defer:
                later, known, found, way = not_yet(p, s, block, window, fill, group)
                if later:
                    push(s, ready, block)
                    continue
            k = p[BLOCKS] + block * BLOCK
            if known and p[k + BLOCK + K_MEMBERS] - p[k + K_MEMBERS] == 1:
                task = p[p[MEMBERS] + p[k + K_MEMBERS]]
                answer = place_found(p, s, block, task, fill, found, way)
            else:
                answer = place_block(p, s, block, fill)
            if answer == NO_ROOM:
                return NOWHERE_TO_GO, block
            if answer != PLACED:
                push(s, s[WAITING] + answer * LIST, block)
            else:
                s[PLACED_COUNT] += 1
                after_block(p, s, block, window, in_process)
            if not s[ready + L_COUNT]:
                stir(p, s)
        locked = False
        for pool in range(p[POOL_COUNT]):
            locked = locked or s[s[WAITING] + pool * LIST + L_COUNT] > 0
        if not locked:
            return COMPLETE, -1
        if not serial or s[ATTEMPT] == MOST_ATTEMPTS:
            return LOCKED, -1
        set_anew(p, s)


def digest() -> str:
    """What all compiled functions are made of: a change of any of them compiles the whole anew."""
    found = sha256()
    parts = (
        kernel_layout, kernel_lists, kernel_seek, kernel_book, kernel_place, kernel_worth, kernel_usage,
    )  # fmt: skip
    for names in (*(vars(part) for part in parts), digest.__globals__):
        for name, value in sorted(names.items()):
            code = getattr(getattr(value, "py_func", None), "__code__", None)
            if code is not None:
                found.update(repr((name, code.co_code, code.co_consts, code.co_names)).encode())
            elif name.isupper():
                found.update(repr((name, value)).encode())
    return found.hexdigest()


@cache
def compiled() -> Callable[..., Any]:
    """The decoder through the compiler, kept on disk; compiles at the first call.

    Only the whole is kept, under a key with the digest of all its parts: the compiler itself looks at
    no file but the one in which the whole stands.
    """
    stamp = digest()

    def run(
        facts: Any, books: Any, releases: Any, window: int, fill: int, in_process: int, defer: bool,
        group: int, serial: bool, ends: Any,
    ) -> tuple[int, int, int, int]:  # fmt: skip
        len(stamp)
        p, s = lies_at(facts), lies_at(books)
        release, done = lies_at(releases), lies_at(ends)
        s[SIZE] = len(books)
        ended, block = decode(p, s, release, window, fill, in_process, defer, group, serial)
        flow, setups = worth(p, s, done) if ended == COMPLETE else (0, 0)
        return ended, block, flow, setups

    return cast("Callable[..., Any]", njit(cache=True, nogil=True, error_model="numpy")(run))


@cache
def compiled_usage() -> Callable[..., Any]:
    """Busy and blocked minutes of stations, and the stays in pools, of a finished plan."""
    stamp = digest()

    def run(facts: Any, books: Any, hours: Any, busy: Any, blocked: Any, holds: int, edges: Any) -> int:
        len(stamp)
        p, s = lies_at(facts), lies_at(books)
        busy_times(p, s, lies_at(hours), lies_at(busy), lies_at(blocked))
        return stays(p, s, holds, lies_at(edges))

    return cast("Callable[..., Any]", njit(cache=True, nogil=True, error_model="numpy")(run))
