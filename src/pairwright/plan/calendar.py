"""Working time: calendars expanded to intervals, and walking along them in whole minutes.

Outside this module working time is three flat lists of one length, so that kernels can read them:
`starts` and `ends` of the working intervals, sorted and apart from each other, in minutes; and
`before`, the minutes worked before each start.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, TypeAlias
from zoneinfo import ZoneInfo

from pairwright.base.time import MINUTE, local_date, local_midnight
from pairwright.works.factory import WEEKDAYS, Calendar, Hours, Maintenance

Interval: TypeAlias = tuple[int, int]
NEVER: Final = 1 << 40  # a minute that no plan reaches


@dataclass(frozen=True, slots=True)
class WorkingTime:
    """Working intervals as flat lists, in minutes. See the head of the module."""

    starts: list[int]
    ends: list[int]
    before: list[int]


def hours_of(calendar: Calendar, day: date) -> tuple[Hours, ...]:
    """Working hours of a local day; the first exception that holds it replaces the week's."""
    for exception in calendar.exceptions:
        if exception.date <= day <= (exception.until or exception.date):
            return exception.hours
    return calendar.week.get(WEEKDAYS[day.weekday()], ())  # type: ignore[call-overload,no-any-return]


def edge(day: date, minutes: int, zone: ZoneInfo) -> int:
    """UTC seconds of a local clock time; minute 1440 is the next day's midnight."""
    if minutes == 1440:
        return local_midnight(day + timedelta(days=1), zone)
    at = datetime(day.year, day.month, day.day, minutes // 60, minutes % 60, tzinfo=zone)
    return int(at.timestamp())


def expand(calendar: Calendar, zone: ZoneInfo, *, origin: int, horizon: int) -> list[Interval]:
    """Working intervals between minute 0 and the horizon, in minutes from the origin (UTC seconds)."""
    if calendar.always:
        return [(0, horizon)]
    found: list[Interval] = []
    day = local_date(origin, zone) - timedelta(days=1)
    last = local_date(origin + horizon * MINUTE, zone)
    while day <= last:
        for hours in hours_of(calendar, day):
            start = -(-(edge(day, hours.start, zone) - origin) // MINUTE)
            end = (edge(day, hours.end, zone) - origin) // MINUTE
            found.append((max(0, start), min(horizon, end)))
        day += timedelta(days=1)
    return merged(found)


def merged(intervals: Iterable[Interval]) -> list[Interval]:
    """The union, sorted, with touching intervals made one and empty ones left out."""
    joined: list[Interval] = []
    for start, end in sorted(intervals):
        if start >= end:
            continue
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


def common(first: list[Interval], second: list[Interval]) -> list[Interval]:
    """The times that lie in both; touching intervals stay one."""
    both: list[Interval] = []
    i = j = 0
    while i < len(first) and j < len(second):
        start = max(first[i][0], second[j][0])
        end = min(first[i][1], second[j][1])
        if start < end:
            both.append((start, end))
        if first[i][1] <= second[j][1]:
            i += 1
        else:
            j += 1
    return merged(both)


def without(intervals: list[Interval], stops: list[Interval]) -> list[Interval]:
    """The times of the first that are not in the second."""
    left: list[Interval] = []
    for start, end in intervals:
        at = start
        for stop_start, stop_end in stops:
            if stop_end <= at or stop_start >= end:
                continue
            left.append((at, stop_start))
            at = stop_end
        left.append((at, end))
    return merged(left)


def stops_of(
    maintenance: Iterable[Maintenance], zone: ZoneInfo, *, origin: int, horizon: int
) -> list[Interval]:
    """Planned maintenance in minutes from the origin, rounded outwards."""
    found: list[Interval] = []
    for stop in maintenance:
        at = stop.start if stop.start.tzinfo is not None else stop.start.replace(tzinfo=zone)
        start = int(at.timestamp()) - origin
        end = start + round(stop.length)
        found.append((max(0, start // MINUTE), min(horizon, -(-end // MINUTE))))
    return merged(found)


def flat(intervals: list[Interval]) -> WorkingTime:
    """Intervals as flat lists with the work done before each."""
    starts = [start for start, _ in intervals]
    ends = [end for _, end in intervals]
    before: list[int] = []
    done = 0
    for start, end in intervals:
        before.append(done)
        done += end - start
    return WorkingTime(starts, ends, before)


def due_time(calendars: Mapping[str, Calendar], day: date, *, zone: ZoneInfo) -> int:
    """UTC seconds of the latest end of working hours on a day; of the day when nobody works."""
    ends = [
        edge(day, hours.end, zone)
        for calendar in calendars.values()
        if not calendar.always
        for hours in hours_of(calendar, day)
    ]
    return max(ends, default=edge(day, 1440, zone))


# Walking: kernels over flat lists. A time before which nothing works is answered by NEVER.


def advance(time: WorkingTime, at: int, *, work: int) -> int:
    """The moment when so many minutes of work, begun at or after a moment, are done."""
    starts, before = time.starts, time.before
    i = bisect_right(time.ends, at)
    if i == len(starts):
        return NEVER
    done = before[i] + max(0, at - starts[i]) + work
    j = bisect_left(before, done) - 1
    end = starts[j] + done - before[j]
    return end if end <= time.ends[j] else NEVER


def retreat(time: WorkingTime, at: int, *, work: int) -> int:
    """The latest working minute from which so many minutes of work are done by a moment; -1: none."""
    starts, before = time.starts, time.before
    i = bisect_left(starts, at) - 1
    if i < 0:
        return -1
    done = before[i] + min(at, time.ends[i]) - starts[i] - work
    if done < 0:
        return -1
    j = bisect_right(before, done) - 1
    return starts[j] + done - before[j]


def pieces(time: WorkingTime, start: int, *, end: int) -> list[Interval]:
    """The working intervals between two moments."""
    found: list[Interval] = []
    for i in range(bisect_right(time.ends, start), len(time.ends)):
        if time.starts[i] >= end:
            break
        found.append((max(start, time.starts[i]), min(end, time.ends[i])))
    return found
