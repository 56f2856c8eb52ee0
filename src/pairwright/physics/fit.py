"""Wood against metal: how a gap moves with humidity and temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Climate:
    """A state of the joint: wood moisture, dry basis [-], and temperature [K]."""

    name: str
    moisture: float
    temperature: float


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a fit: size as made [m], movement per moisture fraction [-], expansion [1/K].

    For wood `movement` is the strain per unit of moisture fraction across the joint (100 times a
    coefficient per % moisture); for metal it is 0.
    """

    size: float
    movement: float = 0.0
    expansion: float = 0.0


@dataclass(frozen=True, slots=True)
class GapRange:
    """Gaps over the climates [m]: smallest and largest, each with the climate's name."""

    smallest: float
    smallest_at: str
    largest: float
    largest_at: str
    as_made: float


def size_in(side: Side, climate: Climate, *, made: Climate) -> float:
    """Size of a part in a climate. [m]

    Parameters
    ----------
    side : Side
        The part. [-]
    climate : Climate
        The climate asked for. [-]
    made : Climate
        The climate in which its size was measured. [-]

    Returns
    -------
    float
        Size. [m]

    Notes
    -----
    size (1 + movement dM + expansion dT), linear; wood between 6 and 14 % moisture.

    References
    ----------
    .. [1] USDA Wood Handbook FPL-GTR-190 (2010), ch. 13: dD = D C (Mf - Mi).

    Examples
    --------
    >>> shop, dry = Climate("shop", 0.08, 293.15), Climate("heated room", 0.06, 293.15)
    >>> round(size_in(Side(0.200, movement=0.338), dry, made=shop) * 1000, 3)
    198.648
    """
    strain = side.movement * (climate.moisture - made.moisture)
    strain += side.expansion * (climate.temperature - made.temperature)
    return side.size * (1.0 + strain)


def gap_range(opening: Side, insert: Side, *, made: Climate, climates: Sequence[Climate]) -> GapRange:
    """Smallest and largest gap between an opening and what sits in it. [m]

    Parameters
    ----------
    opening : Side
        The recess or the frame. [-]
    insert : Side
        What sits in it. [-]
    made : Climate
        The climate in which both were measured. [-]
    climates : Sequence[Climate]
        The climates that the loudspeaker will see. [-]

    Returns
    -------
    GapRange
        Smallest and largest gap, over both sides together, and where. [m]

    Notes
    -----
    A negative gap is an interference: wood and metal press on each other. Halve it for a centred
    insert. Both sides are taken at equilibrium; the real thing lags by days to weeks.

    Examples
    --------
    >>> shop = Climate("shop", 0.08, 293.15)
    >>> rooms = [Climate("winter", 0.06, 295.15), Climate("summer", 0.11, 299.15)]
    >>> ring, recess = Side(0.1780, expansion=23e-6), Side(0.1790, movement=0.338)
    >>> gap = gap_range(recess, ring, made=shop, climates=rooms)
    >>> round(gap.smallest * 1e3, 3), gap.smallest_at, round(gap.largest * 1e3, 3)
    (-0.218, 'winter', 2.79)
    """
    gaps = [
        (size_in(opening, c, made=made) - size_in(insert, c, made=made), c.name) for c in climates
    ] or [(opening.size - insert.size, made.name)]  # fmt: skip
    smallest = min(gaps, key=lambda g: (g[0], g[1]))
    largest = max(gaps, key=lambda g: (g[0], g[1]))
    return GapRange(smallest[0], smallest[1], largest[0], largest[1], opening.size - insert.size)


def expansion_coefficient(length_before: float, length_after: float, *, before: float, after: float) -> float:
    """Thermal expansion from two lengths. [1/K]

    Parameters
    ----------
    length_before : float
        Length at the first temperature. [m]
    length_after : float
        Length at the second temperature. [m]
    before : float
        First temperature. [K]
    after : float
        Second temperature. [K]

    Returns
    -------
    float
        Mean coefficient between them, on the first length. [1/K]

    References
    ----------
    .. [1] NIST TN 1900, example E13.

    Examples
    --------
    >>> round(expansion_coefficient(1.4999, 1.5021, before=288.15, after=373.10) * 1e5, 4)
    1.7266
    """
    return (length_after - length_before) / (length_before * (after - before))
