"""Rules that say when a chart speaks: one point far out, or several in a row on one side.

The names are our own and say what the rule looks at. A point's place is counted in standard
deviations from the centre line.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

INFINITE: Final = float("inf")


@dataclass(frozen=True, slots=True)
class ZoneRule:
    """So many of the last so many points in a zone (`low`, `high`] sds from the centre, one side.

    `both_sides` counts points of either side together, as when nothing may lie near the centre.
    """

    name: str
    needed: int
    window: int
    low: float
    high: float = INFINITE
    both_sides: bool = False

    def sides(self) -> tuple[int, ...]:
        """What is counted apart: -1 below and 1 above, or 0 for both together. [-]"""
        return (0,) if self.both_sides else (-1, 1)

    def holds(self, value: float, side: int) -> bool:
        """Whether a point so many sds from the centre lies in the zone of that side."""
        away = abs(value) if side == 0 else side * value
        return self.low < away < self.high or (side == 0 and away == self.low == 0.0)


ZONE_RULES: Final[Mapping[str, ZoneRule]] = MappingProxyType({
    rule.name: rule
    for rule in (
        ZoneRule("one_beyond_three", 1, 1, 3.0),
        ZoneRule("two_of_three_beyond_two", 2, 3, 2.0),
        ZoneRule("four_of_five_beyond_one", 4, 5, 1.0),
        ZoneRule("seven_on_one_side", 7, 7, 0.0),
        ZoneRule("eight_on_one_side", 8, 8, 0.0),
        ZoneRule("nine_on_one_side", 9, 9, 0.0),
        ZoneRule("fifteen_within_one", 15, 15, 0.0, 1.0, both_sides=True),
        ZoneRule("eight_outside_one", 8, 8, 1.0, both_sides=True),
    )
})  # fmt: skip
TREND_RULES: Final[tuple[str, ...]] = ("six_rising_or_falling", "fourteen_alternating")
RULE_NAMES: Final[tuple[str, ...]] = (*ZONE_RULES, *TREND_RULES)
USUAL: Final[tuple[str, ...]] = (
    "one_beyond_three", "two_of_three_beyond_two", "four_of_five_beyond_one", "eight_on_one_side",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Signal:
    """A rule that spoke at a point: place from 0, and the rule's name."""

    place: int
    rule: str


def signals(
    points: Sequence[float], centre: float, *, sigma: float, rules: Sequence[str] = USUAL
) -> tuple[Signal, ...]:
    """Where a series of points breaks the rules of its chart. [-]

    Parameters
    ----------
    points : sequence of float
        What the chart shows, in order of time. [-]
    centre : float
        Centre line, in the same unit. [-]
    sigma : float
        Standard deviation of a point: a third of the distance to the limit. [-]
    rules : sequence of str
        Names out of `RULE_NAMES`. [-]

    Returns
    -------
    tuple of Signal
        By place, then in the order of `rules`. [-]

    Notes
    -----
    A rule speaks at the point that completes it and at each further point that is part of it. Rising
    or falling counts points: six rising points are five steps up; a step of nothing ends both.

    References
    ----------
    .. [1] L. S. Nelson, The Shewhart control chart: tests for special causes, J. Quality Technology
       16 (1984).

    Examples
    --------
    >>> [(s.place, s.rule) for s in signals([0.1, 2.3, -0.4, 2.5, 3.4], 0.0, sigma=1.0)]
    [(3, 'two_of_three_beyond_two'), (4, 'one_beyond_three'), (4, 'two_of_three_beyond_two')]
    """
    scaled = [(p - centre) / sigma for p in points]
    found = [
        (place, order, name)
        for order, name in enumerate(rules)
        for place in (
            _zone_places(scaled, ZONE_RULES[name]) if name in ZONE_RULES else _trend_places(scaled, name)
        )
    ]
    return tuple(Signal(place, name) for place, _, name in sorted(found))


def _zone_places(scaled: Sequence[float], rule: ZoneRule) -> set[int]:
    places: set[int] = set()
    for side in rule.sides():
        inside = [rule.holds(v, side) for v in scaled]
        for place, here in enumerate(inside):
            recent = inside[max(0, place - rule.window + 1) : place + 1]
            if here and sum(recent) >= rule.needed:
                places.add(place)
    return places


def _trend_places(scaled: Sequence[float], name: str) -> set[int]:
    steps = [(b > a) - (b < a) for a, b in pairwise(scaled)]
    length, keeps = (6, 1) if name == "six_rising_or_falling" else (14, -1)
    places: set[int] = set()
    run = 1  # points in the present run
    for n, step in enumerate(steps):
        if step == 0:
            run = 1
        elif n > 0 and steps[n - 1] != 0 and step == keeps * steps[n - 1]:
            run += 1
        else:
            run = 2
        if run >= length:
            places.add(n + 1)
    return places
