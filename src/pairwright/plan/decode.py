"""From priorities to a plan: blocks placed one after another, in an order made as time goes on.

A block is ready when everything before it is placed. Of the ready blocks the next one is that
with the earliest time (in windows of some minutes), then the highest priority of its set. A block
that needs a place in a full pool waits until one is freed. When everything waits for everything,
the plan has locked: who waits for what is told, and the plan is made again with fewer sets in
process at a time. With one set at a time nothing is held that a later set could wait for; where a
set locks by itself, it is taken back and its blocks are tried in other orders.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from heapq import heappop, heappush
from typing import Final, TypeAlias

from pairwright.plan.calendar import NEVER
from pairwright.plan.compiled import Books, decode_compiled, is_worth, state_of
from pairwright.plan.dice import mixed
from pairwright.plan.emit import Worth, worth_of
from pairwright.plan.place import NO_ROOM, PLACED, best_way, place_block, unplace_block
from pairwright.plan.problem import Problem
from pairwright.plan.state import State, empty_state

WHOLE: Final = 1 << 30  # a window wider than any plan: set after set
MOST_ATTEMPTS: Final = 40  # orders in which the blocks of one set are tried
LATER: Final = 1 << 40  # added to the rank of a block that lets others go first

# ready window, rank of the set, ready time, block
Key: TypeAlias = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Rules:
    """How the decoder chooses, besides the priorities of sets."""

    window: int = WHOLE  # ready times within a window count alike [min]
    fill: int = 0  # share of a station's fill wait that a part-filled batch waits [percent]
    in_process: int = 0  # most sets at a time, 0: no limit
    defer: bool = False  # a block that could not begin within its window is thought of again later
    group: int = -1  # with `defer`: how long a block that needs a setup lets others go first [min]

    @property
    def serial(self) -> bool:
        """Whether one set is finished before the next one begins."""
        return self.in_process == 1 and self.window == WHOLE and not self.defer


@dataclass(frozen=True)
class Decoded:
    """What became of the priorities: placed, or where it stopped."""

    found: State | Books  # what the plain or the compiled decoder left
    placed: int  # blocks
    no_room: int  # a block that fits nowhere before the horizon, -1: none
    locked: tuple[tuple[int, int], ...]  # blocks that wait for each other, with the pool each waits for

    @cached_property
    def state(self) -> State:
        """Every booking."""
        return state_of(self.found) if isinstance(self.found, Books) else self.found

    def worth(self, problem: Problem) -> Worth:
        """What a complete plan is valued by."""
        if isinstance(self.found, Books):
            return Worth(self.found.done, self.found.flow, self.found.setups)
        return worth_of(problem, self.found)

    @property
    def complete(self) -> bool:
        """Whether everything is placed."""
        return self.no_room < 0 and not self.locked


@dataclass(slots=True)
class Queue:
    """Blocks that are ready, that wait for a pool, and that wait for their set's admission."""

    ready: list[Key]
    waiting: list[list[Key]]  # by pool
    outside: list[list[Key]]  # by set
    waits: list[int]  # of each block: how many blocks go before it
    inside: list[bool]  # sets admitted
    to_place: list[int]  # of each set: blocks not placed yet
    line: list[int]  # sets not admitted yet, the next one last
    placed: int = 0
    stirred: int = -1  # how many blocks were placed when all that wait were last tried again
    stack: list[int] = field(default_factory=list)  # blocks placed of the set under way, one at a time
    attempt: int = 0  # how often its blocks were tried in another order


def decode(
    problem: Problem, rank: list[int], *, rules: Rules | None = None, release: list[int] | None = None,
    state: State | None = None,
) -> Decoded:  # fmt: skip
    """Place everything, with compiled code where that is quicker: the plan is the same.

    Parameters
    ----------
    problem : Problem
        The flat arrays.
    rank : list[int]
        Of each set; a lower one goes first. [-]
    rules : Rules
        How to choose besides.
    release : list[int]
        Earliest start of each task, where later than its order's. [min]
    state : State
        What is booked already; it may be added to. Tasks in no block of the problem are booked in it.

    Returns
    -------
    Decoded
        Complete, or with the block that fits nowhere or the blocks that lock each other.
    """
    rules = rules or Rules()
    early = problem.release if release is None else release
    if is_worth(problem):
        books = decode_compiled(problem, rank, rules=rules, release=early, state=state)
        return Decoded(books, books.placed, books.block, books.locked)
    return decode_plain(problem, rank, rules=rules, early=early, state=state)


def decode_plain(
    problem: Problem, rank: list[int], *, rules: Rules, early: list[int], state: State | None = None
) -> Decoded:
    """Place everything, step by step in plain code: what the compiled decoder is held against."""
    state = empty_state(problem) if state is None else state
    queue = _open_queue(problem, rank, rules)
    while True:
        while queue.ready:
            key = heappop(queue.ready)
            block = key[3]
            if rules.defer and (later := _not_yet(problem, state, early, key, rules)) is not None:
                heappush(queue.ready, later)
                continue
            answer = place_block(problem, state, block=block, release=early, fill=rules.fill)
            if answer == NO_ROOM:
                return Decoded(state, queue.placed, block, ())
            if answer != PLACED:
                heappush(queue.waiting[answer], key)
            else:
                queue.placed += 1
                _after(problem, state, queue, block, rank, rules, early)
            if not queue.ready:
                _stir(queue)
        locked = [(key[3], pool) for pool, keys in enumerate(queue.waiting) for key in sorted(keys)]
        if not locked or not rules.serial or queue.attempt == MOST_ATTEMPTS:
            return Decoded(state, queue.placed, -1, tuple(locked))
        _set_anew(problem, state, queue)


def _open_queue(problem: Problem, rank: list[int], rules: Rules) -> Queue:
    sets = len(problem.set_ids)
    line = sorted(range(sets), key=lambda s: (-rank[s], -s))
    queue = Queue(
        ready=[], waiting=[[] for _ in problem.shop.places], outside=[[] for _ in range(sets)],
        waits=list(problem.block_waits), inside=[False] * sets, to_place=[0] * sets, line=line,
    )  # fmt: skip
    for block in range(problem.blocks):
        queue.to_place[problem.block_set[block]] += 1
        if not queue.waits[block]:
            first = problem.block_task[problem.block_from[block]]
            at = problem.release[first]
            key = _key(rules, rank[problem.block_set[block]], at, block)
            queue.outside[problem.block_set[block]].append(key)
    for _ in range(min(sets, rules.in_process or sets)):
        _admit(queue)
    return queue


def _key(rules: Rules, rank: int, at: int, block: int) -> Key:
    return (at // rules.window, rank, at, block)


def _set_anew(problem: Problem, state: State, queue: Queue) -> None:
    """Take back the set that locked, and make its blocks ready in another order."""
    number = next(problem.block_set[key[3]] for keys in queue.waiting for key in keys)
    queue.attempt += 1
    for block in reversed(queue.stack):
        unplace_block(problem, state, block=block)
    queue.placed -= len(queue.stack)
    queue.to_place[number] += len(queue.stack)
    queue.stack = []
    queue.stirred = -1
    for keys in queue.waiting:
        keys.clear()
    for block in range(problem.blocks):
        if problem.block_set[block] == number:
            queue.waits[block] = problem.block_waits[block]
            if not queue.waits[block]:
                heappush(queue.ready, (0, 0, order_value(problem, block=block, attempt=queue.attempt), block))


def order_value(problem: Problem, *, block: int, attempt: int) -> int:
    """Another order of the blocks of a set: parts first half by half, half by half, or by lot."""
    side, depth = side_and_depth(problem, block=block)
    if attempt == 1:
        return side - 10 * depth
    if attempt == 2:
        return side
    if attempt == 3:
        return -depth
    return mixed(block * MOST_ATTEMPTS + attempt) >> 1


def side_and_depth(problem: Problem, *, block: int) -> tuple[int, int]:
    """Of a block's first item: halves in order, what belongs to the set last; parts of parts."""
    operation = problem.operations[problem.task_operations[problem.block_task[problem.block_from[block]]][0]]
    side = 2 if operation.side is None else int(operation.side in ("right", "b"))
    return side, operation.item.count(".")


def _admit(queue: Queue) -> None:
    """Let the next set in, and every block of it that is ready."""
    while queue.line:
        number = queue.line.pop()
        queue.inside[number] = True
        for key in queue.outside[number]:
            heappush(queue.ready, key)
        queue.outside[number] = []
        if queue.to_place[number]:
            return


def _after(
    problem: Problem, state: State, queue: Queue, block: int, rank: list[int], rules: Rules, early: list[int]
) -> None:
    """What a placed block sets going: blocks that waited for it, for its pools, for its set's end."""
    number = problem.block_set[block]
    for row in range(problem.next_from[block], problem.next_from[block + 1]):
        later = problem.next_block[row]
        queue.waits[later] -= 1
        if not queue.waits[later]:
            at = ready_time(problem, state, block=later, release=early)
            if queue.attempt:
                at = order_value(problem, block=later, attempt=queue.attempt)
            key = _key(rules, rank[problem.block_set[later]], at, later)
            if queue.inside[problem.block_set[later]]:
                heappush(queue.ready, key)
            else:
                queue.outside[problem.block_set[later]].append(key)
    for row in range(problem.block_from[block], problem.block_from[block + 1]):
        task = problem.block_task[row]
        for r in range(problem.close_from[task], problem.close_from[task + 1]):
            hold = problem.close_hold[r]
            pool = problem.hold_pool[hold]
            if problem.block_of[problem.hold_open[hold]] != block and queue.waiting[pool]:
                heappush(queue.ready, heappop(queue.waiting[pool]))
    queue.to_place[number] -= 1
    queue.stack.append(block)
    if rules.in_process and not queue.to_place[number]:
        queue.stack, queue.attempt = [], 0
        _admit(queue)


def ready_time(problem: Problem, state: State, *, block: int, release: list[int]) -> int:
    """When the first task of a block could begin, for all that goes before it. [min]"""
    task = problem.block_task[problem.block_from[block]]
    at = release[task]
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        at = max(at, state.end[problem.pre_task[row]] + problem.pre_least[row])
    return at


def _stir(queue: Queue) -> None:
    """Try everything that waits once more, unless nothing has been placed since the last time."""
    if queue.stirred == queue.placed:
        return
    queue.stirred = queue.placed
    for pool, keys in enumerate(queue.waiting):
        for key in keys:
            heappush(queue.ready, key)
        queue.waiting[pool] = []


def _not_yet(problem: Problem, state: State, early: list[int], key: Key, rules: Rules) -> Key | None:
    """The key to come back with when a block could not begin within its window; None: it could."""
    task = problem.block_task[problem.block_from[key[3]]]
    found, _ = best_way(problem, state, task=task, at=max(early[task], key[2]), end_at=0, fill=rules.fill)
    if found[0] >= NEVER:
        return None
    if found[0] // rules.window > key[0]:
        return (found[0] // rules.window, key[1], found[0], key[3])
    if found[4] and rules.group >= 0 and key[1] < LATER:
        return ((found[0] + rules.group) // rules.window, key[1] + LATER, found[0], key[3])
    return None
