"""The planning problem as flat arrays: tasks, ways, precedence, holds, blocks.

A *task* is what is booked at once: one operation, or the operations of two mates that must share
a batch. A *way* is a row of the `way_*` arrays: a station with a crew. A *hold* is a place in a
buffer or a carrier, kept from the start of one task to the start (buffer) or the end (carrier) of
another. A *block* holds the tasks that must be placed together: whatever a longest wait, a kept
place or the allowed distance between mates ties to each other.
Arrays named `..._from` have one entry more than there are tasks (or blocks): the rows of task `t`
are `x_from[t]` up to, not including, `x_from[t + 1]`. Times are minutes from the shop's origin.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pairwright.plan.facts import StepFacts
from pairwright.plan.shop import Shop


@dataclass(frozen=True, slots=True)
class OperationFacts:
    """Who an operation is, for the document; kernels never look here."""

    item: str
    side: str | None
    facts: StepFacts
    set: int
    rework: bool
    uses: tuple[str, ...]
    carrier: int  # pool held meanwhile, -1: none


@dataclass(frozen=True, slots=True)
class Problem:
    """See the head of the module."""

    shop: Shop
    # ways of a task
    way_from: list[int]
    way_station: list[int]
    way_crew: list[int]
    way_people: list[int]
    way_minutes: list[int]
    way_time: list[int]
    way_setup_crew: list[int]
    way_setup_time: list[int]
    way_area: list[int]
    # what a task is
    family: list[int]
    load: list[int]
    word: list[int]
    pause: list[bool]
    keeps: list[bool]
    release: list[int]
    mate: list[int]
    mate_within: list[int]
    tail: list[int]  # least minutes from the task's end to the end of its set
    set_of: list[int]
    # what goes before a task
    pre_from: list[int]
    pre_task: list[int]
    pre_least: list[int]
    pre_longest: list[int]
    pre_brought: list[bool]  # whether the way between two areas counts
    pre_next: list[bool]  # the item's own next step, not a part that is used
    # holds
    open_from: list[int]
    open_hold: list[int]
    close_from: list[int]
    close_hold: list[int]
    hold_pool: list[int]
    hold_need: list[int]
    hold_open: list[int]
    hold_close: list[int]  # -1: never
    hold_at_end: list[bool]
    hold_operation: list[int]
    # blocks
    block_of: list[int]
    block_from: list[int]
    block_task: list[int]
    place_in_block: list[int]
    block_set: list[int]
    block_waits: list[int]
    block_kind: list[int]  # blocks of the same steps are of one kind
    next_from: list[int]
    next_block: list[int]
    # sets and orders
    set_ids: list[str]
    set_order: list[int]
    order_ids: list[str]
    order_due: list[int]  # UTC seconds
    order_weight: list[float]
    # the edge
    operations: list[OperationFacts]
    task_operations: list[list[int]]
    operation_next: list[int]  # task of the item's next step, or of what uses it; -1: none
    words: list[str]
    # arrays for compiled code, made when they are first asked for; a changed problem begins without
    made: list[Any] = field(init=False, default_factory=list, repr=False, compare=False)

    @property
    def tasks(self) -> int:
        """Number of tasks."""
        return len(self.family)

    @property
    def blocks(self) -> int:
        """Number of blocks."""
        return len(self.block_set)


def rows(lists: list[list[int]]) -> tuple[list[int], list[int]]:
    """Lists laid end to end, and where each begins."""
    begins = [0]
    laid: list[int] = []
    for one in lists:
        laid.extend(one)
        begins.append(len(laid))
    return begins, laid
