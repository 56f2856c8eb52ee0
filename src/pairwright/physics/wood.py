"""Moisture, density and heat in wood, by the handbook's equations."""

from __future__ import annotations

from typing import Final

from pairwright.base.laws import FRACTION, NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.species import FIBRE_SATURATION, HANDBOOK

ZERO_CELSIUS: Final = 273.15
WATER_HEAT_CAPACITY: Final = 4180.0  # as in the handbook's equation 4-17 [J/(kg*K)]
CONDUCTIVITY_TEMPERATURE: Final = 297.15  # "about 24 degC" of equation 4-15 [K]
CONDUCTIVITY_RISE: Final = 0.0025  # share per kelvin: the middle of the handbook's 2 to 3 % per 10 K
MOISTURE_LIMIT: Final = 0.25  # above it equation 4-15 is not stated

EQ_MOISTURE: Final = Source(
    "published",
    "Simpson 1998, Equilibrium moisture content of wood in outdoor locations, FPL-RN-0268; "
    "Hailwood and Horrobin 1946, two hydrates",
)
EQ_CONDUCTIVITY: Final = Source("published", f"{HANDBOOK}, Eq. 4-15")
EQ_HEAT_CAPACITY: Final = Source("published", f"{HANDBOOK}, Eqs. 4-16a to 4-18")
EQ_DENSITY: Final = Source("published", f"{HANDBOOK}, Eq. 4-12")


def equilibrium_moisture(temperature: float, humidity: float) -> float:
    """Moisture that wood settles at in moist air, dry basis. [-]

    Parameters
    ----------
    temperature : float
        Air temperature. [K]
    humidity : float
        Relative humidity, 0 to 1. [-]

    Returns
    -------
    float
        Equilibrium moisture content on ovendry mass. [-]

    Notes
    -----
    M = (1800/W) [K h/(1-K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)] in %,
    temperature in degC. Range: -1 to 100 degC, 5 to 95 % humidity. Accuracy: the earlier fit of
    the same form had a mean error below 0.13 and at worst 0.9 points of moisture against the
    table. No hysteresis and no species effect; hot-pressed and lacquered panels sit one to
    three points lower (from memory).

    References
    ----------
    .. [1] W. T. Simpson, FPL-RN-0268, 1998; Wood Handbook, FPL-GTR-190, 2010, Eq. 4-5.

    Examples
    --------
    >>> round(equilibrium_moisture(293.15, 0.65), 5)
    0.11996
    """
    t, h = temperature - ZERO_CELSIUS, humidity
    W = 349.0 + 1.29 * t + 0.0135 * t * t
    K = 0.805 + 0.000736 * t - 0.00000273 * t * t
    K1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    K2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = K * h
    hydrates = K1 * kh + K1 * K2 * kh * kh
    return 18.0 / W * (kh / (1.0 - kh) + (hydrates + K1 * K2 * kh * kh) / (1.0 + hydrates))


def wood_density(specific_gravity: float, moisture: float) -> float:
    """Mass per volume of moist wood. [kg/m3]

    Parameters
    ----------
    specific_gravity : float
        On ovendry mass and volume at this moisture. [-]
    moisture : float
        Moisture content, dry basis. [-]

    Returns
    -------
    float
        Density. [kg/m3]

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, Eq. 4-12.

    Examples
    --------
    >>> round(wood_density(0.64, 0.12), 6)
    716.8
    """
    return 1000.0 * specific_gravity * (1.0 + moisture)


def wood_conductivity(
    specific_gravity: float,
    moisture: float,
    *,
    temperature: float = CONDUCTIVITY_TEMPERATURE,
    rise: float = CONDUCTIVITY_RISE,
) -> float:
    """Heat conductivity across the grain. [W/(m*K)]

    Parameters
    ----------
    specific_gravity : float
        On ovendry mass and volume at this moisture, above 0.3. [-]
    moisture : float
        Moisture content, dry basis, below 0.25. [-]
    temperature : float
        Wood temperature; at 297.15 K the equation stands as published. [K]
    rise : float
        Share by which conductivity rises per kelvin; 0 switches it off. [1/K]

    Returns
    -------
    float
        Conductivity. [W/(m*K)]

    Notes
    -----
    k = G (0.1941 + 0.4064 x) + 0.01864 with x as a fraction. Single woods scatter by 20 %; the
    handbook gives 2 to 3 % more per 10 K, here 2.5 %; along the grain it is 1.5 to 2.8 times
    larger.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, Eq. 4-15 and the text beside it.

    Examples
    --------
    >>> round(wood_conductivity(0.64, 0.12), 4)
    0.1741
    """
    at_room = specific_gravity * (0.1941 + 0.4064 * moisture) + 0.01864
    return at_room * (1.0 + rise * (temperature - CONDUCTIVITY_TEMPERATURE))


def heat_capacity_line(moisture: float) -> tuple[float, float]:
    """Heat capacity as a + b T: the two constants. [J/(kg*K), J/(kg*K2)]

    Parameters
    ----------
    moisture : float
        Moisture content, dry basis. [-]

    Returns
    -------
    tuple of float
        a [J/(kg*K)] and b [J/(kg*K2)] of moist wood, per kilogram of moist wood.

    Notes
    -----
    The equations are linear in temperature, so heat content has a closed form, which the press
    model needs. Above fibre saturation the term for bound water stays at its value there.
    """
    x = 100.0 * moisture
    bound = min(x, 100.0 * FIBRE_SATURATION)
    a = (103.1 + 41.8 * x) / (1.0 + moisture) + 1000.0 * bound * (-0.06191 - 1.33e-4 * bound)
    b = 3.867 / (1.0 + moisture) + 1000.0 * bound * 2.36e-4
    return a, b


def wood_heat_capacity(temperature: float, moisture: float) -> float:
    """Heat capacity of moist wood, per mass of moist wood. [J/(kg*K)]

    Parameters
    ----------
    temperature : float
        Wood temperature, 280 to 420. [K]
    moisture : float
        Moisture content, dry basis, below fibre saturation (0.30). [-]

    Returns
    -------
    float
        Heat capacity at constant pressure. [J/(kg*K)]

    Notes
    -----
    cp0 = 0.1031 + 0.003867 T; cp = (cp0 + 4.18 x/100)/(1 + x/100) + x (-0.06191 + 2.36e-4 T
    - 1.33e-4 x), kJ/(kg K), x in %. Range 7 to 147 degC (from memory). The same for all woods.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, Eqs. 4-16a, 4-17, 4-18.

    Examples
    --------
    >>> round(wood_heat_capacity(340.0, 0.12) / 1000.0, 2)
    1.91
    """
    a, b = heat_capacity_line(moisture)
    return a + b * temperature


def wood_diffusivity(specific_gravity: float, moisture: float, *, temperature: float) -> float:
    """Heat diffusivity across the grain, conductivity as published. [m2/s]

    Parameters
    ----------
    specific_gravity : float
        On ovendry mass and volume at this moisture. [-]
    moisture : float
        Moisture content, dry basis. [-]
    temperature : float
        Wood temperature, for the heat capacity. [K]

    Returns
    -------
    float
        Conductivity over density and heat capacity. [m2/s]

    Examples
    --------
    >>> print(f"{wood_diffusivity(0.64, 0.08, temperature=300.0):.3e}")
    1.536e-07
    """
    stored = wood_density(specific_gravity, moisture) * wood_heat_capacity(temperature, moisture)
    return wood_conductivity(specific_gravity, moisture) / stored


_MOISTURE = text("moisture content, dry basis")
_GRAVITY = text("specific gravity on ovendry mass and volume at this moisture")

LAWS: tuple[Law, ...] = (
    Law(
        "equilibrium_moisture",
        text("Moisture at which wood settles in moist air"),
        lambda temperature, humidity: {"moisture": equilibrium_moisture(temperature, humidity)},
        (
            # below freezing by more than this the polynomials leave their meaning, above 150 degC wood decays
            Argument("temperature", "K", text("temperature of the air"), Span(223.15, 423.15),
                     Span(272.0, 373.15)),
            Argument("humidity", "-", text("relative humidity"), FRACTION, Span(0.05, 0.95)),
        ),
        (Result("moisture", "-", text("equilibrium moisture content, dry basis")),),
        text("0.1 points of moisture on average against the table, 0.9 at worst; no hysteresis, no species"),
        (EQ_MOISTURE,),
        Worked({"temperature": 293.15, "humidity": 0.65}, {"moisture": 0.11996}),
    ),
    Law(
        "wood_conductivity",
        text("Heat conductivity of wood across the grain"),
        lambda specific_gravity, moisture, temperature: {
            "conductivity": wood_conductivity(specific_gravity, moisture, temperature=temperature)
        },
        (
            Argument("specific_gravity", "-", _GRAVITY, Span(0.0, 1.6, open_low=True),
                     Span(0.3, 1.5, open_low=True)),
            Argument("moisture", "-", _MOISTURE, NOT_NEGATIVE, Span(0.0, MOISTURE_LIMIT)),
            Argument("temperature", "K", text("wood temperature; 2.5 % more per 10 K above 24 degC"),
                     Span(200.0, 500.0), Span(280.0, 420.0), default=CONDUCTIVITY_TEMPERATURE),
        ),
        (Result("conductivity", "W/(m*K)", text("across the grain")),),
        text("single pieces scatter by 20 %"),
        (EQ_CONDUCTIVITY,),
        Worked({"specific_gravity": 0.5, "moisture": 0.0}, {"conductivity": 0.1157}),
    ),
    Law(
        "wood_heat_capacity",
        text("Heat capacity of moist wood"),
        lambda temperature, moisture: {"heat_capacity": wood_heat_capacity(temperature, moisture)},
        (
            Argument("temperature", "K", text("wood temperature"), Span(200.0, 500.0), Span(280.0, 420.0)),
            Argument("moisture", "-", _MOISTURE, NOT_NEGATIVE, Span(0.0, FIBRE_SATURATION)),
        ),
        (Result("heat_capacity", "J/(kg*K)", text("per mass of moist wood")),),
        text("a few per cent; the same for all woods"),
        (EQ_HEAT_CAPACITY,),
        Worked({"temperature": 340.0, "moisture": 0.12}, {"heat_capacity": 1910.0}, 5e-3),
    ),
)  # fmt: skip
