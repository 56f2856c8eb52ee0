"""What instruments show on a simulated floor: a true value for each item, and what one reading makes of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from pairwright.base.time import DAY
from pairwright.simulation.hidden import Hidden, Luck, Spread
from pairwright.simulation.lives import Life
from pairwright.works.product import Step

YEAR: Final = 365 * DAY
INSTRUMENTS: Final = (
    "sim-film-gauge", "sim-gloss-meter", "sim-pendulum", "sim-moisture-meter", "sim-calliper", "sim-bridge",
    "sim-microphone", "sim-cup", "sim-climate",
)  # fmt: skip
BY_UNIT_KIND: Final = ("resonance", "resistance", "total-q", "sensitivity")
GLOSS_LEAST: Final = 60.0  # a recipe that aims lower is satin


@dataclass(frozen=True, slots=True)
class Shown:
    """One reading."""

    characteristic: str
    value: float
    unit: str | None
    instrument: str


class Truth:
    """True values and readings of items.

    Parameters
    ----------
    hidden : Hidden
        The floor's constants.
    begin : int
        When playing begins: drift is counted from there, UTC seconds.
    """

    def __init__(self, hidden: Hidden, *, begin: int) -> None:
        self._hidden = hidden
        self._begin = begin
        self._luck = Luck(hidden.seed, "values")

    def value(self, life: Life, name: str, *, at: int) -> float:
        """The true value of a characteristic of an item."""
        spread = self._hidden.spreads[name]
        own = self._luck.normal(f"{life.id} {name}")
        common = self._luck.normal(f"{life.set} {life.part} {name}")
        z = math.sqrt(spread.alike) * common + math.sqrt(1.0 - spread.alike) * own
        return spread.mean + spread.sd * z + spread.drift * (at - self._begin) / YEAR

    def shown(self, life: Life, name: str, *, at: int, instrument: str, add: float = 0.0) -> Shown:
        """A reading of a characteristic of an item."""
        spread = self._hidden.spreads[name]
        noise = spread.gauge * self._luck.normal(f"{life.id} {name} {at} read")
        return _shown(spread, name, self.value(life, name, at=at) + add + noise, instrument)

    def loose(self, subject: str, name: str, *, at: int, instrument: str) -> Shown:
        """A reading of something that is no item: a lot."""
        spread = self._hidden.spreads[name]
        value = spread.mean + spread.sd * self._luck.normal(f"{subject} {name}")
        return _shown(
            spread, name, value + spread.gauge * self._luck.normal(f"{subject} {name} {at}"), instrument
        )

    def hardness(self, life: Life, *, days: float, at: int) -> Shown:
        """Pendulum hardness of a film so many days after its stove."""
        final, slow = self._hidden.hardening
        grown = final * (1.0 - math.exp(-(days + 1.0) / slow))
        return self.shown(life, "hardness", at=at, instrument="sim-pendulum", add=grown)

    def after(self, life: Life, step: Step, *, at: int, root: bool) -> Iterator[Shown]:
        """What is measured at the end of a step of an item."""
        match step.kind:
            case "trim" if life.part == "shell":
                yield self.shown(life, "spring-opening", at=at, instrument="sim-calliper")
                yield self.shown(life, "moisture", at=at, instrument="sim-moisture-meter")
            case "trim" if root:
                yield self.shown(life, "width", at=at, instrument="sim-calliper")
            case "flat" if root:
                yield self.shown(life, "film-thickness", at=at, instrument="sim-film-gauge")
            case "polish":
                yield self.shown(life, "film-thickness", at=at, instrument="sim-film-gauge", add=-25.0)
                gloss = getattr(step.recipe, "gloss_target", None)
                name = "gloss" if gloss is not None and gloss > GLOSS_LEAST else "sheen"
                yield self.shown(life, name, at=at, instrument="sim-gloss-meter")
            case "test" if life.part in ("woofer", "midrange", "tweeter"):
                for name in BY_UNIT_KIND:
                    yield self.shown(life, name, at=at, instrument="sim-bridge")
            case "test":
                yield self.shown(life, "level-error", at=at, instrument="sim-bridge")
            case "inspect" if not root:
                yield self.shown(life, "flatness", at=at, instrument="sim-calliper")

    def response(self, life: Life, *, at: int) -> tuple[Shown, Shown]:
        """Level and tilt of a finished half: of its own, and from what is mounted in it."""
        mounted = [part for parts in life.parts.values() for part in parts]
        mean = self._hidden.spreads["sensitivity"].mean
        units = [
            self.value(p, "sensitivity", at=at) - mean for p in mounted if p.part in ("woofer", "midrange")
        ]
        high = [self.value(p, "sensitivity", at=at) - mean for p in mounted if p.part == "tweeter"]
        level = sum(units) / len(units) if units else 0.0
        tilt = (high[0] - level) / 4.0 if high else 0.0
        return (
            self.shown(life, "level", at=at, instrument="sim-microphone", add=level),
            self.shown(life, "tilt", at=at, instrument="sim-microphone", add=tilt),
        )

    def unlike(self, one: Life, other: Life, *, at: int) -> float:
        """How unlike two halves are: what a person sees who looks for mates."""
        first, second = self.response(one, at=at), self.response(other, at=at)
        return math.dist([shown.value for shown in first], [shown.value for shown in second])


def _shown(spread: Spread, name: str, value: float, instrument: str) -> Shown:
    return Shown(name, round(value, spread.digits), spread.unit, instrument)
