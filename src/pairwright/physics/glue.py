"""Glue-up times: open, closed, clamp and cure, against temperature and humidity.

All times come from the adhesive's data sheet at a stated climate. What moves them is stated by
the works too (activation energy or factor per 10 K); nothing is assumed for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.physics.shift import rate_shift

# How the glue line sets: water leaves it, water enters it, or its own parts react.
Setting: TypeAlias = Literal["drying", "moisture", "reaction"]


@dataclass(frozen=True, slots=True)
class GlueSheet:
    """What a data sheet says of an adhesive, at its reference climate.

    Times [s], temperatures [K], pressures [Pa], humidity and factor [-], activation energy [J/mol],
    spread [kg/m2].
    """

    setting: Setting
    open_time: float
    closed_time: float
    clamp_time: float
    cure_time: float
    reference_temperature: float = 293.15
    reference_humidity: float = 0.5
    activation_energy: float | None = None
    factor_per_10_k: float | None = None
    lowest_temperature: float | None = None
    least_pressure: float | None = None
    greatest_pressure: float | None = None
    spread: float | None = None


@dataclass(frozen=True, slots=True)
class OpenTime:
    """Time left before the joint must be closed and pressed [s]; `whole` is the full span [s]."""

    left: float
    whole: float


def vapour_pressure(temperature: float) -> float:
    """Saturation vapour pressure of room air, Magnus form. [Pa]

    Parameters
    ----------
    temperature : float
        Room temperature, 253-333. [K]

    Returns
    -------
    float
        Saturation pressure over water. [Pa]

    Notes
    -----
    611.2 exp(17.62 t/(243.12 + t)), t in degC; for weather temperatures, not for a press.

    References
    ----------
    .. [1] WMO Guide to Instruments and Methods of Observation, Magnus form over water (from memory).

    Examples
    --------
    >>> round(vapour_pressure(293.15), 1)
    2332.6
    """
    celsius = temperature - 273.15
    return 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))


def drying_shift(
    temperature: float, humidity: float, *, reference_temperature: float, reference_humidity: float
) -> float:
    """How much faster room air takes up water than at the reference. [-]

    Parameters
    ----------
    temperature : float
        Room temperature. [K]
    humidity : float
        Relative humidity, 0 to below 1. [-]
    reference_temperature : float
        Of the data sheet. [K]
    reference_humidity : float
        Of the data sheet. [-]

    Returns
    -------
    float
        Ratio of the vapour-pressure deficits. [-]

    Notes
    -----
    Evaporation is proportional to p_sat(T) (1 - humidity) (Dalton), for the same air movement.
    A thirsty veneer takes water too, and then the humidity matters less.

    Examples
    --------
    >>> round(drying_shift(293.15, 0.75, reference_temperature=293.15, reference_humidity=0.5), 3)
    0.5
    """
    here = vapour_pressure(temperature) * (1.0 - humidity)
    there = vapour_pressure(reference_temperature) * (1.0 - reference_humidity)
    return here / there


def _shift(sheet: GlueSheet, temperature: float, humidity: float | None) -> float:
    rate = rate_shift(
        temperature,
        sheet.reference_temperature,
        activation_energy=sheet.activation_energy,
        factor=sheet.factor_per_10_k,
    )
    if humidity is None or sheet.setting == "reaction":
        return rate
    if not 0.0 < humidity < 1.0:
        raise InputError(
            Problem("glue-up", "humidity", text("between 0 and 1, ends excluded"), shown(humidity),
                    text("write the relative humidity as a fraction or in %"))
        )  # fmt: skip
    if sheet.setting == "moisture":
        return rate * humidity / sheet.reference_humidity
    return rate * (1.0 - humidity) / (1.0 - sheet.reference_humidity)


def clamp_time(sheet: GlueSheet, temperature: float, *, humidity: float | None = None) -> float:
    """Time the joint must stay clamped in this room. [s]

    Parameters
    ----------
    sheet : GlueSheet
        The adhesive's data sheet. [-]
    temperature : float
        Of the wood and the room. [K]
    humidity : float, optional
        Of the room; without it the sheet's humidity. [-]

    Returns
    -------
    float
        Clamp time. [s]

    Notes
    -----
    The sheet's time divided by the rate relative to its climate. Drying glue: rate by temperature
    times (1 - humidity) ratio; moisture-setting glue: rate by temperature times humidity ratio;
    reacting glue: temperature alone. The humidity terms are first-order (Dalton; first order in
    water), not from a data sheet: keep them for comparing days, not for trimming minutes.

    Examples
    --------
    >>> sheet = GlueSheet("drying", 480.0, 900.0, 2700.0, 7200.0, factor_per_10_k=2.0)
    >>> clamp_time(sheet, 283.15)
    5400.0
    """
    return sheet.clamp_time / _shift(sheet, temperature, humidity)


def cure_time(sheet: GlueSheet, temperature: float, *, humidity: float | None = None) -> float:
    """Time from release of the clamps to full strength in this room. [s]

    Parameters
    ----------
    sheet : GlueSheet
        The adhesive's data sheet. [-]
    temperature : float
        Of the wood and the room. [K]
    humidity : float, optional
        Of the room; without it the sheet's humidity. [-]

    Returns
    -------
    float
        Cure time after the clamp. [s]

    Examples
    --------
    >>> sheet = GlueSheet("reaction", 480.0, 900.0, 2700.0, 7200.0, factor_per_10_k=2.0)
    >>> cure_time(sheet, 303.15)
    3600.0
    """
    return sheet.cure_time / _shift(sheet, temperature, humidity)


def open_time(sheet: GlueSheet, temperature: float, *, humidity: float | None = None) -> float:
    """Time that spread glue may lie open in this room. [s]

    Parameters
    ----------
    sheet : GlueSheet
        The adhesive's data sheet. [-]
    temperature : float
        Of the wood and the room. [K]
    humidity : float, optional
        Of the room. [-]

    Returns
    -------
    float
        Open time. [s]

    Notes
    -----
    A drying glue skins by evaporation: its open time follows the vapour-pressure deficit and no
    activation energy is needed. The others follow the rate of their reaction.

    Examples
    --------
    >>> sheet = GlueSheet("drying", 480.0, 900.0, 2700.0, 7200.0)
    >>> round(open_time(sheet, 293.15, humidity=0.75), 6)
    960.0
    """
    return sheet.open_time / _open_shift(sheet, temperature, humidity)


def open_time_left(
    sheet: GlueSheet,
    temperature: float,
    *,
    open_for: float,
    closed_for: float = 0.0,
    humidity: float | None = None,
) -> OpenTime:
    """Time left to press, after lying open and lying closed. [s]

    Parameters
    ----------
    sheet : GlueSheet
        The adhesive's data sheet. [-]
    temperature : float
        Of the wood and the room. [K]
    open_for : float
        Time since spreading while open. [s]
    closed_for : float
        Time since the parts were laid together, without pressure. [s]
    humidity : float, optional
        Of the room. [-]

    Returns
    -------
    OpenTime
        What is left and the whole span, in the state the joint is in. [s]

    Notes
    -----
    Shares add up: open_for/open_time + closed_for/closed_time = 1 is the end (common practice,
    no source). Negative when it is too late.

    Examples
    --------
    >>> sheet = GlueSheet("drying", 480.0, 900.0, 2700.0, 7200.0)
    >>> open_time_left(sheet, 293.15, open_for=240.0, closed_for=225.0).left
    225.0
    """
    shift = _open_shift(sheet, temperature, humidity)
    opened, closed = sheet.open_time / shift, sheet.closed_time / shift
    share = 1.0 - open_for / opened - closed_for / closed
    whole = closed if closed_for > 0.0 else opened
    return OpenTime(share * whole, whole)


def _open_shift(sheet: GlueSheet, temperature: float, humidity: float | None) -> float:
    if sheet.setting != "drying":
        return _shift(sheet, temperature, humidity)
    return drying_shift(
        temperature,
        sheet.reference_humidity if humidity is None else humidity,
        reference_temperature=sheet.reference_temperature,
        reference_humidity=sheet.reference_humidity,
    )


def glue_mass(spread: float, area: float, *, lines: int = 1, loss: float = 0.0) -> float:
    """Adhesive that a glue-up or a layup takes. [kg]

    Parameters
    ----------
    spread : float
        Wet mass per area of a glue line. [kg/m2]
    area : float
        Of one glue line. [m2]
    lines : int
        Number of glue lines. [-]
    loss : float
        Share that stays in the roller, the nozzle, the pot. [-]

    Returns
    -------
    float
        Mass to mix. [kg]

    Examples
    --------
    >>> round(glue_mass(0.150, 0.8, lines=8, loss=0.1), 4)
    1.0667
    """
    return spread * area * lines / (1.0 - loss)


def pressure_margin(sheet: GlueSheet, pressure: float) -> tuple[float, float]:
    """How far a pressure lies inside what the sheet asks for. [Pa]

    Parameters
    ----------
    sheet : GlueSheet
        The adhesive's data sheet. [-]
    pressure : float
        On the glue line. [Pa]

    Returns
    -------
    tuple of float
        Above the least, below the greatest; negative where it is not; infinity where the sheet
        says nothing. [Pa]

    Examples
    --------
    >>> sheet = GlueSheet("drying", 1.0, 1.0, 1.0, 1.0, least_pressure=2e5, greatest_pressure=8e5)
    >>> pressure_margin(sheet, 1e5)
    (-100000.0, 700000.0)
    """
    low = math.inf if sheet.least_pressure is None else pressure - sheet.least_pressure
    high = math.inf if sheet.greatest_pressure is None else sheet.greatest_pressure - pressure
    return low, high
