"""A plan pushed on in its own order: what can't begin when planned begins as soon as it can after that.

This is how a floor goes on by itself: who comes next stays next, and delays pass on until slack
takes them up. The places found are a proposal; rooms in buffers and carriers are not looked at here.
"""

from __future__ import annotations

from dataclasses import replace
from heapq import heapify, heappop, heappush

from pairwright.plan.booking import unbook
from pairwright.plan.fixed import Place, around, book_place, keep_for_next
from pairwright.plan.kept import Keeping, booked_facts, not_placed
from pairwright.plan.kept_room import stays
from pairwright.plan.place import PLACED, place_block
from pairwright.plan.problem import Problem
from pairwright.plan.state import State


def shifted(keeping: Keeping) -> dict[int, Place]:
    """Places of all tasks that have one, pushed on where they must be.

    Parameters
    ----------
    keeping : Keeping
        What is known.
    """
    problem = keeping.problem
    state, batches = booked_facts(keeping)
    out = not_placed(keeping)
    free = keeping.places.keys() - keeping.begun.keys() - keeping.void - keeping.pinned - out
    some = around(problem, state, free={t for t in free if state.start[t] < 0})
    none = [0] * (problem.tasks + 1)
    some = replace(some, open_from=none, close_from=none)
    names = {number: name for name, number in batches.items()}
    release = [max(keeping.now, at) for at in some.release]
    waits = list(some.block_waits)
    ready = [(_planned(keeping, some, block), block) for block in range(some.blocks) if not waits[block]]
    heapify(ready)
    while ready:
        _, block = heappop(ready)
        tasks = some.block_task[some.block_from[block] : some.block_from[block + 1]]
        if not _stay(keeping, state, tasks, batches, names):
            for task in tasks:
                release[task] = max(release[task], keeping.places[task].start)
            if place_block(some, state, block=block, release=release, fill=0) != PLACED:
                continue  # with all that comes after it; what is looked at next will see to it
            for task in tasks:
                if state.batch[task] >= 0:
                    names.setdefault(state.batch[task], f"pushed on {state.batch[task]}")
        for row in range(some.next_from[block], some.next_from[block + 1]):
            later = some.next_block[row]
            waits[later] -= 1
            if not waits[later]:
                heappush(ready, (_planned(keeping, some, later), later))
    return {task: _place(state, task, names) if task in free and state.start[task] >= 0 else place
            for task, place in keeping.places.items()}  # fmt: skip


def _planned(keeping: Keeping, some: Problem, block: int) -> int:
    """The planned start of a block. [min]"""
    tasks = some.block_task[some.block_from[block] : some.block_from[block + 1]]
    return min(keeping.places[task].start for task in tasks)


def _stay(
    keeping: Keeping, state: State, tasks: list[int], batches: dict[str, int], names: dict[int, str]
) -> bool:
    """Book the tasks of a block where they were planned, all of them or none."""
    problem = keeping.problem
    starts = {task: keeping.places[task].start for task in tasks}
    done: list[int] = []
    for task in tasks:
        place = keeping.places[task]
        if not stays(problem, state, task=task, place=place, batches=batches, now=keeping.now):
            for other in reversed(done):
                name = keeping.places[other].batch
                alone = name is not None and state.batch_members[state.batch[other]] == 1
                unbook(problem, state, task=other)
                if name is not None and alone:
                    names.pop(batches.pop(name))
            return False
        book_place(problem, state, task=task, place=place, batches=batches)
        if place.batch is not None:
            names[batches[place.batch]] = place.batch
        done.append(task)
    for task in tasks:
        keep_for_next(problem, state, task=task, starts=starts)
    return True


def _place(state: State, task: int, names: dict[int, str]) -> Place:
    batch = state.batch[task]
    return Place(
        state.start[task],
        state.end[task],
        state.way[task],
        state.unit[task],
        names.get(batch) if batch >= 0 else None,
    )
