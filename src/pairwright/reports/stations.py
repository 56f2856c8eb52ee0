"""How much of their time the stations work, week by week, and how full the waiting areas are."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from pairwright.base.time import local_date, local_midnight
from pairwright.base.words import Amount, text
from pairwright.reports.figures import (
    BufferLevels,
    BufferRow,
    LoadRow,
    State,
    StationLoad,
    WeekLoad,
    WeeklyLoad,
)
from pairwright.reports.names import station_name
from pairwright.reports.planned import Planned, Span, overlap, pieces_of, planned, union, working_time
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.plan import Forecast, Schedule

FULL = 0.85  # of the available time: above it queues grow steeply (common practice)


def load_state(share: float | None, *, bottleneck: bool) -> State:
    """Watch above `FULL` and for the bottleneck; fine otherwise."""
    return "watch" if bottleneck or (share is not None and share >= FULL) else "fine"


def occupied(plan: Planned, station: str) -> dict[int, tuple[list[Span], list[Span]]]:
    """Worked and set-up times of each place of a station, each a union. [s]"""
    found: dict[int, tuple[list[Span], list[Span]]] = {}
    for op in plan.stations.get(station, ()):
        worked, setups = found.setdefault(op.unit or 0, ([], []))
        worked.extend(pieces_of(op))
        if op.setup_start is not None and op.setup_start < op.start:
            setups.append((op.setup_start, op.start))
    return {unit: (union(a), union(b)) for unit, (a, b) in found.items()}


def available(plan: Planned, station: str, *, begin: int, end: int) -> float:
    """Time of all places in a window: working time, or all of it where nobody need be there. [s]"""
    place = plan.works.factory.stations[station]
    if not place.manned:
        return float((end - begin) * place.places)
    open_ = working_time(plan.works, station, begin=begin, end=end)
    return float(sum(b - a for a, b in open_) * place.places)


def used(plan: Planned, station: str, *, begin: int, end: int) -> tuple[float, float]:
    """Time worked and time set up in a window, over all places. [s]"""
    place = plan.works.factory.stations[station]
    open_ = working_time(plan.works, station, begin=begin, end=end) if place.manned else [(begin, end)]
    worked = setup = 0
    for spans, setups in occupied(plan, station).values():
        worked += sum(
            overlap(open_, max(a, begin), end=min(b, end)) for a, b in spans if a < end and b > begin
        )
        setup += sum(
            overlap(open_, max(a, begin), end=min(b, end)) for a, b in setups if a < end and b > begin
        )
    return float(worked), float(setup)


def station_use(works: Works, schedule: Schedule, *, first: int, last: int) -> dict[str, float]:
    """Share of each station's time that a plan uses in a window, setups included. [-]"""
    plan = planned(works, schedule)
    shares: dict[str, float] = {}
    for station in works.factory.stations:
        room = available(plan, station, begin=first, end=last)
        shares[station] = sum(used(plan, station, begin=first, end=last)) / room if room > 0 else 0.0
    return shares


def station_load(plan: Planned, forecast: Forecast | None) -> StationLoad:
    """Every station that does something, the fullest first."""
    foreseen = {s.station: s for s in forecast.stations} if forecast is not None else {}
    begin, end = plan.now, plan.end
    rows: list[LoadRow] = []
    for station in plan.works.factory.stations:
        if station not in plan.stations:
            continue
        room = available(plan, station, begin=begin, end=end)
        share = sum(used(plan, station, begin=begin, end=end)) / room if room > 0 else None
        future = foreseen.get(station)
        ahead = float(future.utilisation) if future is not None else None
        rows.append(
            LoadRow(
                station, station_name(plan.works, station), share, ahead,
                float(future.blocked) if future is not None else None,
                float(future.starved) if future is not None else None,
                load_state(max(share or 0.0, ahead or 0.0),
                           bottleneck=forecast is not None and forecast.bottleneck == station),
            )
        )  # fmt: skip
    rows.sort(key=lambda r: (-max(r.forecast or 0.0, r.planned or 0.0), r.station))
    narrow = bottleneck_of(rows, forecast)
    if narrow is None:
        return StationLoad(tuple(rows), text("No station is used."))
    sentence = text(
        "{station} is the bottleneck: {planned} of its time is planned.",
        station=narrow.word, planned=Amount(narrow.planned or 0.0, "share", 2),
    )  # fmt: skip
    return StationLoad(tuple(rows), sentence)


def bottleneck_of(rows: list[LoadRow] | tuple[LoadRow, ...], forecast: Forecast | None) -> LoadRow | None:
    """The station that the forecast names, else the fullest."""
    named = forecast.bottleneck if forecast is not None else None
    return next((r for r in rows if r.station == named), rows[0] if rows else None)


def weekly_load(plan: Planned, station: str) -> WeeklyLoad:
    """A station's weeks from the plan's beginning to its end, Monday to Monday."""
    zone = plan.works.zone
    first = local_date(plan.now, zone)
    monday = first - timedelta(days=first.weekday())
    weeks: list[WeekLoad] = []
    start = local_midnight(monday, zone)
    while start < plan.end:
        monday += timedelta(days=7)
        after = local_midnight(monday, zone)
        begin = max(start, plan.now)
        room = available(plan, station, begin=begin, end=after)
        worked, setup = used(plan, station, begin=begin, end=after)
        weeks.append(WeekLoad(start, worked / room if room else 0.0, setup / room if room else 0.0, room))
        start = after
    fullest = max(weeks, key=lambda w: (w.worked + w.setup, -w.start), default=None)
    name = station_name(plan.works, station)
    if fullest is None:
        return WeeklyLoad(station, name, (), text("{station} is not used.", station=name))
    return WeeklyLoad(
        station, name, tuple(weeks),
        text("{station} is fullest in the week of {day}: {share} of its time.", station=name,
             day=Amount(fullest.start, "date"), share=Amount(fullest.worked + fullest.setup, "share", 2)),
    )  # fmt: skip


def full_until(load: WeeklyLoad) -> WeekLoad | None:
    """The last week above `FULL`, else the fullest week."""
    full = [w for w in load.weeks if w.worked + w.setup >= FULL]
    if full:
        return full[-1]
    return max(load.weeks, key=lambda w: w.worked + w.setup, default=None)


def buffer_levels(plan: Planned, forecast: Forecast | None) -> BufferLevels:
    """Places taken in every waiting area as the plan goes, the fullest first."""
    foreseen = {b.buffer: b for b in forecast.buffers} if forecast is not None else {}
    changes: dict[str, dict[int, float]] = {name: {} for name in plan.works.factory.buffers}
    for op in plan.schedule.operations:
        variant = plan.works.variants.get((op.product, op.option))
        size = (
            float(variant.parts[op.part].places) if variant is not None and op.part in variant.parts else 1.0
        )
        for stay in op.buffer_stays:
            level = changes.setdefault(stay.buffer, {})
            level[stay.start] = level.get(stay.start, 0.0) + size
            level[stay.end] = level.get(stay.end, 0.0) - size
    rows = [
        _buffer_row(plan, name, level, foreseen.get(name)) for name, level in changes.items()
        if name in plan.works.factory.buffers
    ]  # fmt: skip
    rows.sort(key=lambda r: (-r.most / r.places, r.buffer))
    if not rows:
        return BufferLevels((), plan.now, plan.end, text("The works has no waiting areas."))
    top = rows[0]
    sentence = text(
        "{buffer} is the fullest waiting area: at most {most} of {places} places are taken.",
        buffer=top.word, most=round(top.most), places=top.places,
    )  # fmt: skip
    return BufferLevels(tuple(rows), plan.now, plan.end, sentence)


def _buffer_row(plan: Planned, name: str, level: dict[int, float], future: object) -> BufferRow:
    place = plan.works.factory.buffers[name]
    count, levels = 0.0, [(plan.now, 0.0)]
    for moment in sorted(level):
        count += level[moment]
        levels.append((moment, count))
    most = max(v for _, v in levels)
    p95 = getattr(future, "p95", None)
    near = max(most, float(p95) if p95 is not None else 0.0)
    state: State = "broken" if most > place.places else "watch" if near >= 0.9 * place.places else "fine"
    mean = getattr(future, "mean", None)
    return BufferRow(
        name, place.name, place.places, tuple(levels), most,
        float(mean) if mean is not None else None, float(p95) if p95 is not None else None, state,
    )  # fmt: skip
