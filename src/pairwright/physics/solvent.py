"""Solvent vapour against the lower explosive limit: a figure to compare, never a clearance.

The figures help to talk with whoever is responsible for booth and oven. They do not declare
anything safe: local codes, the lacquer's safety sheet and licensed practice decide.
"""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Text, text

GAS_CONSTANT: Final = 8.314462618  # J/(mol*K)
TOLUENE_LEL: Final = 0.011  # ECHA dossier, from the CRC Handbook; other tables say 1.4 %
TOLUENE_MOLAR_MASS: Final = 0.09214  # [kg/mol]
LEL_SHARE: Final = 0.25  # NFPA 86: below a quarter of the limit
CAUTION: Final[Text] = text(
    "A comparison figure only: ventilation of booth and oven follows the local code, the lacquer's "
    "safety sheet and a licensed engineer; nothing here declares a place safe."
)


def vapour_volume(
    volume: float, *, density: float, molar_mass: float, temperature: float, pressure: float = 101325.0
) -> float:
    """Vapour that a volume of liquid solvent makes. [m3]

    Parameters
    ----------
    volume : float
        Liquid solvent. [m3]
    density : float
        Of the liquid. [kg/m3]
    molar_mass : float
        Of the solvent. [kg/mol]
    temperature : float
        Of the vapour. [K]
    pressure : float
        Of the air. [Pa]

    Returns
    -------
    float
        Volume of the vapour. [m3]

    Notes
    -----
    Ideal gas. Hot air needs more: the volume grows with T.

    Examples
    --------
    >>> round(vapour_volume(1e-3, density=867.0, molar_mass=0.09214, temperature=293.15), 4)
    0.2263
    """
    return vapour_of(volume * density, molar_mass=molar_mass, temperature=temperature, pressure=pressure)


def vapour_of(mass: float, *, molar_mass: float, temperature: float, pressure: float = 101325.0) -> float:
    """Vapour that a mass of solvent makes. [m3]

    Parameters
    ----------
    mass : float
        Of the solvent. [kg]
    molar_mass : float
        Of the solvent. [kg/mol]
    temperature : float
        Of the vapour. [K]
    pressure : float
        Of the air. [Pa]

    Notes
    -----
    Ideal gas. By mass, of the solvents whose limits were found (toluene, styrene, butyl acetate,
    butanone, acetone) toluene asks for the most air; benzene, which no lacquer holds, for more.

    Examples
    --------
    >>> round(vapour_of(0.867, molar_mass=0.09214, temperature=293.15), 4)
    0.2263
    """
    return mass / molar_mass * GAS_CONSTANT * temperature / pressure


def dilution_air(vapour: float, *, explosive_limit: float, share: float = LEL_SHARE) -> float:
    """Fresh air that keeps vapour below a share of the explosive limit. [m3]

    Parameters
    ----------
    vapour : float
        Volume of vapour set free. [m3]
    explosive_limit : float
        Lower explosive limit, as a volume fraction; take the lowest published. [-]
    share : float
        Share of the limit that may be reached. [-]

    Returns
    -------
    float
        Volume of air at the same temperature. [m3]

    Notes
    -----
    V (1 - LEL)/(share LEL). With share 1/4 this is the published 4 (100 - LEL)/LEL, which ends
    within 1 % above the exact quarter. The air is perfectly mixed here; a real booth is not.

    References
    ----------
    .. [1] OSHA 29 CFR dilution formula (from memory); NFPA 86: below 25 % of the limit.

    Examples
    --------
    >>> round(dilution_air(0.2263, explosive_limit=TOLUENE_LEL), 1)
    81.4
    """
    return vapour * (1.0 - explosive_limit) / (explosive_limit * share)
