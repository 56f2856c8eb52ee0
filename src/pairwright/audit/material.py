"""Rules of what is used up: `material` and `pot`. Shelf lives and arrivals are reckoned here anew."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final

from pairwright.audit.case import Case
from pairwright.audit.hours import local_moment
from pairwright.audit.reading import Op, Violation, read_moment
from pairwright.base.errors import shown
from pairwright.base.words import Amount, text
from pairwright.works.material import Adhesive, Coating
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book

CLOSE: Final = 1e-6  # shares of an amount
NEVER: Final = 1 << 60


@dataclass(frozen=True, slots=True)
class Stock:
    """A lot or purchase: usable in [since, until), UTC seconds."""

    since: int
    until: int
    quantity: float


def materials(
    case: Case, document: Mapping[str, Any], *, book: Book, needs: Sequence[MaterialNeed]
) -> Iterator[Violation]:
    """`material` and `pot`, for a plan that counts material; one that says it does not is not judged.

    Parameters
    ----------
    case : Case
        The plan.
    document : Mapping[str, Any]
        What it says of its materials.
    book : Book
        Lots and purchases.
    needs : Sequence[MaterialNeed]
        What each step uses up.
    """
    if not needs or document.get("materials") is None:
        return
    uses: dict[str, list[tuple[Op, float]]] = {}
    by_step: dict[tuple[str, str, str, str], list[MaterialNeed]] = {}
    for need in needs:
        by_step.setdefault((need.product, need.option, need.part, need.step), []).append(need)
    for op in case.ops:
        for need in by_step.get((op.product, op.option, op.part, op.step), ()):
            uses.setdefault(need.material, []).append((op, need.amount))
    shelf = _shelf(case, book)
    for material, some in sorted(uses.items()):
        yield from _enough(case, material, some, list(shelf[material].values()))
    yield from _rows(case, document, uses, shelf)
    yield from _pots(case, document, uses)


def _shelf(case: Case, book: Book) -> dict[str, dict[tuple[str, str], Stock]]:
    """Lots and purchases of each material, by kind and id."""
    zone = case.works.zone
    found: dict[str, dict[tuple[str, str], Stock]] = {name: {} for name in case.works.materials}

    def end_of(day: date | None, fresh: date | None, material: str) -> int:
        life = case.works.materials[material].shelf_life
        if day is None and fresh is not None and life is not None:
            day = fresh + timedelta(seconds=int(life) // 86400 * 86400)
        return NEVER if day is None else local_moment(day, 1440, zone)

    for lot in book.lots:
        since = case.now if lot.received is None else local_moment(lot.received, 0, zone)
        until = end_of(lot.expiry, lot.received, lot.material)
        found[lot.material]["lot", lot.id] = Stock(max(case.now, since), until, lot.quantity)
    for coming in book.purchases:
        since = max(case.now, local_moment(coming.arrives, 0, zone))
        until = end_of(None, coming.arrives, coming.material)
        found[coming.material]["purchase", coming.id] = Stock(since, until, coming.quantity)
    return found


def _orderable(case: Case, material: str) -> int:
    """From when on what is ordered now can be there."""
    return case.now + round(case.works.materials[material].lead_time or 0.0)


def _enough(
    case: Case, material: str, uses: list[tuple[Op, float]], stocks: list[Stock]
) -> Iterator[Violation]:
    """Whether all uses can be met: at each moment from what expires first."""
    later = sorted(stocks, key=lambda s: -s.since)
    open_: list[tuple[int, int, float]] = []  # until, number, left
    orderable = _orderable(case, material)
    for op, amount in sorted(uses, key=lambda row: (row[0].start, row[0].id)):
        while later and later[-1].since <= op.start:
            stock = later.pop()
            heapq.heappush(open_, (stock.until, len(later), stock.quantity))
        left = amount
        while open_ and left > amount * CLOSE:
            until, number, there = heapq.heappop(open_)
            if until <= op.start:
                continue
            left -= there
            if left < 0:
                heapq.heappush(open_, (until, number, -left))
        if left > amount * CLOSE and op.start < orderable:
            yield Violation(
                "material",
                op.id,
                text(
                    "{amount} {unit} of {material} are missing at {moment}",
                    amount=float(left),
                    unit=case.works.materials[material].unit,
                    material=material,
                    moment=Amount(op.start, "instant"),
                ),
            )


def _rows(
    case: Case, document: Mapping[str, Any], uses: Mapping[str, list[tuple[Op, float]]],
    shelf: Mapping[str, Mapping[tuple[str, str], Stock]],
) -> Iterator[Violation]:  # fmt: skip
    """What the plan says of its needs by day, against its operations and the stock."""
    zone = case.works.zone
    wanted: dict[tuple[str, str], float] = {}
    for material, some in uses.items():
        for op, amount in some:
            day = datetime.fromtimestamp(op.start, UTC).astimezone(zone).date()
            wanted[material, day.isoformat()] = wanted.get((material, day.isoformat()), 0.0) + amount
    rows = document["materials"]
    drawn: dict[tuple[str, str], float] = {}
    for row in rows if isinstance(rows, list) else []:
        try:
            material, day = str(row["material"]), date.fromisoformat(row["date"])
            need, short = float(row["need"]), float(row["short"])
            sources = [(_source(one), float(one["amount"])) for one in row["from"]]
        except (KeyError, TypeError, ValueError, AttributeError):
            yield Violation(
                "unreadable", "materials", text("this is no need of a day: {got}", got=shown(row))
            )
            continue
        must = wanted.pop((material, day.isoformat()), 0.0)
        total = sum(amount for _, amount in sources) + short
        if not (_near(need, must) and _near(total, must)) or short < 0 or any(a < 0 for _, a in sources):
            yield _said(material, day, text("{must} is needed that day, as its operations say", must=must))
            continue
        if short > 0 and local_moment(day, 1440, zone) <= _orderable(case, material):
            yield _said(material, day, text("what is ordered now comes later"))
        for key, amount in sources:
            stock = shelf[material].get(key)
            if stock is None:
                yield _said(material, day, text("there is no {kind} {id} of it", kind=key[0], id=key[1]))
                continue
            drawn[key] = drawn.get(key, 0.0) + amount
            outside = (
                local_moment(day, 1440, zone) <= stock.since or local_moment(day, 0, zone) >= stock.until
            )
            if outside or drawn[key] > stock.quantity * (1 + CLOSE):
                yield _said(
                    material, day, text("{kind} {id} has not so much that day", kind=key[0], id=key[1])
                )
    for material, missing in sorted(wanted):
        yield Violation("material", material, text("its need of {day} is not listed", day=missing))


def _source(one: Mapping[str, Any]) -> tuple[str, str]:
    kind = "lot" if "lot" in one else "purchase"
    return kind, str(one[kind])


def _near(got: float, must: float) -> bool:
    return abs(got - must) <= CLOSE * max(1.0, must)


def _said(material: str, day: date, what: Any) -> Violation:
    return Violation("material", material, text("{day}: {what}", day=day.isoformat(), what=what))


def _pots(
    case: Case, document: Mapping[str, Any], uses: Mapping[str, list[tuple[Op, float]]]
) -> Iterator[Violation]:
    """`pot`: each use of a mixed material begins within the life of one pot that was mixed for it."""
    wanted: dict[tuple[str, str], tuple[Op, float]] = {}
    for material, some in uses.items():
        record = case.works.materials[material]
        if isinstance(record, Adhesive | Coating) and record.pot_life is not None:
            wanted |= {(material, op.id): (op, amount) for op, amount in some if op.station is not None}
    pots = document.get("pots")
    for pot in pots if isinstance(pots, list) else []:
        try:
            material, station, names = str(pot["material"]), str(pot["station"]), list(pot["operations"])
            mixed, until, amount = read_moment(pot["mixed"]), read_moment(pot["until"]), float(pot["amount"])
        except (KeyError, TypeError, ValueError):
            yield Violation("unreadable", "pots", text("this is no pot: {got}", got=shown(pot)))
            continue
        total = 0.0
        for name in names:
            found = wanted.pop((material, str(name)), None)
            if found is None:
                yield Violation("pot", str(name), text("takes no {material}, or twice", material=material))
                continue
            total += found[1]
            start = found[0].start
            inside = mixed is not None and until is not None and (mixed <= start < until or start == mixed)
            if found[0].station != station or not inside:
                yield Violation(
                    "pot", str(name), text("its pot of {material} is not there then", material=material)
                )
        life = float(getattr(case.works.materials.get(material), "pot_life", None) or 0.0)
        if mixed is None or until is None or until - mixed > life or not _near(amount, total):
            yield Violation("pot", material, text("a pot that is older than {life}, or not as much as its uses",
                            life=Amount(life, "duration")))  # fmt: skip
    for material, name in sorted(wanted):
        yield Violation("pot", name, text("no pot of {material} is mixed for it", material=material))
