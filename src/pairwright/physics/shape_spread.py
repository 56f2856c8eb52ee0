"""How far a moulded shape scatters: spring-back and spring-in with the spread of what they are made from.

First order: the square of a derivative times a standard deviation, summed over independent inputs. The same
spread drawn (`drawn_spring`) is the test of whether first order is enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from pairwright.physics.bending import spring_back, spring_in
from pairwright.physics.layers import Floats
from pairwright.physics.uncertain import first_order

Plies: TypeAlias = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class WithSpread:
    """A number with its standard deviation, both in the unit of the number.

    `value` and `sd` [-].
    """

    value: float
    sd: float


def spread_of(
    function: Callable[[Sequence[float]], float], at: Sequence[float], *, sds: Sequence[float]
) -> WithSpread:
    """Value and standard deviation of a function of independent inputs, to first order. [-]

    Parameters
    ----------
    function : callable
        Of the inputs. [-]
    at : sequence of float
        Means of the inputs, in any units. [-]
    sds : sequence of float
        Their standard deviations, in the same units. [-]

    Returns
    -------
    WithSpread
        f(means), and the root of the sum of (df/dx sd)^2.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), Eq. 10.

    Examples
    --------
    >>> found = spread_of(lambda x: x[0] * x[1], [3.0, 4.0], sds=[0.1, 0.2])
    >>> found.value, round(found.sd, 6)
    (12.0, 0.72111)
    """
    value, covariance = first_order(
        lambda x: np.array([function(x.tolist())]),
        np.array(at, dtype=np.float64),
        covariance=np.diag(np.square(np.array(sds, dtype=np.float64))),
    )
    return WithSpread(float(value[0]), math.sqrt(float(covariance[0, 0])))


def spring_back_spread(
    plies: Plies, *, modulus_cv: Sequence[float], thickness_cv: Sequence[float]
) -> WithSpread:
    """Share of curvature lost, with the spread of moduli and thicknesses. [-]

    Parameters
    ----------
    plies : sequence of pairs
        Modulus along the bend and thickness, from one face to the other. [Pa, m]
    modulus_cv : sequence of float
        Relative standard deviation of each ply's modulus. [-]
    thickness_cv : sequence of float
        Relative standard deviation of each ply's thickness. [-]

    Returns
    -------
    WithSpread
        Fraction and its standard deviation.

    Notes
    -----
    Every ply scatters by itself; a lot that is stiff throughout changes nothing, since only the
    ratios of moduli count. Not in it: creep, heat's relaxation, stray fibre, which in trials did
    more than what is here.

    Examples
    --------
    >>> four = spring_back_spread(
    ...     [(12e9, 1.5e-3)] * 4, modulus_cv=[0.2] * 4, thickness_cv=[0.03] * 4
    ... )
    >>> round(four.value, 4), round(four.sd, 4)
    (0.0625, 0.0047)
    """
    n = len(plies)

    def lost(x: Sequence[float]) -> float:
        return spring_back(list(zip(x[:n], x[n:], strict=True)))

    at = [*(E for E, _ in plies), *(t for _, t in plies)]
    cvs = [*modulus_cv, *thickness_cv]
    return spread_of(lost, at, sds=[mean * cv for mean, cv in zip(at, cvs, strict=True)])


def spring_in_spread(
    angle: float,
    *,
    along: float,
    through: float,
    moisture_change: float,
    movement_cv: float,
    moisture_sd: float,
) -> WithSpread:
    """Closing of a bend by moisture, with the spread of movement and moisture.

    Parameters
    ----------
    angle : float
        Turning angle, in any unit of angle. [-]
    along : float
        Movement along the bend per unit moisture fraction. [-]
    through : float
        Movement through the thickness per unit moisture fraction. [-]
    moisture_change : float
        After less before, dry basis. [-]
    movement_cv : float
        Relative standard deviation of both movements, independent of one another. [-]
    moisture_sd : float
        Standard deviation of the change of moisture. [-]

    Returns
    -------
    WithSpread
        Change and its standard deviation, in the unit of `angle`. [-]

    Examples
    --------
    >>> corner = spring_in_spread(
    ...     90.0,
    ...     along=0.0,
    ...     through=0.19,
    ...     moisture_change=-0.04,
    ...     movement_cv=0.15,
    ...     moisture_sd=0.01,
    ... )
    >>> round(corner.value, 3), round(corner.sd, 2)
    (0.689, 0.2)
    """

    def closes(x: Sequence[float]) -> float:
        return spring_in(angle, along=x[0] * x[2], through=x[1] * x[2])

    at = [along, through, moisture_change]
    return spread_of(closes, at, sds=[abs(along) * movement_cv, abs(through) * movement_cv, moisture_sd])


def drawn_spring(
    plies: Plies,
    *,
    modulus_cv: Sequence[float],
    thickness_cv: Sequence[float],
    seed: int,
    samples: int = 20_000,
) -> Floats:
    """Shares of curvature lost with moduli and thicknesses drawn. [-]

    Parameters
    ----------
    plies : sequence of pairs
        Modulus along the bend and thickness. [Pa, m]
    modulus_cv : sequence of float
        Relative standard deviation of each ply's modulus, normal. [-]
    thickness_cv : sequence of float
        Relative standard deviation of each ply's thickness, normal. [-]
    seed : int
        The same seed draws the same. [-]
    samples : int
        How many. [-]

    Returns
    -------
    ndarray, shape (samples,)
        Fractions. [-]

    References
    ----------
    .. [1] JCGM 101:2008, 5.9 and 7.
    """
    rng = np.random.Generator(np.random.PCG64(seed))
    E0, t0 = np.array([E for E, _ in plies]), np.array([t for _, t in plies])
    shape = (samples, len(plies))
    E = np.maximum(E0 * (1.0 + np.asarray(modulus_cv) * rng.standard_normal(shape)), 1e-3 * E0)
    t = np.maximum(t0 * (1.0 + np.asarray(thickness_cv) * rng.standard_normal(shape)), 1e-3 * t0)
    middle = np.cumsum(t, axis=1) - 0.5 * t
    centre = (E * t * middle).sum(axis=1) / (E * t).sum(axis=1)
    whole = (E * (t**3 / 12.0 + t * (middle - centre[:, None]) ** 2)).sum(axis=1)
    found: Floats = (E * t**3 / 12.0).sum(axis=1) / whole
    return found
