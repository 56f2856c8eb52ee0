"""Whether a step that may not pause fits into the longest stretch of work without a break."""

from __future__ import annotations

import math
from functools import lru_cache

from pairwright.base.findings import Finding
from pairwright.base.time import MINUTE
from pairwright.base.words import Amount, text
from pairwright.process.context import StepContext
from pairwright.process.timing import Timing
from pairwright.works.calendars import DAY_MINUTES, week_spans
from pairwright.works.factory import WEEKDAYS, Calendar

_WEEK = DAY_MINUTES * len(WEEKDAYS)
Spans = tuple[tuple[int, int], ...]


@lru_cache(maxsize=256)
def longest_stretch(one: Spans, other: Spans) -> int:
    """Longest stretch of a plain week in which both calendars work. [min]

    >>> longest_stretch(((360, 600), (615, 840)), ((0, 700),))
    240
    """
    both = sorted((max(a, c), min(b, d)) for a, b in one for c, d in other if max(a, c) < min(b, d))
    joined: list[list[int]] = []
    for start, end in both:
        if joined and start <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], end)
        else:
            joined.append([start, end])
    if not joined:
        return 0
    lengths = [end - start for start, end in joined]
    if len(joined) > 1 and joined[0][0] == 0 and joined[-1][1] == _WEEK:
        lengths.append(lengths[0] + lengths[-1])
    return max(lengths)


def stretch_of(context: StepContext, station_id: str) -> float:
    """Longest stretch in which the step can be worked at a station; infinite when nothing stops it. [s]"""
    factory = context.works.factory
    station = factory.stations[station_id]
    if not station.manned or context.step.pause:
        return math.inf
    crew_id = context.step.crew or station.crew
    calendars = [factory.calendars[station.calendar]]
    if crew_id is not None and (context.step.people is None or context.step.people > 0):
        calendars.append(factory.calendars[factory.crews[crew_id].calendar])
    if all(c.always for c in calendars):
        return math.inf
    first, last = _spans(calendars[0]), _spans(calendars[-1])
    return float(longest_stretch(first, last) * MINUTE)


def _spans(calendar: Calendar) -> Spans:
    return tuple(week_spans(calendar))


def shift_findings(context: StepContext, timings: list[tuple[str | None, Timing]]) -> list[Finding]:
    """Stations at which the step is longer than any stretch of work.

    An error where the likely time fits at no station; a warning where it does not fit at one of
    several, or where only the high time does not fit.
    """
    judged = [(name, timing, stretch_of(context, name)) for name, timing in timings if name is not None]
    short = [(n, t, s) for n, t, s in judged if _whole(t.likely) > s]
    nowhere = bool(judged) and len(short) == len(judged)
    found = []
    for name, timing, stretch in judged:
        likely = _whole(timing.likely) > stretch
        if not likely and _whole(timing.high) <= stretch:
            continue
        what = text(
            "the step may not pause; {station} works at most {stretch} without a break, the step takes {likely}, "
            "up to {high}",
            station=context.works.factory.stations[name].name, stretch=Amount(stretch, "duration"),
            likely=Amount(timing.likely, "duration"), high=Amount(timing.high, "duration"),
        )  # fmt: skip
        found.append(
            context.finding("step_longer_than_shift", "error" if likely and nowhere else "warning", what)
        )
    return found


def _whole(seconds: float) -> float:
    """Whole minutes, as a plan moves. [s]"""
    return math.ceil(seconds / MINUTE - 1e-9) * MINUTE
