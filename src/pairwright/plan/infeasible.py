"""What makes a set impossible: facts of which leaving out any one makes it possible.

A set is tried by itself in an empty works, over a horizon that holds every exception and then
some weeks more; calendars repeat, so what does not fit there never fits. It is proven where every
combination of ways was tried, or where more must be held at once than there is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from pairwright.base.time import DAY, MINUTE, WEEK, local_date
from pairwright.plan.build import build_problem
from pairwright.plan.decode import WHOLE, Decoded, Rules, decode
from pairwright.plan.explain import who_waits
from pairwright.plan.place import MOST_CHOICES, choices
from pairwright.plan.problem import Problem
from pairwright.plan.reasons import Fact, Impossible, step_facts
from pairwright.plan.shop import Relaxed, build_shop
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order
from pairwright.works.steptime import StepTime

WEEKS: Final = 12  # beyond the last exception
MOST_DAYS: Final = 20 * 366
SERIAL: Final = Rules(window=WHOLE, in_process=1)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one set by itself."""

    possible: bool
    proven: bool
    problem: Problem
    decoded: Decoded


def impossible_sets(
    works: Works, book: Book, *, times: Sequence[StepTime], now: int
) -> tuple[Impossible, ...]:
    """Every product and option of the book of which a set by itself can't be made."""
    seen: set[tuple[str, str]] = set()
    found: list[Impossible] = []
    for order in sorted(book.orders, key=lambda o: (o.due, o.id)):
        if (order.product, order.option) in seen or order.quantity < 1:
            continue
        seen.add((order.product, order.option))
        one = replace(order, quantity=1, released=None)
        verdict = judge(works, one, times=times, now=now)
        if not verdict.possible:
            found.append(_explained(works, one, times, now, verdict))
    return tuple(found)


def judge(
    works: Works, order: Order, *, times: Sequence[StepTime], now: int, facts: frozenset[Fact] = frozenset()
) -> Verdict:
    """Whether the sets of an order can be made when nothing else is in the works."""
    problem = _problem(works, order, times, now, facts)
    rank = list(range(len(problem.set_ids)))
    decoded = decode(problem, rank, rules=SERIAL)
    if decoded.complete:
        return Verdict(True, True, problem, decoded)
    tried_all = decoded.no_room >= 0 and choices(problem, block=decoded.no_room) <= MOST_CHOICES
    return Verdict(False, tried_all or held_at_once(problem), problem, decoded)


def _problem(
    works: Works, order: Order, times: Sequence[StepTime], now: int, facts: frozenset[Fact]
) -> Problem:
    shop = build_shop(works, now, horizon=_horizon(works, times, now), relaxed=Relaxed(facts))
    return build_problem(shop, Book(orders=(order,)), times=times)


def _horizon(works: Works, times: Sequence[StepTime], now: int) -> int:
    """Minutes until every dated exception is over, the longest steps are done, and some weeks more."""
    today = local_date(now, works.zone)
    days = [(e.until or e.date, 0.0) for c in works.factory.calendars.values() for e in c.exceptions] + [
        (s.start.date(), s.length) for st in works.factory.stations.values() for s in st.maintenance
    ]
    ahead = min(MOST_DAYS, max([0, *((d - today).days + int(length // DAY) + 1 for d, length in days)]))
    longest = sum(sorted((t.likely for t in times), reverse=True)[:20])
    return int(ahead * DAY + WEEKS * WEEK + 4 * longest) // MINUTE


def held_at_once(problem: Problem) -> bool:
    """Whether at some step more places of a pool must be held than there are, whatever the order."""
    before = [_before(problem, task) for task in range(problem.tasks)]
    for task in range(problem.tasks):
        held: dict[int, int] = {}
        for hold, opener in enumerate(problem.hold_open):
            closer = problem.hold_close[hold]
            if closer >= 0 and opener in before[task] and (closer == task or task in before[closer]):
                pool = problem.hold_pool[hold]
                held[pool] = held.get(pool, 0) + problem.hold_need[hold]
        if any(need > problem.shop.places[pool] for pool, need in held.items()):
            return True
    return any(
        need > problem.shop.places[pool]
        for need, pool in zip(problem.hold_need, problem.hold_pool, strict=True)
    )


def _before(problem: Problem, task: int) -> set[int]:
    found: set[int] = set()
    heap = [task]
    while heap:
        at = heap.pop()
        for row in range(problem.pre_from[at], problem.pre_from[at + 1]):
            other = problem.pre_task[row]
            if other not in found:
                found.add(other)
                heap.append(other)
    return found


def _explained(
    works: Works, order: Order, times: Sequence[StepTime], now: int, verdict: Verdict
) -> Impossible:
    def judged(facts: Iterable[Fact]) -> Verdict:
        return judge(works, order, times=times, now=now, facts=frozenset(facts))

    locked = who_waits(verdict.problem, verdict.decoded)
    candidates = _candidates(judged, verdict)
    enough = tuple(fact for fact in candidates if judged([fact]).possible)
    if enough:
        return Impossible(order.product, order.option, verdict.proven, True, enough, locked)
    together = list(candidates)
    if not judged(together).possible:
        return Impossible(order.product, order.option, verdict.proven, False, (), locked)
    for fact in candidates:
        rest = [other for other in together if other != fact]
        if judged(rest).possible:
            together = rest
    return Impossible(order.product, order.option, verdict.proven, False, tuple(together), locked)


def _candidates(judged: Callable[[Iterable[Fact]], Verdict], verdict: Verdict) -> tuple[Fact, ...]:
    """Facts that bear on what fails, and on what fails next when all of those are left out."""
    found: dict[Fact, None] = {}
    while not verdict.possible:
        more = [fact for fact in involved(verdict.problem, verdict.decoded) if fact not in found]
        if not more:
            break
        found.update(dict.fromkeys(more))
        verdict = judged(found)
    return tuple(found)


def involved(problem: Problem, decoded: Decoded) -> tuple[Fact, ...]:
    """Facts that bear on what could not be placed: of its steps, stations, crews, calendars, pools."""
    if decoded.no_room >= 0:
        first, beyond = problem.block_from[decoded.no_room], problem.block_from[decoded.no_room + 1]
        tasks = problem.block_task[first:beyond]
    else:
        tasks = [t for t in range(problem.tasks) if decoded.state.start[t] < 0]
    found: dict[Fact, None] = {}
    for task in tasks:
        for number in problem.task_operations[task]:
            found.update(dict.fromkeys(step_facts(problem, number)))
    pools = {problem.hold_pool[h] for h in range(len(problem.hold_pool))
             if problem.hold_open[h] in tasks or problem.hold_close[h] in tasks}  # fmt: skip
    kinds = {number: key for key, number in problem.shop.pool_index.items()}
    found.update(dict.fromkeys(kinds[pool] for pool in sorted(pools)))
    return tuple(found)
