"""Blanks cut from leaves and sheets: strips along the grain, blanks across them, defects avoided.

A cut goes from edge to edge. First a leaf is parted into strips along its grain, then each strip across
into blanks; a blank narrower than its strip is trimmed. Within this form the answer is the best there is,
or comes with the bound of how good any could be. It is a flow through the places where a cut can lie
(whole numbers only), solved by a library's branch and bound.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import Amount, Text, text
from pairwright.process.cutting_flow import Arc, Flow, Part, Sheet, flow_of, solve

TICK: Final = 1e-4  # what lengths are counted in [m]
MOST_BLANKS: Final = 20_000
Status: TypeAlias = Literal["optimal", "feasible", "infeasible", "unknown"]


@dataclass(frozen=True, slots=True)
class Defect:
    """A rectangle that no blank may touch: from `x0` to `x1` along the grain, `y0` to `y1` across [m]."""

    x0: float
    x1: float
    y0: float
    y1: float


@dataclass(frozen=True, slots=True)
class Stock:
    """Leaves or sheets alike: `length` along the grain, `width` across [m], how many, `price` of one.

    Without a price the area counts.
    """

    id: str
    length: float
    width: float
    number: int = 1
    defects: tuple[Defect, ...] = ()
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """Blanks alike: `along` and `across` the grain [m], how many; `turns` where grain does not matter."""

    id: str
    along: float
    across: float
    number: int = 1
    turns: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """One blank in a leaf: its corner, its size as it lies [m], and the strip it is in."""

    blank: str
    x: float
    y: float
    along: float
    across: float
    strip: int


@dataclass(frozen=True, slots=True)
class CutLeaf:
    """One leaf or sheet cut: which of its kind, strips from their lower edge with their width [m], blanks."""

    stock: str
    number: int
    strips: tuple[tuple[float, float], ...]
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """Which leaves are cut and how.

    `cost` in area [m2], or in money where every stock has a price; `bound` below which no plan of this form
    lies; `waste` share of the area of the leaves used [-].
    """

    status: Status
    leaves: tuple[CutLeaf, ...]
    cost: float
    bound: float
    waste: float

    @property
    def says(self) -> Text:
        """How good the plan is, in words."""
        if self.status == "optimal":
            return text("{n} leaves or sheets; no plan in strips needs less", n=len(self.leaves))
        if self.status == "feasible":
            gap = 0.0 if self.cost <= 0.0 else 1.0 - self.bound / self.cost
            return text("{n} leaves or sheets; another plan in strips may save up to {gap}", n=len(self.leaves),
                        gap=Amount(gap, "share"))  # fmt: skip
        if self.status == "infeasible":
            return text("the stock does not hold the blanks wanted, cut in strips")
        return text("no plan was found within the effort; try more, or fewer blanks at a time")


def cut(
    wanted: Sequence[Wanted], stock: Sequence[Stock], *, kerf: float = 0.0, effort: int = 2000
) -> CutPlan:
    """Cut blanks out of leaves and sheets with the least area, or the least money.

    Parameters
    ----------
    wanted : sequence of Wanted
        The blanks.
    stock : sequence of Stock
        What there is.
    kerf : float
        Lost at every cut. [m]
    effort : int
        Nodes of the search; the same effort gives the same plan. [-]

    Examples
    --------
    >>> plan = cut([Wanted("a", 1.0, 0.4, number=5)], [Stock("s", 2.1, 0.9, number=9)])
    >>> plan.status, len(plan.leaves), round(plan.waste, 3)
    ('optimal', 2, 0.471)
    """
    _check(wanted, stock, kerf)
    step = _ticks(kerf, up=True)
    parts = [
        Part(n, along + step, across + step)
        for n, one in enumerate(wanted)
        for along, across in _ways(one)
    ]  # fmt: skip
    sheets = [_sheet(one, step) for one in stock]
    _check_fit(wanted, parts, sheets)
    priced = all(one.price is not None for one in stock)
    costs = [float(one.price or 0.0) if priced else one.length * one.width for one in stock]
    flow = flow_of(sheets, parts, [one.number for one in wanted])
    answer = solve(flow, costs, effort=effort)
    if answer.counts is None:
        return CutPlan(answer.status, (), 0.0, answer.bound, 0.0)
    leaves = _read(flow, answer.counts, wanted, stock, step)
    areas = {one.id: one.length * one.width for one in stock}
    used = sum(areas[leaf.stock] for leaf in leaves)
    held = sum(p.along * p.across for leaf in leaves for p in leaf.placed)
    prices = {one.id: cost for one, cost in zip(stock, costs, strict=True)}
    return CutPlan(
        answer.status, leaves, sum(prices[leaf.stock] for leaf in leaves), answer.bound,
        0.0 if used == 0.0 else 1.0 - held / used,
    )  # fmt: skip


def _ticks(length: float, *, up: bool) -> int:
    """A length in ticks: blanks are rounded up, leaves down, so that nothing is too large."""
    exact = length / TICK
    near = round(exact)
    if abs(exact - near) < 1e-6:
        return near
    return int(exact) + (1 if up else 0)


def _ways(one: Wanted) -> list[tuple[int, int]]:
    straight = (_ticks(one.along, up=True), _ticks(one.across, up=True))
    return [straight, straight[::-1]] if one.turns and straight[0] != straight[1] else [straight]


def _sheet(one: Stock, step: int) -> Sheet:
    """A leaf in ticks: a kerf longer and wider, since the last blank needs no cut; defects a kerf wider."""
    defects = tuple(
        (
            _ticks(d.x0, up=False),
            _ticks(d.x1, up=True) + step,
            _ticks(d.y0, up=False),
            _ticks(d.y1, up=True) + step,
        )
        for d in one.defects
    )
    return Sheet(_ticks(one.length, up=False) + step, _ticks(one.width, up=False) + step, one.number, defects)


def _read(
    flow: Flow, counts: dict[Arc, int], wanted: Sequence[Wanted], stock: Sequence[Stock], step: int
) -> tuple[CutLeaf, ...]:
    """The flow taken apart into leaves, strips and blanks; what is beyond the wanted number stays uncut."""
    left = Counter({n: one.number for n, one in enumerate(wanted)})
    found: list[CutLeaf] = []
    for kind, one in enumerate(stock):
        for number in range(flow.used(kind, counts)):
            strips, placed = [], []
            for y, height in flow.walk_strips(kind, counts):
                strips.append((y * TICK, (height - step) * TICK))
                for part, x in flow.walk_blanks(kind, y, height, counts):
                    if left[part.wanted] <= 0:
                        continue
                    left[part.wanted] -= 1
                    size = ((part.along - step) * TICK, (part.across - step) * TICK)
                    placed.append(Placed(wanted[part.wanted].id, x * TICK, y * TICK, *size, len(strips) - 1))
            if placed:
                found.append(CutLeaf(one.id, number + 1, tuple(strips), tuple(placed)))
    return tuple(found)


# ---------------------------------------------------------------------------------------- refusals
def _check(wanted: Sequence[Wanted], stock: Sequence[Stock], kerf: float) -> None:
    problems: list[Problem] = []

    def must(holds: bool, where: str, field: str, must_be: Text, got: object) -> None:
        if not holds:
            problems.append(Problem(where, field, must_be, str(got), text("correct it")))

    must(bool(wanted), "cutting", "blanks", text("at least one"), "none")
    must(bool(stock), "cutting", "stock", text("at least one leaf or sheet"), "none")
    must(0.0 <= kerf < 0.1, "cutting", "kerf", text("from 0 to 100 mm"), kerf)
    for names, what in (([w.id for w in wanted], "blanks"), ([s.id for s in stock], "stock")):
        must(len(set(names)) == len(names), "cutting", what, text("named once each"), ", ".join(names))
    for one in wanted:
        must(0.0 < one.along < 100.0 and 0.0 < one.across < 100.0, one.id, "size", text("above 0 m, below 100 m"),
             (one.along, one.across))  # fmt: skip
        must(
            1 <= one.number <= MOST_BLANKS, one.id, "number", text("from 1 to {n}", n=MOST_BLANKS), one.number
        )
    for leaf in stock:
        must(0.0 < leaf.length < 100.0 and 0.0 < leaf.width < 100.0, leaf.id, "size",
             text("above 0 m, below 100 m"), (leaf.length, leaf.width))  # fmt: skip
        must(
            1 <= leaf.number <= MOST_BLANKS,
            leaf.id,
            "number",
            text("from 1 to {n}", n=MOST_BLANKS),
            leaf.number,
        )
        for defect in leaf.defects:
            must(defect.x0 < defect.x1 and defect.y0 < defect.y1, leaf.id, "defects",
                 text("from low to high, along and across"), defect)  # fmt: skip
    if problems:
        raise InputError(problems)


def _check_fit(wanted: Sequence[Wanted], parts: Sequence[Part], sheets: Sequence[Sheet]) -> None:
    """A blank that fits no leaf at all."""
    fits = {
        part.wanted
        for part in parts
        for sheet in sheets
        if part.along <= sheet.length and part.across <= sheet.width
    }
    problems = [
        Problem(one.id, "size", text("no larger than the largest leaf"),
                f"{Amount(one.along, 'length')} x {Amount(one.across, 'length')}",
                text("join it from strips, or buy larger leaves"))
        for n, one in enumerate(wanted)
        if n not in fits
    ]  # fmt: skip
    if problems:
        raise InputError(problems)
