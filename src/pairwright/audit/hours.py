"""Working hours, expanded from the definition by the audit alone.

Nothing here is shared with the planner on purpose: two expansions that agree are evidence,
one that is used twice is not.
"""

from __future__ import annotations

from bisect import bisect_right
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from pairwright.works.factory import WEEKDAYS, Calendar, Maintenance

Spans = list[tuple[int, int]]


def local_moment(day: date, minute: int, zone: ZoneInfo) -> int:
    """UTC seconds of a wall-clock minute of a local day; minute 1440 is the next midnight."""
    wall = datetime(day.year, day.month, day.day) + timedelta(minutes=minute)
    return int(wall.replace(tzinfo=zone).timestamp())


def day_hours(calendar: Calendar, day: date) -> list[tuple[int, int]]:
    """Working minutes of one local day; an exception replaces the week's pattern."""
    for exception in calendar.exceptions:
        if exception.date <= day <= (exception.until or exception.date):
            return sorted((h.start, h.end) for h in exception.hours)
    for name, pattern in calendar.week.items():
        if name == WEEKDAYS[day.weekday()]:
            return sorted((h.start, h.end) for h in pattern)
    return []


def expand(calendar: Calendar, zone: ZoneInfo, first: int, last: int) -> Spans:
    """Working spans that touch [first, last), in UTC seconds, merged."""
    if calendar.always:
        return [(first, last)]
    day = datetime.fromtimestamp(first, tz=zone).date() - timedelta(days=1)
    end = datetime.fromtimestamp(last, tz=zone).date() + timedelta(days=1)
    spans: Spans = []
    while day <= end:
        for start, stop in day_hours(calendar, day):
            spans.append((local_moment(day, start, zone), local_moment(day, stop, zone)))
        day += timedelta(days=1)
    return clip(merge(spans), first, last)


def maintenance_spans(stops: tuple[Maintenance, ...], zone: ZoneInfo) -> Spans:
    """Planned stops of a station in UTC seconds."""
    spans: Spans = []
    for stop in stops:
        start = stop.start if stop.start.tzinfo else stop.start.replace(tzinfo=zone)
        begin = int(start.astimezone(UTC).timestamp())
        spans.append((begin, begin + round(stop.length)))
    return merge(spans)


def merge(spans: Spans) -> Spans:
    """The same time with touching and overlapping spans joined."""
    joined: Spans = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        elif end > start:
            joined.append((start, end))
    return joined


def clip(spans: Spans, first: int, last: int) -> Spans:
    """What lies within [first, last)."""
    return [(max(s, first), min(e, last)) for s, e in spans if e > first and s < last]


def both(one: Spans, other: Spans) -> Spans:
    """What lies in both."""
    found: Spans = []
    i = j = 0
    while i < len(one) and j < len(other):
        start, end = max(one[i][0], other[j][0]), min(one[i][1], other[j][1])
        if start < end:
            found.append((start, end))
        if one[i][1] < other[j][1]:
            i += 1
        else:
            j += 1
    return found


def without(spans: Spans, stops: Spans) -> Spans:
    """What lies in the first and not in the second."""
    left: Spans = []
    for start, end in spans:
        for s, e in stops:
            if e <= start or s >= end:
                continue
            if s > start:
                left.append((start, s))
            start = max(start, e)
        if start < end:
            left.append((start, end))
    return left


def within(spans: Spans, start: int, end: int) -> Spans:
    """The worked pieces of [start, end); fast for long lists."""
    found: Spans = []
    n = max(0, bisect_right(spans, (start, 1 << 62)) - 1)
    while n < len(spans) and spans[n][0] < end:
        piece = (max(start, spans[n][0]), min(end, spans[n][1]))
        if piece[0] < piece[1]:
            found.append(piece)
        n += 1
    return found


def length(spans: Spans) -> int:
    """Total seconds."""
    return sum(e - s for s, e in spans)


def contains(spans: Spans, moment: int) -> bool:
    """Whether a moment lies in one of the spans."""
    n = bisect_right(spans, (moment, 1 << 62)) - 1
    return n >= 0 and spans[n][0] <= moment < spans[n][1]
