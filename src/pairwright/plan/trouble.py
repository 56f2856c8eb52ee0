"""What news of the floor does to works, orders, stock and plan: the state that a plan goes on from."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import MINUTE, iso, local_date
from pairwright.base.words import Text, text
from pairwright.plan.live import Fate, Gone, Live
from pairwright.plan.news import LASTING, News, Row, read_news
from pairwright.plan.reserve import needs_by_step, reserve, sources
from pairwright.plan.schedule import Operation, Schedule
from pairwright.plan.stock import covered_items, settled_items
from pairwright.plan.trouble_facts import Facts, begun_by, stops_by
from pairwright.works.definition import Works
from pairwright.works.factory import Absence, Maintenance
from pairwright.works.need import MaterialNeed
from pairwright.works.orders import Book, Lot, Order, Purchase


@dataclass(frozen=True, slots=True)
class Floor:
    """What an earlier plan knew of the floor; `stock_at` is the moment that its stock was counted. [s]"""

    stock_at: int
    begun: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    void: frozenset[str] = frozenset()
    pinned: frozenset[str] = frozenset()
    fates: Mapping[tuple[str, str, int], Fate] = field(default_factory=dict)
    covered: tuple[str, ...] | None = None
    news: tuple[Mapping[str, object], ...] = ()  # rows that are still true


@dataclass(frozen=True, slots=True)
class Hit:
    """The operations of the earlier plan that a row of news strikes."""

    row: Row
    operations: frozenset[str]


@dataclass(frozen=True, slots=True)
class Troubled:
    """Everything that a plan that goes on is made from."""

    works: Works
    book: Book
    like: Schedule
    live: Live
    stock_at: int
    hits: tuple[Hit, ...]
    lasting: tuple[Mapping[str, object], ...] = ()  # rows that are still true


def troubled(
    works: Works, book: Book, *, like: Schedule, news: News, floor: Floor,
    needs: Sequence[MaterialNeed] = (), now: int | None = None,
) -> Troubled:  # fmt: skip
    """The works as the news leaves it.

    Parameters
    ----------
    works, book
        The definition; the orders and the stock as the earlier plan had them.
    like : Schedule
        The earlier plan.
    news : News
        What has happened.
    floor : Floor
        What the earlier plan knew.
    needs : Sequence[MaterialNeed]
        What each step uses up: what has begun has taken it from the stock.
    now : int
        The moment that counts as now; else what the news says, else its last moment. [s]
    """
    now = _now(like, news, now)
    _check_names(book, like, news)
    ordered = _to_order(works, like, now) if news.others == "as planned" else ()
    every = News((*_lasting(works, book, like, floor), *ordered, *news.rows))
    after = with_absences(with_stops(works, every), every)
    facts = begun_by(after, like, news=news, known=floor.begun, now=now)
    stock_at = news.last("stock") or floor.stock_at
    later = _less_used(works, _orders(works, book, every), facts, needs=needs, since=stock_at, news=every)
    covered = floor.covered if floor.covered is not None else tuple(sorted(covered_items(works, book)))
    later = replace(later, begun=_begun_as(facts))
    known = {order.order for order in like.orders}
    later = replace(later, covered=tuple(sorted(settled_items(works, later, given=covered, orders=known))))
    orders = {order.id for order in later.orders}
    kept = tuple(op for op in facts.operations if op.order in orders)
    live = Live(
        now, begun={op.id: facts.begun[op.id] for op in kept if op.id in facts.begun}, void=floor.void,
        pinned=floor.pinned | {str(row.get("operation")) for row in news.of("pinned")},
        loose=frozenset(str(row.get("order")) for row in news.of("loose")),
        fates={**floor.fates, **_fates(works, like, news, facts)}, away=tuple(_gone(every)),
    )  # fmt: skip
    rows = tuple({**row.raw, **_counted_at(row, now, works)} for row in every.of(*LASTING))
    hits = tuple(_hits(after, like, news, facts))
    return Troubled(after, later, replace(like, operations=kept), live, stock_at, hits, rows)


def _lasting(works: Works, book: Book, like: Schedule, floor: Floor) -> Iterator[Row]:
    """Rows of earlier news that are still true, less those that the files have caught up with."""
    read = read_news(
        [("plan", row) for row in floor.news], works, operations={op.id for op in like.operations}
    )
    orders = {order.id for order in book.orders}
    purchases = {one.id for one in book.purchases}
    lots = {one.id for one in book.lots}
    for row in read.rows:
        gone = row.kind == "cancelled" and row.get("order") not in orders | {None}
        done = row.kind == "ordered" and row.get("order") in orders
        new = row.kind == "purchased" and row.get("material") is None and row.get("purchase") not in purchases
        lost = row.kind == "lot" and row.get("material") is None and row.get("lot") not in lots
        if row.kind in LASTING and not (gone or done or new or lost):
            yield row


def _to_order(works: Works, like: Schedule, now: int) -> Iterator[Row]:
    """What the earlier plan said must be ordered then has been ordered then, if all went as planned."""
    short: dict[str, float] = {}
    for day in like.supply.days if like.supply is not None and now > like.now else ():
        short[day.material] = short.get(day.material, 0.0) + day.short
    for material, quantity in short.items():
        if quantity > 0:
            lead = round(works.materials[material].lead_time or 0.0)
            arrives = local_date(like.now + lead, works.zone)
            values = {
                "purchase": f"{material}-{arrives:%y%m%d}"[-40:].lstrip("-"), "material": material,
                "quantity": quantity,
            }  # fmt: skip
            raw = {"news": "purchased", **values, "arrives": arrives.isoformat()}
            yield Row("purchased", {**values, "arrives": arrives}, "plan", raw)


def _counted_at(row: Row, now: int, works: Works) -> dict[str, object]:
    """The moment at which a lot was counted."""
    return {"at": iso(now, works.zone)} if row.kind == "lot" and row.get("at") is None else {}


def _now(like: Schedule, news: News, now: int | None) -> int:
    """The moment that counts, a whole minute."""
    if now is None:
        now = news.last("now")
    if now is None:
        said = [
            int(row.get(n)) for row in news.of("begun", "finished") for n in ("start", "end") if row.get(n)
        ]
        now = max([like.now, *(int(row.get("from")) for row in news.of("stopped")), *said])
    if now < like.now:
        raise InputError(
            Problem(
                "news", "now", text("not before the plan that it is about"), shown(now), text("correct it")
            )
        )
    return -(-now // MINUTE) * MINUTE


def _check_names(book: Book, like: Schedule, news: News) -> None:
    """Orders, purchases, lots and batches that rows are about must be there; new ones must be whole."""
    orders = {order.id for order in book.orders}
    purchases = {one.id for one in book.purchases}
    lots = {one.id for one in book.lots}
    batches = {op.batch for op in like.operations}
    problems: list[Problem] = []

    def tell(row: Row, name: str, must_be: Text) -> None:
        problems.append(
            Problem(row.where, name, must_be, shown(row.get(name)), text("correct it, or add it"))
        )

    for row in news.rows:
        if row.kind in ("cancelled", "loose") and row.get("order") not in (None, *orders):
            tell(row, "order", text("an order of the book"))
        if row.kind == "cancelled" and row.get("purchase") not in (None, *purchases):
            tell(row, "purchase", text("a purchase that is under way"))
        if row.kind == "batch lost" and row.get("batch") not in batches:
            tell(row, "batch", text("a batch of the plan"))
        if row.kind == "purchased" and row.get("purchase") not in purchases:
            for name in ("material", "quantity", "arrives"):
                if row.get(name) is None:
                    tell(row, name, text("given: a new purchase needs it"))
        if row.kind == "lot":
            if row.get("lot") not in lots and row.get("material") is None:
                tell(row, "material", text("given: a new lot needs it"))
            lots.add(row.get("lot"))
    if problems:
        raise InputError(problems)


# the works


def with_stops(works: Works, news: News) -> Works:
    """Stations that stand still, as planned stops."""
    stations = dict(works.factory.stations)
    for row in news.of("stopped"):
        name, start, end = str(row.get("station")), int(row.get("from")), int(row.get("to"))
        start, end = start // MINUTE * MINUTE, -(-end // MINUTE) * MINUTE
        if end > start:
            stop = Maintenance.model_construct(
                start=datetime.fromtimestamp(start, tz=UTC), length=float(end - start),
                reason=row.get("reason") or "stands still",
            )  # fmt: skip
            station = stations[name]
            stations[name] = station.model_copy(update={"maintenance": (*station.maintenance, stop)})
    if stations == works.factory.stations:
        return works
    return replace(works, factory=works.factory.model_copy(update={"stations": stations}))


def with_absences(works: Works, news: News) -> Works:
    """People who are away, as absences of their crews."""
    crews = dict(works.factory.crews)
    for row in news.of("absent"):
        name = str(row.get("crew"))
        people = min(int(row.get("people")), crews[name].people)
        away = Absence.model_construct(
            from_=row.get("first"), to=row.get("last"), people=people, reason=row.get("reason") or ""
        )
        crews[name] = crews[name].model_copy(update={"absences": (*crews[name].absences, away)})
    if not news.of("absent"):
        return works
    return replace(works, factory=works.factory.model_copy(update={"crews": crews}))


def _gone(news: News) -> Iterator[Gone]:
    for row in news.of("away"):
        start, end = int(row.get("from")), int(row.get("to"))
        carrier = row.get("carrier")
        count = int(row.get("count") or 1) if carrier else 0
        yield Gone(
            str(carrier or row.get("setup")), start // MINUTE * MINUTE, -(-end // MINUTE) * MINUTE, count
        )


# orders and stock


def _less_used(
    works: Works, book: Book, facts: Facts, *, needs: Sequence[MaterialNeed], since: int, news: News
) -> Book:
    """The stock without what has been used up by what has begun since it was counted."""
    if not needs:
        return book
    begun = [
        replace(op, start=facts.begun[op.id][0])
        for op in facts.operations
        if op.id in facts.begun and facts.begun[op.id][0] >= since
    ]
    counted = {str(row.get("lot")): int(row.get("at") or news.last("now") or since) for row in news.of("lot")}
    used: dict[tuple[str, str], float] = {}
    for one in reserve(sources(works, book, now=since), needs_by_step(needs), begun):
        for taken in one.taken:
            if taken.kind != "lot" or one.at >= counted.get(taken.id, since):
                used[taken.kind, taken.id] = used.get((taken.kind, taken.id), 0.0) + taken.amount
    lots = [replace(x, quantity=x.quantity - used.get(("lot", x.id), 0.0)) for x in book.lots]
    coming = [replace(x, quantity=x.quantity - used.get(("purchase", x.id), 0.0)) for x in book.purchases]
    return replace(
        book, lots=tuple(x for x in lots if x.quantity > 0),
        purchases=tuple(x for x in coming if x.quantity > 0),
    )  # fmt: skip


def _orders(works: Works, book: Book, news: News) -> Book:
    """Orders, purchases and lots as the news leaves them."""
    orders = {order.id: order for order in book.orders}
    purchases = {one.id: one for one in book.purchases}
    lots = {one.id: one for one in book.lots}
    for row in news.rows:
        if row.kind == "ordered":
            orders[str(row.get("order"))] = _order(works, row)
        elif row.kind == "cancelled":
            orders.pop(str(row.get("order")), None)
            purchases.pop(str(row.get("purchase")), None)
        elif row.kind == "purchased":
            before = purchases.get(str(row.get("purchase")))
            purchases[str(row.get("purchase"))] = _purchase(row, before)
        elif row.kind == "lot":
            lots[str(row.get("lot"))] = _lot(row, lots.get(str(row.get("lot"))))
    return replace(
        book, orders=tuple(orders.values()), lots=tuple(one for one in lots.values() if one.quantity > 0),
        purchases=tuple(one for one in purchases.values() if one.quantity > 0),
    )  # fmt: skip


def _order(works: Works, row: Row) -> Order:
    product = str(row.get("product"))
    option = row.get("option") or next(o for p, o in works.variants if p == product)
    return Order(
        str(row.get("order")), product, option, int(row.get("quantity")), row.get("due"),
        float(row.get("weight") or 1.0), row.get("released"), row.get("customer") or "",
    )  # fmt: skip


def _purchase(row: Row, before: Purchase | None) -> Purchase:
    made = before or Purchase(
        str(row.get("purchase")), str(row.get("material")), float(row.get("quantity")), row.get("arrives")
    )
    quantity, arrives = row.get("quantity"), row.get("arrives")
    return replace(
        made, quantity=made.quantity if quantity is None else quantity, arrives=arrives or made.arrives
    )


def _lot(row: Row, before: Lot | None) -> Lot:
    made = before or Lot(
        str(row.get("lot")), str(row.get("material")), 0.0, row.get("received"), row.get("expiry")
    )
    return replace(made, quantity=float(row.get("quantity")))


def _begun_as(facts: Facts) -> tuple[tuple[str, str], ...]:
    """Sets that have begun, with the product that they were begun as."""
    return tuple(sorted({(op.set, op.product) for op in facts.operations if op.id in facts.begun}))


# what was lost or sent back


def _fates(works: Works, like: Schedule, news: News, facts: Facts) -> dict[tuple[str, str, int], Fate]:
    """What became of steps: by item (or set), step, and how often it had been begun before."""
    found: dict[tuple[str, str, int], Fate] = {}
    names = {op.id for op in like.operations}
    gone = {str(row.get("order")) for row in news.of("cancelled")}
    for row in news.of("scrapped", "rework", "batch lost"):
        for op in struck(row, facts, gone):
            if row.kind != "rework":
                op = _with_mate(works, op, facts)
            turn = sum(f"{op.id}/lost-{n}" in names for n in range(1, 10))
            found[op.item, op.step, turn] = "again" if row.kind == "rework" else "lost"
    return found


def _with_mate(works: Works, op: Operation, facts: Facts) -> Operation:
    """The step up to which a piece is lost: where its mate is lost with it, as far as either has come."""
    product = works.variants[op.product, op.option]
    paired = op.part == product.root or product.parts[op.part].leaf
    if op.side is None or not paired or product.binding != "early" or product.lost_half == "mate again":
        return op
    other = "right" if op.side == "left" else "left"
    twin = op.item.replace(f"{op.set}.{op.side}", f"{op.set}.{other}", 1)
    begun = [o for o in facts.operations if o.item == twin and o.id in facts.begun and not o.rework]
    furthest = max((o.index for o in begun), default=-1)
    if furthest <= op.index:
        return op
    return next(o for o in facts.operations if o.item == op.item and o.index == furthest and not o.rework)


def struck(row: Row, facts: Facts, gone: Collection[str] = ()) -> list[Operation]:
    """The begun operations at which pieces were lost or sent back: of each piece the last.

    Parameters
    ----------
    row : Row
        What the news says.
    facts : Facts
        What has begun.
    gone : Collection[str]
        Orders that fell through: nothing of theirs counts.
    """
    some = [op for op in facts.operations if op.id in facts.begun and not op.rework]
    if row.kind == "batch lost":
        pieces = {op.item for op in some if op.batch == row.get("batch")}
    else:
        pieces = {row.get("item") or str(row.get("operation")).rpartition("/")[0]}
    last: dict[str, Operation] = {}
    for op in sorted(some, key=lambda o: (facts.begun[o.id][0], o.index)):
        if op.item in pieces:
            last[op.item] = op
    named = {op.order for op in facts.operations if op.item in pieces}
    began = row.kind == "batch lost" or row.get("item") or row.get("operation") in facts.begun
    if (not last or not began) and not named & set(gone):
        raise InputError(
            Problem(row.where, "operation" if row.get("operation") else "item", text("something that has begun"),
                    shown(row.get("operation") or row.get("item")), text("say first that it has begun, or correct it"))
        )  # fmt: skip
    return list(last.values())


# who is struck


def _hits(works: Works, like: Schedule, news: News, facts: Facts) -> Iterator[Hit]:
    stops = stops_by(news)
    gone = {str(row.get("order")) for row in news.of("cancelled")}
    for row in news.rows:
        some: Iterable[str] = ()
        if row.kind == "stopped":
            spans = stops.get(str(row.get("station")), [])
            some = (op.id for op in like.operations if op.station == row.get("station")
                    and any(a < op.end and (op.setup_start or op.start) < b for a, b in spans))  # fmt: skip
        elif row.kind in ("scrapped", "rework", "batch lost"):
            some = (op.id for op in struck(row, facts, gone))
        elif row.kind in ("late", "begun", "finished"):
            some = (str(row.get("operation")),)
        elif row.kind == "away":
            start, end = int(row.get("from")), int(row.get("to"))
            some = (op.id for op in like.operations if op.start < end and start < op.end
                    and (op.carrier == row.get("carrier") if row.get("carrier")
                         else _family(works, op) == row.get("setup")))  # fmt: skip
        elif row.kind == "absent":
            some = (op.id for op in like.operations if op.crew == row.get("crew"))
        elif row.kind in ("ordered", "cancelled", "loose"):
            some = (op.id for op in like.operations if op.order == row.get("order"))
        yield Hit(row, frozenset(some))


def _family(works: Works, op: Operation) -> str | None:
    return works.variants[op.product, op.option].parts[op.part].steps[op.index].setup
