"""The act of matching: which finished halves go together, and which mates an orphan could have."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import ENGLISH, Amount, Text, Words, text

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading
    from pairwright.floor import Item, State

OFFERED: Final = 3  # mates that an orphan is offered


@dataclass(frozen=True, slots=True)
class Mates:
    """Two items that go together; `distance` is their unlikeness, in the unit of the characteristics."""

    left: str
    right: str
    distance: float
    reasons: tuple[Text, ...]

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "left": self.left,
            "right": self.right,
            "distance": self.distance,
            "reasons": [words.say(one) for one in self.reasons],
        }


@dataclass(frozen=True, slots=True)
class Matched:
    """The best pairs of a part, who stays alone and why, and what each orphan could be mated with."""

    part: str
    characteristics: tuple[str, ...]
    pairs: tuple[Mates, ...]
    left_over: tuple[tuple[str, Text], ...]
    offers: tuple[tuple[str, tuple[Mates, ...]], ...]
    scales: tuple[tuple[str, float], ...] = ()  # what a characteristic was divided by, where units differ

    @property
    def total(self) -> float:
        """Sum of the distances."""
        return math.fsum(one.distance for one in self.pairs)

    @property
    def worst(self) -> float | None:
        """The largest distance; None without pairs."""
        return max((one.distance for one in self.pairs), default=None)

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "part": self.part,
            "characteristics": list(self.characteristics),
            "pairs": [one.as_json(words) for one in self.pairs],
            "left_over": [name for name, _ in self.left_over],
            "total": self.total,
            "worst": self.worst,
            "why_left_over": {name: words.say(why) for name, why in self.left_over},
            "orphans": [
                {"item": name, "mates": [one.as_json(words) for one in mates]} for name, mates in self.offers
            ],
            "scales": dict(self.scales),
        }


def match_part(
    floor: Floor, part: str, *, actor: str, characteristics: Sequence[str] = (), limit: float | None = None
) -> Matched:
    """The best mates among the free items of a part, by what was measured on them.

    Items of one product and option are mated; left with right where the items have sides. As many
    pairs as can be, and of those the choice with the least sum of distances.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    part : str
        A part, or product.part.
    actor : str
        Who asks, by id.
    characteristics : Sequence[str]
        What to compare; by default all that were measured on every candidate.
    limit : float | None
        Largest distance of a pair.

    Notes
    -----
    Distance is Euclidean. Characteristics in one unit are compared as they are; where units differ,
    each is divided by its standard deviation over the candidates first.
    """
    del actor  # a reading act
    product, _, name = part.rpartition(".")
    _must_be_known(floor, part, product=product, name=name)
    with floor.record.reading() as reading:
        state = reading.state()
        items = [i for i in _items(state, reading, name) if product in ("", i.product)]
        free = [one for one in items if _free(state, one)]
        chosen, lacking = _chosen(free, characteristics)
        if characteristics:
            _must_be_measured(free, chosen)
        ready = [one for one in free if one.id not in lacking]
        scales = _scales(state, ready, chosen)
        left_over = [(one, lacking[one]) for one in sorted(lacking)]
        pairs: list[Mates] = []
        offers: list[tuple[str, tuple[Mates, ...]]] = []
        pools: dict[tuple[str, str], list[Item]] = defaultdict(list)
        for one in ready:
            pools[one.product or "", one.option or ""].append(one)
        for _, pool in sorted(pools.items()):
            table = _Pool(pool, chosen, scales)
            found, alone = table.matched(math.inf if limit is None else limit)
            pairs += found
            lonely = text("no other is free") if len(pool) == 1 else text("no free item is like enough")
            left_over += [(n, lonely) for n in alone]
            offers += [(o.id, table.offers(o)) for o in pool if is_orphan(state, o)]
    kept = tuple(scales.items()) if any(s != 1.0 for s in scales.values()) else ()
    return Matched(part, tuple(chosen), tuple(pairs), tuple(left_over), tuple(offers), kept)


def offers_for(
    floor: Floor, item: str, *, actor: str, characteristics: Sequence[str] = ()
) -> tuple[Mates, ...]:
    """The most likely mates of one item, best first; empty where nothing can be compared.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    item : str
        An orphan.
    actor : str
        Who asks, by id.
    characteristics : Sequence[str]
        What to compare; by default all that were measured on every candidate.
    """
    del actor
    with floor.record.reading() as reading:
        state = reading.state()
        one = state.item(item)
        if one is None or one.part is None:
            return ()
        free = [
            i
            for i in _items(state, reading, one.part)
            if (i.product, i.option) == (one.product, one.option) and (i.id == item or _free(state, i))
        ]
        measured = {r.characteristic for r in one.readings if r.value is not None}
        if not measured:
            return ()
        chosen, lacking = _chosen([i for i in free if i.id == item or _values(i)], characteristics)
        ready = [i for i in free if i.id == item or (i.id not in lacking and _values(i))]
        if item in lacking or not chosen:
            return ()
        return _Pool(ready, chosen, _scales(state, ready, chosen)).offers(one)


def is_orphan(state: State, item: Item) -> bool:
    """Whether an item had a mate and has none now."""
    if item.pair is not None or item.scrapped:
        return False
    if item.was_paired:
        return True
    one = None if item.set is None else state.set(item.set)
    if one is None:
        return False
    others = (state.item(n) for n in one.members if n != item.id)
    mates = [o for o in others if o is not None and o.part == item.part]
    return bool(mates) and all(o.scrapped for o in mates)


class _Pool:
    """Items of one product and option, as points."""

    def __init__(self, items: Sequence[Item], chosen: Sequence[str], scales: dict[str, float]) -> None:
        self.items = sorted(items, key=lambda one: one.id)
        self.chosen = chosen
        self.points = {one.id: [_values(one)[name] / scales[name] for name in chosen] for one in self.items}
        self.sided = all(one.side in ("left", "right") for one in self.items)

    def matched(self, limit: float) -> tuple[list[Mates], list[str]]:
        import numpy as np

        from pairwright.pairing.match import pair_pool, pair_sides

        if self.sided:
            sides = [[o for o in self.items if o.side == s] for s in ("left", "right")]
            tables = [
                np.array([self.points[o.id] for o in side], dtype=float).reshape(len(side), len(self.chosen))
                for side in sides
            ]
            found = pair_sides(tables[0], tables[1], limit=limit)
            pairs = [self._mates(sides[0][i], sides[1][j]) for i, j in found.pairs]
            alone = [sides[0][i].id for i in found.left_over] + [sides[1][j].id for j in found.right_over]
            return pairs, sorted(alone)
        if len(self.items) < 2:
            return [], [one.id for one in self.items]
        found = pair_pool(np.array([self.points[o.id] for o in self.items], dtype=float), limit=limit)
        pairs = [self._mates(self.items[i], self.items[j]) for i, j in found.pairs]
        return pairs, [self.items[n].id for n in found.left_over]

    def offers(self, orphan: Item) -> tuple[Mates, ...]:
        others = [
            one for one in self.items if one.id != orphan.id and not (self.sided and one.side == orphan.side)
        ]
        ranked = sorted(others, key=lambda o: (math.dist(self.points[o.id], self.points[orphan.id]), o.id))
        return tuple(self._mates(*self._ordered(orphan, one)) for one in ranked[:OFFERED])

    def _ordered(self, one: Item, other: Item) -> tuple[Item, Item]:
        return (other, one) if one.side in ("right", "b") else (one, other)

    def _mates(self, left: Item, right: Item) -> Mates:
        distance = math.dist(self.points[left.id], self.points[right.id])
        first, second = _values(left), _values(right)
        reasons = [
            text(
                "{name}: {left} and {right}, apart {apart}",
                name=name,
                left=Amount(first[name], "number"),
                right=Amount(second[name], "number"),
                apart=Amount(abs(first[name] - second[name]), "number"),
            )
            for name in self.chosen
        ]
        batches = sorted({d.batch for d in left.done if d.batch} & {d.batch for d in right.done if d.batch})
        if batches:
            reasons.append(text("both were in batch {names}", names=", ".join(batches)))
        return Mates(left.id, right.id, distance, tuple(reasons))


def _items(state: State, reading: Reading, part: str) -> Iterator[Item]:
    for listed in reading.every("item", part=part):
        found = state.item(listed.id)
        if found is not None:
            yield found


def _free(state: State, item: Item) -> bool:
    """Whether an item may be mated: whole, in nothing, stopped by nothing, without a mate that lives."""
    from pairwright.floor import holds_on

    if item.scrapped or item.pair is not None or item.into is not None or item.used_in is not None:
        return False
    if holds_on(state, item.id):
        return False
    one = None if item.set is None else state.set(item.set)
    if one is None or is_orphan(state, item):
        return True
    others = (state.item(n) for n in one.members if n != item.id)
    return all(o is None or o.part != item.part or o.side == item.side for o in others)


def _values(item: Item) -> dict[str, float]:
    return {r.characteristic: r.value for r in item.readings if r.value is not None}


def _chosen(free: Sequence[Item], wanted: Sequence[str]) -> tuple[list[str], dict[str, Text]]:
    """What is compared, and who can't be."""
    lacking: dict[str, Text] = {}
    if not wanted:
        for one in free:
            if not _values(one):
                lacking[one.id] = text("nothing was measured on it yet")
        ready = [set(_values(one)) for one in free if one.id not in lacking]
        common = set.intersection(*ready) if ready else set()
        if not common:
            return [], lacking | {one.id: text("no characteristic was measured on all items") for one in free
                                  if one.id not in lacking}  # fmt: skip
        return sorted(common), lacking
    for one in free:
        missing = [name for name in wanted if name not in _values(one)]
        if missing:
            lacking[one.id] = text("{names} was not measured on it", names=", ".join(missing))
    return list(dict.fromkeys(wanted)), lacking


def _scales(state: State, items: Sequence[Item], chosen: Sequence[str]) -> dict[str, float]:
    import statistics

    units: set[str] = set()
    for one in items[:50]:
        for r in one.readings:
            entry = state.past.entry(r.key) if r.characteristic in chosen else None
            if entry is not None:
                units.add(str(entry.event.data.get("unit", "")))
    if len(units) < 2 or len(items) < 2:
        return dict.fromkeys(chosen, 1.0)
    return {name: statistics.pstdev(_values(one)[name] for one in items) or 1.0 for name in chosen}


def _must_be_known(floor: Floor, part: str, *, product: str, name: str) -> None:
    known = {(p, q) for (p, _), v in floor.opened.works.variants.items() for q in v.parts}
    if (product, name) in known or (not product and any(q == name for _, q in known)):
        return
    names = sorted({q for _, q in known})
    raise InputError(
        Problem("command line", "--part", text("a part of the works ({names})", names=", ".join(names)[:300]),
                shown(part), text("correct it"))
    )  # fmt: skip


def _must_be_measured(free: Sequence[Item], chosen: Sequence[str]) -> None:
    known = {name for one in free for name in _values(one)}
    for name in chosen:
        if name not in known and free:
            raise InputError(
                Problem("command line", "--characteristic",
                        text("one that was measured ({names})", names=", ".join(sorted(known)) or "-"),
                        shown(name), text("correct it, or measure the items first"))
            )  # fmt: skip
