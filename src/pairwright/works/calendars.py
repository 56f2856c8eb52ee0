"""What a calendar says in minutes of a week: for checks only, dates do not matter here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from pairwright.works.factory import WEEKDAYS, Calendar, Hours

DAY_MINUTES: Final = 1440


def works_at_all(calendar: Calendar) -> bool:
    """Whether any working time is stated."""
    return calendar.always or any(calendar.week.values()) or any(e.hours for e in calendar.exceptions)


def week_spans(calendar: Calendar) -> list[tuple[int, int]]:
    """Working time of the plain week, minutes from Monday's midnight, in order. [min]"""
    if calendar.always:
        return [(0, DAY_MINUTES * len(WEEKDAYS))]
    return sorted(
        (number * DAY_MINUTES + hours.start, number * DAY_MINUTES + hours.end)
        for number, day in enumerate(WEEKDAYS)
        for hours in next((h for d, h in calendar.week.items() if d == day), ())
    )


def may_meet(one: Calendar, other: Calendar) -> bool:
    """Whether two calendars share working time; exceptions get the benefit of the doubt."""
    if any(e.hours for c in (one, other) for e in c.exceptions):
        return True
    return any(a < d and c < b for a, b in week_spans(one) for c, d in week_spans(other))


def first_overlap(hours: Sequence[Hours]) -> int | None:
    """Place in the list of the first hours that run into others of the same day."""
    for number, one in enumerate(hours):
        if any(one.start < other.end and other.start < one.end for other in hours[:number]):
            return number
    return None
