"""Warp of a panel: what free strains of its plies do to a sheet that is not held."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pairwright.physics.laminate import Lamina, laminate

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Warp:
    """Shape of a free sheet.

    Mid-plane strain along x, y and in shear `strain` (3,) [-]; curvature `curvature` (3,) [1/m],
    positive where the upper face grows; rise of the middle over the ends along x and y, `bow_x`
    and `bow_y` [m]; rise of one corner over the plane of the other three, `twist` [m].
    """

    strain: Floats
    curvature: Floats
    bow_x: float
    bow_y: float
    twist: float


def warp(plies: Sequence[Lamina], *, length: float, width: float) -> Warp:
    """Warp of a free flat sheet under the free strains of its plies.

    Parameters
    ----------
    plies : sequence of Lamina
        From the bottom face up, with their `expansion`.
    length : float
        Of the sheet, along x. [m]
    width : float
        Of the sheet, along y. [m]

    Returns
    -------
    Warp
        Strain, curvature, bow and twist.

    Notes
    -----
    Lamination theory with free strains, small curvature: bow = kappa L^2/8. A symmetrical,
    evenly moist stack does not warp; one ply out of balance, or one face drier, does; stray
    fibre angle twists. In trials stray grain and uneven moisture ruled, and a finer model fell
    short of them.

    References
    ----------
    .. [1] P. K. Mallick, Fiber-Reinforced Composites, 3rd ed., 2008, section 3.3 (hygrothermal loads).
    .. [2] Blomqvist, Berg, Sandberg 2019 (90 birch shells with one stray ply; the model under-predicted).

    Examples
    --------
    >>> ply = Lamina(12e9, 0.8e9, 0.6e9, 0.3, 1.5e-3, 0.0, (0.0, -0.004))
    >>> across = Lamina(12e9, 0.8e9, 0.6e9, 0.3, 1.5e-3, math.pi / 2, (0.0, -0.004))
    >>> abs(warp([ply, across, ply], length=1.0, width=0.4).bow_x) < 1e-12
    True
    """
    answer = laminate(plies).strain_and_curvature()
    strain, curvature = answer[:3], answer[3:]
    return Warp(
        strain,
        curvature,
        float(curvature[0]) * length * length / 8.0,
        float(curvature[1]) * width * width / 8.0,
        -0.5 * float(curvature[2]) * length * width,
    )


def panel_movement(plies: Sequence[Lamina]) -> tuple[float, float]:
    """In-plane strain of a panel along x and y under its plies' free strains. [-]

    Parameters
    ----------
    plies : sequence of Lamina
        From the bottom face up, with their `expansion`.

    Returns
    -------
    tuple of float
        Strain along x and along y. [-]

    Notes
    -----
    The plies hold one another: a crossed panel moves in its plane by a tenth and less of what
    its wood would across the grain; through its thickness it moves freely.

    Examples
    --------
    >>> ply = Lamina(12e9, 0.8e9, 0.6e9, 0.3, 1.5e-3, 0.0, (0.0, -0.004))
    >>> panel_movement([ply])[1]
    -0.004
    """
    strain = laminate(plies).strain_and_curvature()
    return round(float(strain[0]), 15), round(float(strain[1]), 15)


def thickness_movement(thicknesses: Sequence[float], *, movement: float, moisture_change: float) -> float:
    """Change of a panel's thickness with moisture, positive grows. [m]

    Parameters
    ----------
    thicknesses : sequence of float
        Of the plies. [m]
    movement : float
        Strain through the thickness per unit moisture fraction; radial for rotary-cut veneer. [-]
    moisture_change : float
        Moisture after less before, dry basis. [-]

    Returns
    -------
    float
        Change. [m]

    Examples
    --------
    >>> round(thickness_movement([1.5e-3] * 12, movement=0.19, moisture_change=-0.03) * 1e3, 4)
    -0.1026
    """
    return math.fsum(thicknesses) * movement * moisture_change
