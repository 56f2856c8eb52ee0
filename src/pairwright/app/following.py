"""The plan follows the floor: the kept plan, gone on from as the record says things are.

What has begun lies where it really lay. The rest goes on by the rules of a plan that goes on from
trouble: what can stay stays. The answer follows from the record, the plan and the moment alone.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.planning import read_plan
from pairwright.app.replanning import KEPT, TRIES, KeptPlan, Replanned, go_on, judged_live, plan_from
from pairwright.base.digests import digest_bytes
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import MINUTE, iso
from pairwright.base.words import Text, Words, text
from pairwright.works.orders import PartStock

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from pairwright.app.following_facts import Facts
    from pairwright.app.following_slots import Pieces
    from pairwright.app.opened import Opened
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading
    from pairwright.floor.things import Item, Set
    from pairwright.plan.freezing import Asked
    from pairwright.plan.schedule import Operation, Schedule
    from pairwright.plan.trouble import Hit, Troubled
    from pairwright.reports.reality import Reality
    from pairwright.works import Book

STILL: Final = ("stopped", "absent", "away")  # what a record says nothing of
FIELD: Final = "followed"  # of a plan's document: what it took from the record


@dataclass(frozen=True, slots=True)
class Followed:
    """A plan that followed the floor, what reality did to the one before, and what could not be mapped."""

    replanned: Replanned
    reality: Reality
    told: tuple[Text, ...]
    trail: Mapping[str, Any]
    now: int

    @property
    def found(self) -> bool:
        """Whether there is a plan, and the audit agrees with it."""
        return self.replanned.found

    @property
    def schedule(self) -> Schedule:
        """The plan as it is now."""
        return self.replanned.result.schedule

    @property
    def plan(self) -> dict[str, Any]:
        """The plan's document, to be kept."""
        return {**self.replanned.result.document, FIELD: dict(self.trail)}

    def as_json(self, words: Words) -> dict[str, Any]:
        """The public shape: a plan with what moved, what was told, and reality against plan."""
        zone = self.replanned.trouble.works.zone
        return {
            **self.replanned.as_json(words),
            FIELD: dict(self.trail),
            "told": [words.say(one) for one in self.told],
            "reality": self.reality.as_json(zone),
        }


def follow(floor: Floor, *, actor: str, plan: Path | None = None, now: int | None = None) -> Followed:
    """Go on from the kept plan as the record says things are.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    actor : str
        Who asks, by id.
    plan : Path | None
        A plan document instead of the works' kept plan.
    now : int | None
        The moment that counts as now; by default that of the record's last event. [s]

    Raises
    ------
    InputError
        When there is no plan to follow, or the moment lies before the record's last event.
    """
    del actor  # a reading act
    body = read_plan(plan or _kept_at(floor))
    with floor.record.reading() as reading:
        return followed(floor.opened, reading, body=body, where=str(plan or KEPT), now=now)


def _kept_at(floor: Floor) -> Path:
    path = floor.folder / KEPT
    if not path.is_file():
        raise InputError(
            Problem(str(path), "file", text("the works' kept plan"), "no such file",
                    text("plan first: pairwright plan {works} --json --out {path}",
                         works=str(floor.folder), path=str(path)))
        )  # fmt: skip
    return path


def followed(
    opened: Opened, reading: Reading, *, body: Mapping[str, Any], where: str, now: int | None = None
) -> Followed:
    """Go on from a plan's document over one state of the record.

    Parameters
    ----------
    opened : Opened
        The works.
    reading : Reading
        One state of its record.
    body : Mapping[str, Any]
        The plan's document.
    where : str
        Where it came from, for messages.
    now : int | None
        The moment that counts as now. [s]
    """
    from pairwright.app.following_facts import on_hold
    from pairwright.reports.moved import difference
    from pairwright.reports.reality import reality_of

    kept = plan_from(body, where)
    trail = _trail(body)
    now = _moment(reading, kept.schedule, now)
    seen = _seen(opened, reading, kept, trail=trail, now=now)
    case = _case(seen, kept, now=now)
    counted = kept.schedule.supply is not None
    frozen, works = go_on(seen.opened, case, asked=_asked(), counted=counted)
    result = judged_live(seen.opened, case, frozen, counted=counted)
    planned = _planned(kept, seen.facts, trail)
    hits = tuple(_hits(seen, kept, planned))
    says = difference(works, kept.schedule, frozen.schedule, hits=hits, moved=frozen.moved)
    case = replace(case, hits=hits)
    reality = reality_of(
        _compared(seen, frozen.schedule), planned=planned, begun=seen.facts.begun, running=seen.facts.open,
        recorded=seen.facts.recorded, now=now,
    )  # fmt: skip
    told = (*seen.pieces.told, *seen.facts.told, *_assumed(seen.facts), *on_hold(seen.pieces))
    made = _trail_of(reading, seen.pieces, planned, opened.works.zone)
    return Followed(Replanned(result, kept.schedule, frozen, case, says), reality, told, made, now)


@dataclass(frozen=True, slots=True)
class _Seen:
    """The floor as a plan needs it."""

    opened: Opened
    book: Book
    covered: tuple[str, ...]
    pieces: Pieces
    facts: Facts
    operations: Mapping[str, Operation]  # the plan's, begun ones where they really were


def _seen(opened: Opened, reading: Reading, kept: KeptPlan, *, trail: Mapping[str, Any], now: int) -> _Seen:
    from pairwright.app.following_facts import Reader
    from pairwright.app.following_slots import covered_by, pieces_of, slots_of
    from pairwright.plan.stock import settled_items

    works, like = opened.works, kept.schedule
    items, sets = _things(reading)
    book = _book(opened, reading, items, like=like)
    given = kept.floor.covered if kept.floor.covered is not None else covered_by(works, book, like)
    orders = {row.order for row in like.orders}
    covered = settled_items(works, book, given=given, orders=orders)
    starts: dict[str, int] = {}
    for op in like.operations:
        starts[op.item] = min(op.start, starts.get(op.item, op.start))
    slots = slots_of(works, book, covered=covered)
    pieces = pieces_of(slots, items, sets, known=trail["items"], starts=starts)
    plan = {op.id: op for op in like.operations}
    opened = replace(opened, book=book, recorded=now)
    facts = Reader(works, pieces, plan, lasts=_lasts(opened), now=now).read()
    return _Seen(opened, book, given, pieces, facts, plan | facts.operations)


def _case(seen: _Seen, kept: KeptPlan, *, now: int) -> Troubled:
    """The state that the plan goes on from."""
    from pairwright.plan.news import read_news
    from pairwright.plan.trouble import Floor as Known
    from pairwright.plan.trouble import troubled

    facts, like = seen.facts, kept.schedule
    known = Known(
        stock_at=now, begun=facts.begun, void=frozenset(facts.void),
        pinned=kept.floor.pinned - facts.begun.keys(), fates=facts.fates, covered=seen.covered,
        news=tuple(row for row in kept.floor.news if row.get("news") in STILL),
    )  # fmt: skip
    news = read_news(
        [("record", {"news": "others", "are": "not begun"})], seen.opened.works, operations=seen.operations
    )
    return troubled(
        seen.opened.works, seen.book, like=replace(like, operations=tuple(seen.operations.values())), news=news,
        floor=known, needs=seen.opened.needs if like.supply is not None else (), now=now,
    )  # fmt: skip


def _compared(seen: _Seen, after: Schedule) -> list[Operation]:
    """What has begun, and of the rest what orders that are still open are yet to do."""
    orders = {order.id for order in seen.book.orders}
    left = {op.id for op in after.operations} or seen.operations.keys()
    return [
        op for name, op in seen.operations.items()
        if name in seen.facts.begun or (op.order in orders and name in left)
    ]  # fmt: skip


def _asked() -> Asked:
    from pairwright.plan.freezing import SHARE, Asked

    return Asked(share=SHARE, tries=TRIES)


# what is read


def _trail(body: Mapping[str, Any]) -> dict[str, Any]:
    """What the plan took from the record, if it followed it already."""
    raw = body.get(FIELD)
    row = raw if isinstance(raw, Mapping) else {}
    items, planned = row.get("items"), row.get("planned")
    found: dict[str, tuple[int, int]] = {}
    for name, span in planned.items() if isinstance(planned, Mapping) else ():
        try:
            start, end = (round(datetime.fromisoformat(one).timestamp()) for one in span)
        except (TypeError, ValueError):
            continue
        found[str(name)] = (start, end)
    names = {str(a): str(b) for a, b in items.items()} if isinstance(items, Mapping) else {}
    return {"items": names, "planned": found, "follows": bool(row)}


def _trail_of(
    reading: Reading, pieces: Pieces, planned: Mapping[str, tuple[int, int]], zone: ZoneInfo
) -> dict[str, Any]:
    head = reading.head()
    return {
        "sequence": head.sequence, "hash": head.hash, "items": pieces.names,
        "planned": {name: [iso(a, zone), iso(b, zone)] for name, (a, b) in sorted(planned.items())},
    }  # fmt: skip


def _moment(reading: Reading, like: Schedule, stated: int | None) -> int:
    """The next whole minute after what was recorded, or the stated moment where that is later."""
    last = reading.last_time()
    least = max(like.now, -1 if last is None else last // MINUTE * MINUTE + MINUTE)
    if stated is not None and last is not None and stated < last:
        raise InputError(
            Problem("command line", "--now", text("not before the record's last event"), shown(stated),
                    text("leave it out, or name a later moment"))
        )  # fmt: skip
    return max(least, stated or 0)


def _things(reading: Reading) -> tuple[list[Item], list[Set]]:
    """Every item and set of the record."""
    from pairwright.floor.things import Item, Set

    state = reading.state()
    found = [state.thing(one.id) for kind in ("item", "set") for one in reading.every(kind)]
    return [t for t in found if isinstance(t, Item)], [t for t in found if isinstance(t, Set)]


def _book(opened: Opened, reading: Reading, items: list[Item], *, like: Schedule) -> Book:
    """Orders and stock as the record has them: an order counts with its shipped sets until all have left.

    Parts in stock count with those that are built into what open orders are made of.
    """
    from pairwright.app.record_book import book_now

    works, state = opened.works, reading.state()
    book = book_now(works, reading)
    orders = []
    for order in book.orders:
        whole = state.order(order.id)
        orders.append(order if whole is None else replace(order, quantity=int(whole.quantity)))
    open_ = {order.id for order in orders}
    by_id = {item.id: item for item in items}
    used: Counter[tuple[str, str, str, str | None]] = Counter()
    for item in items:
        holder = by_id.get(item.used_in or item.into or "")
        gone = holder is None or item.scrapped or holder.scrapped
        if item.finished and not gone and holder is not None and _order_of(holder) in open_:
            used[item.product or "", item.option or "", item.part or "", item.side] += 1
    parts = [
        *book.parts,
        *(PartStock(p, o, part, n, side) for (p, o, part, side), n in sorted(used.items(), key=str)),
    ]
    begun = {op.set: op.product for op in like.operations if op.start < like.now}
    begun |= {item.set: item.product for item in items if item.set and item.product and item.done}
    return replace(book, orders=tuple(orders), parts=tuple(parts), begun=tuple(sorted(begun.items())))


def _order_of(item: Item) -> str | None:
    return item.order or (item.set.rpartition("-")[0] if item.set else None)


def _lasts(opened: Opened) -> dict[tuple[str, str, str, str], int]:
    """The likely duration of each step, at the station that is named first. [s]"""
    found: dict[tuple[str, str, str, str], int] = {}
    for row in opened.times:
        found.setdefault(
            (row.product, row.option, row.part, row.step), -(-round(row.likely) // MINUTE) * MINUTE
        )
    return found


def _planned(kept: KeptPlan, facts: Facts, trail: Mapping[str, Any]) -> dict[str, tuple[int, int]]:
    """When what has begun was to begin and end, by the plan in force when it began."""
    earlier: Mapping[str, tuple[int, int]] = trail["planned"]
    real = kept.floor.begun if trail["follows"] else {}
    spans = {op.id: (op.start, op.end) for op in kept.schedule.operations if op.id not in real}
    found: dict[str, tuple[int, int]] = {}
    for name in facts.begun:
        plain = name.rpartition("/")[0] if "/lost-" in name and name not in kept.floor.begun else ""
        span = spans.get(name) or earlier.get(name) or earlier.get(plain)
        if span is None and plain in spans and plain not in facts.begun:
            span = spans[plain]  # planned, begun and lost since the plan was made
        if span is not None:
            found[name] = span
    return found


def _hits(seen: _Seen, kept: KeptPlan, planned: Mapping[str, tuple[int, int]]) -> Iterator[Hit]:
    """What struck the plan since it was made: what was lost or sent back, what ended late, the latest first."""
    from pairwright.plan.news import Row
    from pairwright.plan.trouble import Hit

    facts, rows = seen.facts, []
    for item, step, turn in sorted(facts.fates.keys() - kept.floor.fates.keys()):
        kind = "scrapped" if facts.fates[item, step, turn] == "lost" else "rework"
        some = frozenset(name for name, op in seen.operations.items() if op.item == item)
        rows.append((float("inf"), Hit(Row(kind, {"item": item}), some)))
    for name, (start, end) in facts.begun.items():
        late = end - planned[name][1] if name in planned else 0
        if late >= MINUTE and name in facts.recorded and kept.floor.begun.get(name) != (start, end):
            field = {"start": start} if name in facts.open else {"end": end}
            kind = "begun" if name in facts.open else "finished"
            rows.append((float(late), Hit(Row(kind, {"operation": name, **field}), frozenset((name,)))))
    yield from (hit for _, hit in sorted(rows, key=lambda row: (-row[0], sorted(row[1].operations))))


def _assumed(facts: Facts) -> Iterator[Text]:
    """Steps that nobody recorded, by item."""
    by_item: dict[str, list[str]] = {}
    for name in facts.assumed:
        item, _, step = name.partition("/")
        by_item.setdefault(item, []).append(step)
    for item, steps in sorted(by_item.items()):
        yield text("{item}: {steps} not recorded, but what follows has begun: taken as done",
                   item=item, steps=", ".join(steps))  # fmt: skip


# for pages


_LATEST: dict[str, tuple[tuple[str, str], Schedule | None]] = {}
_GUARD = threading.Lock()


def latest_plan(floor: Floor) -> Schedule | None:
    """The kept plan as the record has it now; None where the works keeps no plan that can be followed.

    Parameters
    ----------
    floor : Floor
        The works with its record.

    Notes
    -----
    It is made once for each state of the record and the plan's file, and remembered.
    """
    path = floor.folder / KEPT
    if not path.is_file():
        return None
    with floor.record.reading() as reading, _GUARD:
        state = (digest_bytes(path.read_bytes()), reading.head().hash)
        known = _LATEST.get(str(floor.folder))
        if known is not None and known[0] == state:
            return known[1]
        try:
            found = followed(floor.opened, reading, body=read_plan(path), where=KEPT)
        except InputError:
            schedule = None
        else:
            schedule = found.schedule if found.found else found.replanned.before
        _LATEST[str(floor.folder)] = (state, schedule)
        return schedule
