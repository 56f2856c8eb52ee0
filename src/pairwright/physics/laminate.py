"""Lamination theory: stiffness of a glued stack of thin orthotropic plies.

Axes: x along the sheet, y across, z up from the mid-plane. A ply's direction 1 is its grain (or
its stiff direction); `angle` turns it counter-clockwise seen from +z. Shear is the engineering
strain. Index order in every 3 x 3: x, y, xy.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import ANY, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

Floats = NDArray[np.float64]

CLASSICAL: Final = Source(
    "published", "Mallick 2008, Fiber-Reinforced Composites, 3rd ed., chapter 3 (Ex. 3.6 and 3.7)"
)


@dataclass(frozen=True, slots=True)
class Lamina:
    """One ply in plane stress.

    `E1`, `E2`, `G12` [Pa]; `nu12` is the strain in 2 over the strain in 1 under load in 1 [-];
    `thickness` [m]; `angle` of direction 1 from x [rad]; `expansion` free strain along 1 and 2 (as
    from moisture) [-].
    """

    E1: float
    E2: float
    G12: float
    nu12: float
    thickness: float
    angle: float = 0.0
    expansion: tuple[float, float] = (0.0, 0.0)

    def possible(self) -> bool:
        """Whether the elastic energy is positive for every strain."""
        return min(self.E1, self.E2, self.G12) > 0.0 and self.nu12**2 < self.E1 / self.E2


@dataclass(frozen=True, slots=True)
class Laminate:
    """Stiffness of a stack.

    `A` (3, 3) [N/m], `B` (3, 3) [N], `D` (3, 3) [N*m], `thickness` [m], flexural moduli along x
    and y [Pa], free resultants `N_free` (3,) [N/m] and `M_free` (3,) [N] of the plies' expansion.
    """

    A: Floats
    B: Floats
    D: Floats
    thickness: float
    flexural_modulus_x: float
    flexural_modulus_y: float
    N_free: Floats
    M_free: Floats

    def strain_and_curvature(self, N: Sequence[float] = (0, 0, 0), M: Sequence[float] = (0, 0, 0)) -> Floats:
        """Mid-plane strain (3) and curvature (3) under loads and free expansion. [-, 1/m]

        Parameters
        ----------
        N : sequence of float
            In-plane force per width. [N/m]
        M : sequence of float
            Moment per width. [N]
        """
        whole = np.block([[self.A, self.B], [self.B, self.D]])
        load = np.concatenate([np.asarray(N) + self.N_free, np.asarray(M) + self.M_free])
        return np.linalg.solve(whole, load)


def reduced_stiffness(lamina: Lamina) -> Floats:
    """Plane-stress stiffness in the ply's own axes. [Pa]

    Parameters
    ----------
    lamina : Lamina
        The ply.

    Returns
    -------
    ndarray (3, 3)
        Q11 = E1/(1 - nu12 nu21) and so on; nu21 = nu12 E2/E1. [Pa]

    Examples
    --------
    >>> q = reduced_stiffness(Lamina(181e9, 10.3e9, 7.17e9, 0.28, 1e-3))
    >>> [round(float(v) / 1e9, 2) for v in (q[0, 0], q[0, 1], q[1, 1], q[2, 2])]
    [181.81, 2.9, 10.35, 7.17]
    """
    nu21 = lamina.nu12 * lamina.E2 / lamina.E1
    scale = 1.0 / (1.0 - lamina.nu12 * nu21)
    cross = lamina.nu12 * lamina.E2 * scale
    return np.array(
        [[lamina.E1 * scale, cross, 0.0], [cross, lamina.E2 * scale, 0.0], [0.0, 0.0, lamina.G12]]
    )


def turned_stiffness(lamina: Lamina) -> Floats:
    """Plane-stress stiffness in the sheet's axes. [Pa]

    Parameters
    ----------
    lamina : Lamina
        The ply with its angle.

    Returns
    -------
    ndarray (3, 3)
        Qbar for stress and engineering strain in x, y, xy. [Pa]
    """
    turn = _strain_turn(lamina.angle)
    return turn.T @ reduced_stiffness(lamina) @ turn


def turned_expansion(lamina: Lamina) -> Floats:
    """Free strain of a ply in the sheet's axes. [-]

    Parameters
    ----------
    lamina : Lamina
        The ply with its angle and expansion.

    Returns
    -------
    ndarray (3,)
        Strain in x, y and engineering shear. [-]
    """
    c, s = math.cos(lamina.angle), math.sin(lamina.angle)
    along, across = lamina.expansion
    return np.array(
        [c * c * along + s * s * across, s * s * along + c * c * across, 2 * c * s * (along - across)]
    )


def _strain_turn(angle: float) -> Floats:
    """Sheet strain (engineering shear) to ply strain."""
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2 * c * s, 2 * c * s, c * c - s * s]])


def laminate(plies: Sequence[Lamina]) -> Laminate:
    """Stiffness of a stack by classical lamination theory.

    Parameters
    ----------
    plies : sequence of Lamina
        From the bottom face up.

    Returns
    -------
    Laminate
        A [N/m], B [N], D [N*m], thickness [m], flexural moduli [Pa], free resultants.

    Notes
    -----
    A = sum Q dz, B = sum Q d(z^2)/2, D = sum Q d(z^3)/3 with z from the mid-plane. The flexural
    modulus is 12/(h^3 d11) with d the inverse of D alone, so it is meant for symmetrical
    stacks. No transverse shear: at spans below 20 thicknesses rolling shear adds deflection.

    References
    ----------
    .. [1] P. K. Mallick, Fiber-Reinforced Composites, 3rd ed., 2008, chapter 3.

    Examples
    --------
    >>> ply = Lamina(133.44e9, 8.784e9, 3.254e9, 0.26, 6e-3, math.pi / 4)
    >>> other = Lamina(133.44e9, 8.784e9, 3.254e9, 0.26, 6e-3, -math.pi / 4)
    >>> round(float(laminate([ply, other]).D[0, 0]), 1)
    5776.7
    """
    h = math.fsum(ply.thickness for ply in plies)
    A, B, D = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    N, M = np.zeros(3), np.zeros(3)
    low = -0.5 * h
    for ply in plies:
        middle, t = low + 0.5 * ply.thickness, ply.thickness
        Q = turned_stiffness(ply)
        A += Q * t
        B += Q * (t * middle)
        D += Q * (t * middle * middle + t**3 / 12.0)
        stress = Q @ turned_expansion(ply)
        N += stress * t
        M += stress * (t * middle)
        low += t
    d = np.linalg.inv(D)
    return Laminate(A, B, D, h, float(12.0 / (h**3 * d[0, 0])), float(12.0 / (h**3 * d[1, 1])), N, M)


def engineering_modulus(plies: Sequence[tuple[float, float]]) -> float:
    """Bending modulus of a stack in one direction, beam theory. [Pa]

    Parameters
    ----------
    plies : sequence of pairs
        Modulus in that direction and thickness, from one face to the other. [Pa, m]

    Returns
    -------
    float
        sum(E I)/I about the elastic centroid. [Pa]

    Examples
    --------
    >>> round(engineering_modulus([(17500.0, 1.1), (0.0, 1.4), (17500.0, 1.1)]))
    16471
    """
    h = math.fsum(t for _, t in plies)
    return 12.0 * glued_stiffness(plies) / h**3


def glued_stiffness(plies: Sequence[tuple[float, float]]) -> float:
    """Bending stiffness per width of a glued stack about its elastic centroid. [N*m]

    Parameters
    ----------
    plies : sequence of pairs
        Modulus along the bend and thickness, from one face to the other. [Pa, m]

    Returns
    -------
    float
        sum E (t^3/12 + t (z - z0)^2). [N*m]

    Examples
    --------
    >>> round(glued_stiffness([(12.0, 1.0), (12.0, 1.0)]), 6)
    8.0
    """
    low, places = 0.0, []
    for _, t in plies:
        places.append(low + 0.5 * t)
        low += t
    total = math.fsum(E * t for E, t in plies)
    centre = math.fsum(E * t * z for (E, t), z in zip(plies, places, strict=True)) / total
    return math.fsum(
        E * (t**3 / 12.0 + t * (z - centre) ** 2) for (E, t), z in zip(plies, places, strict=True)
    )


def _laminate_law(**inputs: Any) -> Mapping[str, Any]:
    plies, problems = [], []
    for n, row in enumerate(inputs["plies"]):
        ply = Lamina(
            row["E1"], row["E2"], row["G12"], row["nu12"], row["thickness"], math.radians(row["angle_deg"])
        )
        plies.append(ply)
        if not ply.possible():
            problems.append(
                Problem("calc laminate", f"plies[{n}].nu12", text("below the square root of E1/E2"),
                        shown(ply.nu12), text("check which direction nu12 is for"))
            )  # fmt: skip
    if problems:
        raise InputError(problems)
    found = laminate(plies)
    return {
        "A": found.A.tolist(), "B": found.B.tolist(), "D": found.D.tolist(), "thickness": found.thickness,
        "flexural_modulus_x": found.flexural_modulus_x, "flexural_modulus_y": found.flexural_modulus_y,
    }  # fmt: skip


_MALLICK: Final = {"E1": 133.44e9, "E2": 8.784e9, "G12": 3.254e9, "nu12": 0.26, "thickness": 0.006}

LAWS: tuple[Law, ...] = (
    Law(
        "laminate",
        text("Stiffness of a glued stack of plies"),
        _laminate_law,
        (
            Argument("plies", "-", text("from the bottom face up"), shape="table", columns=(
                Argument("E1", "Pa", text("modulus along the ply's grain"), POSITIVE),
                Argument("E2", "Pa", text("modulus across it, in the plane"), POSITIVE),
                Argument("G12", "Pa", text("shear modulus in the plane"), POSITIVE),
                Argument("nu12", "-", text("strain across over strain along, under load along"), ANY,
                         Span(0.0, 1.0)),
                Argument("thickness", "m", text("thickness of the ply"), POSITIVE),
                Argument("angle_deg", "deg", text("grain from x, counter-clockwise seen from above"), ANY),
            )),
        ),
        (
            Result("A", "N/m", text("in-plane stiffness, 3 x 3")),
            Result("B", "N", text("coupling, 3 x 3")),
            Result("D", "N*m", text("bending stiffness, 3 x 3")),
            Result("thickness", "m", text("of the stack")),
            Result("flexural_modulus_x", "Pa", text("12/(h^3 d11), d the inverse of D alone")),
            Result("flexural_modulus_y", "Pa", text("12/(h^3 d22)")),
        ),
        text("exact for thin plies in plane stress; wood's constants scatter by 20 %; no transverse shear"),
        (CLASSICAL,),
        Worked(
            {"plies": [{**_MALLICK, "angle_deg": 45.0}, {**_MALLICK, "angle_deg": -45.0}]},
            {"thickness": 0.012},
        ),
    ),
)  # fmt: skip
