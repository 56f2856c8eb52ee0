"""What has begun by now: what the floor says, and of the rest what can have gone as planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import MINUTE, WEEK
from pairwright.base.words import text
from pairwright.plan.calendar import NEVER, advance, common, expand, flat, stops_of, without
from pairwright.plan.news import News, Row
from pairwright.plan.schedule import Operation, Schedule
from pairwright.works.definition import Works

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Facts:
    """The earlier plan's operations, where they really were, and start and end of what has begun. [s]"""

    operations: tuple[Operation, ...]
    begun: Mapping[str, Span]


def begun_by(works: Works, like: Schedule, *, news: News, known: Mapping[str, Span], now: int) -> Facts:
    """What has begun before now.

    Parameters
    ----------
    works : Works
        With its stops.
    like : Schedule
        The earlier plan.
    news : News
        What the floor says.
    known : Mapping[str, tuple[int, int]]
        What had begun when the earlier plan was made. [s]
    now : int
        [s]

    Notes
    -----
    Where the news says that others went as planned, an operation that was to begin before now has
    begun, unless what goes before it has not ended by then, its station stood still, or its place is
    still taken.
    """
    operations = {op.id: op for op in like.operations}
    told = _told(works, operations, news, now)
    begun = {**known, **{name: span for name, (op, span) in told.items()}}
    operations |= {name: op for name, (op, _) in told.items()}
    if news.others == "as planned":
        begun |= _as_planned(operations, begun, news=news, now=now)
    ended = {str(row.get("operation")) for row in news.of("finished", "late")} | known.keys()
    stops = stops_by(news)
    for name, (start, end) in begun.items():
        op = operations.get(name)
        if op is not None and op.station in stops and name not in ended:
            begun[name] = (start, _prolonged(works, op, (start, end), stops[op.station]))
    if news.others == "not begun":
        running = {str(row.get("operation")) for row in news.of("begun")} - ended
        begun |= {n: (begun[n][0], max(begun[n][1], now)) for n in running}
    return Facts(tuple(operations.values()), begun)


def stops_by(news: News) -> dict[str, list[Span]]:
    """When stations stand still. [s]"""
    found: dict[str, list[Span]] = {}
    for row in news.of("stopped"):
        found.setdefault(str(row.get("station")), []).append((int(row.get("from")), int(row.get("to"))))
    return {name: sorted(spans) for name, spans in found.items()}


def _told(
    works: Works, operations: Mapping[str, Operation], news: News, now: int
) -> dict[str, tuple[Operation, Span]]:
    """Operations that rows are about, where they were, from when to when; whole minutes."""
    found: dict[str, tuple[Operation, Span]] = {}
    for row in news.of("begun", "finished", "late"):
        name = str(row.get("operation"))
        op, (start, end) = found.get(name, (operations[name], (operations[name].start, operations[name].end)))
        lasts = end - start
        if row.get("start") is not None:
            start = int(row.get("start"))
            end = start + lasts
        if row.get("end") is not None:
            end = int(row.get("end"))
            start = (
                min(start, end)
                if row.get("start") or name in found
                else min(start, max(end - lasts, start), end)
            )
        if start >= now or (row.kind == "finished" and end > now):
            raise InputError(
                Problem(row.where, "start" if start >= now else "end", text("before now"),
                        shown(row.get("start") or row.get("end")), text("correct it, or say what is now"))
            )  # fmt: skip
        start = start // MINUTE * MINUTE
        end = max(start + MINUTE, -(-end // MINUTE) * MINUTE)
        found[name] = (_placed(works, op, row), (start, end))
    return found


def _placed(works: Works, op: Operation, row: Row) -> Operation:
    """The operation at the station and place that the row says."""
    station, unit = row.get("station"), row.get("unit")
    if station is None and unit is None:
        return op
    step = works.variants[op.product, op.option].parts[op.part].steps[op.index]
    name = station or op.station
    if name not in [alternative.station for alternative in step.stations]:
        raise InputError(
            Problem(row.where, "station", text("a station of the step: {names}",
                    names=", ".join(a.station for a in step.stations) or "none"), shown(name), text("correct it"))
        )  # fmt: skip
    place = works.factory.stations[name]
    if not 0 <= int(unit or 0) < place.places:
        raise InputError(
            Problem(row.where, "unit", text("a place from 0 to {last}", last=place.places - 1), shown(unit),
                    text("correct it"))
        )  # fmt: skip
    people = step.people if step.people is not None else place.people
    crew = (step.crew or place.crew) if place.manned and people else None
    unit = int(unit) if unit is not None else (op.unit if name == op.station else 0)
    return replace(op, station=name, unit=unit, crew=crew, batch=op.batch if name == op.station else None)


# as planned


def _as_planned(
    operations: Mapping[str, Operation], begun: Mapping[str, Span], *, news: News, now: int
) -> dict[str, Span]:
    """Operations that were to begin before now, less those that can't have begun."""
    stops = stops_by(news)
    over = _failed(operations, news)
    gone = {str(row.get("order")) for row in news.of("cancelled")}
    some = {
        op.id: (op.start, op.end)
        for op in operations.values()
        if op.id not in begun and _first(op) < now and op.order not in gone and not _stood_still(op, stops)
    }
    before = before_of(operations)
    held = _following(operations)
    users = _users(operations.values())
    while True:
        every = {**begun, **some}
        out = [
            name
            for name in some
            if any(b not in every or every[b][1] > operations[name].start or b in over for b in before[name])
            or _taken(operations[name], users, every, held)
        ]
        if not out:
            return some
        for name in out:
            del some[name]


def _first(op: Operation) -> int:
    return op.start if op.setup_start is None else min(op.start, op.setup_start)


def _stood_still(op: Operation, stops: Mapping[str, list[Span]]) -> bool:
    return any(a <= _first(op) < b or a <= op.start < b for a, b in stops.get(op.station or "", ()))


def _failed(operations: Mapping[str, Operation], news: News) -> set[str]:
    """Operations behind which nothing went on: pieces were lost there or sent back."""
    rows = news.of("scrapped", "rework", "batch lost")
    named = {row.get("operation") for row in rows}
    batches = {row.get("batch") for row in rows} - {None}
    return {
        o.id for o in operations.values() if o.id in named or (o.batch is not None and o.batch in batches)
    }


def before_of(operations: Mapping[str, Operation]) -> dict[str, list[str]]:
    """Of each operation those that must have ended before it: of its item, its parts, its set."""
    items: dict[str, list[Operation]] = {}
    for op in sorted(operations.values(), key=lambda o: (o.start, o.end, o.id)):
        items.setdefault(op.item, []).append(op)
    found: dict[str, list[str]] = {}
    for some in items.values():
        for n, op in enumerate(some):
            row = [some[n - 1].id] if n else []
            row += [items[used][-1].id for used in op.uses if used in items]
            if op.item == op.set:
                halves = [
                    i for i in items if i.startswith(f"{op.set}.") and i.count(".") == op.set.count(".") + 1
                ]
                row += [last.id for half in halves if (last := _last_before(items[half], op)) is not None
                        and last.part == op.part]  # fmt: skip
            else:
                last = _last_before(items.get(op.set, []), op)
                row += (
                    [last.id] if last is not None and last.part == op.part and last.index < op.index else []
                )
            found[op.id] = row
    return found


def _last_before(some: list[Operation], op: Operation) -> Operation | None:
    found = [o for o in some if o.end <= op.start]
    return found[-1] if found else None


def _following(operations: Mapping[str, Operation]) -> dict[str, str]:
    """Of each operation that keeps its place the one that frees it."""
    starts: dict[tuple[str, int], str] = {}
    for op in operations.values():
        starts.setdefault((op.set, op.start), op.id)
    by_item = {(op.item, op.start): op.id for op in operations.values()}
    return {
        op.id: by_item.get((op.item, op.held_until)) or starts.get((op.set, op.held_until), "")
        for op in operations.values()
        if op.held_until is not None
    }


def _users(operations: Iterable[Operation]) -> dict[tuple[str, int], list[Operation]]:
    """Operations of each place in order of start."""
    found: dict[tuple[str, int], list[Operation]] = {}
    for op in operations:
        if op.station is not None:
            found.setdefault((op.station, op.unit or 0), []).append(op)
    for some in found.values():
        some.sort(key=lambda o: (o.start, o.id))
    return found


def _taken(
    op: Operation, users: Mapping[tuple[str, int], list[Operation]], begun: Mapping[str, Span],
    held: Mapping[str, str],
) -> bool:  # fmt: skip
    """Whether somebody who begun before was still at the place."""
    if op.station is None:
        return False
    for other in reversed(users[op.station, op.unit or 0]):
        if other.start >= op.start or (op.batch is not None and other.batch == op.batch):
            continue
        if other.id not in begun:
            return False
        return begun[other.id][1] > _first(op) or (other.id in held and held[other.id] not in begun)
    return False


def _prolonged(works: Works, op: Operation, span: Span, stops: list[Span]) -> int:
    """The end of an operation that its station's stops interrupted. [s]"""
    start, end = span
    for first, last in stops:
        if not start < first < end:
            continue
        if op.station is None or not works.factory.stations[op.station].manned:
            end += last - first
            continue
        pieces = op.pieces or ((op.start, op.end),)
        shift = start - op.start
        left = sum(max(0, b + shift - max(a + shift, first)) for a, b in pieces)
        end = _worked(works, op, last, left)
    return -(-end // MINUTE) * MINUTE


def _worked(works: Works, op: Operation, at: int, left: int) -> int:
    """When so much work is done, from a moment on, in the hours of station and crew. [s]"""
    factory, zone = works.factory, works.zone
    station = factory.stations[op.station or ""]
    horizon = 8 * WEEK // MINUTE
    at = -(-at // MINUTE) * MINUTE
    hours = expand(factory.calendars[station.calendar], zone, origin=at, horizon=horizon)
    if op.crew is not None:
        crew = factory.calendars[factory.crews[op.crew].calendar]
        hours = common(hours, expand(crew, zone, origin=at, horizon=horizon))
    hours = without(hours, stops_of(station.maintenance, zone, origin=at, horizon=horizon))
    done = advance(flat(hours), 0, work=-(-left // MINUTE))
    return at + MINUTE * done if done < NEVER else at + left
