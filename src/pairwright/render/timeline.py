"""Time as a coordinate: straight, or folded so that long waits and short work both show."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from pairwright.base.time import HOUR, local_date, local_midnight
from pairwright.base.words import Amount, Words
from pairwright.render.chart import Drawing, word_width

_WORKED = 0.5  # width grows as this power of hours, so an hour and a night both have a width
_IDLE = 0.36


@dataclass(frozen=True, slots=True)
class TimeScale:
    """A map of UTC seconds to coordinates through knots, straight between them."""

    knots: tuple[int, ...]
    places: tuple[float, ...]

    def __call__(self, moment: float) -> float:
        """Coordinate of a moment; beyond the ends, the end."""
        n = min(max(bisect_right(self.knots, moment), 1), len(self.knots) - 1)
        low, high = self.knots[n - 1], self.knots[n]
        share = (moment - low) / (high - low) if high > low else 0.0
        return self.places[n - 1] + min(max(share, 0.0), 1.0) * (self.places[n] - self.places[n - 1])

    @property
    def begin(self) -> int:
        """The first moment."""
        return self.knots[0]

    @property
    def end(self) -> int:
        """The last moment."""
        return self.knots[-1]


def straight(begin: int, end: int, *, start: float, stop: float) -> TimeScale:
    """Equal times, equal lengths."""
    return TimeScale((begin, max(end, begin + 1)), (start, stop))


def folded(spans: Iterable[tuple[int, int]], *, start: float, stop: float) -> TimeScale:
    """A scale on which work takes the root of its time and waits take less.

    Parameters
    ----------
    spans : iterable of (int, int)
        Worked intervals, in any order; they may overlap. [s]
    start, stop : float
        Coordinates of the first start and the last end. [-]
    """
    taken = sorted((a, max(b, a + 1)) for a, b in spans)
    knots = sorted({moment for span in taken for moment in span})
    if len(knots) < 2:
        knots = [knots[0] if knots else 0, (knots[0] if knots else 0) + HOUR]
    worked = _covered(knots, taken)
    weights = [
        ((b - a) / HOUR) ** (_WORKED if busy else _IDLE) + (0.35 if busy else 0.15)
        for a, b, busy in zip(knots, knots[1:], worked, strict=False)
    ]
    total, places = sum(weights), [start]
    for weight in weights:
        places.append(places[-1] + weight / total * (stop - start))
    return TimeScale(tuple(knots), tuple(places))


def _covered(knots: list[int], spans: list[tuple[int, int]]) -> list[bool]:
    """Whether each stretch between knots lies in a span."""
    change = dict.fromkeys(knots, 0)
    for a, b in spans:
        change[a] += 1
        change[b] -= 1
    level, found = 0, []
    for knot in knots[:-1]:
        level += change[knot]
        found.append(level > 0)
    return found


def day_ticks(scale: TimeScale, words: Words, *, room: float = 14.0) -> list[tuple[float, str, bool]]:
    """Local days that have room: coordinate, label, whether it is a Monday.

    Mondays are placed first, then other days between them where there is room for their names.
    """
    zone = words.zone
    day, last = local_date(scale.begin, zone), local_date(scale.end, zone)  # type: ignore[arg-type]
    days = []
    while day < last:
        day += timedelta(days=1)
        moment = local_midnight(day, zone)  # type: ignore[arg-type]
        if scale.begin <= moment <= scale.end:
            days.append((day.weekday() != 0, moment))
    ticks: list[tuple[float, str, bool]] = []
    for other, moment in sorted(days):
        at, name = scale(moment), short_day(moment, words)
        width = word_width(name, 10.5) + room
        if all(abs(at - x) >= width for x, _, _ in ticks):
            ticks.append((at, name, not other))
    return sorted(ticks)


def short_day(moment: float, words: Words) -> str:
    """A day without its year, as the reader writes it: ``3 Mar``."""
    return words.moment(moment, "%-d %b")


def draw_days(drawing: Drawing, scale: TimeScale, *, words: Words, top: float, base: float) -> None:
    """Hairlines of days from top to base, named under the base."""
    for at, name, monday in day_ticks(scale, words):
        drawing.line((at, top), (at, base + 4), cls="hair")
        drawing.words((at, base + 15), name, cls="small strong" if monday else "small soft", anchor="middle")


def how_long(seconds: float, words: Words) -> str:
    """A length of time in words: ``9.5 h``."""
    return words.amount(Amount(seconds, "duration"))
