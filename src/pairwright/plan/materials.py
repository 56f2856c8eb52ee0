"""A plan that counts material: nothing begins before what it needs is there.

First a quick plan tells in which order the operations want their material. Lots and purchases are
reserved in that order, and each operation is bound to what is reserved for it: it can't begin
before the last of it comes. Then the plan is searched. Reserved anew at the starts that were found,
what expires or is missing pushes its operation on, until nothing is short.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from pairwright.base.time import HOUR, local_date, local_midnight
from pairwright.base.words import Amount, Text, text
from pairwright.plan.reserve import Needs, Reservation, needs_by_step, reserve, sources
from pairwright.plan.schedule import Operation, Schedule
from pairwright.plan.supply import DayNeed, Drawn, Pot, Supply, Wait
from pairwright.works.definition import Works
from pairwright.works.material import Adhesive, Coating
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book

ROUNDS: Final = 30
PATIENT: Final = 10  # rounds; what is short after them waits for what is ordered now

Ready: TypeAlias = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Planner:
    """Three ways to plan with operations that begin no earlier than stated.

    `first` is quick, `full` is searched, `again` carries out the decisions of an earlier plan.
    """

    first: Callable[[Ready], Schedule]
    full: Callable[[Ready], Schedule]
    again: Callable[[Schedule, Ready], Schedule]


def supplied_plan(
    works: Works,
    book: Book,
    *,
    needs: Sequence[MaterialNeed],
    now: int,
    planner: Planner,
    done: frozenset[str] = frozenset(),
    known: Ready | None = None,
    claims: Mapping[str, int] | None = None,
) -> Schedule:
    """A plan in which no operation uses more than is there.

    Parameters
    ----------
    works, book, needs
        The definition, the orders with stock and purchases, what every step uses up.
    now : int
        When the plan begins, UTC. [s]
    planner : Planner
        How to plan.
    done : frozenset[str]
        Operations that have their material already, such as those that have begun.
    known : Mapping[str, int]
        Earliest starts of an earlier plan, to begin with instead of a quick plan's. [s]
    claims : Mapping[str, int]
        Starts in an earlier plan: an operation that still begins then has its material before others. [s]

    Returns
    -------
    Schedule
        With its `supply`; a plan that was not found is answered as it is.
    """
    steps = needs_by_step(needs)
    ordered: set[tuple[str, str]] = set()

    def reserved(schedule: Schedule) -> tuple[Reservation, ...]:
        operations = [op for op in schedule.operations if op.id not in done]
        shelf = sources(works, book, now=now)
        first = [op for op in operations if claims is not None and claims.get(op.id) == op.start]
        found = reserve(shelf, steps, first, ordered)
        claimed = {op.id for op in first}
        found += reserve(shelf, steps, [op for op in operations if op.id not in claimed], ordered)
        ordered.update((r.operation, r.material) for r in found if r.to_order > 0)
        return found

    ready = dict(known or {})
    if known is None:
        quick = planner.first({})
        if not _found(quick):
            return quick
        ready = _bounds(reserved(quick), now)
    schedule = planner.full(ready)
    found = reserved(schedule)
    for turn in range(ROUNDS):
        pushed = [r for r in found if r.ready > r.at]
        if not _found(schedule) or not pushed:
            break
        for one in pushed:
            wanted = max(one.bound, one.ready)
            if turn >= PATIENT:
                lead = works.materials[one.material].lead_time or 0.0
                wanted = max(wanted, now + round(lead))
                ordered.add((one.operation, one.material))
            ready[one.operation] = max(ready.get(one.operation, 0), wanted)
        schedule = planner.again(schedule, ready)
        found = reserved(schedule)
    if not _found(schedule):
        return schedule
    relaxed = _relaxed(schedule, found, ready, planner, reserved, now)
    return _told(works, *relaxed, now=now, steps=steps, done=done)


def _found(schedule: Schedule) -> bool:
    return schedule.status in ("optimal", "feasible")


def _bounds(found: Iterable[Reservation], now: int) -> dict[str, int]:
    """When the reserved material of each operation is there; what is there already binds nobody."""
    ready: dict[str, int] = {}
    for one in found:
        if one.bound > now:
            ready[one.operation] = max(ready.get(one.operation, 0), one.bound)
    return ready


def _relaxed(
    schedule: Schedule, found: tuple[Reservation, ...], ready: dict[str, int], planner: Planner,
    reserved: Callable[[Schedule], tuple[Reservation, ...]], now: int,
) -> tuple[Schedule, tuple[Reservation, ...], dict[str, int]]:  # fmt: skip
    """The same decisions bound by the last reservations alone, where that is no worse."""
    bounds = _bounds(found, now)
    if all(bounds.get(name, 0) >= at for name, at in ready.items()):
        return schedule, found, bounds
    other = planner.again(schedule, bounds)
    if not _found(other) or other.objectives > schedule.objectives:
        return schedule, found, ready
    again = reserved(other)
    if any(r.ready > r.at for r in again):
        return schedule, found, ready
    return other, again, bounds


# What the plan says of it


def _told(
    works: Works, schedule: Schedule, found: tuple[Reservation, ...], ready: dict[str, int], *, now: int,
    steps: Needs, done: frozenset[str],
) -> Schedule:  # fmt: skip
    to_come = [op for op in schedule.operations if op.id not in done]
    waits = tuple(_waits(schedule, found, now))
    supply = Supply(
        days=tuple(_days(works, found)), waits=waits, pots=tuple(_pots(works, to_come, steps)),
        ready=tuple(sorted(ready.items())),
    )  # fmt: skip
    notes = (*schedule.notes, *_notes(works, waits), *_overdrawn(found))
    return replace(schedule, supply=supply, notes=notes)


def _days(works: Works, found: Iterable[Reservation]) -> Iterable[DayNeed]:
    """Needs by material and local day, in order of both."""
    rows: dict[tuple[str, object], list[Reservation]] = {}
    for one in found:
        rows.setdefault((one.material, local_date(one.at, works.zone)), []).append(one)
    for (material, _), some in sorted(rows.items(), key=lambda row: (row[0][0], row[1][0].at)):
        drawn: dict[tuple[str, str], float] = {}
        for one in some:
            for taken in one.taken:
                key = (taken.kind, taken.id)
                drawn[key] = drawn.get(key, 0.0) + taken.amount
        short = drawn.pop(("to order", ""), 0.0)
        yield DayNeed(
            material, local_date(some[0].at, works.zone), sum(one.amount for one in some),
            tuple(Drawn(kind, name, amount) for (kind, name), amount in sorted(drawn.items())), short,
        )  # fmt: skip


def _waits(schedule: Schedule, found: Iterable[Reservation], now: int) -> Iterable[Wait]:
    """Operations that everything but their material would let begin sooner."""
    by_id = {op.id: op for op in schedule.operations}
    routes: dict[tuple[str, str], list[Operation]] = {}
    ends: dict[str, int] = {}
    for op in schedule.operations:
        routes.setdefault((op.set, op.part), []).append(op)
        ends[op.item] = max(ends.get(op.item, now), op.end)
    for one in found:
        op = by_id[one.operation]
        if one.bound > now and _free(op, routes[op.set, op.part], ends, now) < one.bound:
            yield Wait(one.order, one.operation, one.material, one.bound, one.to_order > 0)


def _free(op: Operation, route: Sequence[Operation], ends: Mapping[str, int], now: int) -> int:
    """When everything that goes before an operation is done. [s]"""
    before = [
        o.end for o in route if o.index < op.index and (o.item == op.item or op.set in (o.item, op.item))
    ]
    return max([now, *before, *(ends.get(used, now) for used in op.uses)])


def _notes(works: Works, waits: Iterable[Wait]) -> Iterable[Text]:
    """Of each order the material that it waits for longest."""
    longest: dict[str, Wait] = {}
    for wait in waits:
        if wait.order not in longest or wait.until > longest[wait.order].until:
            longest[wait.order] = wait
    for order, wait in sorted(longest.items()):
        noon = local_midnight(local_date(wait.until, works.zone), works.zone) + 12 * HOUR
        name, day = works.materials[wait.material].name, Amount(noon, "date")  # noon: the same day anywhere
        if wait.to_order:
            yield text("{order} waits for {material}, which must be ordered now to come by {date}",
                       order=order, material=name, date=day)  # fmt: skip
        else:
            yield text("{order} waits for {material} until {date}", order=order, material=name, date=day)


def _overdrawn(found: Iterable[Reservation]) -> Iterable[Text]:
    """What is still short when the rounds are over: said, and the audit says it too."""
    for one in found:
        if one.ready > one.at:
            yield text("{operation} has not all its {material} at its start",
                       operation=one.operation, material=one.material)  # fmt: skip


def _pots(works: Works, operations: Iterable[Operation], steps: Needs) -> Iterable[Pot]:
    """What is mixed at each station: used by operations that begin before the pot life is over."""
    uses: dict[tuple[str, str], list[tuple[Operation, float]]] = {}
    for op in sorted(operations, key=lambda o: (o.start, o.id)):
        for name, amount in steps.get((op.product, op.option, op.part, op.step), ()):
            material = works.materials[name]
            if isinstance(material, Adhesive | Coating) and material.pot_life is not None and op.station:
                uses.setdefault((name, op.station), []).append((op, amount))
    for (name, station), some in sorted(uses.items()):
        material = works.materials[name]
        life = int(material.pot_life or 0.0) if isinstance(material, Adhesive | Coating) else 0
        row: list[tuple[Operation, float]] = []
        for op, amount in some:
            if row and op.start >= row[0][0].start + max(life, 1):
                yield _pot(name, station, life, row)
                row = []
            row.append((op, amount))
        yield _pot(name, station, life, row)


def _pot(material: str, station: str, life: int, row: Sequence[tuple[Operation, float]]) -> Pot:
    mixed = row[0][0].start
    return Pot(material, station, mixed, mixed + life, sum(amount for _, amount in row),
               tuple(op.id for op, _ in row))  # fmt: skip
