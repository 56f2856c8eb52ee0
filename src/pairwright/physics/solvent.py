"""Solvent vapour against the lower explosive limit: a figure to compare, never a clearance.

The figures help to talk with whoever is responsible for booth and oven. They do not declare
anything safe: local codes, the lacquer's safety sheet and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.findings import Finding
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text

GAS_CONSTANT: Final = 8.314462618  # J/(mol*K)
TOLUENE_LEL: Final = 0.011  # ECHA dossier, from the CRC Handbook; other tables say 1.4 %
TOLUENE_MOLAR_MASS: Final = 0.09214  # [kg/mol]
LEL_SHARE: Final = 0.25  # NFPA 86: below a quarter of the limit
NFPA_86: Final = Source(
    "standard", "NFPA 86: below 25 % of the lower flammable limit; the limit as stated by the user"
)
IDEAL_GAS: Final = Source("closed form", "ideal gas, perfectly mixed air: V (1 - LEL)/(share LEL)")
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


def _solvent_law(**inputs: Any) -> Mapping[str, float]:
    vapour = vapour_of(inputs["mass"], molar_mass=inputs["molar_mass"], temperature=inputs["temperature"])
    air = dilution_air(vapour, explosive_limit=inputs["explosive_limit"], share=inputs["share"])
    return {"vapour": vapour, "air": air}


def _caution(_: Mapping[str, Any]) -> list[Finding]:
    return [Finding("solvent_vapour", "note", "solvent_air", CAUTION, NFPA_86)]


LAWS: tuple[Law, ...] = (
    Law(
        "solvent_air",
        text("Fresh air that a published rule would dilute a solvent's vapour with"),
        _solvent_law,
        (
            Argument("mass", "kg", text("solvent set free"), POSITIVE),
            Argument("molar_mass", "kg/mol", text("of the solvent; toluene by default"),
                     Span(0.01, 1.0), Span(0.03, 0.2), default=TOLUENE_MOLAR_MASS),
            Argument("temperature", "K", text("of vapour and air"), Span(200.0, 600.0), Span(253.15, 394.15),
                     default=293.15),
            Argument("explosive_limit", "-", text("lower explosive limit by volume; the lowest published"),
                     Span(0.0, 1.0, open_low=True, open_high=True), Span(0.005, 0.1), default=TOLUENE_LEL),
            Argument("share", "-", text("share of the limit that may be reached"),
                     Span(0.0, 1.0, open_low=True), Span(0.0, LEL_SHARE), default=LEL_SHARE),
        ),
        (
            Result("vapour", "m3", text("of pure vapour")),
            Result("air", "m3", text("of fresh air at the same temperature: a figure to compare, no clearance")),
        ),
        text("published limits differ by a quarter between tables; a real booth or oven is not perfectly mixed"),
        (NFPA_86, IDEAL_GAS),
        Worked({"mass": 0.867}, {"vapour": 0.2263, "air": 81.4}, 1e-3),
        also=_caution,
    ),
)  # fmt: skip
