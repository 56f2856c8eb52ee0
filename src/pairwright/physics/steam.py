"""Saturated steam: what presses from inside when the hot press opens."""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.laws import Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

IF97: Final = Source("standard", "IAPWS R7-97(2012), Industrial Formulation 1997, region 4, Eqs. 30 and 31")
BLOW_MDF: Final = Source(
    "published",
    "Cai, Muehl and Winandy, Forest Products Laboratory: medium density fibreboard delaminated when "
    "the internal gas pressure exceeded 100 kPa (15 psi)",
)
ATMOSPHERE: Final = 101325.0  # [Pa]
BLOW_PRESSURE: Final = 100e3  # gauge, fibreboard criterion [Pa]

_N: Final = (
    1167.0521452767, -724213.16703206, -17.073846940092, 12020.824702470, -3232555.0322333,
    14.915108613530, -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798,
)  # fmt: skip


def steam_pressure(temperature: float) -> float:
    """Saturation pressure of water, absolute. [Pa]

    Parameters
    ----------
    temperature : float
        Temperature, 273.15 to 647.096. [K]

    Returns
    -------
    float
        Absolute pressure. [Pa]

    Notes
    -----
    p = (2C/(-B + sqrt(B^2 - 4AC)))^4 MPa with A, B, C quadratic in theta = T + n9/(T - n10).
    Accuracy 0.025 %. Wood below fibre saturation holds its water back, so in a press this is an
    upper bound; in veneer panels measured gas pressure was low.

    References
    ----------
    .. [1] IAPWS R7-97(2012), Eq. 30; verification values of its Table 35.

    Examples
    --------
    >>> print(f"{steam_pressure(300.0):.8e}")
    3.53658941e+03
    """
    theta = temperature + _N[8] / (temperature - _N[9])
    A = theta * theta + _N[0] * theta + _N[1]
    B = _N[2] * theta * theta + _N[3] * theta + _N[4]
    C = _N[5] * theta * theta + _N[6] * theta + _N[7]
    return float((2.0 * C / (-B + math.sqrt(B * B - 4.0 * A * C))) ** 4) * 1e6


def saturation_temperature(pressure: float) -> float:
    """Temperature at which water boils under a pressure. [K]

    Parameters
    ----------
    pressure : float
        Absolute pressure, 611.213 to 22.064e6. [Pa]

    Returns
    -------
    float
        Temperature. [K]

    References
    ----------
    .. [1] IAPWS R7-97(2012), Eq. 31; verification values of its Table 36.

    Examples
    --------
    >>> round(saturation_temperature(1e5), 6)
    372.755919
    """
    beta = (pressure / 1e6) ** 0.25
    E = beta * beta + _N[2] * beta + _N[5]
    F = _N[0] * beta * beta + _N[3] * beta + _N[6]
    G = _N[1] * beta * beta + _N[4] * beta + _N[7]
    D = 2.0 * G / (-F - math.sqrt(F * F - 4.0 * E * G))
    total = _N[9] + D
    return float((total - math.sqrt(total * total - 4.0 * (_N[8] + _N[9] * D))) / 2.0)


def magnus_pressure(temperature: float) -> float:
    """Saturation pressure of water at weather temperatures. [Pa]

    Parameters
    ----------
    temperature : float
        Air temperature, 228 to 333. [K]

    Returns
    -------
    float
        Absolute pressure. [Pa]

    Notes
    -----
    611.2 exp(17.62 t/(243.12 + t)), from memory; for room climate only, wrong at press heat.

    Examples
    --------
    >>> round(magnus_pressure(293.15), 1)
    2332.6
    """
    t = temperature - 273.15
    return 611.2 * math.exp(17.62 * t / (243.12 + t))


def antoine_pressure(temperature: float) -> float:
    """Saturation pressure of water by the Antoine equation. [Pa]

    Parameters
    ----------
    temperature : float
        Temperature, 274 to 373. [K]

    Returns
    -------
    float
        Absolute pressure. [Pa]

    Notes
    -----
    log10 p = 8.07131 - 1730.63/(233.426 + t), mmHg and degC, constants from memory.

    Examples
    --------
    >>> round(antoine_pressure(373.15), -1)
    101340.0
    """
    return float(10.0 ** (8.07131 - 1730.63 / (233.426 + temperature - 273.15))) * 133.32236842105263


def gas_overpressure(
    temperature: float, *, water_activity: float = 1.0, ambient: float = ATMOSPHERE
) -> float:
    """Bound of the gas pressure inside over the air outside. [Pa]

    Parameters
    ----------
    temperature : float
        Temperature of the wet place. [K]
    water_activity : float
        Vapour pressure over saturation; 1 is the upper bound. [-]
    ambient : float
        Air pressure outside, absolute. [Pa]

    Returns
    -------
    float
        Overpressure, 0 below the boiling point. [Pa]

    References
    ----------
    .. [1] J. Wood Sci. 67 (2021), s10086-021-01974-8: core gas pressure follows saturation.

    Examples
    --------
    >>> round(gas_overpressure(273.15 + 120.0) / 1e3)
    97
    """
    return max(0.0, water_activity * steam_pressure(temperature) - ambient)


LAWS: tuple[Law, ...] = (
    Law(
        "steam_pressure",
        text("Saturation pressure of water"),
        lambda temperature: {"pressure": steam_pressure(temperature)},
        (
            # water can be kept liquid to about -40 degC; above the critical point there is no saturation
            Argument("temperature", "K", text("temperature of the wet place"), Span(233.15, 647.096),
                     Span(273.15, 647.096)),
        ),
        (Result("pressure", "Pa", text("saturation pressure, absolute")),),
        text("0.025 % of the pressure; an upper bound for wood below fibre saturation"),
        (IF97,),
        Worked({"temperature": 500.0}, {"pressure": 2638897.76}, 1e-8),
    ),
)  # fmt: skip
