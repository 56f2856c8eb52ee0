"""What nobody on a simulated floor knows: its true constants, drawn from the seed.

The plan and the forecast know the works' figures; the floor goes by these. They may be written beside the
record for whoever wants to see how well they are learnt from it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from statistics import NormalDist
from typing import Any, Final

from pairwright.base.seeds import child_seed
from pairwright.plan.dice import mixed, share
from pairwright.works import Works

NORMAL: Final = NormalDist()
PACE_SD: Final = 0.02  # of a station's true pace, as a log
CHANCE_SD: Final = 0.15  # of a true chance of scrap or rework against the stated one, as a log


class Luck:
    """Numbers that depend on the seed and on what they are for, never on the order of asking."""

    def __init__(self, seed: int, *names: str | int) -> None:
        self._seed = child_seed(seed, "floor", *names)
        self._keys: dict[str, int] = {}

    def share(self, what: str, number: int = 0) -> float:
        """Evenly spread over [0, 1). [-]"""
        key = self._keys.get(what)
        if key is None:
            key = self._keys[what] = child_seed(0, what)
        return share(mixed(self._seed ^ key), number)

    def normal(self, what: str, number: int = 0) -> float:
        """Normal with mean 0 and standard deviation 1. [-]"""
        return NORMAL.inv_cdf(min(max(self.share(what, number), 1e-9), 1.0 - 1e-9))

    def happens(self, what: str, chance: float, *, number: int = 0) -> bool:
        """Whether something of a chance happens."""
        return self.share(what, number) < chance

    def one_of(self, what: str, weights: Mapping[str, float]) -> str:
        """One name, by weight."""
        left = self.share(what) * math.fsum(weights.values())
        for name, weight in weights.items():
            left -= weight
            if left < 0.0:
                return name
        return list(weights)[-1]


@dataclass(frozen=True, slots=True)
class Spread:
    """How a characteristic scatters, in its unit.

    `sd` between items, `alike` the share of its variance that mates have in common, `gauge` the sd of one
    reading, `drift` the change over a year.
    """

    mean: float
    sd: float
    gauge: float
    unit: str | None
    digits: int = 2
    alike: float = 0.0
    drift: float = 0.0


@dataclass(frozen=True, slots=True)
class Hidden:
    """The true constants of a simulated floor.

    `pace` multiplies a station's stated times; `reach` says how far low and high lie from likely (1: they
    are the 5 % and the 95 % point); `scrap` and `again` are true chances by step.
    """

    seed: int
    pace: Mapping[str, float]
    reach: float
    scrap: Mapping[str, float]
    again: Mapping[str, float]
    repairs: tuple[float, float, float]  # short, long (over the stated mean), share of short ones
    spreads: Mapping[str, Spread]
    defects: Mapping[str, float]  # weights by kind
    hardening: tuple[float, float]  # final pendulum hardness, days to 63 % of it
    wrong_scan: float = 0.004  # of all starts
    mistyped: float = 0.008  # of all readings
    log_gap: float = 0.05  # of all machine logs
    away: float = 4.0  # spells of absence of one in a crew of several, a year

    def as_json(self) -> dict[str, Any]:
        """For a file beside the record."""
        return {"simulated": True, **asdict(self)}


def draw_hidden(works: Works, *, seed: int) -> Hidden:
    """The true constants of a floor.

    Parameters
    ----------
    works : Works
        Its figures are what the constants scatter about.
    seed : int
        Same seed, same floor. [-]
    """
    luck = Luck(seed, "hidden")
    scrap: dict[str, float] = {}
    again: dict[str, float] = {}
    for product in works.variants.values():
        for name, part in product.parts.items():
            for step in part.steps:
                full = f"{product.id}.{name}.{step.id}"
                true = math.exp(CHANCE_SD * luck.normal(f"chance {full}"))
                if step.scrap:
                    scrap[full] = min(0.5, step.scrap * true)
                if step.rework is not None:
                    again[full] = min(0.5, step.rework.chance * true)
    pace = {name: math.exp(PACE_SD * luck.normal(f"pace {name}")) for name in works.factory.stations}
    weights = {name: 0.3 + 2.0 * luck.share(f"defect {name}") ** 2 for name in works.factory.defects}
    return Hidden(
        seed=seed, pace=pace, reach=0.9 + 0.2 * luck.share("reach"), scrap=scrap, again=again,
        repairs=(0.4, 2.8, 0.75), spreads=_spreads(luck), defects=weights,
        hardening=(140.0 + 6.0 * luck.normal("hardness"), 6.0 + 0.5 * luck.normal("hardening")),
    )  # fmt: skip


# plausible for such parts (invented, with the sample works); every one is moved a little by the seed
_USUAL: Final[Mapping[str, Spread]] = {
    "spring-opening": Spread(3.2, 0.35, 0.08, "mm", 2, 0.5, 0.3),
    "moisture": Spread(8.4, 0.5, 0.3, "%", 1, 0.6),
    "thickness": Spread(1.20, 0.02, 0.01, "mm", 2),
    "viscosity": Spread(24.0, 1.1, 0.5, "s", 0),
    "film-thickness": Spread(165.0, 9.0, 3.0, "um", 0, 0.5, 6.0),
    "gloss": Spread(86.0, 1.6, 0.6, None, 1, 0.4),
    "sheen": Spread(28.0, 1.4, 0.5, None, 1, 0.4),
    "hardness": Spread(0.0, 3.0, 2.0, None, 0, 0.5),
    "width": Spread(230.0, 0.06, 0.02, "mm", 2),
    "flatness": Spread(0.08, 0.02, 0.01, "mm", 2),
    "resonance": Spread(38.0, 1.5, 0.3, "Hz", 1, 0.0, 0.8),
    "resistance": Spread(5.8, 0.06, 0.01, "ohm", 2),
    "total-q": Spread(0.38, 0.018, 0.005, None, 3),
    "sensitivity": Spread(88.0, 0.35, 0.08, "dB", 2, 0.0, -0.2),
    "level-error": Spread(0.0, 0.12, 0.03, "dB", 2),
    "level": Spread(0.0, 0.15, 0.06, "dB", 2),
    "tilt": Spread(0.0, 0.10, 0.04, "dB", 2),
}


def _spreads(luck: Luck) -> dict[str, Spread]:
    return {
        name: Spread(
            usual.mean + 0.3 * usual.sd * luck.normal(f"mean {name}"),
            usual.sd * math.exp(0.1 * luck.normal(f"sd {name}")),
            usual.gauge, usual.unit, usual.digits, usual.alike, usual.drift,
        )
        for name, usual in _USUAL.items()
    }  # fmt: skip
