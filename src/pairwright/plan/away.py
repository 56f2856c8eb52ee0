"""People who are away: booked before anything else is, so that they can't be asked for."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import TypeAlias
from zoneinfo import ZoneInfo

from pairwright.base.time import MINUTE, local_midnight
from pairwright.plan.profile import add
from pairwright.works.factory import Absence

Away: TypeAlias = tuple[int, int, int]  # from, to [min from the origin], people


def away_of(absences: Iterable[Absence], zone: ZoneInfo, *, origin: int) -> list[Away]:
    """Absences that are not over yet, whole local days, in minutes from the origin."""
    found: list[Away] = []
    for one in absences:
        start = (local_midnight(one.from_, zone) - origin) // MINUTE
        end = -(-(local_midnight(one.to + timedelta(days=1), zone) - origin) // MINUTE)
        if end > 0:
            found.append((max(0, start), end, one.people))
    return found


def crew_profiles(away: Iterable[Iterable[Away]]) -> tuple[list[list[int]], list[list[int]]]:
    """Of each crew the people in use at each moment, before anything is planned."""
    times: list[list[int]] = []
    use: list[list[int]] = []
    for some in away:
        own_times, own_use = [0], [0]
        for start, end, people in some:
            add(own_times, own_use, start=start, end=end, count=people)
        times.append(own_times)
        use.append(own_use)
    return times, use
