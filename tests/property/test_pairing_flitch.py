"""Leaves to sets: as good as trying everything, never worse than first come, nothing cut through a fault."""

from __future__ import annotations

import random
import time
from functools import cache
from itertools import pairwise

import pytest

from pairwright.base.errors import InputError
from pairwright.pairing.flitch import Allocation, Fault, Leaf, Panels, allocate, common_place, first_come


def drawn(seed: int, count: int) -> tuple[list[Leaf], list[Panels]]:
    """A small flitch or two with faults that run through neighbouring leaves."""
    rng = random.Random(seed)
    leaves, number, knot = [], 0, None
    for n in range(count):
        number += 1 if rng.random() < 0.9 else 2
        knot = knot if knot is not None and rng.random() < 0.6 else None
        if knot is None and rng.random() < 0.4:
            knot = Fault(rng.uniform(0, 1.8), rng.uniform(0, 0.25), 0.1, 0.05)
        leaves.append(
            Leaf(f"L{n}", "F1" if n < count * 0.7 else "F2", number, rng.choice((2.0, 1.2)), 0.3,
                 () if knot is None else (knot,), round(rng.random(), 3))
        )  # fmt: skip
    kinds = [
        Panels("tower", 4, 1.1, 0.28, rng.randint(0, 2), 0.2),
        Panels("shelf", 2, rng.choice((0.6, 1.6)), 0.25, rng.randint(1, 3)),
    ]
    return leaves, kinds


def by_trying_everything(leaves: list[Leaf], kinds: list[Panels]) -> tuple[int, float]:
    """Most sets and their likeness, by recursion over every choice."""
    ordered = sorted(leaves, key=lambda x: (x.flitch, x.number))

    @cache
    def best(place: int, wanted: tuple[int, ...]) -> tuple[int, float]:
        if place >= len(ordered):
            return 0, 0.0
        found = best(place + 1, wanted)
        for n, kind in enumerate(kinds):
            block = ordered[place : place + kind.leaves]
            if wanted[n] == 0 or len(block) < kind.leaves:
                continue
            if any(b.flitch != a.flitch or b.number != a.number + 1 for a, b in pairwise(block)):
                continue
            likes = [leaf.like_next for leaf in block[:-1]]
            if (
                min(likes) < kind.least_like
                or common_place(block, length=kind.length, width=kind.width) is None
            ):
                continue
            sets, like = best(place + kind.leaves, tuple(w - (m == n) for m, w in enumerate(wanted)))
            found = max(found, (sets + 1, like + sum(likes) / len(likes)))
        return found

    return best(0, tuple(k.wanted for k in kinds))


@pytest.mark.parametrize("seed", range(200))
def test_as_many_and_as_alike_as_by_trying_everything(seed: int) -> None:
    leaves, kinds = drawn(seed, 14)
    sets, like = by_trying_everything(leaves, kinds)

    found = allocate(leaves, kinds)

    assert len(found.blocks) == sets
    assert found.likeness == pytest.approx(like, abs=1e-4)


def sound(found: Allocation, leaves: list[Leaf], kinds: list[Panels]) -> None:
    """Whatever was allocated can be cut."""
    by_id, by_kind = {x.id: x for x in leaves}, {k.id: k for k in kinds}
    used = [name for block in found.blocks for name in block.leaves]
    assert len(used) == len(set(used))
    assert {*used, *(name for name, _ in found.left_over)} == set(by_id)
    for block in found.blocks:
        kind, cut = by_kind[block.kind], [by_id[name] for name in block.leaves]
        assert [x.number for x in cut] == list(range(cut[0].number, cut[0].number + kind.leaves))
        assert block.along + kind.length <= min(x.length for x in cut) + 1e-12
        for fault in (f for x in cut for f in x.faults):
            apart = (
                fault.along >= block.along + kind.length or fault.along + fault.length <= block.along
                or fault.across >= block.across + kind.width or fault.across + fault.width <= block.across
            )  # fmt: skip
            assert apart
    for kind in kinds:
        assert sum(block.kind == kind.id for block in found.blocks) <= kind.wanted


@pytest.mark.parametrize("seed", range(300, 320))
def test_what_is_allocated_can_be_cut_and_first_come_is_never_better(seed: int) -> None:
    leaves, kinds = drawn(seed, 120)
    found, plain = allocate(leaves, kinds), first_come(leaves, kinds)

    sound(found, leaves, kinds)
    assert len(found.blocks) >= len(plain.blocks)
    if len(found.blocks) == len(plain.blocks):
        assert found.likeness >= plain.likeness - 1e-4


def test_two_thousand_leaves_are_allocated_and_sound() -> None:
    leaves, kinds = drawn(7, 2000)
    kinds = [Panels("tower", 4, 1.1, 0.28, 200, 0.2), Panels("shelf", 2, 0.6, 0.25, 300)]
    began = time.process_time()

    found = allocate(leaves, kinds)

    sound(found, leaves, kinds)
    assert time.process_time() - began < 60.0  # bounded; bench/flitch_time.py measures


def test_every_leaf_left_over_says_why() -> None:
    leaves = [Leaf("a", "F", 1, 0.5, 0.3), Leaf("b", "F", 3, 2.0, 0.3), Leaf("c", "F", 9, 2.0, 0.3,
              (Fault(0.0, 0.1, 2.0, 0.1),))]  # fmt: skip

    found = allocate(leaves, [Panels("tower", 2, 1.0, 0.25, 3)])

    assert found.blocks == ()
    assert {name: str(why) for name, why in found.left_over} == {
        "a": "smaller than every panel",
        "b": "too few leaves follow each other here",
        "c": "no panel fits between its faults",
    }


def test_a_number_twice_is_refused() -> None:
    with pytest.raises(InputError):
        allocate([Leaf("a", "F", 1, 1.0, 1.0), Leaf("b", "F", 1, 1.0, 1.0)], [Panels("t", 1, 0.5, 0.5, 1)])
