"""Pairs on a simulated floor: leaves opened like a book, shells, cabinets; late-bound halves by what they measure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pairwright.simulation.lives import Life, Pieces
from pairwright.simulation.moments import Diary, Rank
from pairwright.simulation.people import LEAD
from pairwright.simulation.values import Truth
from pairwright.works import Works
from pairwright.works.product import Product

CLOSER: Final = 0.5  # another half is taken where it is so much more alike
MATCHER: Final = "sim-acoustics-1"


class Pairs:
    """Which items are mates now, and the events that say so."""

    def __init__(self, works: Works, diary: Diary, *, truth: Truth, pieces: Pieces) -> None:
        self._works, self._diary, self._truth = works, diary, truth
        self._roots = dict(pieces.roots)
        self._bonds: dict[str, tuple[str, dict[str, str]]] = {}  # set -> key of its mating, halves by side
        self._leaves: dict[tuple[str, int], dict[str, str]] = {}  # set, turn -> leaf by side
        self._begun: dict[tuple[str, str, int], dict[str, str]] = {}  # set, part, turn -> item by side
        self._sets: set[str] = set()
        self._mated: dict[str, tuple[Life, ...]] = {}
        self._flitch: dict[str, tuple[int, int]] = {}  # material -> number of the flitch, leaf

    def before(self, life: Life, place: int, *, at: int) -> None:
        """What is recorded before a piece begins: its set, and the two leaves of an early-bound pair."""
        product = self._product(life)
        if life.set not in self._sets:
            self._sets.add(life.set)
            self._diary.event(at, Rank.BOOK, kind="registered", actor=LEAD, subject=("set", life.set),
                              data={"product": life.product, "option": life.option or None,
                                    "order": life.order})  # fmt: skip
        if place == 0 and self._has_leaves(product, life) and (life.set, life.turn) not in self._leaves:
            self._open_the_book(life, product, at=at)

    def leaf_of(self, life: Life, place: int) -> Iterator[str]:
        """The leaf that goes into a shell."""
        if place == 0 and self._has_leaves(self._product(life), life) and life.side is not None:
            yield self._leaves[life.set, life.turn][life.side]

    def after(self, life: Life, place: int, *, at: int) -> None:
        """Once both halves of a part have begun, the pair goes over to them."""
        if place != 0 or life.side is None or life.plan == life.set or not self.goes_over(life):
            return
        halves = self._begun.setdefault((life.set, life.part, life.turn), {})
        halves[life.side] = life.id
        if len(halves) == 2:
            key, _ = self._bonds[life.set]
            self._mate(life.set, halves, at=at, rank=Rank.AFTER, carries_on=key)

    def goes_over(self, life: Life) -> bool:
        """Whether a part takes over the pair of the leaves that it is made of."""
        product = self._product(life)
        early = product.binding == "early" and product.lost_half == "both anew"
        return early and (life.part == product.root or product.parts[life.part].leaf)

    def before_together(self, one: Life, *, at: int) -> None:
        """Halves that are not mated yet become a pair, before anything is done to them together."""
        halves = self.halves(one.set)
        if one.set in self._mated or len(halves) != 2:
            return
        self._mated[one.set] = halves
        if one.set in self._bonds:
            return
        product = self._product(one)
        reason = None
        if product.binding == "late":
            halves, reason = self._closest(one, halves, at=at)
            self._mated[one.set] = halves
        if reason is None and any(half.set != one.set for half in halves):
            reason = "the half that was planned here went to another set"
        self._diary.act(at, Rank.PAIR, name="mate", actor=MATCHER, scanned=[half.id for half in halves],
                        data={"set": one.set, **({"reason": reason} if reason else {})})  # fmt: skip
        self._bonds[one.set] = "", {str(half.side): half.id for half in halves}

    def halves(self, name: str) -> tuple[Life, ...]:
        """The halves of a set: as mated, else as planned."""
        return self._mated.get(name) or self._roots.get(name, ())

    def _product(self, life: Life) -> Product:
        return self._works.variants[life.product, life.option]

    def _has_leaves(self, product: Product, life: Life) -> bool:
        return product.binding == "early" and product.parts[life.part].leaf and life.plan != life.set

    def _open_the_book(self, life: Life, product: Product, *, at: int) -> None:
        """Two consecutive leaves of a flitch are registered and mated."""
        layup = product.parts[life.part].layup
        material = layup.plies[-1].veneer if layup is not None else None
        flitch, number = self._flitch.get(material or "", (1, 0))
        if number >= 24:
            flitch, number = flitch + 1, 0
        self._flitch[material or ""] = flitch, number + 2
        leaves: dict[str, str] = {}
        for place, side in enumerate(product.sides(), 1):
            again = f"-r{life.turn + 1}" if life.turn else ""
            name = f"{life.set}.leaf.{side}{again}"
            leaves[str(side)] = name
            self._diary.event(
                at, Rank.PAIR, kind="registered", actor=LEAD, subject=("item", name),
                data={"what": "leaf", "material": material, "side": side, "set": life.set,
                      "flitch": f"{material}-F{flitch:02d}", "number": number + place},
            )  # fmt: skip
        self._leaves[life.set, life.turn] = leaves
        if product.lost_half != "both anew":
            return
        reason = None
        if life.set in self._bonds:
            reason = "a half was lost in making: a new pair of leaves"
            self._diary.act(
                at, Rank.PAIR, name="unmate", actor=LEAD, scanned=(life.set,), data={"reason": reason}
            )
            self._mated.pop(life.set, None)
        self._mate(life.set, leaves, at=at, rank=Rank.PAIR, reason=reason)

    def _mate(self, name: str, halves: dict[str, str], *, at: int, rank: Rank, **more: str | None) -> None:
        key = self._diary.event(at, rank, kind="mated", actor=LEAD, subject=("set", name),
                                data={**dict(sorted(halves.items())), **more})  # fmt: skip
        self._bonds[name] = key, dict(halves)

    def _closest(
        self, one: Life, halves: tuple[Life, ...], *, at: int
    ) -> tuple[tuple[Life, ...], str | None]:
        """The planned halves, or another second half that waits, where it is far more alike."""
        first, second = halves
        best = CLOSER * self._truth.unlike(first, second, at=at)
        whose = None
        for name, others in self._roots.items():
            free = (
                name != one.set and name not in self._mated and name not in self._bonds and len(others) == 2
            )
            if not free or others[1].end > at or not self._comparable(second, others[1]):
                continue
            unlike = self._truth.unlike(first, others[1], at=at)
            if unlike < best:
                best, whose = unlike, name
        if whose is None:
            return halves, None
        other_first, chosen = self._roots[whose]
        self._roots[whose] = other_first, second
        return (first, chosen), f"more alike than {second.id}, which goes to set {whose}"

    def _comparable(self, one: Life, other: Life) -> bool:
        """Whether two second halves are of one make and came from one charge of the oven."""
        same = (one.product, one.option, one.part) == (other.product, other.option, other.part)
        return same and self._last_charge(one) == self._last_charge(other)

    def _last_charge(self, life: Life) -> str | None:
        steps = self._product(life).parts[life.part].steps
        shared = (op.batch for op in reversed(life.operations) if steps[op.index].mates == "same batch")
        return next(shared, None)
