"""Rules of places: calendar, pause, maintenance, unit, batch, line, setup."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from pairwright.audit.case import Case, group_by_unit
from pairwright.audit.hours import both, contains, length, within
from pairwright.audit.reading import Op, Violation
from pairwright.base.words import Amount, text


def worked(op: Op) -> list[tuple[int, int]]:
    """The worked intervals of an operation."""
    return list(op.pieces) if op.pieces else ([(op.start, op.end)] if op.end > op.start else [])


def calendar(case: Case) -> Iterator[Violation]:
    """`calendar` and `pause`: worked within hours; in one piece, or every working minute."""
    for op in case.ops:
        if op.id in case.begun:
            continue
        pieces = worked(op)
        if pieces and (pieces[0][0] != op.start or pieces[-1][1] != op.end):
            yield Violation("pause", op.id, text("its pieces do not run from its start to its end"))
            continue
        if any(a[1] >= b[0] or a[1] <= a[0] for a, b in itertools.pairwise(pieces)):
            yield Violation("pause", op.id, text("its pieces are not in order"))
            continue
        if len(pieces) > 1 and not case.step(op).pause:
            yield Violation("pause", op.id, text("this step may not pause"))
        if op.station is None:
            continue
        if not case.works.factory.stations[op.station].manned:
            if not contains(case.opening(op.station), op.start):
                yield Violation(
                    "calendar",
                    op.id,
                    text(
                        "begins at {start}, outside the hours of {station}",
                        start=Amount(op.start, "instant"),
                        station=op.station,
                    ),
                )
            continue
        hours = case.hours(op.station, case.crew(op))
        allowed = within(hours, op.start, op.end)
        if length(both(pieces, allowed)) != length(pieces):
            if not any(within(case.stops(op.station), s, e) for s, e in pieces):
                yield Violation(
                    "calendar", op.id, text("works outside the hours of {station}", station=op.station)
                )
        elif len(pieces) > 1 and pieces != allowed:
            yield Violation("pause", op.id, text("pauses while {station} could go on", station=op.station))


def maintenance(case: Case) -> Iterator[Violation]:
    """`maintenance`: nothing is worked on a station that is stopped for it."""
    for op in case.ops:
        if op.station is None or op.id in case.begun:
            continue
        stops = case.stops(op.station)
        if stops and any(within(stops, s, e) for s, e in worked(op)):
            yield Violation(
                "maintenance", op.id, text("{station} is stopped for maintenance then", station=op.station)
            )


def units(case: Case) -> Iterator[Violation]:
    """`unit`: one thing at a time on a place, held places and setups included."""
    for (station, unit), groups in group_by_unit(case).items():
        busy_until, by = -1, ""
        for group in groups:
            start = min(op.start for op in group)
            if start < busy_until and any(op.id not in case.begun for op in group):
                yield Violation(
                    "unit",
                    group[0].id,
                    text(
                        "{station} place {unit} is still held by {other}",
                        station=station,
                        unit=unit,
                        other=by,
                    ),
                )
            end = max(op.end if op.held_until is None else max(op.end, op.held_until) for op in group)
            if end > busy_until:
                busy_until, by = end, group[0].id


def batches(case: Case) -> Iterator[Violation]:
    """`batch`: alike in place, time and word; the loads fit."""
    shared: dict[str, list[Op]] = {}
    for op in case.ops:
        if op.batch is not None:
            shared.setdefault(op.batch, []).append(op)
    for name, ops in shared.items():
        first = ops[0]
        if first.station is None or case.works.factory.stations[first.station].kind not in ("batch", "line"):
            yield Violation("batch", first.id, text("{station} takes no batches", station=str(first.station)))
            continue
        if all(op.id in case.begun for op in ops):
            continue
        for op in ops[1:]:
            same = (op.station, op.unit, op.start, op.end, batch_word(case, op)) == (
                first.station,
                first.unit,
                first.start,
                first.end,
                batch_word(case, first),
            )
            if not same:
                yield Violation(
                    "batch",
                    op.id,
                    text("does not match {other} of batch {batch}", other=first.id, batch=name),
                )
        load = sum(case.step(op).load for op in ops)
        capacity = case.works.factory.stations[first.station].capacity
        if load > capacity + 1e-9:
            yield Violation(
                "batch",
                first.id,
                text(
                    "batch {batch} loads {load} where {capacity} fit",
                    batch=name,
                    load=float(load),
                    capacity=float(capacity),
                ),
            )


def batch_word(case: Case, op: Op) -> str:
    """The word that must be alike for items to share a batch."""
    return case.step(op).batch or f"{op.product}.{op.part}.{op.step}"


def lines(case: Case) -> Iterator[Violation]:
    """`line`: entries a pitch apart, nobody overtakes."""
    entries: dict[str, dict[str, Op]] = {}
    for op in case.ops:
        if op.station is not None and case.works.factory.stations[op.station].kind == "line":
            entries.setdefault(op.station, {}).setdefault(f"b {op.batch}" if op.batch else op.id, op)
    for station, ops in entries.items():
        pitch = case.works.factory.stations[station].pitch
        row = sorted(ops.values(), key=lambda o: (o.start, o.end, o.id))
        for a, b in itertools.pairwise(row):
            if b.id in case.begun:
                continue
            if b.start - a.start < pitch:
                yield Violation(
                    "line",
                    b.id,
                    text(
                        "enters {gap} after {other}; the pitch is {pitch}",
                        gap=Amount(b.start - a.start, "duration"),
                        other=a.id,
                        pitch=Amount(pitch, "duration"),
                    ),
                )
            if b.end < a.end:
                yield Violation("line", b.id, text("leaves before {other}, which entered first", other=a.id))


def setups(case: Case) -> Iterator[Violation]:
    """`setup`: enough working time to change over between unlike neighbours."""
    for (station, _unit), groups in group_by_unit(case).items():
        rule = case.works.factory.stations[station].setup
        if rule is None:
            continue
        state: str | None = None
        free = case.first
        for group in groups:
            if any(op.id not in case.begun for op in group):
                yield from _one_setup(case, station, group, state, free)
            families = {case.step(op).setup for op in group} - {None}
            state = sorted(str(f) for f in families)[-1] if families else state
            free = max(free, *(op.held_until or op.end for op in group))


def setup_need(case: Case, group: Sequence[Op], state: str | None) -> int:
    """Time to change over before a group of operations, whole minutes. [s]"""
    station = case.works.factory.stations[str(group[0].station)]
    if station.setup is None:
        return 0
    needs = [station.setup.time(state, f) for op in group if (f := case.step(op).setup) is not None]
    return -(-round(max(needs, default=0.0)) // 60) * 60


def _one_setup(
    case: Case, station: str, group: list[Op], state: str | None, free: int
) -> Iterator[Violation]:
    op = group[0]
    need = setup_need(case, group, state)
    begins = [o.setup_start for o in group if o.setup_start is not None]
    if need == 0 and not begins:
        return
    if not begins:
        yield Violation(
            "setup",
            op.id,
            text(
                "{station} is not set up for {family} before it",
                station=station,
                family=str(case.step(op).setup),
            ),
        )
        return
    begin = min(begins)
    crew = case.crew(op)
    done = length(within(case.hours(station, crew), begin, op.start))
    if done < need:
        yield Violation(
            "setup",
            op.id,
            text(
                "its setup takes {need}, there are {got}",
                need=Amount(need, "duration"),
                got=Amount(done, "duration"),
            ),
        )
    if begin < free:
        yield Violation("setup", op.id, text("its setup begins while the place is taken"))
