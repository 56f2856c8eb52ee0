"""What a plan is worth under scatter, breakdown, scrap and rework: many futures, one decoder.

Each run draws durations and fates and makes the plan anew with the same priorities, rules and
held-back starts: what the works would do that follows them. Chunks of runs don't depend on each
other, so any number of processes gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.time import MINUTE, WEEK, iso
from pairwright.plan.build import build_problem
from pairwright.plan.chance import Drawn
from pairwright.plan.compiled import expect
from pairwright.plan.confidence import quantile_interval, ratio_interval, share_interval
from pairwright.plan.decode import Decoded, Rules
from pairwright.plan.emit import completions
from pairwright.plan.facts import FactTable
from pairwright.plan.futures import Future, Futures, Told
from pairwright.plan.problem import Problem
from pairwright.plan.ready import held
from pairwright.plan.schedule import Schedule
from pairwright.plan.shop import Relaxed, Shop, build_shop
from pairwright.plan.tools import with_changes
from pairwright.plan.trial import Candidate, unlocked
from pairwright.plan.usage import usage
from pairwright.works.definition import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime

TOGETHER: Final = 50  # runs between two words of progress
STRETCH: Final = 3  # horizons are so much longer than the plan


@dataclass(frozen=True, slots=True)
class OrderForecast:
    """Completions of an order: a tenth, half and nine tenths of the futures are done by then; UTC."""

    order: str
    p10: int
    p50: int
    p90: int
    on_time: float
    p50_interval: tuple[int | None, int | None] = (None, None)  # 95 %, for the runs are not all futures
    p90_interval: tuple[int | None, int | None] = (None, None)
    on_time_interval: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class StationForecast:
    """Shares of a station's time: worked, kept by what can't go on, without work. [-]"""

    station: str
    utilisation: float
    blocked: float
    starved: float
    utilisation_interval: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class BufferForecast:
    """Places taken over time: mean, not exceeded 95 % of the time, most. [-]"""

    buffer: str
    mean: float
    p95: int
    max: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the futures have in common. `strained` counts those in which a longest wait broke."""

    runs: int
    seed: int
    orders: tuple[OrderForecast, ...]
    stations: tuple[StationForecast, ...]
    buffers: tuple[BufferForecast, ...]
    bottleneck: str
    throughput_per_week: float
    strained: int = 0


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some runs: completions (UTC seconds) by run and order, and sums over the runs."""

    first: int
    last: int
    completions: tuple[tuple[int, ...], ...]
    ends: tuple[int, ...]
    available: tuple[float, ...]
    busy: tuple[float, ...]
    blocked: tuple[float, ...]
    levels: tuple[tuple[tuple[int, int], ...], ...]
    strained: int
    used: tuple[tuple[tuple[float, float], ...], ...] = ()  # by run and station: worked, there [min]


def forecast_chunk(
    works: Works,
    book: Book,
    *,
    times: Sequence[StepTime],
    schedule: Schedule,
    seed: int,
    first: int,
    last: int,
    should_stop: Callable[[], bool] | None = None,
    compiled: bool | None = None,
) -> Chunk:
    """The futures number `first` up to, not including, `last`.

    With compiled code where that is quicker, or as `compiled` says: the numbers are the same.
    """
    works = with_changes(works, schedule.tool_changes)
    horizon = STRETCH * max(8 * WEEK // MINUTE, (schedule.makespan_end - schedule.now) // MINUTE)
    shop = build_shop(works, schedule.now, horizon=horizon)
    table = FactTable(shop, times)
    rows: list[tuple[int, ...]] = []
    ends: list[int] = []
    sums = [[0.0] * len(shop.station_ids) for _ in range(3)]
    levels: list[dict[int, int]] = [{} for _ in shop.places]
    keys: dict[str, int] = {}
    strained = 0
    shares: list[tuple[tuple[float, float], ...]] = []
    futures = loose = None
    if compiled is not False and (compiled or expect((last - first) * len(schedule.operations))):
        futures = Futures(works, book, shop, table, seed=seed)
    told = told_by(schedule, shop)
    for number in range(first, last):
        if should_stop is not None and should_stop():
            break
        future = None if futures is None else futures.run(number, told)
        if futures is not None and future is None:
            if loose is None:
                wide = _loose_shop(works, schedule, shop)
                loose = Futures(works, book, wide, FactTable(wide, times), seed=seed)
            future = loose.run(number, told)
            strained += future is not None
        if future is None:
            chance = Drawn(shop, seed=seed, run=number, keys=keys)
            problem = build_problem(shop, book, times=times, chance=chance, table=table)
            decoded = follow(problem, schedule)
            if not decoded.complete:
                strained += 1
                problem, decoded = _strained(works, book, times, schedule, chance, shop)
            done = completions(problem, decoded.state)
            future = Future(done, usage(problem, decoded.state, end=max(done, default=0)))
        done, used = future.done, future.usage
        rows.append(tuple(shop.origin + MINUTE * d for d in done))
        ends.append(shop.origin + MINUTE * max(done, default=0))
        shares.append(tuple(zip(used.busy, used.available, strict=True)))
        for total, some in zip(sums, (used.available, used.busy, used.blocked), strict=True):
            for n, value in enumerate(some):
                total[n] += value
        for pool, found in zip(levels, used.levels, strict=True):
            for level, minutes in found.items():
                pool[level] = pool.get(level, 0) + minutes
    return Chunk(
        first, last, tuple(rows), tuple(ends), tuple(sums[0]), tuple(sums[1]), tuple(sums[2]),
        tuple(tuple(sorted(pool.items())) for pool in levels), strained, tuple(shares),
    )  # fmt: skip


def follow(problem: Problem, schedule: Schedule) -> Decoded:
    """Place everything by a plan's priorities, rules, held-back starts and arrivals of material."""
    return unlocked(held(problem, schedule.ready), candidate_of(problem, schedule))[1]


def told_by(schedule: Schedule, shop: Shop) -> Told:
    """What a plan tells the floor, in minutes of a shop."""
    ready = {name: -(-(at - shop.origin) // MINUTE) for name, at in schedule.ready.items()}
    back = {item: (at - shop.origin) // MINUTE for item, at in schedule.release}
    return Told(rules_of(schedule), dict(schedule.rank), ready, back)


def rules_of(schedule: Schedule) -> Rules:
    """The rules by which a plan was made."""
    told = dict(schedule.recipe)
    return Rules(
        window=told.get("window", Rules().window), fill=told.get("fill", 0),
        in_process=told.get("in_process", 0), defer=bool(told.get("defer", 0)),
        group=told.get("group", -1),
    )  # fmt: skip


def candidate_of(problem: Problem, schedule: Schedule) -> Candidate:
    """What the decoder was told when the plan was made, for these arrays."""
    ranks = dict(schedule.rank)
    rank = tuple(ranks.get(name, len(ranks) + n) for n, name in enumerate(problem.set_ids))
    back = dict(schedule.release)
    release: list[tuple[int, int]] = []
    if back:
        for task, numbers in enumerate(problem.task_operations):
            operation = problem.operations[numbers[0]]
            if operation.facts.index == 0 and operation.item in back:
                release.append((task, (back[operation.item] - problem.shop.origin) // MINUTE))
    return Candidate(rank, rules_of(schedule), tuple(release))


def _strained(
    works: Works, book: Book, times: Sequence[StepTime], schedule: Schedule, chance: Drawn, shop: Shop
) -> tuple[Problem, Decoded]:
    """A future in which a longest wait can't hold: it is let go, as the floor would have to."""
    loose = _loose_shop(works, schedule, shop)
    problem = build_problem(loose, book, times=times, chance=chance)
    return problem, follow(problem, schedule)


def _loose_shop(works: Works, schedule: Schedule, shop: Shop) -> Shop:
    """The shop without longest waits and distances of mates."""
    facts: set[tuple[str, str]] = set()
    for product in works.variants.values():
        for part, record in product.parts.items():
            for step in record.steps:
                name = f"{product.id}.{part}.{step.id}"
                facts |= {("next_max", name), ("mates_within", name)}
    return build_shop(works, schedule.now, horizon=shop.horizon * STRETCH, relaxed=Relaxed(frozenset(facts)))


def merge_forecast(
    works: Works, book: Book, *, schedule: Schedule, chunks: Sequence[Chunk], runs: int, seed: int
) -> Forecast:
    """One forecast from chunks that together hold the runs."""
    chunks = sorted(chunks, key=lambda c: c.first)
    rows = [row for chunk in chunks for row in chunk.completions]
    ends = [end for chunk in chunks for end in chunk.ends]
    due = {o.order: o.due for o in schedule.orders}
    orders = tuple(
        _order(order.id, sorted(row[n] for row in rows), due.get(order.id, schedule.now))
        for n, order in enumerate(book.orders)
    )
    stations = _stations(works, chunks)
    sets = sum(order.quantity for order in book.orders)
    weeks = sum(max(MINUTE, end - schedule.now) for end in ends) / WEEK
    busiest = max(stations, key=lambda s: s.utilisation, default=None)
    return Forecast(
        runs=runs, seed=seed, orders=orders, stations=stations, buffers=_buffers(works, chunks),
        bottleneck=busiest.station if busiest is not None and busiest.utilisation > 0 else "",
        throughput_per_week=sets * len(rows) / weeks if weeks else 0.0,
        strained=sum(chunk.strained for chunk in chunks),
    )  # fmt: skip


def forecast_runs(
    works: Works,
    book: Book,
    *,
    times: Sequence[StepTime],
    schedule: Schedule,
    runs: int,
    seed: int,
    progress: Callable[[int, int], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Forecast:
    """All runs one after the other in this process."""
    chunks: list[Chunk] = []
    expect(runs * len(schedule.operations))
    for n in range(0, runs, TOGETHER):
        if should_stop is not None and should_stop():
            break
        last = min(runs, n + TOGETHER)
        chunks.append(
            forecast_chunk(works, book, times=times, schedule=schedule, seed=seed, first=n, last=last,
                           should_stop=should_stop)
        )  # fmt: skip
        if progress is not None:
            progress(last, runs)
    done = sum(len(chunk.completions) for chunk in chunks)
    return merge_forecast(works, book, schedule=schedule, chunks=chunks, runs=done, seed=seed)


def _order(order: str, completions: list[int], due: int) -> OrderForecast:
    if not completions:
        return OrderForecast(order, due, due, due, 0.0)
    met = sum(done <= due for done in completions)
    p10, p50, p90 = (nearest_rank(completions, share) for share in (0.1, 0.5, 0.9))
    return OrderForecast(
        order, p10, p50, p90, met / len(completions), quantile_interval(completions, 0.5),
        quantile_interval(completions, 0.9), share_interval(met, len(completions)),
    )  # fmt: skip


def nearest_rank(values: Sequence[int], share: float) -> int:
    """The smallest of the sorted values that at least a share of them does not exceed."""
    return values[max(0, -int(-share * len(values) // 1) - 1)]


def _stations(works: Works, chunks: Sequence[Chunk]) -> tuple[StationForecast, ...]:
    found: list[StationForecast] = []
    for n, station in enumerate(works.factory.stations):
        available = sum(chunk.available[n] for chunk in chunks)
        busy = sum(chunk.busy[n] for chunk in chunks)
        blocked = sum(chunk.blocked[n] for chunk in chunks)
        if available <= 0:
            found.append(StationForecast(station, 0.0, 0.0, 0.0))
            continue
        worked, kept = busy / available, blocked / available
        runs = [run[n] for chunk in chunks for run in chunk.used]
        interval = ratio_interval([part for part, _ in runs], [whole for _, whole in runs])
        found.append(StationForecast(station, worked, kept, max(0.0, 1.0 - worked - kept), interval))
    return tuple(found)


def _buffers(works: Works, chunks: Sequence[Chunk]) -> tuple[BufferForecast, ...]:
    found: list[BufferForecast] = []
    for n, buffer in enumerate(works.factory.buffers):
        levels: dict[int, int] = {}
        for chunk in chunks:
            for level, minutes in chunk.levels[n]:
                levels[level] = levels.get(level, 0) + minutes
        total = sum(levels.values())
        mean = sum(level * minutes for level, minutes in levels.items()) / total if total else 0.0
        passed, p95 = 0, 0
        for level, minutes in sorted(levels.items()):
            p95 = level
            passed += minutes
            if passed >= 0.95 * total:
                break
        found.append(BufferForecast(buffer, mean, p95, max(levels, default=0)))
    return tuple(found)


def forecast_document(forecast: Forecast, works: Works) -> dict[str, Any]:
    """The public form of a forecast: times in the works' zone."""
    zone = works.zone
    return {
        "runs": forecast.runs,
        "seed": forecast.seed,
        "orders": [
            {"order": o.order, "p10": iso(o.p10, zone), "p50": iso(o.p50, zone), "p90": iso(o.p90, zone),
             "on_time": o.on_time,
             "p50_interval": [None if at is None else iso(at, zone) for at in o.p50_interval],
             "p90_interval": [None if at is None else iso(at, zone) for at in o.p90_interval],
             "on_time_interval": o.on_time_interval}
            for o in forecast.orders
        ],
        "stations": [
            {"station": s.station, "utilisation": s.utilisation, "blocked": s.blocked, "starved": s.starved,
             "utilisation_interval": s.utilisation_interval}
            for s in forecast.stations
        ],
        "buffers": [
            {"buffer": b.buffer, "mean": b.mean, "p95": b.p95, "max": b.max} for b in forecast.buffers
        ],
        "bottleneck": forecast.bottleneck or None,
        "throughput_per_week": forecast.throughput_per_week,
        "strained": forecast.strained,
    }  # fmt: skip
