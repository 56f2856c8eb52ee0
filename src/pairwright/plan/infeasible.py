"""What makes a set impossible: facts of which leaving out any one makes it possible.

A set is tried by itself in an empty works, over a horizon that holds every exception and then
some weeks more; calendars repeat, so what does not fit there never fits. It is proven where every
combination of ways was tried, or where more must be held at once than there is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from pairwright.base.time import DAY, MINUTE, WEEK, local_date
from pairwright.base.words import Amount, Text, text
from pairwright.plan.build import build_problem
from pairwright.plan.decode import WHOLE, Decoded, Rules, decode
from pairwright.plan.explain import who_waits
from pairwright.plan.place import MOST_CHOICES, choices
from pairwright.plan.problem import Problem
from pairwright.plan.shop import Relaxed, build_shop
from pairwright.works.definition import Works
from pairwright.works.orders import Book, Order
from pairwright.works.product import Step
from pairwright.works.steptime import StepTime

Fact: TypeAlias = tuple[str, str]
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


@dataclass(frozen=True, slots=True)
class Impossible:
    """A set that can't be made, and why.

    With `alone`, leaving out any one of the facts is enough; else only all of them together are.
    """

    product: str
    option: str
    proven: bool
    alone: bool
    facts: tuple[Fact, ...]
    locked: tuple[Text, ...]


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
    if decoded.no_room >= 0:
        proven = choices(problem, block=decoded.no_room) <= MOST_CHOICES
    else:
        proven = held_at_once(problem)
    return Verdict(False, proven, problem, decoded)


def _problem(
    works: Works, order: Order, times: Sequence[StepTime], now: int, facts: frozenset[Fact]
) -> Problem:
    shop = build_shop(works, now, horizon=_horizon(works, times, now), relaxed=Relaxed(facts))
    return build_problem(shop, Book(orders=(order,)), times=times)


def _horizon(works: Works, times: Sequence[StepTime], now: int) -> int:
    """Minutes until every dated exception is over, the longest steps are done, and some weeks more."""
    today = local_date(now, works.zone)
    days = [
        (e.until or e.date, 0.0) for c in works.factory.calendars.values() for e in c.exceptions
    ] + [(s.start.date(), s.length) for st in works.factory.stations.values() for s in st.maintenance]
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


def step_facts(problem: Problem, number: int) -> Iterator[Fact]:
    """What the works says that bears on one operation."""
    facts = problem.operations[number].facts
    step, factory = facts.step, problem.shop.works.factory
    if step.next_max is not None:
        yield "next_max", facts.name
    if step.next_min > 0:
        yield "next_min", facts.name
    if step.keeps_place:
        yield "keeps_place", facts.name
    if step.mates == "same batch":
        yield "same_batch", facts.name
    if step.mates_within is not None or facts.within >= 0:
        yield "mates_within", facts.name
    for alternative in step.stations:
        station = factory.stations[alternative.station]
        if station.manned and not step.pause:
            yield "pause", facts.name
        yield "places", alternative.station
        if station.kind not in ("single", "parallel"):
            yield "capacity", alternative.station
        if station.kind == "line" and station.pitch > 0:
            yield "pitch", alternative.station
        if station.maintenance:
            yield "maintenance", alternative.station
        if station.setup is not None and step.setup is not None:
            yield "setup", alternative.station
        if not factory.calendars[station.calendar].always:
            yield "calendar", station.calendar
        crew = step.crew or station.crew
        if crew is not None and station.manned:
            yield "people", crew
            if not factory.calendars[factory.crews[crew].calendar].always:
                yield "calendar", factory.crews[crew].calendar
            if step.skill is not None and step.skill not in factory.crews[crew].skills:
                yield "skill", step.skill
    if any(s.time(a, b) for s in [factory.transport] for a in _areas(problem) for b in _areas(problem)):
        yield "transport", ""


def _areas(problem: Problem) -> list[str]:
    return list(problem.shop.area_index)


def reasons_of(works: Works, found: Sequence[Impossible]) -> tuple[Text, ...]:
    """The reasons in words. Facts that help every product come first, as any one of them is enough."""
    every = [fact for fact in found[0].facts if all(one.alone and fact in one.facts for one in found)]
    if every:
        return tuple(fact_text(works, fact) for fact in every)
    said: list[Text] = []
    for one in found:
        for fact in one.facts:
            said.append(
                text("{product} in {option}: {fact}", product=one.product, option=one.option,
                     fact=fact_text(works, fact))
            )  # fmt: skip
        if not one.facts:
            said.append(text("{product} in {option} can't be made", product=one.product, option=one.option))
        said.extend(one.locked)
    return tuple(said)


def fact_text(works: Works, fact: Fact) -> Text:
    """A fact in words."""
    kind, subject = fact
    factory = works.factory
    step = _step_named(works, subject)
    match kind:
        case "next_max" if step is not None and step.next_max is not None:
            return text("{step}: the next step begins at most {time} after it", step=subject,
                        time=Amount(step.next_max, "duration"))  # fmt: skip
        case "next_min" if step is not None:
            return text("{step}: the next step begins at least {time} after it", step=subject,
                        time=Amount(step.next_min, "duration"))  # fmt: skip
        case "pause":
            return text("{step}: it may not pause over a break", step=subject)
        case "keeps_place":
            return text("{step}: it keeps its place until the next step", step=subject)
        case "places":
            return text("station {name}: its {n} places", name=subject, n=factory.stations[subject].places)
        case "same_batch":
            return text("{step}: the halves share a batch", step=subject)
        case "mates_within":
            return text("{step}: the halves stay close in time", step=subject)
        case "calendar":
            return text("calendar {name}: its hours", name=subject)
        case "maintenance":
            return text("station {name}: its planned maintenance", name=subject)
        case "capacity":
            return text("station {name}: its capacity of {n}", name=subject, n=factory.stations[subject].capacity)
        case "pitch":
            return text("station {name}: its pitch of {time}", name=subject,
                        time=Amount(factory.stations[subject].pitch, "duration"))  # fmt: skip
        case "setup":
            return text("station {name}: its setups", name=subject)
        case "people":
            return text("crew {name}: its {n} people", name=subject, n=factory.crews[subject].people)
        case "skill":
            return text("skill {name}: the crew has not got it", name=subject)
        case "buffer":
            return text("buffer {name}: its {n} places", name=subject, n=factory.buffers[subject].places)
        case "carrier":
            return text("carrier {name}: there are {n}", name=subject, n=factory.carriers[subject].count)
        case _:
            return text("the transport times between areas")


def _step_named(works: Works, name: str) -> Step | None:
    for product in works.variants.values():
        for part, record in product.parts.items():
            for step in record.steps:
                if f"{product.id}.{part}.{step.id}" == name:
                    return step
    return None
