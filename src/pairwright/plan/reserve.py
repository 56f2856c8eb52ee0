"""Lots and purchases reserved for operations in the order in which the plan needs them.

At each moment what expires first is taken first. Taken in order of time this is as good as any
other way: if all needs of a material can be met at their moments at all, this meets them
(intervals of use against points of need).

References
----------
F. Glover, "Maximum matching in a convex bipartite graph", Naval Research Logistics Quarterly 14
(1967) 313-316: the earliest-ending interval first is a largest matching (from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.time import local_midnight
from pairwright.plan.schedule import Operation
from pairwright.works.definition import Works
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book
from pairwright.works.shelf import lot_until, purchase_until

Kind: TypeAlias = Literal["lot", "purchase", "to order"]
Needs: TypeAlias = Mapping[tuple[str, str, str, str], tuple[tuple[str, float], ...]]
FOREVER: Final = 1 << 60
CRUMB: Final = 1e-9  # shares of a need below this are rounding


@dataclass(slots=True)
class Source:
    """Material of one lot or purchase while it is reserved; usable in [since, until). [s]"""

    kind: Kind
    id: str
    since: int
    until: int
    left: float


@dataclass(frozen=True, slots=True)
class Taken:
    """So much of a source for one operation, in the material's unit."""

    kind: Kind
    id: str
    amount: float


@dataclass(frozen=True, slots=True)
class Reservation:
    """What one operation needs of one material, where it comes from, and when it is there. [s]

    `ready` is the operation's own start where everything is there by then. `bound` is when the last
    of its sources comes: it can't begin before.
    """

    operation: str
    order: str
    material: str
    amount: float
    at: int
    ready: int
    bound: int
    taken: tuple[Taken, ...]

    @property
    def to_order(self) -> float:
        """How much must still be ordered, in the material's unit."""
        return sum(t.amount for t in self.taken if t.kind == "to order")


def needs_by_step(needs: Iterable[MaterialNeed]) -> Needs:
    """Needs looked up by product, option, part and step."""
    found: dict[tuple[str, str, str, str], list[tuple[str, float]]] = {}
    for need in needs:
        key = (need.product, need.option, need.part, need.step)
        found.setdefault(key, []).append((need.material, need.amount))
    return {key: tuple(some) for key, some in found.items()}


def sources(works: Works, book: Book, *, now: int) -> dict[str, list[Source]]:
    """What is on hand, under way, and could be ordered now, by material; first to expire first.

    Notes
    -----
    An arrival counts from the start of its day; one that is overdue is taken to come at once. What is
    ordered now comes after the material's lead time, as much as is wanted and fresh; without a stated
    lead time it is taken to come at once.
    """
    zone = works.zone
    found: dict[str, list[Source]] = {
        name: [Source("to order", "", now + round(material.lead_time or 0.0), FOREVER, float("inf"))]
        for name, material in works.materials.items()
    }
    for lot in book.lots:
        until = lot_until(lot, works.materials[lot.material], zone=zone)
        since = now if lot.received is None else max(now, local_midnight(lot.received, zone))
        row = Source("lot", lot.id, since, FOREVER if until is None else until, lot.quantity)
        found[lot.material].append(row)
    for purchase in book.purchases:
        until = purchase_until(purchase, works.materials[purchase.material], zone=zone)
        since = max(now, local_midnight(purchase.arrives, zone))
        row = Source("purchase", purchase.id, since, FOREVER if until is None else until, purchase.quantity)
        found[purchase.material].append(row)
    for some in found.values():
        some.sort(key=lambda s: (s.kind == "to order", s.until, s.since, s.kind, s.id))
    return found


def reserve(
    shelf: Mapping[str, Sequence[Source]],
    needs: Needs,
    operations: Iterable[Operation],
    ordered: Collection[tuple[str, str]] = (),
) -> tuple[Reservation, ...]:
    """Reservations in order of start; takes from the shelf.

    Parameters
    ----------
    shelf : Mapping[str, Sequence[Source]]
        By material, as `sources` gives it; what is taken is gone from it.
    needs : Needs
        By step.
    operations : Iterable[Operation]
        Of a plan.
    ordered : Collection[tuple[str, str]]
        Operations with a material that will be ordered for them, whatever is under way.

    Notes
    -----
    What is not all there at an operation's start waits for the first moment at which stock and arrivals
    cover it together; only what they never cover is ordered.
    """
    found: list[Reservation] = []
    for op in sorted(operations, key=lambda o: (o.start, o.id)):
        for material, amount in needs.get((op.product, op.option, op.part, op.step), ()):
            some = shelf[material]
            ready = _ready(some, amount, at=op.start, order=(op.id, material) in ordered)
            taken, bound = _take(some, amount, at=ready)
            found.append(Reservation(op.id, op.order, material, amount, op.start, ready, bound, taken))
    return tuple(found)


def _usable(source: Source, at: int) -> bool:
    return source.left > 0 and source.since <= at < source.until


def _ready(some: Sequence[Source], amount: float, *, at: int, order: bool) -> int:
    """The first moment from a start on at which there is enough. [s]"""
    own = [s for s in some if s.kind != "to order"]
    bought = max((s.since for s in some if s.kind == "to order"), default=at)
    if order and bought <= at:
        return at
    for moment in (at, *sorted({s.since for s in own if s.since > at and s.left > 0})):
        if sum(s.left for s in own if _usable(s, moment)) >= amount * (1.0 - CRUMB):
            return moment
    return max(at, bought)


def _take(some: Sequence[Source], amount: float, *, at: int) -> tuple[tuple[Taken, ...], int]:
    """Take an amount at a moment; what was taken, and since when all of it is there."""
    taken: list[Taken] = []
    left, bound = amount, 0
    for source in some:
        if left <= amount * CRUMB:
            break
        if not _usable(source, at):
            continue
        part = min(source.left, left)
        source.left -= part
        left -= part
        bound = max(bound, source.since)
        taken.append(Taken(source.kind, source.id, part))
    return tuple(taken), bound
