"""Opening stock of the sample works: lots, finished parts, purchases under way.

What a book needs is reckoned roughly from a table per set; lots cover most of it, some fall
short on purpose, so that there is something to buy.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from pairwright.base.seeds import child_seed
from pairwright.sample.orders import SampleOrder

# Material of one set, in the material's unit. {face} and {colour} depend on the option.
PER_SET: Final[dict[str, dict[str, float]]] = {
    "alder": {
        "birch-12": 18.8, "birch-06": 2.1, "{face}": 2.1, "press-resin": 2.9, "joint-glue": 0.10,
        "birch-ply-18": 1.24, "baffle-board-25": 0.68, "brass": 0.18, "aluminium": 6.4,
        "sealer": 0.41, "clear-satin": 0.93, "{colour}": 0.71, "unit-bond": 0.075,
        "voice-coil-wire": 0.12, "basket-170": 4, "cone-170": 4, "basket-120": 2, "cone-120": 2,
        "dome-28": 2, "board-kit-3": 2, "terminal-plate": 2, "spike": 8, "damping-felt": 2.2,
        "carton-tall": 2, "papers": 1, "disc-120": 0.66, "disc-150": 0.59, "disc-180": 0.53,
        "film-320": 1.1, "film-800": 1.9, "pad-satin": 0.45,
    },
    "sorrel": {
        "ash-12": 4.7, "birch-12": 1.35, "press-resin": 0.75, "joint-glue": 0.05,
        "birch-ply-18": 0.52, "baffle-board-25": 0.26, "brass": 0.10, "aluminium": 0.9,
        "sealer": 0.40, "clear-gloss": 0.88, "{colour}": 0.31, "unit-bond": 0.032,
        "voice-coil-wire": 0.052, "basket-170": 2, "cone-170": 2, "dome-28": 2, "board-kit-2": 2,
        "terminal-plate": 2, "damping-felt": 0.8, "carton-small": 2, "papers": 1,
        "disc-120": 0.37, "disc-150": 0.32, "disc-180": 0.29, "film-320": 1.9, "film-800": 2.0,
        "film-1500": 2.8, "compound-cut": 0.06, "compound-fine": 0.04, "compound-finish": 0.03,
    },
    "tansy": {
        "birch-12": 3.6, "press-resin": 0.45, "joint-glue": 0.03, "birch-ply-18": 0.32,
        "baffle-board-25": 0.17, "brass": 0.07, "aluminium": 1.3, "sealer": 0.12,
        "clear-satin": 0.26, "{colour}": 0.19, "unit-bond": 0.022, "voice-coil-wire": 0.028,
        "basket-120": 2, "cone-120": 2, "dome-28": 1, "board-kit-2": 1, "terminal-plate": 1,
        "damping-felt": 0.5, "carton-small": 1, "papers": 1, "disc-120": 0.21, "disc-150": 0.19,
        "disc-180": 0.17, "film-320": 0.47, "film-800": 0.66, "pad-satin": 0.13,
    },
}  # fmt: skip
FACES: Final = {"walnut": "walnut-leaf", "oak": "oak-leaf", "ash": "ash-leaf", "painted": "birch-06"}
COLOURS: Final = {"painted": "slate", "walnut": None, "oak": None, "ash": None}  # of Alder

# Unit, decimals, days a lot keeps (None: for ever).
UNITS: Final[dict[str, tuple[str, int, int | None]]] = {
    **dict.fromkeys(("birch-12", "birch-06", "ash-12", "walnut-leaf", "oak-leaf", "ash-leaf", "birch-ply-18",
                     "baffle-board-25", "damping-felt"), ("m2", 1, None)),
    **dict.fromkeys(("brass", "aluminium", "voice-coil-wire"), ("kg", 2, None)),
    **dict.fromkeys(("compound-cut", "compound-fine", "compound-finish"), ("kg", 2, 365)),
    "press-resin": ("kg", 1, 90), "joint-glue": ("kg", 2, 180), "unit-bond": ("kg", 2, 240),
    "sealer": ("L", 1, 270), "clear-gloss": ("L", 1, 180), "clear-satin": ("L", 1, 180),
    **dict.fromkeys(("slate", "chalk", "ink", "russet", "lichen"), ("L", 1, 300)),
}  # fmt: skip
PIECE: Final = ("piece", 0, None)

# Share of the need that is on hand where it is not the usual one, and that is under way.
USUAL: Final = (1.15, 0.0)
SHORT: Final[dict[str, tuple[float, float]]] = {
    "walnut-leaf": (0.45, 0.25),  # the one thing that will surely be missing
    "press-resin": (0.90, 0.25),
    "clear-gloss": (0.60, 0.55),
    "board-kit-3": (0.50, 0.60),
    "basket-170": (0.55, 0.55),
    "russet": (0.70, 0.45),
    "carton-tall": (0.40, 0.70),
}
MEASURED: Final = ("moisture", "thickness", "viscosity")
FINISHED: Final = (  # product, option, part, quantity: drive units and boards left from the week before
    ("alder", "walnut", "woofer", 8), ("alder", "walnut", "tweeter", 4), ("alder", "walnut", "crossover", 2),
    ("alder", "oak", "midrange", 2), ("sorrel", "chalk", "woofer", 4), ("sorrel", "chalk", "tweeter", 4),
    ("sorrel", "ink", "crossover", 2), ("tansy", "slate", "crossover", 1),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SampleLot:
    """One line of stock/lots.csv."""

    id: str
    material: str
    quantity: float
    received: date
    values: Mapping[str, str]

    def row(self) -> str:
        """The line."""
        unit, decimals, keeps = UNITS.get(self.material, PIECE)
        expiry = "" if keeps is None else str(self.received + timedelta(days=keeps))
        measured = ",".join(self.values.get(name, "") for name in MEASURED)
        return f"{self.id},{self.material},{self.quantity:.{decimals}f},{unit},{self.received},{expiry},{measured}\n"


def need(orders: Sequence[SampleOrder]) -> dict[str, float]:
    """What a book takes of each material, about."""
    total: dict[str, float] = {}
    for order in orders:
        for name, amount in PER_SET[order.product].items():
            material = _named(name, order)
            if material is not None:
                total[material] = total.get(material, 0.0) + amount * order.quantity
    return total


def _named(name: str, order: SampleOrder) -> str | None:
    if name == "{face}":
        return FACES[order.option]
    if name == "{colour}":
        return COLOURS.get(order.option, order.option) if order.product == "alder" else order.option
    return name


def draw_lots(orders: Sequence[SampleOrder], *, start: date, seed: int) -> tuple[SampleLot, ...]:
    """Lots on hand on the first day."""
    chance = random.Random(child_seed(seed, "sample", "lots"))
    found: list[SampleLot] = []
    for material, whole in sorted(need(orders).items()):
        _, _, keeps = UNITS.get(material, PIECE)
        parts = 3 if SHORT.get(material, USUAL)[0] * whole > 60 else 2
        shares = [chance.uniform(0.8, 1.2) for _ in range(parts)]
        for share in shares:
            age = chance.randint(4, 120 if keeps is None else round(0.75 * keeps))
            amount = _round(material, SHORT.get(material, USUAL)[0] * whole * share / sum(shares))
            values = dict(_measured(material, chance))
            name = f"L{len(found) + 1:03d}"
            found.append(SampleLot(name, material, amount, start - timedelta(days=age), values))
    return tuple(found)


def _round(material: str, amount: float) -> float:
    _, decimals, _ = UNITS.get(material, PIECE)
    return max(10.0**-decimals, round(amount, decimals))


def _measured(material: str, chance: random.Random) -> Iterator[tuple[str, str]]:
    if material.startswith(("birch-0", "birch-1", "ash-1")) and material != "birch-ply-18":
        yield "moisture", f"{chance.gauss(6.8, 0.35):.1f} %"
        nominal = 0.6 if material.endswith("06") else 1.2
        yield "thickness", f"{chance.gauss(nominal, 0.015):.2f} mm"
    elif material.endswith("-leaf"):
        yield "moisture", f"{chance.gauss(8.4, 0.4):.1f} %"
        yield "thickness", f"{chance.gauss(0.6, 0.012):.2f} mm"
    elif UNITS.get(material, PIECE)[0] == "L":
        yield "viscosity", f"{chance.gauss(24.0, 1.2):.0f} s"


def lots_csv(lots: Sequence[SampleLot]) -> str:
    """stock/lots.csv: bulk material with shelf life and what was measured on receipt."""
    head = "lot,material,quantity,unit,received,expiry," + ",".join(MEASURED) + "\n"
    return head + "".join(lot.row() for lot in lots)


def parts_csv() -> str:
    """stock/parts.csv: finished parts that an order may use instead of making them."""
    rows = "".join(f"{product},{option},{part},{quantity},\n" for product, option, part, quantity in FINISHED)
    return "product,option,part,quantity,side\n" + rows


def purchases_csv(orders: Sequence[SampleOrder], *, start: date, seed: int) -> str:
    """stock/purchases.csv: ordered and not yet here."""
    chance = random.Random(child_seed(seed, "sample", "purchases"))
    whole = need(orders)
    rows = []
    for number, (material, (_, share)) in enumerate(sorted(SHORT.items()), 1):
        if material not in whole:
            continue
        unit, decimals, _ = UNITS.get(material, PIECE)
        arrives = start + timedelta(days=chance.randint(6, 24))
        arrives += timedelta(days=max(0, 8 - arrives.isoweekday()) if arrives.isoweekday() > 5 else 0)
        amount = _round(material, whole[material] * share)
        rows.append(f"P{number:02d},{material},{amount:.{decimals}f},{unit},{arrives}\n")
    return "purchase,material,quantity,unit,arrives\n" + "".join(rows)
