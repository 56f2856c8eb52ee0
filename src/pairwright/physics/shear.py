"""Bending with shear: what rolling shear in the cross plies adds to the deflection."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from pairwright.physics.laminate import glued_stiffness

_NODES: Final = (-math.sqrt(0.6), 0.0, math.sqrt(0.6))  # exact to the fifth degree; the integrand has four
_WEIGHTS: Final = (5.0 / 9.0, 8.0 / 9.0, 5.0 / 9.0)


def shear_stiffness(plies: Sequence[tuple[float, float, float]]) -> float:
    """Shear stiffness per width of a layered strip. [N/m]

    Parameters
    ----------
    plies : sequence of triples
        Modulus along the span, shear modulus in the plane of bending, thickness, from one face to
        the other; for a cross ply the shear modulus is the rolling shear modulus. [Pa, Pa, m]

    Returns
    -------
    float
        D^2 over the integral of Q^2/G, Q the stiffness moment of what lies above. [N/m]

    Notes
    -----
    Energy of the shear stress that equilibrium demands (Jourawski); 5/6 G h for one wood. Rolling
    shear moduli are 40 to 200 MPa, a twentieth of the others.

    Examples
    --------
    >>> round(shear_stiffness([(12e9, 0.6e9, 0.01)]) / (0.6e9 * 0.01), 6)
    0.833333
    """
    heights, low = [], 0.0
    for _, _, t in plies:
        heights.append(low)
        low += t
    total = math.fsum(E * t for E, _, t in plies)
    centre = math.fsum(E * t * (h + 0.5 * t) for (E, _, t), h in zip(plies, heights, strict=True)) / total
    below, energy = 0.0, 0.0
    for (E, G, t), h in zip(plies, heights, strict=True):
        bottom = h - centre
        for node, weight in zip(_NODES, _WEIGHTS, strict=True):
            z = bottom + 0.5 * t * (1.0 + node)
            moment = below + 0.5 * E * (z * z - bottom * bottom)
            energy += 0.5 * t * weight * moment * moment / G
        below += 0.5 * E * ((bottom + t) ** 2 - bottom * bottom)
    stiffness = glued_stiffness([(E, t) for E, _, t in plies])
    return stiffness * stiffness / energy


def three_point_deflection(
    plies: Sequence[tuple[float, float, float]], span: float, *, width: float, force: float
) -> tuple[float, float]:
    """Deflection under a load in the middle: by bending, by shear. [m]

    Parameters
    ----------
    plies : sequence of triples
        Modulus along the span, shear modulus, thickness. [Pa, Pa, m]
    span : float
        Between supports. [m]
    width : float
        Of the strip. [m]
    force : float
        In the middle. [N]

    Returns
    -------
    tuple of float
        F L^3/(48 D b) and F L/(4 S b). [m]

    Examples
    --------
    >>> strip = [(12e9, 0.6e9, 1.5e-3), (0.8e9, 0.08e9, 1.5e-3), (12e9, 0.6e9, 1.5e-3)]
    >>> bending, shear = three_point_deflection(strip, 0.09, width=0.05, force=100.0)
    >>> round(shear / bending, 3)
    0.259
    """
    D = glued_stiffness([(E, t) for E, _, t in plies])
    return force * span**3 / (48.0 * D * width), force * span / (4.0 * shear_stiffness(plies) * width)


def apparent_modulus(plies: Sequence[tuple[float, float, float]], span: float) -> float:
    """Modulus that a three-point test of the strip would report. [Pa]

    Parameters
    ----------
    plies : sequence of triples
        Modulus along the span, shear modulus, thickness. [Pa, Pa, m]
    span : float
        Between supports; common practice is 20 thicknesses. [m]

    Returns
    -------
    float
        L^3 F/(4 b h^3 deflection), shear included. [Pa]

    Examples
    --------
    >>> round(apparent_modulus([(12e9, 0.6e9, 0.01)], 0.2) / 1e9, 2)
    11.32
    """
    h = math.fsum(t for _, _, t in plies)
    return span**3 / (4.0 * h**3 * sum(three_point_deflection(plies, span, width=1.0, force=1.0)))
