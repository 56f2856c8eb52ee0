"""One set's tasks as arrays of their own, for a given fate of its steps: laid end to end, they are a problem.

Most sets of a product fare alike in most futures, so a leaf is made once for each product and fate and
used again. What differs between futures of one fate, the durations, is filled in when leaves are laid.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pairwright.plan import kernel_layout as k
from pairwright.plan.blocks import Blocks, form_blocks
from pairwright.plan.build import GOOD, Rows, SetMaker
from pairwright.plan.chance import MOST_TURNS
from pairwright.plan.compiled import columns
from pairwright.plan.facts import FactTable, StepFacts, Way
from pairwright.plan.problem import rows as laid
from pairwright.works.product import Product


@dataclass(slots=True)
class Asked:
    """Chances that a set has asked for while it was made: items, where in their streams, of what."""

    items: list[str] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)
    what: list[tuple[float, float, float, int]] = field(default_factory=list)  # low, likely, high, station
    fate_items: list[str] = field(default_factory=list)
    fate_counts: list[int] = field(default_factory=list)
    shares: list[tuple[float, float]] = field(default_factory=list)  # scrap, scrap or rework


class Scripted:
    """A set's fate as written down; what it asks is noted. Its minutes are numbers of what was asked."""

    splits = False

    def __init__(self, fates: Mapping[int, int]) -> None:
        self.fates = fates
        self.asked = Asked()

    def minutes(self, item: str, facts: StepFacts, way: Way, turn: int) -> int:
        """Which question this is, from 1."""
        asked = self.asked
        asked.items.append(item)
        asked.counts.append(facts.index * (MOST_TURNS + 1) + min(turn, MOST_TURNS))
        asked.what.append((way.low, way.likely, way.high, way.station))
        return len(asked.items)

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """As written down."""
        step = facts.step
        again = step.rework.chance if step.rework is not None else 0.0
        if turn >= MOST_TURNS or not (step.scrap or again):
            return GOOD
        asked = self.asked
        asked.fate_items.append(item)
        asked.fate_counts.append(facts.index * (MOST_TURNS + 1) + turn)
        asked.shares.append((step.scrap, step.scrap + again))
        return self.fates.get(len(asked.fate_items) - 1, GOOD)


@dataclass(slots=True)
class Leaf:
    """A set's arrays; rows point into the leaf itself. `later` are leaves of worse fates, when needed."""

    fates: dict[int, int]
    asked: Asked
    numbers: dict[str, Any]  # of `asked`, as arrays
    grown: Rows | None  # until its tables are made
    first_draw: Any  # of each way
    limit: Any  # of each way: longest working interval, where work too long for it goes on after the break
    way_task: Any
    names: list[
        tuple[int, str, str, bool]
    ]  # task, item, step of each operation, whether it is an item's first
    later: dict[tuple[int, int], Leaf] = field(default_factory=dict)
    tables: dict[int, Any] = field(default_factory=dict)  # made when the leaf is first laid


@dataclass(slots=True)
class LeafMaker:
    """What leaves of one works have in common."""

    table: FactTable
    words: dict[str, int] = field(default_factory=dict)
    kinds: dict[tuple[tuple[str, int], ...], int] = field(default_factory=dict)
    longest: dict[int, int] = field(default_factory=dict)  # working interval of a working time [min]

    def make(self, product: Product, covered: frozenset[str], fates: dict[int, int]) -> Leaf:
        """The leaf of a set without a name; items are named by what comes after it."""
        import numpy as np

        grown = Rows()
        chance = Scripted(fates)
        SetMaker(grown, self.table, chance=chance, covered=covered).make(product, "", number=0, release=0)
        ways = [way for some in grown.ways for way in some]
        asked = chance.asked
        last = np.array([number for _, number in ways], dtype=np.int64)
        numbers = {
            "counts": np.array(asked.counts, dtype=np.uint64), "what": np.array(asked.what).reshape(-1, 4),
            "fate_counts": np.array(asked.fate_counts, dtype=np.uint64),
            "shares": np.array(asked.shares).reshape(-1, 2),
        }  # fmt: skip
        for spent in (asked.counts, asked.what, asked.fate_counts):
            spent.clear()
        return Leaf(
            fates, asked, numbers, grown, np.concatenate(([0], last[:-1])) if len(last) else last,
            np.array([self._limit(way) for way, _ in ways], dtype=np.int64),
            np.array([task for task, some in enumerate(grown.ways) for _ in some], dtype=np.int64),
            [
                (task, op.item, op.facts.step.id, place == 0 and op.facts.index == 0)
                for task, numbers_of in enumerate(grown.task_operations)
                for place, op in enumerate(grown.operations[n] for n in numbers_of)
            ],
        )  # fmt: skip

    def lay(self, leaf: Leaf) -> Leaf:
        """The leaf with its tables."""
        if leaf.grown is not None:
            leaf.tables = self._tables(leaf.grown)
            leaf.grown = None
        return leaf

    def _limit(self, way: Way) -> int:
        if way.station < 0 or not self.table.shop.manned[way.station]:
            return 1 << 40
        if way.time not in self.longest:
            time = self.table.shop.times[way.time]
            spans = (end - start for start, end in zip(time.starts, time.ends, strict=True))
            self.longest[way.time] = max(spans, default=0)
        return self.longest[way.time]

    def _tables(self, grown: Rows) -> dict[int, Any]:
        blocks = form_blocks(grown.set_of, grown.links, before=grown.before)
        ways = [way for some in grown.ways for way, _ in some]
        before = [row for some in grown.before for row in some]
        owner = [0] * len(grown.operations)
        for task, numbers in enumerate(grown.task_operations):
            for number in numbers:
                owner[number] = task
        brought = not self.table.shop.relaxed.has("transport", "")
        return {
            k.TASKS: self._tasks(grown, blocks),
            k.WAYS: columns(
                [w.station for w in ways], [w.crew for w in ways], [w.people for w in ways], [0] * len(ways),
                [w.time for w in ways], [w.setup_crew for w in ways], [w.setup_time for w in ways],
                [w.area for w in ways],
            ),
            k.BEFORES: columns(
                [b[0] for b in before], [b[1] for b in before], [b[2] for b in before],
                [b[3] and brought for b in before], [b[4] for b in before],
            ),
            k.HOLDS: columns(
                grown.hold_pool, grown.hold_need, grown.hold_open, grown.hold_close, grown.hold_at_end,
                [owner[n] for n in grown.hold_operation],
            ),
            k.OPENS: columns(laid(grown.opens)[1]), k.CLOSES: columns(laid(grown.closes)[1]),
            k.BLOCKS: self._blocks(grown, blocks), k.MEMBERS: columns(blocks.tasks),
            k.NEXTS: columns(blocks.next_block),
        }  # fmt: skip

    def _tasks(self, grown: Rows, blocks: Blocks) -> Any:
        return columns(
            *(laid(some)[0][:-1] for some in ([[0] * len(w) for w in grown.ways],
              [[0] * len(b) for b in grown.before], grown.opens, grown.closes)),
            [f.family for f in grown.facts], grown.load,
            [self.words.setdefault(f.word, len(self.words)) for f in grown.facts],
            grown.pause, grown.keeps, grown.mate, grown.mate_within, blocks.of, blocks.places, grown.set_of,
        )  # fmt: skip

    def _blocks(self, grown: Rows, blocks: Blocks) -> Any:
        kinds: list[int] = []
        sides: list[int] = []
        depths: list[int] = []
        for first, beyond in zip(blocks.begins, blocks.begins[1:], strict=False):
            some = blocks.tasks[first:beyond]
            key = tuple((grown.facts[t].name, len(grown.ways[t])) for t in some)
            kinds.append(self.kinds.setdefault(key, len(self.kinds)))
            lead = grown.operations[grown.task_operations[some[0]][0]]
            sides.append(2 if lead.side is None else int(lead.side in ("right", "b")))
            depths.append(lead.item.count("."))
        return columns(
            blocks.begins[:-1], blocks.sets, kinds, blocks.waits, blocks.next_from[:-1], sides, depths
        )
