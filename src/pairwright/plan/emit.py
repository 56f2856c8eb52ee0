"""From a decoded state back to ids and UTC seconds."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.base.time import MINUTE
from pairwright.plan.calendar import pieces, retreat
from pairwright.plan.problem import Problem
from pairwright.plan.schedule import Operation, OrderDates, Stay
from pairwright.plan.shop import SINGLE
from pairwright.plan.state import State


@dataclass(frozen=True, slots=True)
class Setups:
    """The setups that the finished plan needs: start by leading task, and minutes in all."""

    start: dict[int, int]
    minutes: int


def needed_setups(problem: Problem, state: State) -> Setups:
    """What must be changed over between true neighbours; an insertion may have made some needless."""
    shop = problem.shop
    by_unit: dict[int, list[tuple[int, int]]] = {}
    for task in range(problem.tasks):
        if state.unit[task] < 0 or problem.family[task] < 0:
            continue
        if shop.setup_of[problem.way_station[state.way[task]]] >= 0:
            by_unit.setdefault(state.unit[task], []).append((state.start[task], task))
    starts: dict[int, int] = {}
    total = 0
    for row in by_unit.values():
        before = -1
        batch = -1
        for start, task in sorted(row):
            if batch >= 0 and state.batch[task] == batch:
                continue
            batch = state.batch[task]
            way = state.way[task]
            matrix = shop.setup_times[shop.setup_of[problem.way_station[way]]]
            family = problem.family[task]
            minutes = 0 if family == before else matrix[before + 1][family]
            if minutes:
                total += minutes
                starts[task] = retreat(shop.times[problem.way_setup_time[way]], start, work=minutes)
            before = family
    return Setups(starts, total)


def operations_of(problem: Problem, state: State) -> tuple[Operation, ...]:
    """Every operation, by start, then id."""
    return tuple(sorted(numbered(problem, state).values(), key=lambda op: (op.start, op.id)))


def numbered(problem: Problem, state: State) -> dict[int, Operation]:
    """Every operation by its number."""
    setups = needed_setups(problem, state)
    stays = _stays(problem, state)
    batches = _batch_names(problem, state)
    made: dict[int, Operation] = {}
    for task in range(problem.tasks):
        for number in problem.task_operations[task]:
            setup = setups.start.get(task)
            made[number] = _operation(problem, state, task, number, setup, stays.get(number, ()), batches)
    return made


def _operation(
    problem: Problem, state: State, task: int, number: int, setup: int | None, stays: tuple[Stay, ...],
    batches: dict[int, str],
) -> Operation:  # fmt: skip
    facts = problem.operations[number]
    shop = problem.shop
    step = facts.facts.step
    way = state.way[task]
    station = problem.way_station[way]
    crew = problem.way_crew[way]
    start, end = state.start[task], state.end[task]
    worked: tuple[tuple[int, int], ...] = ()
    if station >= 0 and shop.manned[station] and end - start != _minutes(problem, state, task):
        found = pieces(shop.times[problem.way_time[way]], start, end=end)
        worked = tuple((_utc(problem, a), _utc(problem, b)) for a, b in found) if len(found) > 1 else ()
    following = problem.operation_next[number]
    held = state.start[following] if step.keeps_place and following >= 0 else None
    product = facts.facts.product
    return Operation(
        id=f"{facts.item}/{step.id}",
        order=problem.order_ids[problem.set_order[facts.set]],
        set=problem.set_ids[facts.set], item=facts.item, side=facts.side,
        product=product.id, option=product.option, part=facts.facts.part, step=step.id,
        index=facts.facts.index, rework=facts.rework,
        start=_utc(problem, start), end=_utc(problem, end),
        station=None if station < 0 else shop.station_ids[station],
        unit=None if station < 0 else state.unit[task] - shop.unit_from[station],
        pieces=worked,
        setup_start=None if setup is None else _utc(problem, setup),
        batch=batches.get(state.batch[task]) if state.batch[task] >= 0 else None,
        crew=None if crew < 0 or not problem.way_people[way] else shop.crew_ids[crew],
        carrier=None if facts.carrier < 0 else shop.pool_ids[facts.carrier],
        held_until=None if held is None else _utc(problem, held),
        buffer_stays=stays, uses=facts.uses,
        revision=None if product.effectivity is None else product.effectivity.revision,
    )  # fmt: skip


def _minutes(problem: Problem, state: State, task: int) -> int:
    batch = state.batch[task]
    return problem.way_minutes[state.way[task]] if batch < 0 else state.batch_minutes[batch]


def _utc(problem: Problem, minute: int) -> int:
    return problem.shop.origin + minute * MINUTE


def _stays(problem: Problem, state: State) -> dict[int, tuple[Stay, ...]]:
    """Stays by operation: from its end (without a station its start) to the start of the next one."""
    found: dict[int, list[Stay]] = {}
    task_of = {n: t for t, numbers in enumerate(problem.task_operations) for n in numbers}
    for hold, number in enumerate(problem.hold_operation):
        closer = problem.hold_close[hold]
        if closer < 0 or problem.hold_at_end[hold]:
            continue
        task = task_of[number]
        pure = problem.way_station[state.way[task]] < 0
        start = state.start[task] if pure else state.end[task]
        end = state.start[closer]
        if end > start:
            name = problem.shop.pool_ids[problem.hold_pool[hold]]
            found.setdefault(number, []).append(Stay(name, _utc(problem, start), _utc(problem, end)))
    return {number: tuple(some) for number, some in found.items()}


def _batch_names(problem: Problem, state: State) -> dict[int, str]:
    """Names of batches: station, place and the count there in order of time."""
    shop = problem.shop
    order = sorted(range(len(state.batch_start)), key=lambda b: (state.batch_station[b], state.batch_start[b],
                   state.batch_unit[b]))  # fmt: skip
    counted: dict[int, int] = {}
    names: dict[int, str] = {}
    for batch in order:
        station = state.batch_station[batch]
        if shop.kind[station] == SINGLE:
            continue
        counted[station] = counted.get(station, 0) + 1
        names[batch] = f"{shop.station_ids[station]}-{counted[station]}"
    return names


def order_dates(problem: Problem, completion: list[int]) -> tuple[OrderDates, ...]:
    """Due date, completion and lateness of each order."""
    return tuple(
        OrderDates(
            order, problem.order_due[n], _utc(problem, completion[n]),
            max(0, _utc(problem, completion[n]) - problem.order_due[n]),
        )
        for n, order in enumerate(problem.order_ids)
    )  # fmt: skip


@dataclass(frozen=True, slots=True, order=True)
class Score:
    """What a plan is worth, the most important first; lower is better. [s]"""

    first: float  # weighted lateness, or makespan
    flow: float
    setups: float


def completions(problem: Problem, state: State) -> list[int]:
    """Last end of each order. [min]"""
    done = [0] * len(problem.order_ids)
    for task in range(problem.tasks):
        order = problem.set_order[problem.set_of[task]]
        done[order] = max(done[order], state.end[task])
    return done


@dataclass(frozen=True, slots=True)
class Worth:
    """What a finished plan is valued by: last end of each order, flow time, setups. [min]"""

    done: list[int]
    flow: int
    setups: int


def worth_of(problem: Problem, state: State) -> Worth:
    """Ends, flow time and setups of a finished plan."""
    sets = len(problem.set_ids)
    first, last = [1 << 40] * sets, [0] * sets
    for task in range(problem.tasks):
        number = problem.set_of[task]
        first[number] = min(first[number], state.start[task])
        last[number] = max(last[number], state.end[task])
    flow = sum(b - a for a, b in zip(first, last, strict=True) if b > a)
    return Worth(completions(problem, state), flow, needed_setups(problem, state).minutes)


def score_from(problem: Problem, worth: Worth, *, objective: str, now: int) -> Score:
    """A plan's value for an objective."""
    if objective == "makespan":
        value = float(_utc(problem, max(worth.done, default=0)) - now) if problem.tasks else 0.0
    else:
        late = [max(0, _utc(problem, d) - due) for d, due in zip(worth.done, problem.order_due, strict=True)]
        value = sum(w * seconds for w, seconds in zip(problem.order_weight, late, strict=True))
    return Score(value, float(worth.flow * MINUTE), float(worth.setups * MINUTE))


def score_of(problem: Problem, state: State, *, objective: str, now: int) -> Score:
    """The plan's value for an objective."""
    return score_from(problem, worth_of(problem, state), objective=objective, now=now)
