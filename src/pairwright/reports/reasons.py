"""Why an order ends when it ends: the chain of operations that decides it, and what it waits for.

The chain is walked backwards from the order's last operation: before each operation stands the
one that it waited for longest (the step before, the last part to arrive, the other half). Every
second between the start of the plan and the end of the order then has one cause.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from pairwright.base.words import Amount, Text, text
from pairwright.reports.names import station_name, step_of, step_word
from pairwright.reports.planned import Planned, Span, overlap, union, working_time

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation
    from pairwright.plan.supply import Wait

Cause: TypeAlias = Literal["work", "cure", "setup", "queue", "hours", "fit", "material"]
RESTING = ("rest", "clamp", "stove")  # kinds that take their time whatever one does


@dataclass(frozen=True, slots=True)
class Share:
    """So much time of a chain with one cause; `subject` is a station, step or material. [s]"""

    cause: Cause
    subject: str
    seconds: float
    text: Text


@dataclass(frozen=True, slots=True)
class Link:
    """One operation of a chain: when everything for it was there, what it waited for after that."""

    operation: str
    station: str | None
    ready: int
    start: int
    end: int
    shares: tuple[Share, ...]


def chain_of(plan: Planned, order: str) -> tuple[Link, ...]:
    """The deciding chain of an order, first operation first."""
    operations = plan.orders.get(order, ())
    if not operations:
        return ()
    links: list[Link] = []
    op: Operation | None = max(operations, key=lambda o: (o.end, o.id))
    seen: set[str] = set()
    while op is not None and op.id not in seen:
        seen.add(op.id)
        before = _before(plan, op)
        ready = max(plan.now, before.end if before is not None else plan.now)
        links.append(Link(op.id, op.station, ready, op.start, op.end, _shares(plan, op, before, ready=ready)))
        op = before
    return tuple(reversed(links))


def _before(plan: Planned, op: Operation) -> Operation | None:
    """The operation that this one waited for longest."""
    found = [o for o in plan.items.get(op.item, ()) if o.end <= op.start and o.id != op.id][-1:]
    for item in op.uses:
        found += plan.items.get(item, ())[-1:]
    if op.item == op.set:  # done together: both halves before it
        halves = {o.item for o in plan.sets.get(op.set, ()) if o.side is not None and o.item.count(".") == 1}
        halves |= {o.item for o in plan.sets.get(op.set, ()) if o.item == f"{op.set}.single"}
        for half in halves:
            found += [o for o in plan.items[half] if o.end <= op.start][-1:]
    elif op.item.startswith(f"{op.set}."):
        found += [o for o in plan.items.get(op.set, ()) if o.end <= op.start and _halfway(plan, o, op)][-1:]
    return max(found, key=lambda o: (o.end, o.id), default=None)


def _halfway(plan: Planned, together: Operation, op: Operation) -> bool:
    """Whether a step done together stands before this step in the same route."""
    return bool(together.part == op.part and together.index < op.index and plan.now <= together.start)


def _shares(plan: Planned, op: Operation, before: Operation | None, *, ready: int) -> tuple[Share, ...]:
    shares = [*_waited(plan, op, before, ready=ready), _worked(plan, op)]
    return tuple(s for s in shares if s.seconds > 0)


def _worked(plan: Planned, op: Operation) -> Share:
    """The operation's own time: what cures takes as long as it takes."""
    step = step_of(plan.works, op.product, option=op.option, part=op.part, step=op.step)
    seconds = float(op.end - op.start)
    if step is not None and (step.kind in RESTING or op.station is None):
        return _share("cure", _name(plan, op), seconds, plan=plan)
    return _share("work", "", seconds, plan=plan)


def _name(plan: Planned, op: Operation) -> str:
    """A step by its name, as the middle of a sentence says it."""
    step = step_of(plan.works, op.product, option=op.option, part=op.part, step=op.step)
    name = step.name if step is not None and step.name else step_word(op.step)
    return name[:1].lower() + name[1:]


def _waited(plan: Planned, op: Operation, before: Operation | None, *, ready: int) -> list[Share]:
    """Split the wait before an operation: asked by the recipe, set up, closed, occupied, the rest."""
    start = op.start
    shares: list[Share] = []
    if before is not None:
        asked = _asked(plan, before)
        lag = min(start, max(ready, before.end + round(asked))) - ready
        if lag > 0:
            shares.append(_share("cure", _name(plan, before), float(lag), plan=plan))
            ready += lag
    missing = _missing(plan, op)
    if missing is not None and ready < missing.until <= start:
        shares.append(_share("material", missing.material, float(missing.until - ready), plan=plan))
        ready = missing.until
    if op.setup_start is not None and op.station is not None and max(op.setup_start, ready) < start:
        begin = max(op.setup_start, ready)
        worked = overlap(working_time(plan.works, op.station, begin=begin, end=start), begin, end=start)
        shares.append(_share("setup", op.station, float(worked), plan=plan))
        shares.append(_share("hours", "", float(start - begin - worked), plan=plan))
        start = begin
    if start <= ready:
        return [s for s in shares if s.seconds > 0]
    if op.station is None:
        return [*shares, _share("fit", "", float(start - ready), plan=plan)]
    open_ = working_time(plan.works, op.station, begin=ready, end=start)
    full = _full(plan, op, begin=ready, end=start)
    busy = [(max(a, c), min(b, d)) for a, b in open_ for c, d in full if max(a, c) < min(b, d)]
    queue = sum(b - a for a, b in busy)
    hours = 0
    for a, b in _closed(open_, ready, end=start):
        if any(d == a for _, d in busy) and any(c == b for c, _ in busy):
            queue += b - a  # closed while one stands in the queue
        else:
            hours += b - a
    shares += [
        _share("queue", op.station, float(queue), plan=plan),
        _share("hours", "", float(hours), plan=plan),
        _share("fit", "", float(start - ready - queue - hours), plan=plan),
    ]
    return [s for s in shares if s.seconds > 0]


def _missing(plan: Planned, op: Operation) -> Wait | None:
    """What an operation waited for longest of the materials that were not there."""
    supply = plan.schedule.supply
    some = [wait for wait in supply.waits if wait.operation == op.id] if supply is not None else []
    return max(some, key=lambda wait: (wait.until, wait.material), default=None)


def _asked(plan: Planned, op: Operation) -> float:
    step = step_of(plan.works, op.product, option=op.option, part=op.part, step=op.step)
    return float(step.next_min) if step is not None else 0.0


def _closed(open_: list[Span], begin: int, *, end: int) -> list[Span]:
    """The times of a window that are not in the open ones. [s]"""
    edges = [begin, *(moment for span in open_ for moment in span), end]
    return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b]


def _full(plan: Planned, op: Operation, *, begin: int, end: int) -> list[Span]:
    """When every place of the operation's station was taken by somebody else. [s]"""
    places = plan.works.factory.stations[op.station or ""].places
    taken: dict[int, list[Span]] = {}
    for other in plan.stations.get(op.station or "", ()):
        if other.start >= end:
            break
        until = max(other.end, other.held_until or 0)
        if until > begin and other.id != op.id and (op.batch is None or other.batch != op.batch):
            since = min(other.start, other.setup_start or other.start)
            taken.setdefault(other.unit or 0, []).append((max(since, begin), min(until, end)))
    if len(taken) < places:
        return []
    full = union(next(iter(taken.values())))
    for spans in list(taken.values())[1:]:
        full = [(max(a, c), min(b, d)) for a, b in full for c, d in union(spans) if max(a, c) < min(b, d)]
    return full


def _share(cause: Cause, subject: str, seconds: float, *, plan: Planned) -> Share:
    time = Amount(seconds, "duration")
    if cause == "cure":
        what = text("{step} {time}", time=time, step=subject)
    elif cause == "setup":
        what = text("setting up {station} {time}", time=time, station=station_name(plan.works, subject))
    elif cause == "queue":
        what = text("queue for {station} {time}", time=time, station=station_name(plan.works, subject))
    elif cause == "material":
        what = text("{material} not there {time}", time=time, material=plan.works.materials[subject].name)
    elif cause == "hours":
        what = text("nights, weekends and holidays {time}", time=time)
    elif cause == "work":
        what = text("work {time}", time=time)
    else:
        what = text("free people, a full charge or room ahead {time}", time=time)
    return Share(cause, subject, seconds, what)


def causes(links: Iterable[Link], plan: Planned) -> tuple[Share, ...]:
    """What a chain's time went into, the largest first; the same causes added up."""
    total: dict[tuple[Cause, str], float] = {}
    for link in links:
        for share in link.shares:
            key = (share.cause, share.subject)
            total[key] = total.get(key, 0.0) + share.seconds
    ordered = sorted(total.items(), key=lambda e: (-e[1], e[0]))
    return tuple(_share(cause, subject, seconds, plan=plan) for (cause, subject), seconds in ordered)
