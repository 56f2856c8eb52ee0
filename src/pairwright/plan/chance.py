"""Drawn futures: how long each step takes this time, whether it must be done again.

A run draws from numbers that depend on run, item, step and turn alone. So two variants of a works
meet the same luck, and their difference is sharp (common random numbers).
"""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.seeds import child_seed
from pairwright.plan.build import AGAIN, GOOD, LOST
from pairwright.plan.dice import mixed, share
from pairwright.plan.facts import StepFacts, Way
from pairwright.plan.shop import Shop, minutes_up

MOST_TURNS: Final = 4  # a fifth try of a step always succeeds
_TIME, _STOPS, _REPAIR, _FATE = range(4)
_DRAWS: Final = 4


class Drawn:
    """One run's luck.

    Durations are triangular between low, likely and high. A station that stops by itself does so
    while it works, after exponential running times, and the work goes on after an exponential
    repair: both common practice. Chances of scrap and rework are the step's.
    """

    splits = True

    def __init__(self, shop: Shop, *, seed: int, run: int, keys: dict[str, int]) -> None:
        self._shop = shop
        self._run = child_seed(seed, "forecast", run)
        self._keys = keys
        factory = shop.works.factory
        self._breakdowns = [factory.stations[s].breakdown for s in shop.station_ids]

    def _draw(self, item: str, facts: StepFacts, turn: int, what: int) -> float:
        key = self._keys.get(item)
        if key is None:
            key = self._keys[item] = child_seed(0, item)
        return share(mixed(self._run ^ key), (facts.index * (MOST_TURNS + 1) + turn) * _DRAWS + what)

    def minutes(self, item: str, facts: StepFacts, way: Way, turn: int) -> int:
        """A drawn duration, repairs included. [min]"""
        turn = min(turn, MOST_TURNS)
        seconds = triangular(way.low, way.likely, high=way.high, at=self._draw(item, facts, turn, _TIME))
        breakdown = self._breakdowns[way.station] if way.station >= 0 else None
        if breakdown is not None:
            expected = seconds / breakdown.every
            luck = self._draw(item, facts, turn, _STOPS)
            if luck < -math.expm1(-expected):  # a second stop in one operation is left out
                repair = -math.log1p(-self._draw(item, facts, turn, _REPAIR))
                seconds += breakdown.repair * repair
        return max(1, minutes_up(seconds))

    def outcome(self, item: str, facts: StepFacts, turn: int) -> int:
        """Good, again or lost, by the step's chances."""
        step = facts.step
        again = step.rework.chance if step.rework is not None else 0.0
        if turn >= MOST_TURNS or not (step.scrap or again):
            return GOOD
        luck = self._draw(item, facts, turn, _FATE)
        if luck < step.scrap:
            return LOST
        return AGAIN if luck < step.scrap + again else GOOD


def triangular(low: float, likely: float, *, high: float, at: float) -> float:
    """The value of a triangular distribution below which a share `at` lies.

    Examples
    --------
    >>> triangular(1.0, 2.0, high=4.0, at=1 / 3)
    2.0
    """
    if high <= low:
        return likely
    peak = (likely - low) / (high - low)
    if at < peak:
        return low + math.sqrt(at * (high - low) * (likely - low))
    return high - math.sqrt((1.0 - at) * (high - low) * (high - likely))
