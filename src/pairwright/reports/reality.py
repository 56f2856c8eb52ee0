"""Reality against plan: what began and ended when, how early or late, by station, order and step."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal
from zoneinfo import ZoneInfo

from pairwright.base.time import iso
from pairwright.base.words import Amount, Text, text

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation

Standing = Literal["ended", "running", "not planned", "not begun"]
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Row:
    """One operation, as planned and as it was; UTC seconds. `by` is later (or, below 0, earlier) than planned."""

    operation: str
    order: str
    step: str
    station: str | None
    standing: Standing
    planned: Span | None
    start: int | None
    end: int | None  # None while it runs
    by: int | None  # of its start
    overrun: int | None  # how much longer it took than planned


@dataclass(frozen=True, slots=True)
class Group:
    """How late the operations of a station, an order or a step began, and the longest overrun. [s]"""

    id: str
    count: int
    median: float
    p90: float
    longest: int | None  # overrun
    operation: str | None  # that overran longest


@dataclass(frozen=True, slots=True)
class Reality:
    """Reality against plan at a moment. UTC seconds."""

    now: int
    rows: tuple[Row, ...]
    stations: tuple[Group, ...]
    orders: tuple[Group, ...]
    steps: tuple[Group, ...]
    says: Text

    def of(self, standing: Standing) -> tuple[Row, ...]:
        """Rows that stand so."""
        return tuple(row for row in self.rows if row.standing == standing)

    def as_json(self, zone: ZoneInfo) -> dict[str, Any]:
        """The public form.

        Parameters
        ----------
        zone : ZoneInfo
            The works' time zone.
        """
        return {
            "now": iso(self.now, zone),
            "says": str(self.says),
            "operations": [_row(row, zone) for row in self.rows],
            **{
                name: [
                    {"id": g.id, "count": g.count, "median_late": g.median, "p90_late": g.p90,
                     "longest_overrun": g.longest, "operation": g.operation}
                    for g in groups
                ]
                for name, groups in (("stations", self.stations), ("orders", self.orders), ("steps", self.steps))
            },
        }  # fmt: skip


def _row(row: Row, zone: ZoneInfo) -> dict[str, Any]:
    def moment(at: int | None) -> str | None:
        return None if at is None else iso(at, zone)

    return {
        "operation": row.operation, "order": row.order, "step": row.step, "station": row.station,
        "standing": row.standing,
        "planned_start": moment(row.planned[0] if row.planned else None),
        "planned_end": moment(row.planned[1] if row.planned else None),
        "start": moment(row.start), "end": moment(row.end), "late": row.by, "overrun": row.overrun,
    }  # fmt: skip


def reality_of(
    operations: Iterable[Operation], *, planned: Mapping[str, Span], begun: Mapping[str, Span],
    running: Collection[str], recorded: Collection[str], now: int,
) -> Reality:  # fmt: skip
    """Compare what was recorded with what was planned.

    Parameters
    ----------
    operations : Iterable[Operation]
        Of the plan, and those that began without being planned.
    planned : Mapping[str, tuple[int, int]]
        When what has begun was to begin and end, where a plan said so. [s]
    begun : Mapping[str, tuple[int, int]]
        From when to when it really was. [s]
    running : Collection[str]
        What has not ended.
    recorded : Collection[str]
        What somebody recorded: nothing else is compared.
    now : int
        UTC seconds.

    Notes
    -----
    Waits, which nobody records, are left out. The 90th percentile is the smallest lateness that at least
    nine tenths of the operations do not exceed (nearest rank).
    """
    rows: list[Row] = []
    for op in operations:
        if op.id in recorded:
            rows.append(_begun(op, planned.get(op.id), begun[op.id], running=op.id in running))
        elif op.id not in begun and op.station is not None and op.start < now:
            rows.append(
                Row(
                    op.id,
                    op.order,
                    op.step,
                    op.station,
                    "not begun",
                    (op.start, op.end),
                    None,
                    None,
                    now - op.start,
                    None,
                )
            )
    rows.sort(
        key=lambda row: (
            row.start if row.start is not None else (row.planned or (now, now))[0],
            row.operation,
        )
    )
    some = [row for row in rows if row.standing in ("ended", "running") and row.by is not None]
    return Reality(
        now, tuple(rows), _groups((row.station, row) for row in some if row.station),
        _groups((row.order, row) for row in some), _groups((row.step, row) for row in some),
        _says(rows, some),
    )  # fmt: skip


def _begun(op: Operation, planned: Span | None, real: Span, *, running: bool) -> Row:
    standing: Standing = "not planned" if planned is None else "running" if running else "ended"
    return Row(
        op.id, op.order, op.step, op.station, standing, planned, real[0], None if running else real[1],
        None if planned is None else real[0] - planned[0],
        None if planned is None or running else (real[1] - real[0]) - (planned[1] - planned[0]),
    )  # fmt: skip


def _groups(pairs: Iterable[tuple[str, Row]]) -> tuple[Group, ...]:
    """Rows by a name, the latest group first."""
    some: dict[str, list[Row]] = {}
    for name, row in pairs:
        some.setdefault(name, []).append(row)
    found = [_group(name, rows) for name, rows in some.items()]
    return tuple(sorted(found, key=lambda group: (-group.p90, group.id)))


def _group(name: str, rows: list[Row]) -> Group:
    late = sorted(row.by or 0 for row in rows)
    over = max((row for row in rows if row.overrun is not None), default=None,
               key=lambda row: (row.overrun or 0, row.operation))  # fmt: skip
    return Group(
        name, len(rows), middle(late), float(late[math.ceil(0.9 * len(late)) - 1]),
        None if over is None else over.overrun, None if over is None else over.operation,
    )  # fmt: skip


def middle(values: list[int]) -> float:
    """The median of sorted values.

    Examples
    --------
    >>> middle([1, 2, 4, 9])
    3.0
    """
    half = len(values) // 2
    return float(values[half]) if len(values) % 2 else (values[half - 1] + values[half]) / 2


def _says(rows: list[Row], some: list[Row]) -> Text:
    wait = sum(row.standing == "not begun" for row in rows)
    more = sum(row.standing == "not planned" for row in rows)
    if not some:
        return text("nothing that was planned has begun; {n} operations were to have begun by now, "
                    "{more} began that were not planned", n=wait, more=more)  # fmt: skip
    late = sorted(row.by or 0 for row in some)
    half = middle(late)
    far = late[math.ceil(0.9 * len(late)) - 1]
    if half >= 0:
        return text(
            "of {n} operations that have begun half are at most {half} late, nine in ten at most {far}; "
            "{wait} were to have begun and have not, {more} began that were not planned",
            n=len(some), half=Amount(half, "duration"), far=Amount(max(0, far), "duration"), wait=wait, more=more,
        )  # fmt: skip
    return text(
        "of {n} operations that have begun half are at least {half} early, one in ten is {far} late or more; "
        "{wait} were to have begun and have not, {more} began that were not planned",
        n=len(some), half=Amount(-half, "duration"), far=Amount(max(0, far), "duration"), wait=wait, more=more,
    )  # fmt: skip
