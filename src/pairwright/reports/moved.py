"""What a plan that went on has moved, in words: which order is later, by how much, because of what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from pairwright.base.time import HOUR, local_midnight
from pairwright.base.words import Amount, Text, text
from pairwright.reports.names import station_name
from pairwright.works import Works

if TYPE_CHECKING:
    from pairwright.plan.live import Move
    from pairwright.plan.news import Row
    from pairwright.plan.schedule import Operation, Schedule
    from pairwright.plan.trouble import Hit

MOST: int = 12  # orders that are told one by one
DEPTH: int = 6  # of "because ... because ..."


@dataclass(frozen=True, slots=True)
class Traced:
    """Two plans with what struck the first, looked up by what the telling asks for."""

    works: Works
    before: Mapping[str, Operation]
    after: Mapping[str, Operation]
    orders: Mapping[str, tuple[Operation, ...]]  # moved operations of each order, first first
    stations: Mapping[str, tuple[Operation, ...]]  # moved or new operations of each station, as they are now
    hits: tuple[Hit, ...]
    waits: Mapping[str, str]  # of each order the material that it waits for longest
    vain: dict[str, int] = field(default_factory=dict)  # orders that know no cause, asked how deep down


def difference(
    works: Works, before: Schedule, after: Schedule, *, hits: Sequence[Hit], moved: Sequence[Move]
) -> tuple[Text, ...]:
    """What has changed between two plans, the largest change first.

    Parameters
    ----------
    works : Works
        The definition.
    before, after : Schedule
        The plan that was gone on from, and the new one.
    hits : Sequence[Hit]
        What each row of news struck.
    moved : Sequence[Move]
        Operations that begin at another time.
    """
    if after.status not in ("optimal", "feasible"):
        return (text("there is no plan"), *after.reasons)
    traced = _traced(works, before, after, hits, moved)
    old = {o.order: o.completion for o in before.orders}
    new = {o.order: o for o in after.orders}
    said: list[Text] = []
    for name in [o for o in new if o not in old]:
        row = new[name]
        late = text(", {late} late", late=Amount(row.late, "duration")) if row.late else text("")
        said.append(
            text("order {order} is new: done {end}{late}", order=name, end=Amount(row.completion, "instant"),
                 late=late)
        )  # fmt: skip
    said += [text("order {order} is left out", order=name) for name in old if name not in new]
    shifts = sorted(((abs(new[o].completion - old[o]), o) for o in old if o in new), reverse=True)
    shifts = [(by, o) for by, o in shifts if by]
    for by, order in shifts[:MOST]:
        said.append(
            _shift(traced, order, by, later=new[order].completion > old[order], end=new[order].completion)
        )
    if len(shifts) > MOST:
        said.append(text("{n} more orders move by less", n=len(shifts) - MOST))
    if not shifts:
        said.append(text("no order's completion moves"))
    return tuple(said)


def _traced(
    works: Works, before: Schedule, after: Schedule, hits: Sequence[Hit], moved: Sequence[Move]
) -> Traced:
    old = {op.id: op for op in before.operations}
    new = {op.id: op for op in after.operations}
    names = {m.operation for m in moved} | {name for name in new if name not in old}
    orders: dict[str, list[Operation]] = {}
    stations: dict[str, list[Operation]] = {}
    for name in names:
        op = new.get(name)
        if op is None:
            continue
        orders.setdefault(op.order, []).append(old.get(name, op))
        if op.station is not None:
            stations.setdefault(op.station, []).append(op)
    longest: dict[str, tuple[int, str]] = {}
    for wait in after.supply.waits if after.supply is not None else ():
        longest[wait.order] = max(longest.get(wait.order, (0, "")), (wait.until, wait.material))
    return Traced(
        works, old, new,
        {k: tuple(sorted(v, key=lambda o: (o.start, o.id))) for k, v in orders.items()},
        {k: tuple(sorted(v, key=lambda o: (o.start, o.id))) for k, v in stations.items()},
        tuple(hits), {k: v[1] for k, v in longest.items()},
    )  # fmt: skip


def _shift(traced: Traced, order: str, by: int, *, later: bool, end: int) -> Text:
    time, moment = Amount(by, "duration"), Amount(end, "instant")
    if not later:
        return text("order {order} is {time} earlier, done {end}", order=order, time=time, end=moment)
    because = _because(traced, order, frozenset())
    if because is None:
        return text("order {order} is {time} later, done {end}", order=order, time=time, end=moment)
    return text(
        "order {order} is {time} later, done {end}, because {cause}",
        order=order, time=time, end=moment, cause=because,
    )  # fmt: skip


def _because(traced: Traced, order: str, seen: frozenset[str]) -> Text | None:
    """What struck an order itself, else the order whose trouble took its place.

    An order that was asked in vain is not asked again with as few questions left.
    """
    for hit in _own(traced, order):
        return cause(traced.works, hit.row)
    if len(seen) < min(DEPTH, traced.vain.get(order, DEPTH)):
        for op in traced.orders.get(order, ()):
            for other in _in_the_way(traced, op):
                if other.order in seen or other.order == order:
                    continue
                found = _because(traced, other.order, seen | {order})
                if found is not None:
                    return text("order {other} needs {station} then, because {cause}", other=other.order,
                                station=station_name(traced.works, other.station), cause=found)  # fmt: skip
        traced.vain[order] = len(seen)
    news = [
        hit.row for hit in traced.hits if hit.row.kind not in ("now", "others", "stock", "begun", "finished")
    ]
    return cause(traced.works, news[0]) if len(news) == 1 else None


def _own(traced: Traced, order: str) -> Iterator[Hit]:
    """News that struck operations of an order which have moved, or that they come after."""
    moved = {op.id for op in traced.orders.get(order, ())}
    for hit in traced.hits:
        own = {
            name for name in hit.operations if name in traced.before and traced.before[name].order == order
        }
        if hit.row.kind in ("stopped", "absent", "away"):
            own = own & moved
        if own and hit.row.kind not in ("pinned", "loose"):
            yield hit
    material = traced.waits.get(order)
    if material is not None:
        for hit in traced.hits:
            if hit.row.kind in ("purchased", "lot", "cancelled") and hit.row.get("material") in (
                None,
                material,
            ):
                yield hit


def _in_the_way(traced: Traced, op: Operation) -> Iterator[Operation]:
    """Moved operations that are at the station of an operation while that had to wait."""
    now = traced.after.get(op.id, op)
    for other in traced.stations.get(op.station or "", ()):
        if other.id != op.id and other.start < now.start and op.start < other.end:
            yield other


def cause(works: Works, row: Row) -> Text:
    """What a row of news says, as the end of a sentence."""
    kind = row.kind
    if kind == "stopped":
        return text("{station} stands still until {to}", station=station_name(works, row.get("station")),
                    to=Amount(int(row.get("to")), "instant"))  # fmt: skip
    if kind in ("late", "begun", "finished"):
        return _ran(row)
    if kind == "scrapped":
        return text("{what} was scrapped", what=str(row.get("item") or row.get("operation")))
    if kind == "rework":
        return text("{what} goes back for rework", what=str(row.get("item") or row.get("operation")))
    if kind == "batch lost":
        return text("batch {batch} was lost", batch=str(row.get("batch")))
    if kind == "absent":
        crew = works.factory.crews[str(row.get("crew"))]
        return text("{n} of {crew} are away until {day}", n=int(row.get("people")),
                    crew=crew.name or str(row.get("crew")), day=_day(works, row.get("last")))  # fmt: skip
    if kind == "away":
        return text("{what} is away until {to}", what=str(row.get("carrier") or row.get("setup")),
                    to=Amount(int(row.get("to")), "instant"))  # fmt: skip
    return _traded(works, row)


def _ran(row: Row) -> Text:
    name = str(row.get("operation"))
    if row.get("end") is not None:
        return text("{operation} ends {end}", operation=name, end=Amount(int(row.get("end")), "instant"))
    return text("{operation} began {start}", operation=name, start=Amount(int(row.get("start")), "instant"))


def _traded(works: Works, row: Row) -> Text:
    """News of orders and material."""
    if row.kind == "ordered":
        return text("order {order} came in", order=str(row.get("order")))
    if row.kind == "cancelled":
        return text("{what} fell through", what=str(row.get("order") or row.get("purchase")))
    if row.kind == "purchased" and row.get("arrives") is not None:
        return text(
            "{purchase} comes {day}", purchase=str(row.get("purchase")), day=_day(works, row.get("arrives"))
        )
    if row.kind == "lot":
        return text("lot {lot} is short", lot=str(row.get("lot")))
    return text("of the news about {what}", what=row.kind)


def _day(works: Works, day: date) -> Amount:
    return Amount(local_midnight(day, works.zone) + 12 * HOUR, "date")  # noon: the same day anywhere
