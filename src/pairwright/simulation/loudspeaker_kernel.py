"""The time steps of a simulated drive unit: an electrical, a mechanical and an acoustical part, not linear.

Plain loops over sequences; compiled where numba is at hand, the same text otherwise.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Final, TypeAlias

Row: TypeAlias = Any  # a list or an array of floats
Bundle: TypeAlias = Any  # a tuple as described below

NEVER: Final = 1e9


def moved(voltage: Row, unit: Bundle, loose: Bundle, out: Bundle) -> None:
    """Move a diaphragm through a voltage.

    `unit` = dt, resistance, inductance, force_factor, mass, stiffness, loss, area, box stiffness of the
    pressure (rho c^2/V), leak rate [1/s], force factor's fall per m^2, stiffness' rise per m and m^2.
    `loose` = displacement from which the coil rubs [m], how hard [N], acceleration from which a part
    rattles [m/s^2], its loudness [m/s^2], decay per step and cosine per step of its ring, seed.
    `out` = rows of acceleration and current to be filled.
    """
    dt, re, le, bl0, mass, k0, rms, area, spring, leak, bl2, k1, k2 = unit
    rub_at, rub, rattle_at, rattle, decay, turn, seed = loose
    acceleration, current = out
    x = v = i = p = 0.0
    ring = ring_before = 0.0
    touching = False
    noise = seed
    for n in range(len(voltage)):
        bl = bl0 / (1.0 + bl2 * x * x)
        i = (i + dt / le * (voltage[n] - bl * v)) / (1.0 + dt * re / le)
        force = bl * i - rms * v - k0 * (1.0 + k1 * x + k2 * x * x) * x - area * p
        if x > rub_at:
            noise = (noise * 1103515245 + 12345) % 2147483648
            force -= rub * (0.5 + noise / 2147483648.0) * (1.0 if v > 0.0 else -1.0)
        a = force / mass
        v += dt * a
        x += dt * v
        p = (p + dt * spring * area * v) / (1.0 + dt * leak)
        hit = 0.0
        if a > rattle_at and not touching:
            noise = (noise * 1103515245 + 12345) % 2147483648
            hit = rattle * (0.3 + 1.4 * noise / 2147483648.0)
            touching = True
        elif a < 0.0:
            touching = False
        now = 2.0 * decay * turn * ring - decay * decay * ring_before + hit
        ring_before, ring = ring, now
        acceleration[n] = a + now
        current[n] = i


@cache
def compiled_move() -> Callable[..., None]:
    """The same, compiled."""
    import numba

    found: Callable[..., None] = numba.njit(cache=True)(moved)
    return found
