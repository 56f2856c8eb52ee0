"""What no plan can beat: lower bounds of both objectives.

Each bound leaves something out, so each holds; the highest is reported.

1. The way: every set for itself, calendars, waits and mates counted (`earliest`).
2. A resource: all work that only one station or crew can do, with the time before (heads) and the
   way after it (tails), as a machine that may interrupt its jobs (`machine`, `resource`). Batches
   count by load, lines by pitch; units and people share the work. Working intervals count only as
   far as work that may not pause can fill them and the next step can still be reached in time.
3. Lateness: the k-th order to be done on a resource can't be done before the k-th end of 2.;
   the cheapest way to give orders such places bounds the weighted lateness (`assignment`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from typing import Final

from pairwright.base.time import MINUTE
from pairwright.plan.assignment import least_cost
from pairwright.plan.calendar import NEVER, WorkingTime
from pairwright.plan.earliest import Earliest, earliest, soonest
from pairwright.plan.machine import kth_ends
from pairwright.plan.problem import Problem
from pairwright.plan.resource import Resource, resources

MOST_ORDERS: Final = 120  # beyond, the assignment would take longer than it is worth
MOST_RESOURCES: Final = 4  # the fullest ones, for lateness
THRESHOLDS: Final = 10  # of tails tried for each resource


@dataclass(slots=True)
class Ways:
    """Least completion of a set when one of its tasks ends late, remembered by kind of set."""

    problem: Problem
    at_best: Earliest
    later: list[list[int]]
    first: list[int]  # first task of each set
    kind: list[tuple[object, ...]]  # sets of a kind have the same tasks, times and releases
    known: dict[tuple[object, ...], int] = field(default_factory=dict)

    def completion(self, task: int, end: int) -> int:
        """Least end of the task's set when the task ends no earlier than `end`. [min]"""
        number = self.problem.set_of[task]
        if end <= self.at_best.end[task]:
            return self.at_best.set_end[number]
        key = (self.kind[number], task - self.first[number], end)
        if key not in self.known:
            self.known[key] = self._pushed(task, end)
        return self.known[key]

    def _pushed(self, task: int, end: int) -> int:
        best = max(self.at_best.set_end[self.problem.set_of[task]], end)
        ends = list(self.at_best.end)
        ends[task] = end
        heap = list(self.later[task])
        heapify(heap)
        while heap:
            other = heappop(heap)
            while heap and heap[0] == other:
                heappop(heap)
            start, floor = self.at_best.start[other], self.at_best.end[other]
            _, moved = soonest(self.problem, ends, task=other, at=start, end_at=floor)
            if moved > ends[other]:
                ends[other] = moved
                best = max(best, moved)
                for following in self.later[other]:
                    heappush(heap, following)
        return best


def lower_bound(problem: Problem, *, objective: str, now: int) -> float:
    """The highest of the bounds of an objective. [s]"""
    if not problem.tasks:
        return 0.0
    at_best = earliest(problem)
    ways = _ways_of(problem, at_best)
    machines = list(resources(problem, at_best))
    if objective == "makespan":
        end = max(at_best.set_end)
        for machine in machines:
            end = max(end, _makespan(problem, ways, machine))
        return float(max(0, problem.shop.origin + MINUTE * end - now)) if end < NEVER else 0.0
    return _lateness(problem, ways, machines)


def _ways_of(problem: Problem, at_best: Earliest) -> Ways:
    later: list[list[int]] = [[] for _ in range(problem.tasks)]
    for task in range(problem.tasks):
        for row in range(problem.pre_from[task], problem.pre_from[task + 1]):
            later[problem.pre_task[row]].append(task)
    first = [0] * len(problem.set_ids)
    names: list[list[object]] = [[] for _ in problem.set_ids]
    for task in range(problem.tasks - 1, -1, -1):
        number = problem.set_of[task]
        first[number] = task
        facts = problem.operations[problem.task_operations[task][0]].facts
        names[number].append(
            (facts.product.option, facts.name, problem.release[task], len(problem.task_operations[task]))
        )
    return Ways(problem, at_best, later, first, [tuple(n) for n in names])


def _makespan(problem: Problem, ways: Ways, machine: Resource) -> int:
    """The best of the bounds of one resource over the least ways after it. [min]"""
    order = sorted(range(len(machine.tasks)), key=lambda n: -problem.tail[machine.tasks[n]])
    best = 0
    count = len(order)
    cuts = sorted({count * (n + 1) // THRESHOLDS for n in range(THRESHOLDS)} - {0})
    for cut in cuts:
        some = order[:cut]
        tasks = [machine.tasks[n] for n in some]
        end = _last_end(ways, machine, some)
        if end >= NEVER:
            continue
        best = max(best, min(ways.completion(task, end) for task in tasks))
    return best


def _last_end(ways: Ways, machine: Resource, some: list[int]) -> int:
    heads = [ways.at_best.start[machine.tasks[n]] for n in some]
    work = [machine.work[n] for n in some]
    changes = machine.changes if len(some) == len(machine.tasks) else 0.0
    end = kth_ends(machine.time, [*heads, min(heads)], work=[*work, changes])[-1]
    if machine.shrunk is not None:
        shrunk = kth_ends(machine.shrunk, heads, work=work)[-1]
        end = max(end, shrunk) if shrunk < NEVER else end
    return end


def _lateness(problem: Problem, ways: Ways, machines: list[Resource]) -> float:
    """Weighted lateness: by the way alone, and with places on each of the fullest resources. [s]"""
    orders = len(problem.order_ids)
    alone = [0] * orders
    for number, end in enumerate(ways.at_best.set_end):
        order = problem.set_order[number]
        alone[order] = max(alone[order], end)
    best = sum(_late(problem, order, alone[order]) for order in range(orders))
    if orders > MOST_ORDERS:
        return best
    ends = {id(m): _last_end(ways, m, list(range(len(m.tasks)))) for m in machines}
    fullest = sorted(machines, key=lambda m: (-min(NEVER, ends[id(m)]), m.name))[:MOST_RESOURCES]
    for machine in fullest:
        best = max(best, _placed(problem, ways, machine, alone))
    return best


def _late(problem: Problem, order: int, end: int) -> float:
    if end >= NEVER:
        return 0.0
    return problem.order_weight[order] * max(0, problem.shop.origin + MINUTE * end - problem.order_due[order])


def _placed(problem: Problem, ways: Ways, machine: Resource, alone: list[int]) -> float:
    """The cheapest way to give the orders places on a resource; orders without work there are added."""
    heads: dict[int, int] = {}
    work: dict[int, float] = {}
    tasks: dict[int, list[int]] = {}
    for task, minutes in zip(machine.tasks, machine.work, strict=True):
        order = problem.set_order[problem.set_of[task]]
        heads[order] = min(heads.get(order, NEVER), ways.at_best.start[task])
        work[order] = work.get(order, 0.0) + minutes
        tasks.setdefault(order, []).append(task)
    some = sorted(heads)
    ends = _places(machine, [heads[o] for o in some], [work[o] for o in some])
    sinks = {order: _last_ones(ways, tasks[order]) for order in some}
    cost: list[list[float]] = []
    for order in some:
        row: list[float] = []
        for end in ends:
            done = alone[order]
            if end < NEVER:
                done = max(done, min(ways.completion(task, end) for task in sinks[order]))
            row.append(_late(problem, order, done))
        cost.append(row)
    rest = sum(_late(problem, o, alone[o]) for o in range(len(alone)) if o not in heads)
    return least_cost(cost) + rest


def _places(machine: Resource, heads: list[int], work: list[float]) -> list[int]:
    found = kth_ends(machine.time, heads, work=work)
    if machine.shrunk is None:
        return found
    return [
        max(a, b) if b < NEVER else a
        for a, b in zip(found, _shrunk(machine.shrunk, heads, work), strict=True)
    ]


def _shrunk(time: WorkingTime, heads: list[int], work: list[float]) -> list[int]:
    return kth_ends(time, heads, work=work)


def _last_ones(ways: Ways, tasks: list[int]) -> list[int]:
    """Tasks of one set of each kind that no other task of the list must follow.

    Whichever task of an order is the last on a resource is one of these.
    """
    mine = set(tasks)
    found: list[int] = []
    kinds: set[tuple[object, ...]] = set()
    for task in tasks:
        number = ways.problem.set_of[task]
        key = (ways.kind[number], task - ways.first[number])
        if key in kinds or _leads_to(ways, task, mine):
            continue
        kinds.add(key)
        found.append(task)
    return found


def _leads_to(ways: Ways, task: int, others: set[int]) -> bool:
    """Whether one of the others follows a task, near or far."""
    heap = list(ways.later[task])
    seen: set[int] = set()
    while heap:
        other = heap.pop()
        if other in others:
            return True
        if other not in seen:
            seen.add(other)
            heap.extend(ways.later[other])
    return False
