"""Standard cost and energy of a set as a book shows it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pairwright.base.words import Text
from pairwright.costing import SetCost, set_costs
from pairwright.reports.names import part_name, step_word, variant_name
from pairwright.works import Works
from pairwright.works.orders import Book
from pairwright.works.steptime import StepTime


@dataclass(frozen=True, slots=True)
class CostLine:
    """What a good set of one product in one option costs, in the works' currency."""

    product: str
    option: str
    name: Text
    material: float
    labour: float
    place: float
    energy: float
    overhead: float
    total: float
    energy_joule: float  # [J]
    people_time: float  # [s]
    dearest: tuple[tuple[str, float], ...]  # steps with the highest direct cost
    ordered: int  # sets in the order book


@dataclass(frozen=True, slots=True)
class Costs:
    """Standard costs of everything, and of the order book."""

    currency: str
    lines: tuple[CostLine, ...]
    order_book: float


def costs(works: Works, book: Book, *, times: Iterable[StepTime]) -> Costs:
    """Standard cost of every set the works can make, those on order counted."""
    lines = tuple(_line(works, book, cost) for cost in set_costs(works, times))
    return Costs(works.factory.costs.currency, lines, sum(c.total * c.ordered for c in lines))


def _line(works: Works, book: Book, cost: SetCost) -> CostLine:
    by_step = sorted(cost.steps, key=lambda s: (-s.direct, s.part, s.step))
    dearest = tuple(
        (
            f"{part_name(works, cost.product, option=cost.option, part=s.part)}: {step_word(s.step)}",
            s.direct,
        )
        for s in by_step[:3]
    )
    ordered = sum(o.quantity for o in book.orders if (o.product, o.option) == (cost.product, cost.option))
    return CostLine(
        cost.product, cost.option, variant_name(works, cost.product, cost.option), cost.material, cost.labour,
        cost.place, cost.energy, cost.overhead, cost.total, cost.energy_joule, cost.people_time, dearest, ordered,
    )  # fmt: skip
