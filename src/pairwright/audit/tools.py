"""Rule `tool`: between two changes a tool is used no longer than its life."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pairwright.audit.capacity import worked
from pairwright.audit.case import Case
from pairwright.audit.hours import Spans, length, within
from pairwright.audit.reading import Violation, read_moment
from pairwright.base.errors import shown
from pairwright.base.words import Amount, text


def changes_of(document: Mapping[str, Any]) -> tuple[dict[str, Spans], list[Violation]]:
    """Tool changes of a plan by station, in order, and what can't be read."""
    found: dict[str, Spans] = {}
    faults: list[Violation] = []
    rows = document.get("tool_changes")
    for row in rows if isinstance(rows, list) else []:
        whole = row if isinstance(row, Mapping) else {}
        start, end = read_moment(whole.get("start")), read_moment(whole.get("end"))
        if start is None or end is None or end <= start or not isinstance(whole.get("station"), str):
            faults.append(
                Violation("unreadable", "tool_changes", text("this is no tool change: {got}", got=shown(row)))
            )
            continue
        found.setdefault(str(whole["station"]), []).append((start, end))
    return {name: sorted(spans) for name, spans in found.items()}, faults


def tools(case: Case) -> Iterator[Violation]:
    """`tool`: life, and enough working time for each change.

    An operation longer than a tool's life is allowed when it begins with a fresh tool.
    """
    for name, station in case.works.factory.stations.items():
        if station.tool is None:
            continue
        changes = list(case.changes.get(name, []))
        for start, end in changes:
            if length(within(case.hours_without_changes(name), start, end)) < station.tool.change - 1e-6:
                yield Violation(
                    "tool", name, text("a tool change takes {need}", need=_time(station.tool.change))
                )
        used = float(station.tool.used)
        seen: set[str] = set()
        for op in sorted((o for o in case.ops if o.station == name), key=lambda o: (o.start, o.id)):
            if op.batch is not None and op.batch in seen:
                continue
            seen.add(op.batch or "")
            while changes and changes[0][1] <= op.start:
                changes.pop(0)
                used = 0.0
            time = length(worked(op))
            if used > 0 and used + time > station.tool.life + 1e-6:
                yield Violation(
                    "tool",
                    op.id,
                    text(
                        "uses the tool of {station} for {used}; its life is {life}",
                        station=name,
                        used=_time(used + time),
                        life=_time(station.tool.life),
                    ),
                )
            used += time


def _time(seconds: float) -> Amount:
    return Amount(seconds, "duration")
