"""Time in records: UTC seconds as integers; half-open intervals; zones only at the edge."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

MINUTE: Final = 60
HOUR: Final = 3600
DAY: Final = 86400
WEEK: Final = 604800

_ISO: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9:.]+)?(Z|[+-][0-9]{2}:?[0-9]{2})?")


def parse_instant(value: str | datetime, zone: ZoneInfo | None = None) -> int:
    """UTC seconds of an ISO 8601 time; without an offset it is local in `zone`.

    Raises `ValueError` when the text is not a time, or has no offset and no zone is given.
    """
    if isinstance(value, str):
        if not value.isascii() or not _ISO.fullmatch(value.strip()):
            raise ValueError("not an ISO 8601 time such as 2027-03-01T06:00:00+01:00")
        value = datetime.fromisoformat(value.strip())
    if value.tzinfo is None:
        if zone is None:
            raise ValueError("the offset from UTC is missing (such as +01:00)")
        value = value.replace(tzinfo=zone)
    return int(value.timestamp())


def iso(seconds: int, zone: ZoneInfo) -> str:
    """ISO 8601 with the zone's offset at that moment."""
    return datetime.fromtimestamp(seconds, tz=zone).isoformat()


def zone_named(name: str) -> ZoneInfo:
    """The zone of the IANA data base; raises `ValueError` when there is none."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise ValueError("no such time zone") from error


def local_midnight(day: date, zone: ZoneInfo) -> int:
    """UTC seconds of the first moment of a local day."""
    return int(datetime(day.year, day.month, day.day, tzinfo=zone).timestamp())


def local_date(seconds: int, zone: ZoneInfo) -> date:
    """The local day of a moment."""
    return datetime.fromtimestamp(seconds, tz=zone).date()


def days_between(first: date, last: date) -> list[date]:
    """Every day from first up to, not including, last."""
    return [first + timedelta(days=n) for n in range((last - first).days)]


def utc_iso(seconds: int) -> str:
    """ISO 8601 in UTC, for records."""
    return datetime.fromtimestamp(seconds, tz=UTC).isoformat()
