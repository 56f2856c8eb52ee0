"""How long a slab takes to follow its surroundings: the slab law read backwards."""

from __future__ import annotations

from functools import lru_cache

from pairwright.physics.slab import slab_temperature


@lru_cache(maxsize=512)
def time_to_share(
    thickness: float,
    diffusivity: float,
    *,
    share: float,
    conductivity: float | None = None,
    heat_transfer: float | None = None,
) -> float:
    """Time until the middle has gone a share of the way to its surroundings. [s]

    Parameters
    ----------
    thickness : float
        Of a slab with both faces free. [m]
    diffusivity : float
        Of heat, or of moisture. [m2/s]
    share : float
        Share of the way, 0 to below 1. [-]
    conductivity : float, optional
        With `heat_transfer`, for faces in air. [W/(m*K)]
    heat_transfer : float, optional
        With `conductivity`. [W/(m2*K)]

    Notes
    -----
    Bisection on `physics.slab.slab_temperature` between 0 and 1.

    Examples
    --------
    >>> round(
    ...     time_to_share(0.020, 1.6e-7, share=0.8)
    ... )  # to 100 degC between platens of 120, from 20
    469
    """

    def gone(time: float) -> float:
        return slab_temperature(
            thickness, diffusivity, initial=0.0, surface=1.0, time=time, conductivity=conductivity,
            heat_transfer=heat_transfer,
        )  # fmt: skip

    if share <= 0.0:
        return 0.0
    high = thickness**2 / diffusivity
    while gone(high) < share:
        high *= 2.0
    low = 0.0
    while high - low > 1e-6 * high:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if gone(middle) < share else (low, middle)
    return high
