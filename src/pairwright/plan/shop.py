"""The factory as flat arrays: stations, units, crews, pools, areas, setups, working times.

A *pool* is what items hold over several steps: a buffer's places or the carriers of a kind.
Ids live only in the tables at the edge; kernels see indices. Minutes count from `origin`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final
from zoneinfo import ZoneInfo

from pairwright.base.time import MINUTE
from pairwright.plan.away import Away, away_of
from pairwright.plan.calendar import Interval, WorkingTime, common, edge, expand, flat, stops_of, without
from pairwright.works.definition import Works
from pairwright.works.factory import Setup

SINGLE: Final = 0  # one item per place
BATCH: Final = 1  # several items share a start and an end
LINE: Final = 2  # entries a pitch apart, nobody overtakes
MANY: Final = 20  # more places than one set needs, where their number is left out
LOAD_SCALE: Final = 1_000_000_000  # loads and capacities as whole numbers


def minutes_up(seconds: float) -> int:
    """Seconds as whole minutes, rounded up."""
    return -int(-round(seconds, 6) // MINUTE)


def minutes_down(seconds: float) -> int:
    """Seconds as whole minutes, rounded down."""
    return int(round(seconds, 6) // MINUTE)


@dataclass(frozen=True, slots=True)
class Relaxed:
    """Facts of the works left out, to learn what makes a plan impossible: (kind, subject)."""

    facts: frozenset[tuple[str, str]] = frozenset()

    def has(self, kind: str, subject: str) -> bool:
        """Whether this fact is left out."""
        return (kind, subject) in self.facts


@dataclass(frozen=True, slots=True)
class Shop:
    """Resources by index; see the head of the module."""

    origin: int  # UTC seconds of minute 0
    horizon: int  # minutes
    settled: int  # from here on no dated exception or stop: every week is like the other
    zone: ZoneInfo
    station_ids: list[str]
    station_index: dict[str, int]
    kind: list[int]
    unit_from: list[int]  # of each station; one more than there are stations
    capacity: list[int]
    pitch: list[int]
    fill_wait: list[int]
    manned: list[bool]
    area: list[int]
    setup_of: list[int]  # row in `setup_times`, -1: none
    stop_starts: list[list[int]]
    stop_ends: list[list[int]]
    crew_ids: list[str]
    crew_index: dict[str, int]
    people: list[int]
    away: list[list[Away]]  # of each crew: people that are not there
    pool_ids: list[str]
    pool_index: dict[tuple[str, str], int]
    places: list[int]
    area_index: dict[str, int]
    transport: list[list[int]]
    families: list[str]
    family_index: dict[str, int]
    setup_times: list[list[list[int]]]  # [row][family before + 1][family after], row 0: empty state
    times: list[WorkingTime]
    time_index: dict[tuple[int, int, int], int]
    calendars: dict[str, list[Interval]]
    relaxed: Relaxed
    works: Works = field(repr=False)

    def working(self, station: int, crew: int, *, stopped: bool = True) -> int:
        """Index of the working time of a station, with a crew (-1: none), less its maintenance."""
        key = (station, crew, int(stopped))
        if key not in self.time_index:
            factory = self.works.factory
            made = self.calendars[factory.stations[self.station_ids[station]].calendar]
            if crew >= 0:
                made = common(made, self.calendars[factory.crews[self.crew_ids[crew]].calendar])
            if stopped:
                stops = list(zip(self.stop_starts[station], self.stop_ends[station], strict=True))
                made = without(made, stops)
            self.time_index[key] = len(self.times)
            self.times.append(flat(made))
        return self.time_index[key]


def build_shop(works: Works, now: int, *, horizon: int, relaxed: Relaxed | None = None) -> Shop:
    """The factory over so many minutes from now, which is rounded up to a whole minute."""
    relaxed = relaxed or Relaxed()
    factory = works.factory
    origin = -(-now // MINUTE) * MINUTE
    zone = works.zone
    stations = list(factory.stations)
    crews = list(factory.crews)
    areas = _areas(works)
    families = _families(works)
    pools = [("buffer", b) for b in factory.buffers] + [("carrier", c) for c in factory.carriers]
    unit_from = [0]
    for name in stations:
        more = MANY if relaxed.has("places", name) else 0
        unit_from.append(unit_from[-1] + factory.stations[name].places + more)
    stops = [
        []
        if relaxed.has("maintenance", name)
        else stops_of(factory.stations[name].maintenance, zone, origin=origin, horizon=horizon)
        for name in stations
    ]
    records = [factory.stations[name] for name in stations]
    setups = [
        r.setup
        for name, r in zip(stations, records, strict=True)
        if r.setup is not None and not relaxed.has("setup", name)
    ]
    rows = iter(range(len(setups)))
    return Shop(
        origin=origin, horizon=horizon, settled=_settled(works, origin), zone=zone,
        station_ids=stations, station_index={s: n for n, s in enumerate(stations)},
        kind=[{"batch": BATCH, "line": LINE}.get(r.kind, SINGLE) for r in records],
        unit_from=unit_from,
        capacity=[_capacity(name, r.capacity, relaxed) for name, r in zip(stations, records, strict=True)],
        pitch=[
            0 if relaxed.has("pitch", name) else minutes_up(r.pitch)
            for name, r in zip(stations, records, strict=True)
        ],
        fill_wait=[minutes_down(r.fill_wait) for r in records],
        manned=[r.manned for r in records], area=[areas[r.area] for r in records],
        setup_of=[
            -1 if r.setup is None or relaxed.has("setup", name) else next(rows)
            for name, r in zip(stations, records, strict=True)
        ],
        stop_starts=[[a for a, _ in s] for s in stops], stop_ends=[[b for _, b in s] for s in stops],
        crew_ids=crews, crew_index={c: n for n, c in enumerate(crews)},
        people=[10**6 if relaxed.has("people", c) else factory.crews[c].people for c in crews],
        away=_away(works, relaxed, origin),
        pool_ids=[name for _, name in pools], pool_index={p: n for n, p in enumerate(pools)},
        places=[_room(works, kind, name, relaxed) for kind, name in pools],
        area_index=areas,
        transport=[[minutes_up(factory.transport.time(a, b)) for b in areas] for a in areas],
        families=families, family_index={f: n for n, f in enumerate(families)},
        setup_times=[_matrix(s, families) for s in setups],
        times=[], time_index={},
        calendars={
            name: [(0, horizon)] if relaxed.has("calendar", name)
            else expand(calendar, zone, origin=origin, horizon=horizon)
            for name, calendar in factory.calendars.items()
        },
        relaxed=relaxed, works=works,
    )  # fmt: skip


def _away(works: Works, relaxed: Relaxed, origin: int) -> list[list[Away]]:
    return [
        [] if relaxed.has("people", name) else away_of(crew.absences, works.zone, origin=origin)
        for name, crew in works.factory.crews.items()
    ]


def _settled(works: Works, origin: int) -> int:
    factory = works.factory
    last = origin
    for calendar in factory.calendars.values():
        for exception in calendar.exceptions:
            last = max(last, edge(exception.until or exception.date, 1440, works.zone))
    for crew in factory.crews.values():
        for absence in crew.absences:
            last = max(last, edge(absence.to, 1440, works.zone))
    for station in factory.stations.values():
        for stop in station.maintenance:
            at = stop.start if stop.start.tzinfo is not None else stop.start.replace(tzinfo=works.zone)
            last = max(last, int(at.timestamp()) + round(stop.length))
    return (last - origin) // MINUTE + 1


def _capacity(station: str, capacity: float, relaxed: Relaxed) -> int:
    return 1 << 60 if relaxed.has("capacity", station) else round(capacity * LOAD_SCALE)


def _room(works: Works, kind: str, name: str, relaxed: Relaxed) -> int:
    if relaxed.has(kind, name):
        return 10**6
    return works.factory.buffers[name].places if kind == "buffer" else works.factory.carriers[name].count


def _areas(works: Works) -> dict[str, int]:
    factory = works.factory
    names = {s.area for s in factory.stations.values()} | {b.area for b in factory.buffers.values()}
    return {name: n for n, name in enumerate(sorted(names | {"works"}))}


def _families(works: Works) -> list[str]:
    return sorted(
        {
            step.setup
            for product in works.variants.values()
            for part in product.parts.values()
            for step in part.steps
            if step.setup is not None
        }
    )


def _matrix(setup: Setup, families: list[str]) -> list[list[int]]:
    befores: list[str | None] = [None, *families]
    return [[minutes_up(setup.time(before, after)) for after in families] for before in befores]
