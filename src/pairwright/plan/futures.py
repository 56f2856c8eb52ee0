"""Drawn futures by arrays: the same luck and the same plans as run by run, at a fraction of the time.

The plain way builds each future's problem task by task. Here the leaves of its sets are laid end to
end (see `leaves`), all durations are drawn at once, and the compiled decoder follows the plan.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from pairwright.base.seeds import child_seed
from pairwright.base.time import MINUTE
from pairwright.plan import kernel_layout as k
from pairwright.plan.build import AGAIN, LOST, release_of
from pairwright.plan.compiled import Arrays, Books, Sizes, assembled, blank_books, run_arrays, shop_facts
from pairwright.plan.decode import WHOLE, Rules
from pairwright.plan.facts import FactTable
from pairwright.plan.leaves import Leaf, LeafMaker
from pairwright.plan.shop import Shop, minutes_up
from pairwright.plan.stock import covered_items
from pairwright.plan.usage import Usage, hours_of_station, worked
from pairwright.works.definition import Works
from pairwright.works.effectivity import InForce
from pairwright.works.orders import Book

_GAMMA: Final = 0x9E3779B97F4A7C15
_MASK: Final = (1 << 64) - 1
_DRAWS: Final = 4
_TIME, _STOPS, _REPAIR, _FATE = range(_DRAWS)
NEAR: Final = 1e-7  # minutes; so near a whole one the plain way of rounding decides
# what a row of a table counts from the beginning of its leaf: column, table
POINTS: Final[Mapping[int, tuple[tuple[int, int], ...]]] = {
    k.TASKS: ((k.T_WAYS, k.WAYS), (k.T_BEFORE, k.BEFORES), (k.T_OPENS, k.OPENS), (k.T_CLOSES, k.CLOSES),
              (k.MATE, k.TASKS), (k.BLOCK_OF, k.BLOCKS)),
    k.WAYS: (), k.BEFORES: ((k.B_TASK, k.TASKS),),
    k.HOLDS: ((k.H_OPENER, k.TASKS), (k.H_CLOSER, k.TASKS), (k.H_OWNER, k.TASKS)),
    k.OPENS: ((0, k.HOLDS),), k.CLOSES: ((0, k.HOLDS),),
    k.BLOCKS: ((k.K_MEMBERS, k.MEMBERS), (k.K_NEXTS, k.NEXTS)),
    k.MEMBERS: ((0, k.TASKS),), k.NEXTS: ((0, k.BLOCKS),),
}  # fmt: skip


@dataclass(slots=True)
class Stem:
    """A set: the leaf of its best fate, and its name."""

    name: str
    root: Leaf
    order: int
    release: int
    product: Any
    covered: frozenset[str]


@dataclass(frozen=True, slots=True)
class Told:
    """What a plan tells the floor: rules, ranks of sets, earliest starts by operation and by item. [min]"""

    rules: Rules
    rank: Mapping[str, int]
    ready: Mapping[str, int]
    back: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Future:
    """What came of a run: last end of each order, and how full stations and buffers were."""

    done: list[int]
    usage: Usage


class Futures:
    """Everything that the futures of a works and its order book have in common."""

    def __init__(self, works: Works, book: Book, shop: Shop, table: FactTable, *, seed: int) -> None:
        self.shop, self.seed = shop, seed
        self.keys: dict[str, int] = {}
        self.hours = [hours_of_station(shop, n) for n in range(len(shop.station_ids))]
        self.stems = self._stems(works, book, table)
        self.orders = len(book.orders)
        self.base = shop_facts(shop)
        self.breakdowns = [works.factory.stations[s].breakdown for s in shop.station_ids]

    def _stems(self, works: Works, book: Book, table: FactTable) -> list[Stem]:
        covered = covered_items(works, book)
        in_force = InForce(works, book)
        self.maker = LeafMaker(table)
        roots: dict[tuple[str, str, frozenset[str]], Leaf] = {}
        found: list[Stem] = []
        for number, order in enumerate(book.orders):
            release = release_of(order, self.shop)
            for n in range(order.quantity):
                product = in_force.product(order, n + 1)
                name = f"{order.id}-{n + 1}"
                own = frozenset(c[len(name) :] for c in covered if c.startswith(f"{name}."))
                key = (product.id, product.option, own)
                if key not in roots:
                    roots[key] = self.maker.make(product, own, {})
                found.append(Stem(name, roots[key], number, release, product, own))
        return found

    def run(self, number: int, told: Told) -> Future | None:
        """The future of a number, or None where the plan can't be followed as it is."""
        luck = Luck(self, child_seed(self.seed, "forecast", number))
        leaves = luck.leaves()
        if not leaves:
            return None
        arrays = self._arrays(leaves, luck)
        self._hold(arrays.release, leaves, told.ready, every=True)
        early = arrays.release.copy()
        self._hold(early, leaves, told.back, every=False)
        rank = [told.rank.get(stem.name, len(told.rank) + n) for n, stem in enumerate(self.stems)]
        books = _followed(arrays, rank, told.rules, early)
        if books.ended != k.COMPLETE:
            return None
        return Future(books.done, self._usage(arrays, books.numbers, max(books.done, default=0)))

    def _arrays(self, leaves: list[Leaf], luck: Luck) -> Arrays:
        import numpy as np

        counts = {t: np.array([len(leaf.tables[t]) for leaf in leaves]) for t in POINTS}
        begins = {t: np.concatenate(([0], np.cumsum(c)[:-1])) for t, c in counts.items()}
        tables: dict[int, Any] = {}
        for place, points in POINTS.items():
            table = np.concatenate([leaf.tables[place] for leaf in leaves])
            for column, other in points:
                shift = np.repeat(begins[other], counts[place])
                values = table[:, column]
                table[:, column] = np.where(values >= 0, values + shift, values)
            tables[place] = table
        sets = np.arange(len(leaves))
        tables[k.TASKS][:, k.SET_OF] = np.repeat(sets, counts[k.TASKS])
        tables[k.BLOCKS][:, k.K_SET] = np.repeat(sets, counts[k.BLOCKS])
        tables[k.BLOCKS][:, k.K_DEPTH] += np.repeat([s.name.count(".") for s in self.stems], counts[k.BLOCKS])
        luck.fill(leaves, tables, begins[k.TASKS])
        release = np.repeat(np.array([s.release for s in self.stems]), counts[k.TASKS])
        for place, ends in ((k.TASKS, {c: len(tables[t]) for c, t in POINTS[k.TASKS][:4]}),
                            (k.BLOCKS, {c: len(tables[t]) for c, t in POINTS[k.BLOCKS]})):  # fmt: skip
            last = np.zeros((1, tables[place].shape[1]), dtype=np.int64)
            for column, end in ends.items():
                last[0, column] = end
            tables[place] = np.concatenate((tables[place], last))
        sizes = Sizes(
            len(release), len(tables[k.BEFORES]), len(tables[k.HOLDS]), len(tables[k.BLOCKS]) - 1,
            len(self.maker.kinds), len(leaves), self.orders, len(self.maker.words),
        )  # fmt: skip
        rows = [*tables.items(), (k.ORDERS, [s.order for s in self.stems])]
        facts = assembled(self.base, sizes, rows)
        return Arrays(self.shop, sizes, facts, release, blank_books(self.shop, sizes))

    def _hold(self, early: Any, leaves: list[Leaf], until: Mapping[str, int], *, every: bool) -> None:
        """Raise earliest starts: of every operation named, or of first steps of the items named. [min]"""
        at = 0
        for stem, leaf in zip(self.stems, leaves, strict=True) if until else ():
            for task, item, step, first in leaf.names:
                name = f"{stem.name}{item}/{step}" if every else f"{stem.name}{item}"
                when = until.get(name) if every or first else None
                if when is not None:
                    early[at + task] = max(early[at + task], when)
            at += len(leaf.tables[k.TASKS])

    def _usage(self, arrays: Arrays, books: Any, end: int) -> Usage:
        import numpy as np

        from pairwright.plan.kernel_decode import compiled_usage

        shop, holds = self.shop, arrays.sizes.holds
        count = len(shop.station_ids)
        busy, blocked = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
        edges = np.empty(6 * holds + 6, dtype=np.int64)
        times = np.array(
            [-1 if h is None else shop.working(n, -1) for n, h in enumerate(self.hours)], dtype=np.int64
        )
        filled = compiled_usage()(arrays.facts, books, times, busy, blocked, holds, edges)
        available = [
            float((shop.unit_from[n + 1] - shop.unit_from[n]) * (end if time is None else worked(time, end)))
            for n, time in enumerate(self.hours)
        ]
        rows = edges[:filled].reshape(-1, 3)
        levels = [levels_of(rows[rows[:, 0] == pool], end) for pool in range(len(shop.places))]
        return Usage(available, busy.astype(float).tolist(), blocked.astype(float).tolist(), levels)


def _followed(arrays: Arrays, rank: list[int], rules: Rules, early: Any) -> Books:
    """Place everything; where it locks, with ever fewer sets in process, as `trial.unlocked` does."""
    books = run_arrays(arrays, arrays.blank, rank=rank, rules=rules, release=early)
    limit = rules.in_process or arrays.sizes.sets
    while books.ended == k.LOCKED and limit > 1:
        limit = (limit + 1) // 2
        rules = replace(rules, in_process=limit)
        books = run_arrays(arrays, arrays.blank, rank=rank, rules=rules, release=early)
    if books.ended == k.LOCKED and not rules.serial:
        last = Rules(window=WHOLE, in_process=1)
        books = run_arrays(arrays, arrays.blank, rank=rank, rules=last, release=arrays.release)
    return books


def levels_of(rows: Any, end: int) -> dict[int, int]:
    """Minutes spent at each number of places taken, from rows of pool, moment and change. [min]"""
    import numpy as np

    order = np.argsort(rows[:, 1], kind="stable")
    moments = np.concatenate(([0], rows[order, 1], [end]))
    levels = np.concatenate(([0], np.cumsum(rows[order, 2])))
    spans = np.diff(np.maximum.accumulate(moments))
    some = spans > 0
    if not some.any():
        return {}
    minutes = np.bincount(levels[some], weights=spans[some])
    return {int(level): int(minutes[level]) for level in np.flatnonzero(minutes)}


class Luck:
    """One run's luck, many draws at a time; each draw is that of `chance.Drawn`."""

    def __init__(self, futures: Futures, run: int) -> None:
        self.futures = futures
        self.run = run & _MASK

    def shares(self, names: list[str], set_name: str, counts: Any, what: int) -> Any:
        """Numbers evenly spread over [0, 1), of items of a set and places in their streams. [-]"""
        import numpy as np

        keys = self.futures.keys
        seeds: list[int] = []
        for item in names:
            name = set_name + item
            key = keys.get(name)
            if key is None:
                key = keys[name] = child_seed(0, name) & _MASK
            seeds.append(key)
        return self.drawn(np.array(seeds, dtype=np.uint64), counts, what)

    def drawn(self, keys: Any, counts: Any, what: int) -> Any:
        """The same for keys of items. [-]"""
        import numpy as np

        begin = _scrambled(np.uint64(self.run) ^ keys)
        place = counts * np.uint64(_DRAWS) + np.uint64(what + 1)
        return (_scrambled(begin + place * np.uint64(_GAMMA)) >> np.uint64(11)).astype(float) * 2.0**-53

    def leaves(self) -> list[Leaf]:
        """The leaf of each set's fate."""
        return [self.futures.maker.lay(self._leaf(stem)) for stem in self.futures.stems]

    def _leaf(self, stem: Stem) -> Leaf:
        leaf, known = stem.root, 0
        while True:
            asked = leaf.asked
            if len(asked.fate_items) <= known:
                return leaf
            luck = self.shares(
                asked.fate_items[known:], stem.name, leaf.numbers["fate_counts"][known:], _FATE
            )
            bad = (luck < leaf.numbers["shares"][known:, 1]).nonzero()[0]
            if not len(bad):
                return leaf
            first = int(bad[0])
            number = known + first
            fate = LOST if luck[first] < asked.shares[number][0] else AGAIN
            if (number, fate) not in leaf.later:
                fates = {**leaf.fates, number: fate}
                leaf.later[number, fate] = self.futures.maker.make(stem.product, stem.covered, fates)
            leaf, known = leaf.later[number, fate], number + 1

    def fill(self, leaves: list[Leaf], tables: dict[int, Any], task_begins: Any) -> None:
        """Draw every duration; what became too long for any working interval goes on after the break."""
        import numpy as np

        stems = self.futures.stems
        names = [
            stem.name + item for stem, leaf in zip(stems, leaves, strict=True) for item in leaf.asked.items
        ]
        keys = self.futures.keys
        for name in names:
            if name not in keys:
                keys[name] = child_seed(0, name) & _MASK
        seeds = np.array([keys[name] for name in names], dtype=np.uint64)
        counts = np.concatenate([leaf.numbers["counts"] for leaf in leaves])
        what = np.concatenate([leaf.numbers["what"] for leaf in leaves])
        minutes = self._minutes(seeds, counts, what)
        draws = np.array([len(leaf.asked.items) for leaf in leaves])
        begins = np.concatenate(([0], np.cumsum(draws)[:-1]))
        firsts = np.concatenate([leaf.first_draw + b for leaf, b in zip(leaves, begins, strict=True)])
        if not len(firsts):
            return
        each = np.maximum.reduceat(minutes, firsts)
        tables[k.WAYS][:, k.W_MINUTES] = each
        limit = np.concatenate([leaf.limit for leaf in leaves])
        tasks = np.concatenate([leaf.way_task + b for leaf, b in zip(leaves, task_begins, strict=True)])
        tables[k.TASKS][tasks[each > limit], k.PAUSE] = 1

    def _minutes(self, seeds: Any, counts: Any, what: Any) -> Any:
        import numpy as np

        low, likely, high, station = what.T
        at = self.drawn(seeds, counts, _TIME)
        with np.errstate(invalid="ignore", divide="ignore"):
            below = low + np.sqrt(at * (high - low) * (likely - low))
            above = high - np.sqrt((1.0 - at) * (high - low) * (high - likely))
            seconds = np.where(at < (likely - low) / (high - low), below, above)
        seconds = np.where(high <= low, likely, seconds)
        self._stops(seconds, seeds, counts, station.astype(int))
        minutes = np.ceil(seconds / MINUTE)
        close = np.abs(seconds / MINUTE - np.rint(seconds / MINUTE)) < NEAR
        for n in close.nonzero()[0]:
            minutes[n] = minutes_up(float(seconds[n]))
        return np.maximum(1, minutes.astype(np.int64))

    def _stops(self, seconds: Any, seeds: Any, counts: Any, station: Any) -> None:
        """Repairs: the few that come are reckoned one by one, so that no last digit differs."""
        import numpy as np

        every = np.array([0.0 if b is None else b.every for b in self.futures.breakdowns] + [0.0])[station]
        some = (every > 0).nonzero()[0]
        if not len(some):
            return
        luck = self.drawn(seeds[some], counts[some], _STOPS)
        expected = seconds[some] / every[some]
        maybe = some[luck < 1e-12 - np.expm1(-expected)]
        if not len(maybe):
            return
        again = self.drawn(seeds[maybe], counts[maybe], _STOPS)
        repairs = self.drawn(seeds[maybe], counts[maybe], _REPAIR)
        for n, chance, share in zip(maybe, again, repairs, strict=True):
            breakdown = self.futures.breakdowns[station[n]]
            if breakdown is not None and chance < -math.expm1(-(float(seconds[n]) / breakdown.every)):
                seconds[n] = float(seconds[n]) + breakdown.repair * -math.log1p(-float(share))


def _scrambled(numbers: Any) -> Any:
    """`dice.mixed` of many numbers."""
    import numpy as np

    z = numbers
    z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return z ^ (z >> np.uint64(31))
