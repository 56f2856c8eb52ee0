"""The factory: calendars, stations, crews, buffers, carriers, programmes, rates, cautions."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import BeforeValidator, Field

from pairwright.base.laws import Span
from pairwright.base.words import text
from pairwright.works.inspection import Defect, LimitSample, Repair
from pairwright.works.keeping import Keeping
from pairwright.works.record import (
    Count,
    Day,
    EnergyPrice,
    Flag,
    Id,
    Moment,
    Money,
    MoneyRate,
    People,
    Power,
    Record,
    Share,
    Temperature,
    Time,
    Wait,
    quantity,
    refuse,
)
from pairwright.works.telling import Mail, Telling

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Hours(Record):
    """Working time within one local day, minutes from midnight, half-open [start, end)."""

    start: int
    end: int


def _read_hours(value: object) -> object:
    wanted = text("hours such as 06:00-14:00 (24:00 ends a day)")
    if isinstance(value, Hours):
        return value
    parts = value.split("-") if isinstance(value, str) else []
    minutes: list[int] = []
    for part in parts:
        hour, _, minute = part.strip().partition(":")
        if not (hour.isascii() and hour.isdigit() and minute.isascii() and minute.isdigit()):
            raise refuse(wanted, text("write hour and minute"))
        minutes.append(int(hour) * 60 + int(minute) if int(minute) < 60 else -1)
    if len(minutes) != 2 or not 0 <= minutes[0] < minutes[1] <= 1440:
        raise refuse(wanted, text("let them begin before they end; split a night at 24:00"))
    return Hours.model_construct(start=minutes[0], end=minutes[1])


HoursField: TypeAlias = Annotated[Hours, BeforeValidator(_read_hours)]


class DayException(Record):
    """A day, or days up to `until` included, whose working time differs from the week's."""

    date: Day
    until: Day | None = None
    hours: tuple[HoursField, ...] = ()
    reason: str = ""


class Calendar(Record):
    """Working time: a weekly pattern with exceptions; gaps within a day are breaks."""

    week: dict[Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"], tuple[HoursField, ...]] = {}
    always: Flag = False
    exceptions: tuple[DayException, ...] = ()


class Absence(Record):
    """So many of a crew are away, from a day to another, both included."""

    from_: Day = Field(alias="from")
    to: Day
    people: Count
    reason: str = ""


class Crew(Record):
    """People who may stand in for each other: skills, how many at a time, when."""

    name: str = ""
    people: Count
    calendar: Id
    skills: tuple[Id, ...] = ()
    absences: tuple[Absence, ...] = ()
    rate: MoneyRate = 0.0


class Change(Record):
    """Time to change a station from one setup family to another."""

    before: str
    after: str
    time: Wait


class Setup(Record):
    """Changing over: `default` between any two unlike families, `changes` for particular ones."""

    default: Wait
    changes: tuple[Change, ...] = ()
    first: Wait = 0.0  # from the empty state at the beginning

    def time(self, before: str | None, after: str) -> float:
        """Time to change over. [s]"""
        if before == after:
            return 0.0
        if before is None:
            return float(self.first)
        for change in self.changes:
            if change.before == before and change.after == after:
                return float(change.time)
        return float(self.default)


class Breakdown(Record):
    """How often a station stops by itself and how long the repair takes (means)."""

    every: Time
    repair: Time


class Maintenance(Record):
    """A planned stop of a station, local time."""

    start: Moment
    length: Time
    reason: str = ""


class Tool(Record):
    """What wears at a station: hours of use until it is changed, and how long that takes."""

    name: str = ""
    life: Time
    change: Time
    used: Wait = 0.0  # when the plan begins


class Station(Record):
    """Where a step is done.

    ``single`` and ``parallel`` places take one item each (a set when its halves go together);
    a ``batch`` station takes several that share a start and an end; a ``line`` moves carriers
    at a fixed pitch and nobody overtakes. A manned station works only within its calendar;
    an unattended one must begin within it and then runs on by itself.
    """

    name: str
    kind: Literal["single", "parallel", "batch", "line"] = "single"
    places: Count = 1
    capacity: quantity("-", Span(0.0, open_low=True)) = 1.0  # type: ignore[valid-type] # load per batch
    pitch: Wait = 0.0  # line: time between two entries
    fill_wait: Wait = 0.0  # batch: how long a part-filled charge may wait for more
    calendar: Id
    manned: Flag = True
    crew: Id | None = None
    people: People = 1
    area: Id = "works"
    setup: Setup | None = None
    maintenance: tuple[Maintenance, ...] = ()
    breakdown: Breakdown | None = None
    tool: Tool | None = None
    power: Power = 0.0
    rate: MoneyRate = 0.0


class Buffer(Record):
    """A waiting area with so many places."""

    name: str
    places: Count
    area: Id = "works"


class Carrier(Record):
    """What holds an item from one step to another: a paint carrier, a mould, a clamp set."""

    name: str
    count: Count


class Programme(Record):
    """The identified, revisioned instructions of a machine for a product, part and side."""

    station: Id
    product: Id
    part: Id
    side: Literal["left", "right", "both"] = "both"
    revision: str


class Transport(Record):
    """Time to bring an item from one area to another."""

    within: Wait = 0.0
    default: Wait = 0.0
    ways: tuple[Change, ...] = ()

    def time(self, before: str, after: str) -> float:
        """Time between two areas. [s]"""
        if before == after:
            return float(self.within)
        for way in self.ways:
            if {way.before, way.after} == {before, after}:
                return float(way.time)
        return float(self.default)


class Climate(Record):
    """Temperature and humidity of the workshop air, and how far they stray."""

    temperature: Temperature
    humidity: Share
    coldest: Temperature | None = None
    warmest: Temperature | None = None
    driest: Share | None = None
    dampest: Share | None = None


class Costs(Record):
    """Rates for the standard cost of a set."""

    currency: str = "EUR"
    energy: EnergyPrice = 0.0
    labour: MoneyRate = 0.0
    overhead: Share = 0.0
    delay_per_day: Money = 0.0


class Caution(Record):
    """A usual caution for a kind of step, with the figure it compares with and its source."""

    text: str
    figure: str = ""
    source: str = ""


class Factory(Record):
    """works.toml."""

    name: str
    time_zone: str
    opening: Moment | None = None
    language: str = "en"
    lengths: Literal["mm", "inch"] = "mm"
    decimal: Literal[".", ","] | None = None  # default: the language's
    climate: Climate
    calendars: dict[Id, Calendar]
    crews: dict[Id, Crew] = {}
    stations: dict[Id, Station]
    buffers: dict[Id, Buffer] = {}
    carriers: dict[Id, Carrier] = {}
    programmes: dict[Id, Programme] = {}
    transport: Transport = Transport()
    costs: Costs = Costs()
    cautions: dict[Id, tuple[Caution, ...]] = {}
    telling: tuple[Telling, ...] = ()
    mail: Mail | None = None
    keeping: Keeping = Keeping()
    defects: dict[Id, Defect] = {}
    repairs: dict[Id, Repair] = {}
    limit_samples: dict[Id, LimitSample] = {}
    restricted: dict[str, str] = {}
