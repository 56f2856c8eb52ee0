"""Which operations of an earlier plan can stay when something has happened.

Operations are looked at in order of their planned starts. One that can't stay where it was, because
its place, its people, its hours, its room in a buffer, its carrier or what goes before it are no
longer there, is *hit*. What comes
after a hit operation, or must keep step with it, is *affected*. Everything else stays.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from pairwright.plan.calendar import NEVER
from pairwright.plan.fixed import (
    Place,
    around,
    book_holds,
    book_place,
    book_void,
    keep_for_next,
    overfull,
)
from pairwright.plan.kept_room import has_room, stays
from pairwright.plan.place import PLACED, place_block, unplace_block
from pairwright.plan.problem import Problem
from pairwright.plan.profile import add
from pairwright.plan.state import State, empty_state


@dataclass(slots=True)
class Keeping:
    """What is known before anything is placed, by task; times in minutes."""

    problem: Problem
    now: int
    places: Mapping[int, Place]  # where an earlier plan has it
    begun: Mapping[int, Place]  # facts: they lie where they lie
    void: frozenset[int]  # never happened and never will
    pinned: frozenset[int]
    loose: frozenset[int]  # may be placed anew from now on
    gone: tuple[tuple[int, int, int, int], ...] = ()  # pool, from, to, so many are away


@dataclass(slots=True)
class Kept:
    """Everything that stays, booked, and the tasks that are still to be placed."""

    state: State
    fixed: set[int]
    free: set[int]
    affected: set[int]  # hit, or behind or beside what is hit
    broken: list[int] = field(default_factory=list)  # pinned, and can't stay


def keep(
    keeping: Keeping, *, everything: bool = True, more: Collection[int] = (), known: Kept | None = None
) -> Kept:
    """Book what can stay.

    Parameters
    ----------
    keeping : Keeping
        What is known.
    everything : bool
        Off: only what has begun or is pinned.
    more : Collection[int]
        Tasks that are to be free too; they are not affected.
    known : Kept
        An earlier answer for the same state: what it had to free is free from the beginning.
    """
    problem = keeping.problem
    after = _after(problem)
    tied = _tied(problem)
    free = not_placed(keeping)
    affected = set(free)
    if known is not None:
        free |= known.free
        affected |= known.affected
    if more:
        _spread_with(more, free, after, tied, keeping)
    if not everything:
        free |= set(range(problem.tasks)) - keeping.begun.keys() - keeping.void - keeping.pinned
    order = _order(keeping)
    while True:
        kept = _book(keeping, order, free, affected, after, tied)
        if kept is not None:
            return kept


def not_placed(keeping: Keeping) -> set[int]:
    """Tasks that are let loose or have no place yet, with all that depends on them."""
    problem = keeping.problem
    free = set(keeping.loose) - keeping.begun.keys() - keeping.void - keeping.pinned
    free |= {
        t for t in range(problem.tasks) if t not in keeping.places and t not in keeping.begun
    } - keeping.void
    _spread(free, _after(problem), _tied(problem), keeping)
    return free


def booked_facts(keeping: Keeping) -> tuple[State, dict[str, int]]:
    """A state with what has begun and what is pinned alone, and its batches by name."""
    state = empty_state(keeping.problem)
    batches: dict[str, int] = {}
    free = not_placed(keeping)
    order = _order(keeping)
    starts = {t: keeping.places[t].start for t in order if t not in free}
    _book_begun(keeping, state, batches, starts)
    _book_pinned(keeping, state, batches, starts, order)
    return state, batches


def _spread(free: set[int], after: list[list[int]], tied: list[list[int]], keeping: Keeping) -> None:
    """Add what comes after the tasks, and what must keep step with them; facts and pins stay."""
    stack = list(free)
    while stack:
        task = stack.pop()
        for other in (*after[task], *tied[task]):
            if other not in free and other not in keeping.begun and other not in keeping.void:
                if other in keeping.pinned:
                    continue
                free.add(other)
                stack.append(other)


def _spread_with(
    more: Collection[int], free: set[int], after: list[list[int]], tied: list[list[int]], keeping: Keeping
) -> None:
    """Free more tasks with what depends on them; they are not affected."""
    some = set(more)
    _spread(some, after, tied, keeping)
    free |= some


def _after(problem: Problem) -> list[list[int]]:
    after: list[list[int]] = [[] for _ in range(problem.tasks)]
    for task in range(problem.tasks):
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            after[problem.pre_task[row]].append(task)
    return after


def _tied(problem: Problem) -> list[list[int]]:
    """The other tasks of each task's block."""
    tied: list[list[int]] = [[] for _ in range(problem.tasks)]
    for first, beyond in zip(problem.block_from, problem.block_from[1:], strict=False):
        if beyond - first > 1:
            some = problem.block_task[first:beyond]
            for task in some:
                tied[task] = some
    return tied


def _order(keeping: Keeping) -> list[int]:
    """Tasks that have a place and have not begun, by start; of a batch the longest first."""
    problem = keeping.problem

    def key(task: int) -> tuple[int, int, int, int]:
        place = keeping.places[task]
        return (place.start, -problem.way_minutes[place.way], -problem.way_people[place.way], task)

    return sorted((t for t in keeping.places if t not in keeping.begun and t not in keeping.void), key=key)


def _book(
    keeping: Keeping, order: list[int], free: set[int], affected: set[int], after: list[list[int]],
    tied: list[list[int]],
) -> Kept | None:  # fmt: skip
    """One attempt to book everything that is not free; None: more has become free, try again."""
    problem = keeping.problem
    state = empty_state(problem)
    for pool, start, end, count in keeping.gone:
        add(state.pool_times[pool], state.pool_use[pool], start=start, end=end, count=count)
    batches: dict[str, int] = {}
    starts = {t: keeping.places[t].start for t in order if t not in free}
    _book_begun(keeping, state, batches, starts)
    broken = _book_pinned(keeping, state, batches, starts, order)
    first = _behind_begun(keeping, state, free)
    for task in order:
        if task in free or task in keeping.pinned:
            continue
        place = keeping.places[task]
        if stays(problem, state, task=task, place=place, batches=batches, now=keeping.now):
            book_place(problem, state, task=task, place=place, batches=batches)
            keep_for_next(problem, state, task=task, starts=starts)
        elif _set_free([task], free, affected, after, tied, keeping, state):
            return None
    fixed = {t for t in range(problem.tasks) if t not in free} | first
    book_holds(problem, state, fixed, known={})
    more = _too_many(keeping, state, fixed, first, after, tied)
    if more:
        _set_free(more, free, affected, after, tied, keeping, state)
        return None
    return Kept(state, fixed, free - first, affected, broken)


def _set_free(
    tasks: Iterable[int], free: set[int], affected: set[int], after: list[list[int]], tied: list[list[int]],
    keeping: Keeping, state: State,
) -> bool:  # fmt: skip
    """Free tasks with all that depends on them; whether what is booked already must change for it."""
    more = set(tasks)
    _spread(more, after, tied, keeping)
    more -= free
    free |= more
    affected |= more
    return any(state.start[t] >= 0 or _follows_begun(keeping, t) for t in more)


def _book_begun(keeping: Keeping, state: State, batches: dict[str, int], starts: Mapping[int, int]) -> None:
    """Facts first: what has begun, with what it holds."""
    problem = keeping.problem
    facts = sorted(
        keeping.begun.items(), key=lambda row: (row[1].start, -problem.way_minutes[row[1].way], row[0])
    )
    for task, place in facts:
        book_place(problem, state, task=task, place=place, batches=batches)
    for task in sorted(keeping.void):
        book_void(problem, state, task=task, at=keeping.now)
    known = {**starts, **{task: place.start for task, place in facts}}
    for task, _ in facts:
        keep_for_next(problem, state, task=task, starts=known)
    _close_past(state, keeping.now)
    book_holds(problem, state, keeping.begun.keys() | keeping.void, known=starts)


def _close_past(state: State, now: int) -> None:
    """Nothing, no setup either, can be put on a unit before now; facts that overlap end in order."""
    for unit, froms in enumerate(state.unit_from):
        tos = state.unit_to[unit]
        for i in range(1, len(tos)):
            tos[i] = max(tos[i], tos[i - 1])
        last = bisect_right(froms, now) - 1
        if last >= 0:
            tos[last] = max(tos[last], now)
        elif now > 0:
            froms.insert(0, 0)
            tos.insert(0, now)
            state.unit_family[unit].insert(0, -1)
            state.unit_setup[unit].insert(0, 0)


def _book_pinned(
    keeping: Keeping, state: State, batches: dict[str, int], starts: Mapping[int, int], order: list[int]
) -> list[int]:
    """Pinned operations next; answers those that can't be where they are pinned."""
    broken: list[int] = []
    for task in order:
        if task in keeping.pinned:
            place = keeping.places[task]
            if not has_room(keeping.problem, state, task=task, place=place, batches=batches):
                broken.append(task)
            book_place(keeping.problem, state, task=task, place=place, batches=batches)
            keep_for_next(keeping.problem, state, task=task, starts=starts)
    return broken


def _behind_begun(keeping: Keeping, state: State, free: set[int]) -> set[int]:
    """Place first what is free and must follow something begun within a time; answers what was placed.

    Blocks are placed alone, in order of their planned starts, as soon as they can be.
    """
    problem = keeping.problem
    urgent = [t for t in free if _follows_begun(keeping, t)]
    placed: set[int] = set()
    if urgent:
        free_now = around(problem, state, free=free)
        release = [max(keeping.now, at) for at in free_now.release]
        blocks = {free_now.block_of[t] for t in urgent}

        def key(block: int) -> tuple[int, int]:
            task = free_now.block_task[free_now.block_from[block]]
            return (keeping.places[task].start if task in keeping.places else NEVER, block)

        for block in sorted(blocks, key=key):
            some = free_now.block_task[free_now.block_from[block] : free_now.block_from[block + 1]]
            rows = (r for t in some for r in range(free_now.pre_from[t], free_now.pre_from[t + 1]))
            if any(state.start[o] < 0 and o not in some for o in (free_now.pre_task[r] for r in rows)):
                continue
            if place_block(
                free_now, state, block=block, release=release, fill=0
            ) == PLACED or _place_loosened(keeping, free_now, state, block, release):
                placed |= set(some)
                _let_go(keeping, state, some)
    _let_go(keeping, state, [t for t in keeping.places if t not in free or t in placed])
    return placed


def _place_loosened(
    keeping: Keeping, free_now: Problem, state: State, block: int, release: list[int]
) -> bool:
    """Place a block whose tasks may need the very units that are held for them."""
    some = free_now.block_task[free_now.block_from[block] : free_now.block_from[block + 1]]
    held = _loosen(keeping, state, some)
    done = bool(held) and place_block(free_now, state, block=block, release=release, fill=0) == PLACED
    taken = [state.unit_from[unit][i + 1 :] for unit, i, _ in held]
    if done and any(
        froms and froms[0] < state.start[task] for froms, (_, _, task) in zip(taken, held, strict=True)
    ):
        unplace_block(free_now, state, block=block)
        done = False
    for unit, i, _ in held:
        state.unit_to[unit][i] = NEVER
    return done


def _loosen(keeping: Keeping, state: State, tasks: list[int]) -> list[tuple[int, int, int]]:
    """Let the tasks use the units that are held for them; answers unit, entry and task of each."""
    problem = keeping.problem
    found: list[tuple[int, int, int]] = []
    for task in tasks:
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other = problem.pre_task[row]
            if other in keeping.begun and problem.keeps[other] and state.unit[other] >= 0:
                unit = state.unit[other]
                i = bisect_right(state.unit_from[unit], state.start[other]) - 1
                if state.unit_to[unit][i] >= NEVER:
                    state.unit_to[unit][i] = max(state.end[other], keeping.now)
                    found.append((unit, i, task))
    return found


def _follows_begun(keeping: Keeping, task: int) -> bool:
    problem, begun = keeping.problem, keeping.begun
    if problem.mate[task] in begun:
        return True
    for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
        other = problem.pre_task[row]
        tie = problem.pre_longest[row] >= 0 or (problem.keeps[other] and problem.pre_next[row])
        if tie and other in begun:
            return True
    return False


def _let_go(keeping: Keeping, state: State, tasks: list[int]) -> None:
    """End the holding of units by what has begun: at the start of the next step, or when it was planned.

    A unit that several hold is let go with the last of them.
    """
    problem = keeping.problem
    starts = {t: state.start[t] if state.start[t] >= 0 else keeping.places[t].start for t in tasks}
    ends: dict[tuple[int, int], dict[int, int]] = {}
    for task in tasks:
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            other = problem.pre_task[row]
            if other in keeping.begun and problem.keeps[other] and state.unit[other] >= 0:
                key = (state.unit[other], state.start[other])
                until = max(state.end[other], starts[task])
                ends.setdefault(key, {})[other] = max(until, ends.get(key, {}).get(other, 0))
    for (unit, start), some in ends.items():
        i = bisect_right(state.unit_from[unit], start) - 1
        holding = {
            t
            for t in keeping.begun
            if problem.keeps[t] and state.unit[t] == unit and state.start[t] == start
            and any(problem.operation_next[n] >= 0 for n in problem.task_operations[t])
        }  # fmt: skip
        for task, until in some.items():
            state.freed[task] = until
        if state.unit_to[unit][i] >= NEVER and holding <= {t for t in holding if state.freed[t] < NEVER}:
            state.unit_to[unit][i] = max(state.freed[t] for t in holding | some.keys())


def _too_many(
    keeping: Keeping, state: State, fixed: set[int], first: set[int], after: list[list[int]],
    tied: list[list[int]],
) -> set[int]:  # fmt: skip
    """Where pools hold more than they have places: those that came last and may still move.

    What they and those behind them hold is taken out of the bookings, which are of no use any more.
    """
    problem = keeping.problem
    holds: list[list[int]] = [[] for _ in range(problem.tasks)]
    for hold, opener in enumerate(problem.hold_open):
        if opener in fixed and problem.hold_close[hold] >= 0:
            holds[opener].append(hold)
    stay = first | keeping.begun.keys() | keeping.pinned | keeping.void
    found: set[int] = set()
    while True:
        movable = [t for t in fixed if t not in stay and t not in found]
        rows = (_last_come(problem, state, over, movable, holds) for over in overfull(problem, state))
        some = next((row for row in rows if row), [])
        if not some:
            return found
        more = set(some)
        _spread(more, after, tied, keeping)
        for task in more - found:
            for hold in holds[task]:
                until = state.held_to[hold] if state.held_to[hold] >= 0 else NEVER
                number = problem.hold_pool[hold]
                add(
                    state.pool_times[number], state.pool_use[number], start=state.held_from[hold],
                    end=max(until, state.held_from[hold]), count=-problem.hold_need[hold],
                )  # fmt: skip
        found |= more


def _last_come(
    problem: Problem, state: State, over: tuple[int, int, int], tasks: list[int], holds: list[list[int]]
) -> list[int]:
    """Of the tasks that hold a place in a pool in a span as many as are too many, the last first."""
    at, beyond, pool = over
    holding: list[tuple[int, int, int]] = []
    for task in tasks:
        for hold in holds[task]:
            until = state.held_to[hold] if state.held_to[hold] >= 0 else NEVER
            if problem.hold_pool[hold] == pool and state.held_from[hold] < beyond and at < until:
                holding.append((state.held_from[hold], task, problem.hold_need[hold]))
    i = bisect_right(state.pool_times[pool], at) - 1
    excess = state.pool_use[pool][i] - problem.shop.places[pool]
    found: list[int] = []
    for _, task, need in sorted(holding, reverse=True):
        if excess > 0:
            found.append(task)
            excess -= need
    return found
