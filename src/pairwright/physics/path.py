"""Programme of a sanding, polishing or spraying path: its time, its dwell, its evenness."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pairwright.physics.abrasion import abrasion_depth, depth_spread


@dataclass(frozen=True, slots=True)
class PathTime:
    """Length [m], lanes and turns of all passes [-], moving, turning and whole time [s]."""

    length: float
    lanes: int
    turns: int
    moving: float
    turning: float
    time: float


@dataclass(frozen=True, slots=True)
class PathRemoval:
    """Depth over a path: mean [m], sd [m], share of the mean by which lanes differ [-]."""

    mean: float
    sd: float
    ripple: float


def path_time(
    area: float,
    width: float,
    *,
    overlap: float,
    feed: float,
    passes: int = 1,
    lane: float | None = None,
    turn_time: float = 0.0,
) -> PathTime:
    """Time of a programme of parallel lanes over an area. [s]

    Parameters
    ----------
    area : float
        Area to cover. [m2]
    width : float
        Width of the pad or the fan. [m]
    overlap : float
        Share of a lane that the next one covers again, 0 up to below 1. [-]
    feed : float
        Speed along the lane. [m/s]
    passes : int
        How often the whole area is covered. [-]
    lane : float, optional
        Length of one lane; by default that of a square of the same area. [m]
    turn_time : float
        Time lost at each turn-round: slow down, shift, start again. [s]

    Returns
    -------
    PathTime
        Length, lanes, turns and times. [-]

    Notes
    -----
    Lanes lie width x (1 - overlap) apart; a pass of n lanes has n - 1 turns and one more leads to
    the next pass. Lane counts are rounded up: the last lane may run half in the air.

    Examples
    --------
    >>> path_time(1.2, 0.15, overlap=0.5, feed=0.25, passes=2, lane=1.2, turn_time=1.5).time
    174.9
    """
    step = width * (1.0 - overlap)
    lane = math.sqrt(area) if lane is None else lane
    lanes = max(1, math.ceil(area / (lane * step) - 1e-9))
    turns = passes * lanes - 1
    length = passes * lanes * lane
    moving, turning = length / feed, turns * turn_time
    return PathTime(length, passes * lanes, turns, moving, turning, moving + turning)


def contact_time(width: float, *, feed: float, overlap: float, passes: int = 1) -> float:
    """Mean time that a point of the area lies under the pad. [s]

    Parameters
    ----------
    width : float
        Width of the pad, taken as long as wide. [m]
    feed : float
        Speed along the lane. [m/s]
    overlap : float
        Share of a lane that the next one covers again. [-]
    passes : int
        How often the whole area is covered. [-]

    Returns
    -------
    float
        Mean time in contact. [s]

    Notes
    -----
    Each lane holds a point for width/feed; 1/(1 - overlap) lanes cover it in the mean.

    Examples
    --------
    >>> contact_time(0.15, feed=0.25, overlap=0.5, passes=2)
    2.4
    """
    return passes * width / feed / (1.0 - overlap)


def overlap_ripple(overlap: float) -> float:
    """Relative sd of the number of lanes that cover a point. [-]

    Parameters
    ----------
    overlap : float
        Share of a lane that the next one covers again. [-]

    Returns
    -------
    float
        Standard deviation over the mean; 0 where 1/(1 - overlap) is a whole number. [-]

    Notes
    -----
    A point lies under floor(m) or floor(m) + 1 lanes with m = 1/(1 - overlap): variance f(1 - f)
    with f the fraction of m, for a pad of even pressure. A crowned pad smooths this.

    Examples
    --------
    >>> overlap_ripple(0.5)
    0.0
    >>> round(overlap_ripple(1.0 / 3.0), 4)
    0.3333
    """
    mean = 1.0 / (1.0 - overlap)
    part = mean - math.floor(mean + 1e-9)
    part = max(0.0, part)
    return math.sqrt(part * (1.0 - part)) / mean


def path_removal(
    coefficient: float,
    pressure: float,
    *,
    speed: float,
    width: float,
    feed: float,
    overlap: float,
    passes: int = 1,
    pressure_cv: float = 0.0,
    feed_cv: float = 0.0,
    coefficient_cv: float = 0.0,
) -> PathRemoval:
    """Depth that a programme takes off, and its scatter over the area. [m]

    Parameters
    ----------
    coefficient : float
        Preston coefficient, calibrated. [m2/N]
    pressure : float
        Contact pressure. [Pa]
    speed : float
        Relative speed of abrasive and surface. [m/s]
    width : float
        Width of the pad, taken as long as wide. [m]
    feed : float
        Speed along the lane. [m/s]
    overlap : float
        Share of a lane that the next one covers again. [-]
    passes : int
        How often the whole area is covered. [-]
    pressure_cv : float
        Relative sd of the pressure over the path. [-]
    feed_cv : float
        Relative sd of the feed: corners, turns. [-]
    coefficient_cv : float
        Relative sd of the coefficient from piece to piece. [-]

    Returns
    -------
    PathRemoval
        Mean and sd of the depth [m], ripple between lanes. [-]

    Notes
    -----
    Passes are assumed to be laid on the same lanes, so that the ripple does not average out: the
    cautious side. Shifted passes are better.

    Examples
    --------
    >>> taken = path_removal(1e-11, 8e3, speed=3.0, width=0.15, feed=0.25, overlap=0.5, passes=4)
    >>> round(taken.mean * 1e6, 3), taken.ripple
    (1.152, 0.0)
    """
    dwell = contact_time(width, feed=feed, overlap=overlap, passes=passes)
    mean = abrasion_depth(coefficient, pressure, speed=speed, time=dwell)
    ripple = overlap_ripple(overlap)
    sd = depth_spread(
        mean, pressure_cv=pressure_cv, time_cv=math.hypot(ripple, feed_cv),
        coefficient_cv=coefficient_cv,
    )  # fmt: skip
    return PathRemoval(mean, sd, ripple)


def passes_for(depth: float, per_pass: float) -> int:
    """Passes that reach a depth. [-]

    Parameters
    ----------
    depth : float
        Depth to take off. [m]
    per_pass : float
        Mean depth of one pass. [m]

    Returns
    -------
    int
        Passes, at least one. [-]

    Examples
    --------
    >>> passes_for(25e-6, 4e-6)
    7
    """
    return max(1, math.ceil(depth / per_pass - 1e-9))
