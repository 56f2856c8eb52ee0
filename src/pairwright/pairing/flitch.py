"""Leaves of a flitch to sets: mates from consecutive leaves, faults off the visible faces, most alike.

A set takes so many consecutive leaves, all cut at one place, so that figure and faults run on from leaf
to leaf and mates open like a book. Most sets come first; among those, the likeliest mates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text

MOST_LEAVES: Final = 20_000
RESOLUTION: Final = 1_000_000  # likeness is counted in millionths
ROUNDING: Final = 1e-12  # of sums and differences of sizes [m]


@dataclass(frozen=True, slots=True)
class Fault:
    """A rectangle that must not be seen: from the leaf's corner [m]."""

    along: float
    across: float
    length: float
    width: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """One leaf: its number in the flitch, size [m], faults. `like_next` of 0 to 1 to the next leaf."""

    id: str
    flitch: str
    number: int
    length: float
    width: float
    faults: tuple[Fault, ...] = ()
    like_next: float = 1.0


@dataclass(frozen=True, slots=True)
class Panels:
    """What one set of a kind needs: `leaves` in a row, each for a panel of this size [m]; `wanted` sets."""

    id: str
    leaves: int
    length: float
    width: float
    wanted: int
    least_like: float = 0.0  # of neighbouring leaves in a set


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive leaves that make a set, cut at `along`, `across` [m]; the mean likeness of neighbours."""

    kind: str
    leaves: tuple[str, ...]
    along: float
    across: float
    likeness: float


@dataclass(frozen=True, slots=True)
class Allocation:
    """Blocks by flitch and number; what is left over, and why."""

    blocks: tuple[Block, ...]
    left_over: tuple[tuple[str, Text], ...]

    @property
    def likeness(self) -> float:
        """Sum over the sets. [-]"""
        return math.fsum(b.likeness for b in self.blocks)


def allocate(leaves: Sequence[Leaf], panels: Sequence[Panels]) -> Allocation:
    """Most sets from the leaves, then the most alike; optimal.

    Parameters
    ----------
    leaves : Sequence[Leaf]
        In any order; no number twice in a flitch.
    panels : Sequence[Panels]
        What is wanted.

    Notes
    -----
    Every block of consecutive leaves that can be cut at one common place is a candidate; which to take is
    an integer programme (each leaf once, of each kind no more than wanted), solved to the end. Its
    likeness is counted in millionths, and the whole of it weighs less than one set.
    """
    runs = _runs(leaves)
    candidates = [block for run in runs for block in _candidates(run, panels)]
    chosen = _chosen(leaves, candidates, panels) if candidates else []
    by_id = {leaf.id: leaf for leaf in leaves}
    chosen.sort(key=lambda b: (by_id[b.leaves[0]].flitch, by_id[b.leaves[0]].number))
    used = {name for block in chosen for name in block.leaves}
    possible = {name for block in candidates for name in block.leaves}
    rest = sorted((leaf for leaf in leaves if leaf.id not in used), key=lambda x: (x.flitch, x.number))
    left = tuple((leaf.id, _why(leaf, panels, possible=possible, runs=runs)) for leaf in rest)
    return Allocation(tuple(chosen), left)


def first_come(leaves: Sequence[Leaf], panels: Sequence[Panels]) -> Allocation:
    """What is done without computing: from the first leaf on, the first set that fits."""
    wanted = {p.id: p.wanted for p in panels}
    chosen: list[Block] = []
    for run in _runs(leaves):
        place = 0
        while place < len(run):
            found = next(
                (b for p in panels if wanted[p.id] > 0 for b in _block(run[place : place + p.leaves], p)),
                None,
            )
            if found is None:
                place += 1
                continue
            chosen.append(found)
            wanted[found.kind] -= 1
            place += len(found.leaves)
    return Allocation(tuple(chosen), ())


def _runs(leaves: Sequence[Leaf]) -> list[list[Leaf]]:
    """Leaves without a gap in their numbers, flitch by flitch."""
    if len(leaves) > MOST_LEAVES:
        raise InputError(
            Problem("leaves", "count", text("at most {n}", n=MOST_LEAVES), shown(len(leaves)),
                    text("allocate flitch by flitch"))
        )  # fmt: skip
    ordered = sorted(leaves, key=lambda leaf: (leaf.flitch, leaf.number))
    runs: list[list[Leaf]] = []
    for n, leaf in enumerate(ordered):
        before = ordered[n - 1] if n else None
        if before is not None and (before.flitch, before.number) == (leaf.flitch, leaf.number):
            raise InputError(
                Problem(leaf.id, "number", text("one leaf of a number in a flitch"), shown(leaf.number),
                        text("correct the number of {one} or {other}", one=before.id, other=leaf.id))
            )  # fmt: skip
        if before is None or before.flitch != leaf.flitch or before.number + 1 != leaf.number:
            runs.append([])
        runs[-1].append(leaf)
    return runs


def _candidates(run: Sequence[Leaf], panels: Sequence[Panels]) -> Iterator[Block]:
    for kind in panels:
        for first in range(len(run) - kind.leaves + 1) if kind.wanted > 0 else ():
            yield from _block(run[first : first + kind.leaves], kind)


def _block(leaves: Sequence[Leaf], kind: Panels) -> Iterator[Block]:
    """The block of these leaves, where they can be cut at one place and are alike enough."""
    if len(leaves) < kind.leaves:
        return
    likes = [one.like_next for one, _ in pairwise(leaves)]
    if likes and min(likes) < kind.least_like:
        return
    place = common_place(leaves, length=kind.length, width=kind.width)
    if place is not None:
        mean = math.fsum(likes) / len(likes) if likes else 1.0
        yield Block(kind.id, tuple(leaf.id for leaf in leaves), *place, mean)


def common_place(leaves: Sequence[Leaf], *, length: float, width: float) -> tuple[float, float] | None:
    """Where a panel can be cut from all leaves at once without a fault; None where it can't. [m]

    Parameters
    ----------
    leaves : Sequence[Leaf]
        Consecutive leaves.
    length : float
        Of the panel, along the leaf. [m]
    width : float
        Across. [m]

    Notes
    -----
    If there is a place at all, there is one that touches the corner's edges or faults: only those are
    tried, the corner first.

    Examples
    --------
    >>> knot = Fault(0.0, 0.0, 0.3, 0.05)
    >>> one = Leaf("a", "F", 1, 2.0, 0.3, (knot,))
    >>> common_place([one], length=1.8, width=0.25)
    (0.0, 0.05)
    """
    most_along = min(leaf.length for leaf in leaves) - length
    most_across = min(leaf.width for leaf in leaves) - width
    if most_along < -ROUNDING or most_across < -ROUNDING:
        return None
    faults = [fault for leaf in leaves for fault in leaf.faults]
    alongs = sorted({0.0, *(f.along + f.length for f in faults)})
    acrosses = sorted({0.0, *(f.across + f.width for f in faults)})
    for along in (a for a in alongs if a <= most_along + ROUNDING):
        for across in (c for c in acrosses if c <= most_across + ROUNDING):
            if not any(
                f.along < along + length and along < f.along + f.length
                and f.across < across + width and across < f.across + f.width
                for f in faults
            ):  # fmt: skip
                return along, across
    return None


def _chosen(leaves: Sequence[Leaf], blocks: Sequence[Block], panels: Sequence[Panels]) -> list[Block]:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    leaf_row = {leaf.id: n for n, leaf in enumerate(leaves)}
    kind_row = {p.id: len(leaves) + n for n, p in enumerate(panels)}
    rows, columns = [], []
    for n, block in enumerate(blocks):
        for name in block.leaves:
            rows.append(leaf_row[name])
            columns.append(n)
        rows.append(kind_row[block.kind])
        columns.append(n)
    shape = (len(leaves) + len(panels), len(blocks))
    matrix = csr_array((np.ones(len(rows)), (rows, columns)), shape=shape)
    most = np.concatenate([np.ones(len(leaves)), [float(p.wanted) for p in panels]])
    each = np.array([round(b.likeness * RESOLUTION) / RESOLUTION for b in blocks])
    # the likeness of all sets together is worth less than one more set
    worth = 1.0 + each / (len(leaves) + 1.0)
    found = milp(
        -worth, integrality=np.ones(len(blocks)), bounds=Bounds(0.0, 1.0),
        constraints=LinearConstraint(matrix, -np.inf, most), options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    return [block for block, taken in zip(blocks, found.x, strict=True) if taken > 0.5]


def _why(leaf: Leaf, panels: Sequence[Panels], *, possible: set[str], runs: Sequence[Sequence[Leaf]]) -> Text:
    """In words, why a leaf is left over."""
    if leaf.id in possible:
        return text("its neighbours are taken, or no more sets are wanted")
    if all(leaf.length < p.length or leaf.width < p.width for p in panels):
        return text("smaller than every panel")
    if all(common_place([leaf], length=p.length, width=p.width) is None for p in panels):
        return text("no panel fits between its faults")
    run = next(r for r in runs if leaf in r)
    if all(len(run) < p.leaves for p in panels):
        return text("too few leaves follow each other here")
    return text("with its neighbours no panel can be cut at one place, or they are too unlike")
