"""From orders to flat arrays: every set's items walked along their routes, mates side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol, TypeAlias

from pairwright.base.time import MINUTE, local_midnight
from pairwright.plan.blocks import Blocks, form_blocks
from pairwright.plan.calendar import due_time
from pairwright.plan.facts import FactTable, StepFacts, Way
from pairwright.plan.problem import OperationFacts, Problem, rows
from pairwright.plan.shop import Shop, minutes_up
from pairwright.plan.stock import copies, covered_items, made
from pairwright.works.effectivity import InForce
from pairwright.works.orders import Book, Order
from pairwright.works.product import Product
from pairwright.works.steptime import StepTime

GOOD: Final = 0
AGAIN: Final = 1  # rework: back to the step that the recipe names
LOST: Final = 2  # scrap: from the first step on, with new parts


class Chance(Protocol):
    """What happens to a step: how long it takes, and how it ends.

    With `splits`, work too long for any working interval goes on after the break.
    """

    splits: bool

    def minutes(self, item: str, facts: StepFacts, way: Way, turn: int) -> int:
        """Duration of an operation of the item. [min]"""

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """`GOOD`, `AGAIN` or `LOST`."""


class Likely:
    """Everything takes its likely time and succeeds."""

    splits = False

    def minutes(self, item: str, facts: StepFacts, way: Way, turn: int) -> int:
        """The likely duration, rounded up. [min]"""
        return max(1, minutes_up(way.likely))

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """Always `GOOD`."""
        return GOOD


@dataclass(slots=True)
class Lane:
    """An item on its way: its last task, and what it holds."""

    item: str
    side: str | None
    holder: str = ""  # the item or set that uses it
    last: int = -1
    operation: int = -1  # its last operation
    facts: StepFacts | None = None
    after: list[int] = field(default_factory=list)  # losses that it begins anew after
    stays: list[int] = field(default_factory=list)
    carriers: dict[int, int] = field(default_factory=dict)


# task, least and longest wait, whether it is brought from there, whether it is the item's own step
Before: TypeAlias = tuple[int, int, int, bool, bool]


@dataclass(slots=True)
class Rows:
    """The arrays while they grow."""

    ways: list[list[tuple[Way, int]]] = field(default_factory=list)
    facts: list[StepFacts] = field(default_factory=list)
    load: list[int] = field(default_factory=list)
    keeps: list[bool] = field(default_factory=list)
    pause: list[bool] = field(default_factory=list)
    release: list[int] = field(default_factory=list)
    set_of: list[int] = field(default_factory=list)
    mate: list[int] = field(default_factory=list)
    mate_within: list[int] = field(default_factory=list)
    before: list[list[Before]] = field(default_factory=list)
    opens: list[list[int]] = field(default_factory=list)
    closes: list[list[int]] = field(default_factory=list)
    hold_pool: list[int] = field(default_factory=list)
    hold_need: list[int] = field(default_factory=list)
    hold_open: list[int] = field(default_factory=list)
    hold_close: list[int] = field(default_factory=list)
    hold_at_end: list[bool] = field(default_factory=list)
    hold_operation: list[int] = field(default_factory=list)
    operations: list[OperationFacts] = field(default_factory=list)
    following: list[int] = field(default_factory=list)
    task_operations: list[list[int]] = field(default_factory=list)
    links: list[tuple[int, int]] = field(default_factory=list)


class SetMaker:
    """Walks the items of one set; a new one for each set."""

    def __init__(self, rows: Rows, table: FactTable, *, chance: Chance, covered: frozenset[str]) -> None:
        self.rows = rows
        self.table = table
        self.chance = chance
        self.covered = covered
        self.set_number = 0
        self.set_id = ""
        self.release = 0
        self.turns: dict[tuple[str, str], int] = {}

    def make(self, product: Product, set_id: str, *, number: int, release: int) -> None:
        """Append every task of a set."""
        self.set_number, self.set_id, self.release = number, set_id, release
        self.product = product
        lanes = [Lane(f"{set_id}.{side or 'single'}", side) for side in product.sides()]
        lanes = [lane for lane in lanes if lane.item not in self.covered]
        if lanes:
            self._route(lanes, product.root, -1)
            return
        # Both halves come from stock: what remains are the set's own parts.
        for facts in self.table.route(product, product.root):
            if facts.step.together:
                self._parts([], facts, -1)

    def _route(self, lanes: list[Lane], part: str, after: int) -> None:
        """Walk the mates of a part along its route, both at the same step."""
        route = self.table.route(self.product, part)
        k = 0
        while k < len(route):
            facts = route[k]
            together = facts.step.together or (facts.same_batch and len(lanes) == 2)
            groups = [lanes] if together else [[lane] for lane in lanes]
            used = self._parts(lanes, facts, after)
            tasks = [
                self._task(
                    group, facts, after, used=[u for u in used if together or u.holder == group[0].item]
                )
                for group in groups
            ]
            self._tie_mates(tasks, facts)
            following = self._fate(lanes, route, k)
            if following <= k:  # lost: what is made anew begins after the loss
                after = max(lane.last for lane in lanes)
            k = following
        for lane in lanes:
            for hold in lane.carriers.values():
                self._close(hold, lane.last)

    def _tie_mates(self, tasks: list[int], facts: StepFacts) -> None:
        if len(tasks) == 2 and facts.within >= 0:
            one, other = tasks
            self.rows.mate[one], self.rows.mate[other] = other, one
            self.rows.mate_within[one] = self.rows.mate_within[other] = facts.within
            self.rows.links.append((one, other))

    def _fate(self, lanes: list[Lane], route: tuple[StepFacts, ...], k: int) -> int:
        """The next step in common, after whatever must be done again has been done."""
        facts = route[k]
        subjects = [(self.set_id, lanes)] if facts.step.together else [(lane.item, [lane]) for lane in lanes]
        lost: list[Lane] = []
        for item, some in subjects:
            if not some:
                continue
            turn = self.turns.setdefault((item, facts.name), 0)
            self.turns[item, facts.name] += 1
            fate = self.chance.outcome(item, facts, turn)
            if fate == AGAIN:
                self._again(some, route, k)
            elif fate == LOST:
                lost += some
        return self._lost(lost, lanes, route, k) if lost else k + 1

    def _again(self, lanes: list[Lane], route: tuple[StepFacts, ...], k: int) -> None:
        """Repeat the steps from the one that the rework names to this one."""
        rework = route[k].step.rework
        first = next((f.index for f in route if rework is not None and f.step.id == rework.to), k)
        for facts in route[min(first, k) : k + 1]:
            for group in [lanes] if facts.step.together else [[lane] for lane in lanes]:
                self._task(group, facts, -1, used=[], rework=True)

    def _lost(self, lost: list[Lane], lanes: list[Lane], route: tuple[StepFacts, ...], k: int) -> int:
        """Make a lost half anew: with its mate from a new leaf pair, or alone to be mated again."""
        part = route[k].part
        paired = part == self.product.root or self.product.parts[part].leaf
        both = paired and self.product.binding == "early" and not remates(self.product)
        if both or len(lost) == len(lanes):
            losses = [lane.last for lane in lost]
            for lane in lanes:
                self._drop_holds(lane, lane.last)
                lane.facts, lane.after = None, losses
            return 0
        for lane in lost:
            gone = lane.last
            self._drop_holds(lane, gone)
            lane.facts, lane.after = None, []
            for facts in route[: k + 1]:
                if not facts.step.together:
                    self._task([lane], facts, gone, used=self._parts([lane], facts, gone))
        return k + 1

    def _drop_holds(self, lane: Lane, task: int) -> None:
        for hold in lane.stays:
            self._close(hold, task)
        for hold in lane.carriers.values():
            self._close(hold, task)
        lane.stays = []
        lane.carriers = {}

    # one task

    def _task(
        self, lanes: list[Lane], facts: StepFacts, after: int, *, used: list[Lane], rework: bool = False
    ) -> int:
        rows = self.rows
        task = len(rows.facts)
        owners = [Lane(self.set_id, None)] if facts.step.together else lanes
        rows.facts.append(facts)
        ways = self._ways(owners, facts)
        rows.ways.append(ways)
        rows.pause.append(facts.pause or (self.chance.splits and self.table.too_long(ways)))
        rows.load.append(facts.load * len(owners))
        rows.keeps.append(facts.keeps)
        rows.release.append(self.release)
        rows.set_of.append(self.set_number)
        rows.mate.append(-1)
        rows.mate_within.append(-1)
        rows.opens.append([])
        rows.closes.append([])
        rows.before.append(self._before(task, lanes, used, after))
        rows.task_operations.append([])
        stays = [hold for lane in [*lanes, *used] for hold in lane.stays]
        for hold in stays:
            self._close(hold, task)
        for lane in [*lanes, *used]:
            if lane.operation >= 0 and lane.facts is not None:
                rows.following[lane.operation] = task
        numbers = [
            self._operation(task, owner, lanes if facts.step.together else [owner], facts, rework)
            for owner in owners
        ]
        for lane in lanes:
            lane.last, lane.facts = task, facts
        for lane, number in zip(lanes, numbers * len(lanes) if facts.step.together else numbers, strict=True):
            lane.operation = number
        return task

    def _ways(self, owners: list[Lane], facts: StepFacts) -> list[tuple[Way, int]]:
        found: list[tuple[Way, int]] = []
        for way in facts.ways:
            turns = [self.turns.get((owner.item, facts.name), 0) for owner in owners]
            each = [
                self.chance.minutes(owner.item, facts, way, turn)
                for owner, turn in zip(owners, turns, strict=True)
            ]
            found.append((way, max(each)))
        return found

    def _before(self, task: int, lanes: list[Lane], used: list[Lane], after: int) -> list[Before]:
        found: dict[int, Before] = {}
        for lane in [*lanes, *used]:
            if lane.last < 0 or (lane.last in found and lane.facts is not None):
                continue
            if lane.facts is None:  # made anew after a loss: only the order of time counts
                found.update((one, (one, 0, -1, False, False)) for one in [lane.last, *lane.after])
                continue
            found[lane.last] = (lane.last, lane.facts.least, lane.facts.longest, True, True)
            if lane.facts.longest >= 0 or self.rows.keeps[lane.last]:
                self.rows.links.append((lane.last, task))
        if not found and after >= 0:
            found[after] = (after, 0, -1, False, False)
        return list(found.values())

    def _operation(self, task: int, owner: Lane, lanes: list[Lane], facts: StepFacts, rework: bool) -> int:
        rows = self.rows
        number = len(rows.operations)
        rows.following.append(-1)
        rows.task_operations[task].append(number)
        pools = {pool for lane in lanes for pool in lane.carriers} | ({facts.takes} - {-1})
        uses: tuple[str, ...] = ()
        if not rework:
            names = [n for p in facts.step.uses if made(self.product, p)
                     for n in copies(self.product, p, holder=owner.item)]  # fmt: skip
            uses = tuple(names)
        rows.operations.append(
            OperationFacts(
                owner.item, owner.side, facts, self.set_number, rework, uses, min(pools, default=-1)
            )
        )
        if facts.takes >= 0 and not any(facts.takes in lane.carriers for lane in lanes):
            hold = self._open(facts.takes, 1, task, at_end=True, operation=number)
            lanes[0].carriers[facts.takes] = hold
        if facts.returns >= 0:
            for lane in lanes:
                if facts.returns in lane.carriers:
                    self._close(lane.carriers.pop(facts.returns), task)
        self._stay(task, lanes, facts, number)
        return number

    def _stay(self, task: int, lanes: list[Lane], facts: StepFacts, number: int) -> None:
        """A place in the buffer that the step names, reserved when the step that leads to it begins."""
        waiting = [bool(lane.stays) for lane in lanes]
        for lane, waited in zip(lanes, waiting, strict=True):
            lane.stays = []
            if facts.buffer < 0:
                continue
            leads = task
            if not facts.step.stations and not waited and lane.last >= 0 and lane.facts is not None:
                leads = lane.last
            lane.stays = [self._open(facts.buffer, facts.places, leads, at_end=False, operation=number)]

    def _parts(self, lanes: list[Lane], facts: StepFacts, after: int) -> list[Lane]:
        """Make the parts that a step uses, mates side by side; answers them where they ended."""
        done: list[Lane] = []
        for part in facts.step.uses:
            if not made(self.product, part):
                continue
            holders = [(self.set_id, None)] if facts.step.together else [(ln.item, ln.side) for ln in lanes]
            names = [copies(self.product, part, holder=holder) for holder, _ in holders]
            for same in zip(*names, strict=True):
                group = [
                    Lane(name, side, holder)
                    for name, (holder, side) in zip(same, holders, strict=True)
                    if name not in self.covered
                ]
                if group:
                    self._route(group, part, after)
                    done.extend(group)
        return done

    # holds

    def _open(self, pool: int, need: int, task: int, *, at_end: bool, operation: int) -> int:
        rows = self.rows
        hold = len(rows.hold_pool)
        rows.hold_pool.append(pool)
        rows.hold_need.append(need)
        rows.hold_open.append(task)
        rows.hold_close.append(-1)
        rows.hold_at_end.append(at_end)
        rows.hold_operation.append(operation)
        rows.opens[task].append(hold)
        return hold

    def _close(self, hold: int, task: int) -> None:
        if self.rows.hold_close[hold] < 0 and task >= 0:
            self.rows.hold_close[hold] = task
            self.rows.closes[task].append(hold)


def remates(product: Product) -> bool:
    """Whether a lost half of an early-bound pair is made alone and mated again."""
    return product.lost_half == "mate again"


def build_problem(
    shop: Shop,
    book: Book,
    *,
    times: Sequence[StepTime],
    chance: Chance | None = None,
    table: FactTable | None = None,
) -> Problem:
    """The order book as flat arrays."""
    works = shop.works
    grown = Rows()
    facts = table or FactTable(shop, times)
    covered = covered_items(works, book)
    in_force = InForce(works, book)
    set_names: list[str] = []
    set_order: list[int] = []
    for number, order in enumerate(book.orders):
        release = release_of(order, shop)
        for n in range(order.quantity):
            product = in_force.product(order, n + 1)
            maker = SetMaker(grown, facts, chance=chance or Likely(), covered=covered)
            maker.make(product, f"{order.id}-{n + 1}", number=len(set_names), release=release)
            set_names.append(f"{order.id}-{n + 1}")
            set_order.append(number)
    return _finish(shop, book, grown=grown, blocks=form_blocks(grown.set_of, grown.links,
                   before=grown.before), sets=(set_names, set_order))  # fmt: skip


def release_of(order: Order, shop: Shop) -> int:
    """Earliest start of an order. [min]"""
    if order.released is None:
        return 0
    return max(0, -(-(local_midnight(order.released, shop.zone) - shop.origin) // MINUTE))


def _tails(grown: Rows) -> list[int]:
    tail = [0] * len(grown.facts)
    for task in range(len(tail) - 1, -1, -1):
        through = tail[task] + min((minutes for _, minutes in grown.ways[task]), default=0)
        for before, least, *_ in grown.before[task]:
            tail[before] = max(tail[before], least + through)
    return tail


def _block_kinds(grown: Rows, blocks: Blocks) -> list[int]:
    """Numbers that are alike for blocks of the same steps with the same ways."""
    known: dict[tuple[tuple[str, int], ...], int] = {}
    found: list[int] = []
    for first, beyond in zip(blocks.begins, blocks.begins[1:], strict=False):
        key = tuple((grown.facts[t].name, len(grown.ways[t])) for t in blocks.tasks[first:beyond])
        found.append(known.setdefault(key, len(known)))
    return found


def _finish(
    shop: Shop, book: Book, *, grown: Rows, blocks: Blocks, sets: tuple[list[str], list[int]]
) -> Problem:
    way_from, _ = rows([[0] * len(w) for w in grown.ways])
    ways = [way for task in grown.ways for way in task]
    pre_from, _ = rows([[0] * len(b) for b in grown.before])
    before = [row for task in grown.before for row in task]
    open_from, open_hold = rows(grown.opens)
    close_from, close_hold = rows(grown.closes)
    words = sorted({f.word for f in grown.facts})
    word_index = {w: n for n, w in enumerate(words)}
    calendars = shop.works.factory.calendars
    return Problem(
        shop=shop,
        way_from=way_from,
        way_station=[w.station for w, _ in ways], way_crew=[w.crew for w, _ in ways],
        way_people=[w.people for w, _ in ways], way_minutes=[m for _, m in ways],
        way_time=[w.time for w, _ in ways], way_setup_crew=[w.setup_crew for w, _ in ways],
        way_setup_time=[w.setup_time for w, _ in ways], way_area=[w.area for w, _ in ways],
        family=[f.family for f in grown.facts], load=grown.load,
        word=[word_index[f.word] for f in grown.facts], pause=grown.pause,
        keeps=grown.keeps, release=grown.release, mate=grown.mate, mate_within=grown.mate_within,
        tail=_tails(grown), set_of=grown.set_of,
        pre_from=pre_from, pre_task=[b[0] for b in before], pre_least=[b[1] for b in before],
        pre_longest=[b[2] for b in before],
        pre_brought=[b[3] and not shop.relaxed.has("transport", "") for b in before],
        pre_next=[b[4] for b in before],
        open_from=open_from, open_hold=open_hold, close_from=close_from, close_hold=close_hold,
        hold_pool=grown.hold_pool, hold_need=grown.hold_need, hold_open=grown.hold_open,
        hold_close=grown.hold_close, hold_at_end=grown.hold_at_end, hold_operation=grown.hold_operation,
        block_of=blocks.of, block_from=blocks.begins, block_task=blocks.tasks,
        place_in_block=blocks.places, block_set=blocks.sets,
        block_waits=blocks.waits,
        block_kind=_block_kinds(grown, blocks), next_from=blocks.next_from, next_block=blocks.next_block,
        set_ids=sets[0], set_order=sets[1],
        order_ids=[o.id for o in book.orders],
        order_due=[due_time(calendars, o.due, zone=shop.zone) for o in book.orders],
        order_weight=[o.weight for o in book.orders],
        operations=grown.operations, task_operations=grown.task_operations,
        operation_next=grown.following, words=words,
    )  # fmt: skip
