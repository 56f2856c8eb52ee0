"""Elastic constants of wood in its three directions, and veneers cut from it.

First index of a Poisson's ratio is the direction of the load. Measured sets break the symmetry
that elasticity demands; here the three ratios given fix the other three.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.laminate import Lamina
from pairwright.physics.movement import LONGITUDINAL_MOVEMENT
from pairwright.physics.species import HANDBOOK, species

Floats: TypeAlias = NDArray[np.float64]
Cut: TypeAlias = Literal["rotary", "quarter"]

BEECH_2019: Final = Source(
    "published", "J. Wood Sci. 2019, article s10086-019-1794-4, Table 1 (Fagus sylvatica, compression)"
)
HEARMON: Final = Source("from memory", "Hearmon 1948, beech of 750 kg/m3 at 11 % moisture")
HASSANI: Final = Source(
    "from memory",
    "beech as a function of moisture, after Hering, in Hassani, Wittel, Hering, Herrmann, Rheological "
    "model for wood; the paper is confirmed, the table is recalled",
)
RATIOS: Final = Source("from memory", f"{HANDBOOK}, Tables 5-1 and 5-2, ratios recalled")


@dataclass(frozen=True, slots=True)
class Elastic:
    """One wood.

    Moduli `E_L`, `E_R`, `E_T`, `G_LR`, `G_LT`, `G_RT` [Pa]; Poisson's ratios `nu_LR`, `nu_LT`,
    `nu_RT` [-], first index the load.
    """

    E_L: float
    E_R: float
    E_T: float
    G_LR: float
    G_LT: float
    G_RT: float
    nu_LR: float
    nu_LT: float
    nu_RT: float
    source: Source

    def compliance(self) -> Floats:
        """Compliance (6, 6) in the order L, R, T, RT, LT, LR; symmetric by construction. [1/Pa]"""
        S = np.zeros((6, 6))
        S[0, 0], S[1, 1], S[2, 2] = 1.0 / self.E_L, 1.0 / self.E_R, 1.0 / self.E_T
        S[0, 1] = S[1, 0] = -self.nu_LR / self.E_L
        S[0, 2] = S[2, 0] = -self.nu_LT / self.E_L
        S[1, 2] = S[2, 1] = -self.nu_RT / self.E_R
        S[3, 3], S[4, 4], S[5, 5] = 1.0 / self.G_RT, 1.0 / self.G_LT, 1.0 / self.G_LR
        return S

    def possible(self) -> bool:
        """Whether every strain costs energy."""
        S = self.compliance()
        scale = np.sqrt(np.diag(S))
        return bool(np.linalg.eigvalsh(S / np.outer(scale, scale)).min() > 0.0)


def _by_ratio(
    stiffness: float, ratios: tuple[float, float, float, float, float], poisson: tuple[float, float, float]
) -> Elastic:
    """Handbook form: bending modulus [GPa] (E_L is 1.10 times it), E_T, E_R, G_LR, G_LT, G_RT over E_L."""
    E_L = 1.10e9 * stiffness
    E_T, E_R, G_LR, G_LT, G_RT = (E_L * r for r in ratios)
    return Elastic(E_L, E_R, E_T, G_LR, G_LT, G_RT, *poisson, RATIOS)


ELASTIC: Final[dict[str, Elastic]] = {
    "beech, European": Elastic(12205e6, 1858e6, 774e6, 899e6, 595e6, 195e6, 0.502, 0.705, 0.526, BEECH_2019),
    "beech, European, Hearmon": Elastic(
        13700e6, 2240e6, 1140e6, 1610e6, 1060e6, 460e6, 0.45, 0.51, 0.75, HEARMON
    ),
    "birch, yellow": _by_ratio(13.9, (0.050, 0.078, 0.074, 0.068, 0.017), (0.426, 0.451, 0.697)),
    "walnut, black": _by_ratio(11.6, (0.056, 0.106, 0.085, 0.062, 0.021), (0.495, 0.632, 0.718)),
    "ash, white": _by_ratio(12.0, (0.080, 0.125, 0.109, 0.077, 0.020), (0.371, 0.440, 0.684)),
    "maple, sugar": _by_ratio(12.6, (0.065, 0.132, 0.111, 0.063, 0.020), (0.424, 0.476, 0.774)),
}


def beech_at(moisture: float) -> Elastic:
    """European beech at a moisture, recalled and not confirmed. [-]

    Parameters
    ----------
    moisture : float
        Moisture content, dry basis, 0 to 0.20. [-]

    Returns
    -------
    Elastic
        Moduli falling in straight lines with moisture.

    Notes
    -----
    Positive definite from 0 to 20 %. Against the measured set of 2019: E_R within 1 %, E_L 13 %
    high, E_T 22 % low, shear moduli 44 to 150 % high (shear moduli differ that much by method).

    Examples
    --------
    >>> round(beech_at(0.12).E_R / 1e6)
    1849
    """
    w = 100.0 * moisture
    E_R, E_T, E_L = 2565.6 - 59.7 * w, 885.4 - 23.4 * w, 17136.7 - 282.4 * w
    nu_TR, nu_LR, nu_LT = 0.293 - 0.001 * w, 0.383 - 0.009 * w, 0.337 - 0.009 * w
    G_RT, G_RL, G_TL = 667.8 - 15.2 * w, 1482.0 - 15.3 * w, 1100.0 - 17.8 * w
    mega = 1e6
    return Elastic(
        E_L * mega, E_R * mega, E_T * mega, G_RL * mega, G_TL * mega, G_RT * mega,
        nu_LR, nu_LT, nu_TR * E_R / E_T, HASSANI,
    )  # fmt: skip


def elastic(name: str, *, where: str = "elastic constants") -> Elastic:
    """The constants of this wood; a wood without a full set falls back on its family's ratios. [-]

    Parameters
    ----------
    name : str
        Name of the wood.
    where : str
        Named in an error.

    Returns
    -------
    Elastic
        Held constants, or the bending modulus of the wood with yellow birch's ratios, marked "from memory".
    """
    if name in ELASTIC:
        return ELASTIC[name]
    wood = species(name, where=where)
    pattern = ELASTIC["birch, yellow"]
    share = 1.10 * wood.stiffness / pattern.E_L
    return Elastic(
        share * pattern.E_L, share * pattern.E_R, share * pattern.E_T,
        share * pattern.G_LR, share * pattern.G_LT, share * pattern.G_RT,
        pattern.nu_LR, pattern.nu_LT, pattern.nu_RT,
        Source("from memory", f"bending modulus of {name} with the ratios of yellow birch"),
    )  # fmt: skip


def veneer(
    name: str,
    thickness: float,
    *,
    cut: Cut = "rotary",
    angle: float = 0.0,
    moisture_change: float = 0.0,
) -> Lamina:
    """A veneer as a ply of a laminate.

    Parameters
    ----------
    name : str
        Name of the wood.
    thickness : float
        Of the veneer. [m]
    cut : str
        ``rotary`` has its sheet along L and T, ``quarter`` along L and R.
    angle : float
        Grain from x, counter-clockwise seen from above. [rad]
    moisture_change : float
        Moisture after less before, dry basis; gives the ply its free strain. [-]

    Returns
    -------
    Lamina
        Ready for `laminate`. Lathe checks lower the modulus across the grain further.

    Examples
    --------
    >>> ply = veneer("beech, European", 1.5e-3)
    >>> round(ply.E2 / 1e6)
    774
    """
    if cut not in ("rotary", "quarter"):
        raise InputError(
            Problem("veneer", "cut", text("one of {names}", names="rotary, quarter"), shown(cut), text("choose one"))
        )  # fmt: skip
    wood, moving = elastic(name), species(name.removesuffix(", Hearmon")).movement
    rotary = cut == "rotary"
    return Lamina(
        E1=wood.E_L,
        E2=wood.E_T if rotary else wood.E_R,
        G12=wood.G_LT if rotary else wood.G_LR,
        nu12=wood.nu_LT if rotary else wood.nu_LR,
        thickness=thickness,
        angle=angle,
        expansion=(LONGITUDINAL_MOVEMENT * moisture_change, moving[1 if rotary else 0] * moisture_change),
    )
