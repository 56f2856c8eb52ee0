"""How long a step truly takes on a simulated floor, and how it ends."""

from __future__ import annotations

import math
from typing import Final

from pairwright.plan.build import AGAIN, GOOD, LOST
from pairwright.plan.facts import StepFacts, Way
from pairwright.plan.shop import minutes_up
from pairwright.simulation.hidden import NORMAL, Hidden, Luck
from pairwright.works import Works

MOST_TURNS: Final = 4  # a fifth try of a step always succeeds
CURES: Final = ("clamp", "rest", "stove")  # what nature makes long is never shorter than its low
_95: Final = NORMAL.inv_cdf(0.95)
_TIME, _STOP, _REPAIR, _FATE = range(4)


class FloorLuck:
    """The floor's own scatter: log-normal on either side of the likely time, repairs mostly short.

    It is not what the forecast draws. `salts` give some sets other luck: a set that could only be made by
    breaking a longest wait.
    """

    splits = True

    def __init__(
        self, works: Works, hidden: Hidden, *, stations: list[str], salts: dict[str, int] | None = None
    ) -> None:
        self.lost: dict[str, list[str]] = {}  # item -> steps at which it was lost, in order
        self.again: dict[str, list[str]] = {}
        self._hidden = hidden
        self._luck = Luck(hidden.seed, "course")
        self._stations = stations
        self._salts = salts or {}
        self._breakdowns = [works.factory.stations[name].breakdown for name in stations]

    def _share(self, item: str, facts: StepFacts, turn: int, what: int) -> float:
        salt = self._salts.get(item.split(".", 1)[0], 0) if self._salts else 0
        number = ((salt * 64 + facts.index) * (MOST_TURNS + 1) + min(turn, MOST_TURNS)) * 4 + what
        return self._luck.share(item, number)

    def minutes(self, item: str, facts: StepFacts, way: Way, turn: int) -> int:
        """The true duration, repairs included. [min]"""
        z = NORMAL.inv_cdf(min(max(self._share(item, facts, turn, _TIME), 1e-9), 1.0 - 1e-9))
        seconds = scattered(way.low, way.likely, high=way.high, z=z * self._hidden.reach)
        if way.station >= 0:
            seconds *= self._hidden.pace[self._stations[way.station]]
            seconds += self._stopped(item, facts, way, turn, seconds)
        if facts.step.kind in CURES:
            seconds = max(seconds, way.low)
        return max(1, minutes_up(seconds))

    def _stopped(self, item: str, facts: StepFacts, way: Way, turn: int, seconds: float) -> float:
        breakdown = self._breakdowns[way.station]
        if breakdown is None:
            return 0.0
        if self._share(item, facts, turn, _STOP) >= -math.expm1(-seconds / breakdown.every):
            return 0.0
        short, long, most = self._hidden.repairs
        luck = self._share(item, facts, turn, _REPAIR)
        return float(breakdown.repair) * (short if luck < most else long)

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """Good, again or lost, by the true chances; noted here."""
        scrap = self._hidden.scrap.get(facts.name, 0.0)
        again = self._hidden.again.get(facts.name, 0.0)
        if turn >= MOST_TURNS or not (scrap or again):
            return GOOD
        luck = self._share(item, facts, turn, _FATE)
        if luck < scrap:
            self.lost.setdefault(item, []).append(facts.step.id)
            return LOST
        if luck < scrap + again:
            self.again.setdefault(item, []).append(facts.step.id)
            return AGAIN
        return GOOD


def scattered(low: float, likely: float, *, high: float, z: float) -> float:
    """A time `z` standard deviations from the likely one, whose 5 % and 95 % points are low and high. [s]

    Examples
    --------
    >>> round(scattered(40.0, 60.0, high=120.0, z=1.6448536), 3)
    120.0
    """
    end = high if z > 0.0 else low
    if likely <= 0.0 or end <= 0.0:
        return likely
    return likely * math.exp(abs(math.log(end / likely)) / _95 * z)
