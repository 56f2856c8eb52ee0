"""Which tasks must be placed together, and which block waits for which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pairwright.plan.problem import rows


@dataclass(frozen=True, slots=True)
class Blocks:
    """Blocks as flat arrays; tasks of a block in order of precedence."""

    of: list[int]
    begins: list[int]
    tasks: list[int]
    places: list[int]  # of a task within its block
    sets: list[int]
    waits: list[int]  # how many blocks each waits for
    next_from: list[int]
    next_block: list[int]


def form_blocks(
    set_of: list[int], links: list[tuple[int, int]], *, before: Sequence[Sequence[Sequence[int]]]
) -> Blocks:
    """Tie linked tasks together, and whatever would then wait for itself."""
    leader = list(range(len(set_of)))
    for one, other in links:
        _tie(leader, one, other)
    while (knot := _knot(leader, before)) is not None:
        for task in knot[1:]:
            _tie(leader, knot[0], task)
    numbers: dict[int, int] = {}
    of = [numbers.setdefault(_lead(leader, t), len(numbers)) for t in range(len(set_of))]
    members: list[list[int]] = [[] for _ in numbers]
    places: list[int] = []
    for task, block in enumerate(of):
        places.append(len(members[block]))
        members[block].append(task)
    earlier: list[set[int]] = [set() for _ in numbers]
    for task, some in enumerate(before):
        earlier[of[task]] |= {of[row[0]] for row in some} - {of[task]}
    later: list[list[int]] = [[] for _ in numbers]
    for block, some_blocks in enumerate(earlier):
        for one in sorted(some_blocks):
            later[one].append(block)
    begins, tasks = rows(members)
    next_from, next_block = rows(later)
    return Blocks(
        of=of, begins=begins, tasks=tasks, places=places, sets=[set_of[m[0]] for m in members],
        waits=[len(e) for e in earlier], next_from=next_from, next_block=next_block,
    )  # fmt: skip


def _lead(leader: list[int], task: int) -> int:
    while leader[task] != task:
        leader[task] = leader[leader[task]]
        task = leader[task]
    return task


def _tie(leader: list[int], one: int, other: int) -> None:
    a, b = _lead(leader, one), _lead(leader, other)
    if a != b:
        leader[max(a, b)] = min(a, b)


def _knot(leader: list[int], before: Sequence[Sequence[Sequence[int]]]) -> list[int] | None:
    """Leaders of blocks that wait for each other in a ring; None where there are none.

    Blocks that wait for nothing are struck out again and again; what remains is in a ring or
    behind one. Walking backwards from any of it leads into a ring.
    """
    waits: dict[int, set[int]] = {}
    later: dict[int, list[int]] = {}
    for task, some in enumerate(before):
        own = _lead(leader, task)
        waits.setdefault(own, set())
        for row in some:
            other = _lead(leader, row[0])
            if other != own and other not in waits[own]:
                waits[own].add(other)
                later.setdefault(other, []).append(own)
    ready = [block for block, some in waits.items() if not some]
    while ready:
        block = ready.pop()
        for other in later.get(block, ()):
            waits[other].discard(block)
            if not waits[other]:
                ready.append(other)
    at = next((block for block, some in waits.items() if some), None)
    if at is None:
        return None
    path: list[int] = []
    while at not in path:
        path.append(at)
        at = min(waits[at])
    return path[path.index(at) :]
