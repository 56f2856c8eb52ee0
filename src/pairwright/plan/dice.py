"""Chance from a seed: a small generator in whole numbers, alike on every machine.

The generator is SplitMix64: a counter, mixed.

References
----------
G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
figure 17 (constants as printed in its reference implementation).
"""

from __future__ import annotations

from typing import Final

_MASK: Final = (1 << 64) - 1
_GAMMA: Final = 0x9E3779B97F4A7C15


def mixed(number: int) -> int:
    """A 64-bit number scrambled so that neighbours have nothing in common."""
    z = number & _MASK
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _MASK
    return z ^ (z >> 31)


def share(seed: int, count: int) -> float:
    """The `count`-th number of a stream, evenly spread over [0, 1). [-]"""
    return (mixed(seed + (count + 1) * _GAMMA) >> 11) * 2.0**-53


class Dice:
    """A stream of chances."""

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._count = 0

    def roll(self) -> float:
        """Evenly spread over [0, 1). [-]"""
        found = share(self._seed, self._count)
        self._count += 1
        return found

    def below(self, limit: int) -> int:
        """A whole number from 0 to below the limit."""
        return int(self.roll() * limit)
