"""Days on which Marlhouse is closed, computed for the years that an order book reaches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Closing:
    """Days without work, first and last included."""

    first: date
    last: date
    reason: str

    def line(self) -> str:
        """The closing as an exception of a calendar in works.toml."""
        until = f", until = {self.last}" if self.last > self.first else ""
        return f'  {{ date = {self.first}{until}, reason = "{self.reason}" }},\n'


def easter(year: int) -> date:
    """Easter Sunday of the Gregorian calendar.

    Parameters
    ----------
    year : int
        The year. [-]

    Returns
    -------
    date
        Easter Sunday. [-]

    References
    ----------
    .. [1] The anonymous Gregorian computation, Nature 13 (1876) 487 (from memory).

    Examples
    --------
    >>> easter(2027)
    datetime.date(2027, 3, 28)
    """
    golden, (century, rest) = year % 19, divmod(year, 100)
    leaps, left = divmod(century, 4)
    moon = (century - (century + 8) // 25 + 1) // 3
    epact = (19 * golden + century - leaps - moon + 15) % 30
    weekday = (32 + 2 * left + 2 * (rest // 4) - epact - rest % 4) % 7
    late = (golden + 11 * epact + 22 * weekday) // 451
    month, day = divmod(epact + weekday - 7 * late + 114, 31)
    return date(year, month, day + 1)


@lru_cache(maxsize=512)
def closings(year: int) -> tuple[Closing, ...]:
    """Every closing of a year, in order and without days in common."""
    sunday = easter(year)

    def day(offset: int) -> date:
        return sunday + timedelta(days=offset)

    king = date(year, 4, 27)
    if king.weekday() == 6:
        king -= timedelta(days=1)
    summer = date(year, 7, 26) + timedelta(days=-date(year, 7, 26).weekday() % 7)
    found = [
        Closing(day(-2), day(1), "Easter"),
        Closing(day(39), day(40), "Ascension Day and the day after"),
        Closing(day(50), day(50), "Whit Monday"),
        Closing(summer, summer + timedelta(days=18), "summer closing"),
        Closing(date(year, 12, 24), date(year, 12, 31), "year's end"),
    ]
    if not any(c.first <= king <= c.last for c in found):
        found.append(Closing(king, king, "King's Day"))
    if sunday > date(year, 1, 1):
        found.append(Closing(date(year, 1, 1), date(year, 1, 1), "New Year's Day"))
    return tuple(sorted(found, key=lambda c: c.first))


def between(first: date, last: date) -> Iterator[Closing]:
    """Closings that end on or after the first day, to the end of the last day's year."""
    for year in range(first.year, last.year + 1):
        yield from (c for c in closings(year) if c.last >= first)


def is_open(day: date, shut: Iterable[Closing]) -> bool:
    """Whether a day is a weekday outside every closing."""
    return day.weekday() < 5 and not any(c.first <= day <= c.last for c in shut)
