"""Cutting blanks from leaves: never an overlap, never a defect, never against the grain, and never one leaf too many.

Small cases are solved a second time by trying everything.
"""

from __future__ import annotations

import itertools
import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.process.blanks import blanks_of, split
from pairwright.process.cutting import CutPlan, Defect, Stock, Wanted, cut
from tests.unit.process.small import changed

CM = 0.01


# ------------------------------------------------------------------------------- by trying everything
def strip_holds(
    blanks: list[tuple[int, int]], y: int, length: int, defects: tuple[tuple[int, ...], ...]
) -> bool:
    """Whether some order and some places of the blanks, on whole numbers, fit into a strip."""
    for order in set(itertools.permutations(blanks)):
        x = 0
        for along, across in order:
            while any(d[0] < x + along and d[1] > x and d[2] < y + across and d[3] > y for d in defects):
                x += 1
            x += along
        if x <= length:
            return True
    return False


def fewest(
    blanks: list[tuple[int, int]], length: int, width: int, defects: tuple[tuple[int, ...], ...]
) -> float:
    """Fewest leaves alike for these blanks, by every way to part them into strips and leaves."""
    everything = frozenset(range(len(blanks)))

    @cache
    def one_leaf(chosen: frozenset[int], y: int) -> bool:
        if not chosen:
            return True
        if y >= width:
            return False
        if one_leaf(chosen, y + 1):  # waste
            return True
        for size in range(1, len(chosen) + 1):
            for group in itertools.combinations(sorted(chosen), size):
                inside = [blanks[n] for n in group]
                height = max(across for _, across in inside)
                fits = y + height <= width and strip_holds(inside, y, length, defects)
                if fits and one_leaf(chosen - set(group), y + height):
                    return True
        return False

    @cache
    def leaves(chosen: frozenset[int]) -> float:
        if not chosen:
            return 0
        first = min(chosen)
        best = math.inf
        rest = sorted(chosen - {first})
        for size in range(len(rest) + 1):
            for group in itertools.combinations(rest, size):
                here = frozenset((first, *group))
                if one_leaf(here, 0):
                    best = min(best, 1 + leaves(chosen - here))
        return best

    return leaves(everything)


def sound(plan: CutPlan, wanted: list[Wanted], stock: list[Stock]) -> None:
    """What every plan promises, whatever its status."""
    leaves, sizes = {s.id: s for s in stock}, {w.id: w for w in wanted}
    for leaf in plan.leaves:
        whole = leaves[leaf.stock]
        for (y0, h0), (y1, _) in itertools.pairwise(sorted(leaf.strips)):
            assert y0 + h0 <= y1 + 1e-9
        for piece in leaf.placed:
            want = sizes[piece.blank]
            straight = (want.along, want.across)
            assert (piece.along, piece.across) == pytest.approx(straight, abs=1e-4) or (
                want.turns and (piece.across, piece.along) == pytest.approx(straight, abs=1e-4)
            )
            y, height = leaf.strips[piece.strip]
            assert piece.y == y
            assert piece.across <= height + 1e-9
            assert piece.x >= 0.0
            assert piece.x + piece.along <= whole.length + 1e-9
            assert piece.y + piece.across <= whole.width + 1e-9
            for d in whole.defects:
                apart = (d.x1 <= piece.x + 1e-9 or piece.x + piece.along <= d.x0 + 1e-9
                         or d.y1 <= piece.y + 1e-9 or piece.y + piece.across <= d.y0 + 1e-9)  # fmt: skip
                assert apart
        for a, b in itertools.combinations(leaf.placed, 2):
            if a.strip == b.strip:
                assert a.x + a.along <= b.x + 1e-9 or b.x + b.along <= a.x + 1e-9
    for want in wanted:
        assert sum(p.blank == want.id for leaf in plan.leaves for p in leaf.placed) == want.number


sizes = st.tuples(st.integers(2, 9), st.integers(2, 6))
defects = st.lists(
    st.tuples(st.integers(0, 9), st.integers(1, 3), st.integers(0, 6), st.integers(1, 3)), max_size=2
)


@given(blanks=st.lists(sizes, min_size=1, max_size=5), length=st.integers(9, 14), width=st.integers(6, 9))
@settings(max_examples=30, deadline=None)
def test_as_few_leaves_as_trying_everything_finds(
    blanks: list[tuple[int, int]], length: int, width: int
) -> None:
    wanted = [Wanted(f"b{n}", a * CM, b * CM) for n, (a, b) in enumerate(blanks)]
    stock = [Stock("leaf", length * CM, width * CM, number=len(blanks))]

    plan = cut(wanted, stock)

    assert plan.status == "optimal"
    sound(plan, wanted, stock)
    assert len(plan.leaves) == fewest(blanks, length, width, ())
    assert plan.bound == pytest.approx(plan.cost, rel=1e-6)


@given(blanks=st.lists(sizes, min_size=1, max_size=3), holes=defects)
@settings(max_examples=60, deadline=None)
def test_around_defects_as_few_leaves_as_trying_everything_finds(
    blanks: list[tuple[int, int]], holes: list[tuple[int, int, int, int]]
) -> None:
    length, width = 13, 8
    rectangles = tuple((x, min(x + dx, length), y, min(y + dy, width)) for x, dx, y, dy in holes)
    wanted = [Wanted(f"b{n}", a * CM, b * CM) for n, (a, b) in enumerate(blanks)]
    flawed = tuple(Defect(*(v * CM for v in r)) for r in rectangles)
    stock = [Stock("leaf", length * CM, width * CM, number=len(blanks), defects=flawed)]
    needed = fewest(blanks, length, width, rectangles)

    plan = cut(wanted, stock)

    if math.isinf(needed):
        assert plan.status == "infeasible"
        assert plan.leaves == ()
    else:
        sound(plan, wanted, stock)
        assert len(plan.leaves) == needed


# --------------------------------------------------------------------------------------- promises
def test_grain_is_not_turned_unless_it_does_not_matter() -> None:
    tall = [Stock("leaf", 0.5, 1.0)]

    with pytest.raises(InputError, match="no larger than the largest leaf"):
        cut([Wanted("ply", 0.9, 0.4)], tall)
    plan = cut([Wanted("ply", 0.9, 0.4, turns=True)], tall)
    assert (plan.leaves[0].placed[0].along, plan.leaves[0].placed[0].across) == pytest.approx((0.4, 0.9))


def test_a_saw_takes_its_kerf() -> None:
    two = [Wanted("ply", 0.5, 0.3, number=2)]

    assert len(cut(two, [Stock("leaf", 1.0, 0.3, number=2)]).leaves) == 1
    assert len(cut(two, [Stock("leaf", 1.0, 0.3, number=2)], kerf=0.003).leaves) == 2
    assert len(cut(two, [Stock("leaf", 1.003, 0.3, number=2)], kerf=0.003).leaves) == 1


def test_the_cheaper_stock_is_cut() -> None:
    blanks = [Wanted("ply", 1.0, 0.4, number=4)]
    small, large = Stock("small", 1.0, 0.4, number=9), Stock("large", 2.0, 0.8, number=9)

    assert {leaf.stock for leaf in cut(blanks, [small, large]).leaves} <= {"small", "large"}
    dear = [Stock("small", 1.0, 0.4, number=9, price=3.0), Stock("large", 2.0, 0.8, number=9, price=10.0)]
    plan = cut(blanks, dear)
    assert [leaf.stock for leaf in plan.leaves] == ["large"]
    assert plan.cost == plan.bound == pytest.approx(10.0)


def test_too_little_stock_is_infeasible_not_an_error() -> None:
    plan = cut([Wanted("ply", 1.0, 0.4, number=3)], [Stock("leaf", 1.0, 0.4, number=2)])

    assert plan.status == "infeasible"
    assert "does not hold" in str(plan.says)


def test_a_search_cut_short_states_its_bound() -> None:
    many = [Wanted(f"b{n}", 0.9 + 0.013 * n, 0.21 + 0.007 * n, number=6) for n in range(6)]

    plan = cut(many, [Stock("leaf", 2.5, 1.3, number=60)], effort=0)

    if plan.leaves:
        sound(plan, many, [Stock("leaf", 2.5, 1.3, number=60)])
        assert plan.bound <= plan.cost + 1e-9
    assert plan.status in ("optimal", "feasible", "unknown")


@pytest.mark.parametrize(
    ("wanted", "stock", "says"),
    [
        ([], [Stock("leaf", 1, 1)], "at least one"),
        ([Wanted("a", 1, 1)], [], "at least one leaf"),
        ([Wanted("a", 1, 1), Wanted("a", 0.5, 1)], [Stock("leaf", 1, 1)], "named once each"),
        ([Wanted("a", -1, 1)], [Stock("leaf", 1, 1)], "above 0 m"),
        ([Wanted("a", 1, 1, number=0)], [Stock("leaf", 1, 1)], "from 1 to"),
        ([Wanted("a", 1, 1)], [Stock("leaf", 1, 1, defects=(Defect(0.5, 0.4, 0, 1),))], "from low to high"),
        ([Wanted(f"b{n}", 0.01 + 0.00013 * n, 0.01 + 0.00017 * n) for n in range(80)], [Stock("leaf", 9, 9)],
         "fewer different sizes"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused(wanted: list[Wanted], stock: list[Stock], says: str) -> None:
    with pytest.raises(InputError, match=says):
        cut(wanted, stock)


def test_the_same_question_has_the_same_answer() -> None:
    wanted = [Wanted("a", 1.0, 0.3, number=7), Wanted("b", 0.7, 0.25, number=5)]
    stock = [Stock("leaf", 2.5, 0.7, number=20)]

    assert cut(wanted, stock) == cut(wanted, stock)


# ----------------------------------------------------------------------------------------- blanks
def test_a_crossed_ply_is_cut_with_its_grain_along_the_leaf() -> None:
    blanks = blanks_of(changed(), "linden", option="walnut", part="shell")
    inner, second = blanks[0], blanks[1]

    assert inner.veneer == "birch-06"
    assert (inner.along, inner.across) == pytest.approx((0.95, inner.length))  # grain along the height
    assert (second.along, second.across) == pytest.approx((second.length, 0.95))
    assert second.length > inner.length  # further out
    assert inner.length == pytest.approx(0.4 + math.pi * 0.1503 + 0.05)


def test_a_slanting_ply_needs_the_rectangle_around_it() -> None:
    slanted = changed(
        ('{ veneer = "birch-15", grain = "0 deg" }', '{ veneer = "birch-15", grain = "45 deg" }')
    )
    ply = blanks_of(slanted, "linden", option="walnut", part="shell")[1]

    assert ply.along == pytest.approx((ply.length + ply.width) / math.sqrt(2.0))
    assert ply.along == pytest.approx(ply.across)


@given(across=st.floats(0.05, 3.0), widest=st.floats(0.05, 0.5), joint=st.floats(0.0, 0.003))
def test_strips_side_by_side_make_up_the_width(across: float, widest: float, joint: float) -> None:
    count, width = split(across, widest=widest, joint=joint)

    assert width <= widest + 1e-9
    assert count * width - 2.0 * joint * (count - 1) == pytest.approx(across)
    assert count == 1 or (across + 2.0 * joint * (count - 2)) / (count - 1) > widest - 1e-9


def test_leaves_narrower_than_their_joints_are_refused() -> None:
    with pytest.raises(InputError, match="both joints"):
        split(1.0, widest=0.002, joint=0.001)
