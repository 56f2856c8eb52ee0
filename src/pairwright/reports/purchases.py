"""What to buy and by when: what the plan uses up, against stock that expires and what is coming."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, TypeAlias

from pairwright.base.time import local_midnight
from pairwright.process import consumption
from pairwright.reports.figures import State
from pairwright.reports.planned import Planned
from pairwright.works.orders import Book
from pairwright.works.shelf import lot_until, purchase_until

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation

Uses: TypeAlias = Mapping[tuple[str, str, str, str], tuple[tuple[str, float], ...]]


@dataclass(frozen=True, slots=True)
class Need:
    """So much of a material at a moment, in the material's unit."""

    at: int
    amount: float


@dataclass(frozen=True, slots=True)
class Purchase:
    """One material: what is needed, what is there, what is missing and from when on.

    Amounts are in the material's unit. `short_from` is when stock and arrivals no longer cover the
    need; `order_by` is that less the lead time. `late` arrivals come after they are wanted; `wasted`
    expires before it can be used.
    """

    material: str
    name: str
    unit: str
    needed: float
    on_hand: float
    coming: float
    missing: float
    wasted: float
    late: float
    short_from: int | None
    order_by: int | None
    lead_time: float | None
    money: float
    needs: tuple[tuple[int, float], ...]  # missing amounts by local day
    state: State


@dataclass(slots=True)
class _Stock:
    """A lot or an arrival while it is drawn from."""

    since: int
    until: int | None
    left: float
    coming: bool


def uses_of(plan: Planned) -> Uses:
    """What each step in the plan uses up per item: the same for all its items."""
    found: dict[tuple[str, str, str, str], tuple[tuple[str, float], ...]] = {}
    for op in plan.schedule.operations:
        key = (op.product, op.option, op.part, op.step)
        if key not in found:
            found[key] = consumption(plan.works, op.product, option=op.option, part=op.part, step=op.step)
    return found


def needs_of(plan: Planned, uses: Uses) -> dict[str, list[Need]]:
    """Needs of every material in order of time."""
    needs: dict[str, list[Need]] = {}
    op: Operation
    for op in sorted(plan.schedule.operations, key=lambda o: (o.start, o.id)):
        for material, amount in uses[op.product, op.option, op.part, op.step]:
            needs.setdefault(material, []).append(Need(op.start, amount))
    return needs


def purchases(plan: Planned, book: Book, *, week_end: int) -> tuple[Purchase, ...]:
    """Net requirement of every material that the plan uses, the most pressing first.

    Parameters
    ----------
    plan : Planned
        The plan.
    book : Book
        Stock lots and purchases under way.
    week_end : int
        What must be ordered before this is to be watched. [s]

    Notes
    -----
    Lots are used first-expiring first; a lot is of no use after the end of its expiry day, or of its
    shelf life where none is stated. An arrival counts from the start of its day and is fresh.
    Sealed recipes use what their steps state beside the recipe.
    """
    rows = [
        _net(plan, book, material, needs, week_end=week_end)
        for material, needs in needs_of(plan, uses_of(plan)).items()
    ]
    return tuple(sorted(rows, key=_pressing))


def _pressing(row: Purchase) -> tuple[int, float, str]:
    return (0 if row.missing > 0 else 1, row.order_by if row.order_by is not None else 1e18, row.material)


def _net(plan: Planned, book: Book, material: str, needs: list[Need], *, week_end: int) -> Purchase:
    zone = plan.works.zone
    found = plan.works.materials[material]

    def at(day: date) -> int:
        return local_midnight(day, zone)

    shelf = [
        _Stock(plan.now, lot_until(lot, found, zone=zone), lot.quantity, False)
        for lot in book.lots
        if lot.material == material
    ]
    shelf += [
        _Stock(at(p.arrives), purchase_until(p, found, zone=zone), p.quantity, True)
        for p in book.purchases
        if p.material == material
    ]
    on_hand = sum(s.left for s in shelf if not s.coming)
    coming = sum(s.left for s in shelf if s.coming)
    missing: dict[int, float] = {}
    late = 0.0
    for need in needs:
        short = need.amount - _draw(shelf, need)
        if short > 1e-9:
            late += _early(shelf, need, short)
            missing[need.at] = missing.get(need.at, 0.0) + short
    wasted = sum(s.left for s in shelf if s.until is not None and s.until < plan.end)
    first = min(missing, default=None)
    order_by = None if first is None else first - round(found.lead_time or 0.0)
    lead = None if found.lead_time is None else float(found.lead_time)
    total = sum(missing.values())
    return Purchase(
        material, found.name, found.unit, sum(n.amount for n in needs), on_hand, coming, total, wasted, late, first,
        order_by, lead, total * found.price, tuple(sorted(missing.items())),
        _state(order_by, now=plan.now, week_end=week_end),
    )  # fmt: skip


def _draw(shelf: list[_Stock], need: Need) -> float:
    """Take from what is there at the moment, the first to expire first; how much was got."""
    got = 0.0
    usable = [
        s for s in shelf if s.since <= need.at and (s.until is None or need.at < s.until) and s.left > 0
    ]
    for stock in sorted(usable, key=lambda s: (s.until if s.until is not None else 1 << 60, s.since)):
        part = min(stock.left, need.amount - got)
        stock.left -= part
        got += part
        if got >= need.amount - 1e-12:
            break
    return got


def _early(shelf: list[_Stock], need: Need, short: float) -> float:
    """How much of a shortage is on its way, but comes too late."""
    return min(short, sum(s.left for s in shelf if s.coming and s.since > need.at))


def _state(order_by: int | None, *, now: int, week_end: int) -> State:
    """Broken where even an order today comes too late; watch where it must be ordered this week."""
    if order_by is None:
        return "fine"
    if order_by < now:
        return "broken"
    return "watch" if order_by < week_end else "fine"
