"""What the record says of the plan's operations: begun from when to when, lost, sent back, not recorded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from pairwright.app.following_slots import Pieces, Slot
from pairwright.base.time import MINUTE
from pairwright.base.words import Amount, Text, text

if TYPE_CHECKING:
    from pairwright.floor.things import Item, Set, Trouble
    from pairwright.plan.live import Fate
    from pairwright.plan.schedule import Operation
    from pairwright.works import Works
    from pairwright.works.product import Step

Span = tuple[int, int]
OPEN: Final = -1  # has not ended


@dataclass(frozen=True, slots=True)
class Stretch:
    """A step of a piece as it was recorded; `end` is None where it goes on. UTC seconds."""

    step: str
    start: int | None
    end: int | None
    station: str | None
    batch: str | None
    sequence: int


@dataclass(slots=True)
class Facts:
    """What has happened to a plan's operations, by their names. UTC seconds."""

    begun: dict[str, Span] = field(default_factory=dict)
    open: set[str] = field(default_factory=set)  # begun, and not ended
    recorded: set[str] = field(default_factory=set)  # begun, as the record says itself
    operations: dict[str, Operation] = field(default_factory=dict)  # begun ones where they really were
    void: set[str] = field(default_factory=set)
    fates: dict[tuple[str, str, int], Fate] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)  # not recorded, and what follows has begun
    told: list[Text] = field(default_factory=list)


def stretches_of(thing: Item | Set) -> list[Stretch]:
    """What was done to a piece, in order; what was done aside from its route is left out."""
    found = [
        Stretch(d.step, d.start, d.end, d.station, d.batch, d.sequence) for d in thing.done if not d.aside
    ]
    if thing.under is not None:
        u = thing.under
        found.append(Stretch(u.step, u.since, None, u.station, u.batch, thing.last + 1))
    return found


class Reader:
    """Reads the pieces of the floor into facts about a plan's operations.

    Parameters
    ----------
    works : Works
        The definition.
    pieces : Pieces
        With the plan's item of each piece.
    plan : Mapping[str, Operation]
        Operations of the plan by name.
    lasts : Mapping[tuple[str, str, str, str], int]
        The likely duration of each step of a product, option and part. [s]
    now : int
        UTC seconds.
    """

    def __init__(
        self, works: Works, pieces: Pieces, plan: Mapping[str, Operation], *,
        lasts: Mapping[tuple[str, str, str, str], int], now: int,
    ) -> None:  # fmt: skip
        self.works, self.pieces, self.plan, self.lasts, self.now = works, pieces, plan, lasts, now
        self.facts = Facts()
        self._must_by: dict[str, int] = {}  # items that something begun has used, and when
        self._together: dict[str, list[list[Stretch]]] = {}  # of each set, what was done to its lives as one
        self._reach: dict[str, list[int]] = {}
        self._gone: set[str] = set()  # pieces that are lost
        self._seen: dict[str, dict[int, int]] = {}  # of each root, when each step of its last life began

    def read(self) -> Facts:
        """Everything, holders before what they hold."""
        slots = self.pieces.slots
        for slot in slots.values():
            if not slot.whole:
                self._gather(slot)
        self._level()
        for slot in slots.values():
            if slot.whole:
                self._item(slot, self._whole(slot))
        for slot in slots.values():
            if not slot.whole:
                self._item(slot, [stretches_of(item) for item in self.pieces.lives.get(slot.id, ())])
        self._place()
        return self.facts

    # how far each life has come

    def _gather(self, slot: Slot) -> None:
        """The steps of a root that are done to the set as one are put with its set."""
        rows: list[int] = []
        at = {step.id: n for n, step in enumerate(slot.route)}
        for number, item in enumerate(self.pieces.lives.get(slot.id, ())):
            some = [s for s in stretches_of(item) if s.step in at]
            rows.append(max((at[s.step] for s in some), default=-1))
            if slot.holder is None:
                self._seen[slot.id] = {at[s.step]: s.start or s.end or self.now for s in some}
            shared = [s for s in some if slot.route[at[s.step]].together]
            if shared and slot.holder is None:
                lives = self._together.setdefault(slot.set, [])
                while len(lives) <= number:
                    lives.append([])
                first = {s.step for s in lives[number]}
                lives[number] += [s for s in shared if s.step not in first]
        if rows:
            self._reach[slot.id] = rows

    def _level(self) -> None:
        """Mates that are lost together count as far as either has come."""
        for slot in list(self.pieces.slots.values()):
            if slot.whole or slot.side is None or not self._both(slot):
                continue
            twin = self._twin(slot)
            one, other = self._reach.get(slot.id, []), self._reach.get(twin, [])
            for n in range(min(len(one), len(other))):
                if n < max(len(one), len(other)) - 1:
                    one[n] = other[n] = max(one[n], other[n])

    def _both(self, slot: Slot) -> bool:
        product = slot.product
        paired = slot.part == product.root or product.parts[slot.part].leaf
        return paired and product.binding == "early" and product.lost_half != "mate again"

    def _twin(self, slot: Slot) -> str:
        other = next((s for s in slot.product.sides() if s != slot.side), None)
        return slot.id.replace(f"{slot.set}.{slot.side}", f"{slot.set}.{other}", 1)

    def _whole(self, slot: Slot) -> list[list[Stretch]]:
        """What was done to a set as one, by the lives of its halves."""
        halves = [self._reach[s.id] for s in self.pieces.slots.values()
                  if s.set == slot.set and not s.whole and s.holder is None and s.id in self._reach]  # fmt: skip
        lives = self._together.get(slot.set, [])
        if halves and lives:
            lives += [[] for _ in range(max(map(len, halves)) - len(lives))]
            self._reach[slot.id] = [
                max((row[n] for row in halves if n < len(row)), default=-1) for n in range(len(lives))
            ]
        one = self.pieces.sets.get(slot.set)
        own = [] if one is None else stretches_of(one)
        at = {step.id for step in slot.route}
        own = [s for s in own if s.step in at]
        if own:
            lives = lives or [[]]
            have = {s.step for s in lives[-1]}
            lives[-1] = sorted(
                [*lives[-1], *(s for s in own if s.step not in have)], key=lambda s: s.sequence
            )
        return lives

    # one item

    def _item(self, slot: Slot, lives: list[list[Stretch]]) -> None:
        steps = [step for step in slot.route if slot.own(step)]
        at = {step.id: n for n, step in enumerate(slot.route)}
        items = () if slot.whole else self.pieces.lives.get(slot.id, ())
        reached: list[int] = []
        again: Counter[str] = Counter()
        worst = -1
        for number, some in enumerate(lives):
            own = [s for s in some if s.step in at and slot.own(slot.route[at[s.step]])]
            reach = max((at[s.step] for s in own), default=-1)
            item = items[number] if number < len(items) else None
            last = number == len(lives) - 1
            lost = item is not None and item.scrapped and not self._went_with(item)
            if self._reach.get(slot.id):
                reach = max(reach, self._reach[slot.id][number])
            if lost and reach >= 0:
                if reach <= worst and not (self._both(slot) or slot.side is None):
                    self.facts.told.append(
                        text("{item} was lost again; the plan counts it as lost once", item=slot.id)
                    )
                    continue
                worst = max(worst, reach)
                self._lost(slot, reach, reached)
            if item is not None:
                self._sent_back(slot, item, own, reached=reached, again=again)
            past = not last or (lost and reach >= 0) or (item is not None and self._holder_gone(item))
            if past and item is not None:
                self._gone.add(item.id)
            self._life(slot, steps, own, at=at, reach=reach, reached=reached, past=past, again=again)
            if past:
                reached.append(reach)
        if not lives and slot.id in self._must_by:
            self._life(slot, steps, [], at=at, reach=-1, reached=reached, past=False, again=again)

    def _holder_gone(self, item: Item) -> bool:
        """Whether a piece was lost with what it had been built into."""
        return (item.used_in or item.into) in self._gone

    def _went_with(self, item: Item) -> bool:
        """Whether a piece is in another one: what becomes of that becomes of it."""
        return bool(item.used_in or item.into)

    def _lost(self, slot: Slot, reach: int, reached: list[int]) -> None:
        step = slot.route[reach]
        key = slot.set if step.together else slot.id
        self.facts.fates[key, step.id, sum(r >= reach for r in reached)] = "lost"

    def _sent_back(
        self, slot: Slot, item: Item, own: list[Stretch], *, reached: list[int], again: Counter[str]
    ) -> None:
        """Rework that was decided: the loop of the recipe, from the step after which it was."""
        at = {step.id: n for n, step in enumerate(slot.route)}
        for trouble in sorted(item.troubles, key=lambda t: t.decided or 0):
            if trouble.disposition != "rework" or trouble.decided is None:
                continue
            before = [s for s in own if s.sequence <= trouble.decided]
            if not before:
                continue
            place = at[before[-1].step]
            step = slot.route[place]
            key = (slot.id, step.id, sum(r >= place for r in reached))
            if key in self.facts.fates:
                self.facts.told.append(
                    text("{item} goes back from {step} once more; the plan counts it once",
                         item=slot.id, step=step.id)
                )  # fmt: skip
                continue
            self.facts.fates[key] = "again"
            self._loop(slot, trouble, place, at)

    def _loop(self, slot: Slot, trouble: Trouble, place: int, at: Mapping[str, int]) -> None:
        """Where the floor goes back less far than the recipe, or further."""
        step = slot.route[place]
        first = at.get(step.rework.to, place) if step.rework is not None else place
        wanted = at.get(trouble.to_step or "", first)
        for one in slot.route[min(first, place) : wanted]:
            if slot.own(one):
                self.facts.void.add(f"{slot.id}/{one.id}/again-1")
        if wanted < first:
            self.facts.told.append(
                text("{item} goes back to {step}, further than its recipe says: the plan counts from {first}",
                     item=slot.id, step=trouble.to_step or "", first=slot.route[first].id)
            )  # fmt: skip

    def _life(
        self, slot: Slot, steps: list[Step], own: list[Stretch], *, at: Mapping[str, int], reach: int,
        reached: list[int], past: bool, again: Counter[str],
    ) -> None:  # fmt: skip
        """One making of an item: its stretches under the plan's names, and what is missing between them."""
        done: dict[str, Stretch] = {}
        for one in own:
            base = f"{slot.id}/{one.step}"
            if one.step in done:
                again[base] += 1
                self._begin(f"{base}/again-{again[base]}", slot, one, at[one.step])
            else:
                done[one.step] = one
        must_by = None if past else self._must_by.get(slot.id)
        if must_by is not None:
            reach = len(slot.route) - 1
        names = {
            step.id: self._name(slot, step, sum(r >= at[step.id] for r in reached), past=past)
            for step in steps
        }
        if past:
            for step in steps[: sum(at[s.id] <= reach for s in steps)]:
                if step.id not in done:
                    self.facts.void.add(names[step.id])
        for step in steps:
            if step.id in done:
                self._begin(names[step.id], slot, done[step.id], at[step.id])
                self._used(slot, step, self.facts.begun[names[step.id]][0])
        if not past:
            self._fill(slot, steps, names, at=at, reach=reach, by=must_by)

    def _name(self, slot: Slot, step: Step, earlier: int, *, past: bool) -> str:
        base = f"{slot.id}/{step.id}"
        return f"{base}/lost-{earlier + 1}" if past else base

    def _begin(self, name: str, slot: Slot, one: Stretch, index: int) -> None:
        lasts = self._lasts(slot, one.step)
        end = self.now if one.end is None else one.end
        start = one.start if one.start is not None else end - lasts
        if one.end is None:
            self.facts.open.add(name)
            end = max(start + lasts, self.now)
        self.facts.recorded.add(name)
        self._put(name, slot, index, (start, end), station=one.station, batch=one.batch)

    def _put(
        self, name: str, slot: Slot, index: int, span: Span, *, station: str | None = None,
        batch: str | None = None,
    ) -> None:  # fmt: skip
        start = span[0] // MINUTE * MINUTE
        end = max(start + MINUTE, -(-span[1] // MINUTE) * MINUTE)
        self.facts.begun[name] = (start, end)
        op = self.plan.get(name) or self.plan.get(name.rpartition("/")[0]) or self._made(name, slot, index)
        op = replace(op, id=name, start=start, end=end, pieces=(), rework=name.count("/") > 1)
        if batch is not None or op.batch is not None:
            op = replace(op, batch=batch or name)
        if station is not None and station != op.station:
            op = self._at(op, slot.route[index], station)
        self.facts.operations[name] = op

    def _at(self, op: Operation, step: Step, station: str) -> Operation:
        place = self.works.factory.stations.get(station)
        if place is None or station not in [one.station for one in step.stations]:
            self.facts.told.append(
                text("{operation} was done at {station}, which its recipe does not name",
                     operation=op.id, station=station)
            )  # fmt: skip
            return op
        people = step.people if step.people is not None else place.people
        crew = (step.crew or place.crew) if place.manned and people else None
        return replace(op, station=station, unit=0, crew=crew)

    def _made(self, name: str, slot: Slot, index: int) -> Operation:
        """An operation of an order that the earlier plan did not know."""
        from pairwright.plan.schedule import Operation

        step = slot.route[index]
        station = step.stations[0].station if step.stations else None
        crew = None
        if station is not None:
            place = self.works.factory.stations[station]
            people = step.people if step.people is not None else place.people
            crew = (step.crew or place.crew) if place.manned and people else None
        return Operation(
            name, slot.order, slot.set, slot.id, slot.side, slot.product.id, slot.product.option, slot.part,
            step.id, index, self.now, self.now, station=station, unit=None if station is None else 0, crew=crew,
        )  # fmt: skip

    def _lasts(self, slot: Slot, step: str) -> int:
        planned = self.plan.get(f"{slot.id}/{step}")
        if planned is not None and planned.start >= self.now:
            return planned.end - planned.start
        return self.lasts.get((slot.product.id, slot.product.option, slot.part, step), MINUTE)

    def _used(self, slot: Slot, step: Step, start: int) -> None:
        """What a begun step has used is made."""
        from pairwright.plan.stock import copies

        for part in step.uses:
            for name in copies(slot.product, part, holder=slot.id):
                self._must_by[name] = min(start, self._must_by.get(name, start))

    # what is not recorded

    def _fill(
        self, slot: Slot, steps: list[Step], names: Mapping[str, str], *, at: Mapping[str, int], reach: int,
        by: int | None,
    ) -> None:  # fmt: skip
        """Waits, and steps that nobody recorded although what follows has begun."""
        begun = self.facts.begun
        before: Span | None = None
        for number, step in enumerate(steps):
            name = names[step.id]
            if name not in begun:
                following = [begun[names[s.id]][0] for s in steps[number + 1 :] if names[s.id] in begun]
                following += self._others(slot, at[step.id])
                latest = min([*following, *([] if by is None else [by])], default=None)
                if not step.stations and before is not None:
                    self._wait(slot, step, name, before, latest=latest, index=at[step.id])
                elif at[step.id] <= reach and latest is not None:
                    self.facts.assumed.append(name)
                    self._put(name, slot, at[step.id], (latest - MINUTE, latest))
                    self._used(slot, step, latest - MINUTE)
            found = begun.get(name)
            before = None if name in self.facts.open else found

    def _others(self, slot: Slot, index: int) -> list[int]:
        """When steps behind one have begun that are not the item's own: the set's, or its halves'."""
        if slot.whole:
            halves = [row for name, row in self._seen.items() if self.pieces.slots[name].set == slot.set]
            return [start // MINUTE * MINUTE for row in halves for at, start in row.items() if at > index]
        if slot.holder is not None:
            return []
        rows = ((n, f"{slot.set}/{step.id}") for n, step in enumerate(slot.route) if step.together)
        return [self.facts.begun[name][0] for n, name in rows if n > index and name in self.facts.begun]

    def _wait(
        self, slot: Slot, step: Step, name: str, before: Span, *, latest: int | None, index: int
    ) -> None:
        """A wait begins when what goes before it has ended."""
        start = before[1]
        if start >= self.now and latest is None:
            return
        end = start + self._lasts(slot, step.id)
        if latest is not None:
            start = min(start, latest - MINUTE)
            end = min(end, latest)
        self._put(name, slot, index, (start, max(end, start + MINUTE)))
        if self.facts.begun[name][1] > self.now:
            self.facts.open.add(name)

    # places

    def _place(self) -> None:
        """Give each a place of its own at its station, as far as there are so many."""
        stations: dict[str, list[Operation]] = {}
        for op in self.facts.operations.values():
            if op.station is not None:
                stations.setdefault(op.station, []).append(op)
        for name, some in stations.items():
            station = self.works.factory.stations[name]
            if station.places < 2 or station.kind not in ("single", "parallel"):
                continue
            free = [0] * station.places
            for op in sorted(some, key=lambda o: (o.start, o.end, o.id)):
                wanted = op.unit or 0
                if not 0 <= wanted < station.places or free[wanted] > op.start:
                    wanted = min(range(station.places), key=lambda n: (free[n], n))
                free[wanted] = max(free[wanted], op.end)
                self.facts.operations[op.id] = replace(op, unit=wanted)


def on_hold(pieces: Pieces) -> Iterator[Text]:
    """Pieces that nothing may be done to until somebody decides."""
    for slot, lives in sorted(pieces.lives.items()):
        item = lives[-1]
        if item.holds and not item.scrapped:
            since = Amount(item.holds[0].since, "instant")
            yield text(
                "{item} ({slot}) is on hold since {when}: {why}; the plan goes on as if it were freed now",
                item=item.id, slot=slot, when=since, why=item.holds[0].reason,
            )  # fmt: skip
