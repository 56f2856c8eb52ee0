"""A drive unit at low frequencies: its small-signal parameters from its parts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

AIR_DENSITY: Final = 1.18  # kg/m3, with 345 m/s the pair that Small used
SOUND_SPEED: Final = 345.0  # m/s
REFERENCE_PRESSURE: Final = 20e-6  # Pa


@dataclass(frozen=True, slots=True)
class DriveUnit:
    """The moving parts and the motor.

    Voice-coil resistance [ohm], moving mass with its air load [kg], compliance [m/N], mechanical
    loss [kg/s], force factor [T*m], effective area [m2].
    """

    resistance: float
    mass: float
    compliance: float
    loss: float
    force_factor: float
    area: float


@dataclass(frozen=True, slots=True)
class DriveUnitParameters:
    """Small-signal parameters.

    Resonance [Hz], quality factors [-], compliance as an air volume [m3], reference efficiency
    [-], sensitivity for 1 W at 1 m in half space [dB], impedance at resonance [ohm].
    """

    resonance: float
    mechanical_q: float
    electrical_q: float
    total_q: float
    compliance_volume: float
    efficiency: float
    sensitivity_1w_db: float
    peak_impedance: float


def driver_parameters(
    unit: DriveUnit, *, density: float = AIR_DENSITY, sound_speed: float = SOUND_SPEED
) -> DriveUnitParameters:
    """Small-signal parameters of a drive unit. [-]

    Parameters
    ----------
    unit : DriveUnit
        Its parts. [-]
    density : float
        Of the air. [kg/m3]
    sound_speed : float
        In the air. [m/s]

    Returns
    -------
    DriveUnitParameters
        Resonance, quality factors, volume, efficiency, sensitivity. [-]

    Notes
    -----
    Holds where the diaphragm moves as one piece and the coil's inductance does not yet count,
    commonly below some 500 Hz; at small signals, as compliance grows with level. A choice of 343
    for 345 m/s moves the efficiency by 1.8 %.

    References
    ----------
    .. [1] R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20
       (1972) 383-395.

    Examples
    --------
    >>> p = driver_parameters(DriveUnit(5.8, 0.0185, 0.85e-3, 1.35, 7.2, 0.0137))
    >>> round(p.resonance, 3), round(p.total_q, 4), round(p.compliance_volume * 1000, 3)
    (40.135, 0.4535, 22.407)
    """
    omega = 1.0 / math.sqrt(unit.mass * unit.compliance)
    mechanical = omega * unit.mass / unit.loss if unit.loss > 0.0 else math.inf
    electrical = omega * unit.mass * unit.resistance / unit.force_factor**2
    total = electrical if math.isinf(mechanical) else mechanical * electrical / (mechanical + electrical)
    volume = density * sound_speed**2 * unit.area**2 * unit.compliance
    efficiency = reference_efficiency(
        omega / (2.0 * math.pi), volume, electrical_q=electrical, sound_speed=sound_speed
    )
    peak = unit.resistance + unit.force_factor**2 / unit.loss if unit.loss > 0.0 else math.inf
    return DriveUnitParameters(
        omega / (2.0 * math.pi), mechanical, electrical, total, volume, efficiency,
        sensitivity(efficiency, density=density, sound_speed=sound_speed), peak,
    )  # fmt: skip


def reference_efficiency(
    resonance: float, compliance_volume: float, *, electrical_q: float, sound_speed: float = SOUND_SPEED
) -> float:
    """Share of electrical power that becomes sound in half space. [-]

    Parameters
    ----------
    resonance : float
        Of the drive unit. [Hz]
    compliance_volume : float
        Its compliance as an air volume. [m3]
    electrical_q : float
        Its electrical quality factor. [-]
    sound_speed : float
        In the air. [m/s]

    Returns
    -------
    float
        Reference efficiency. [-]

    References
    ----------
    .. [1] Small 1972: 4 pi^2/c^3 fs^3 Vas/Qes.

    Examples
    --------
    >>> round(reference_efficiency(30.0, 0.100, electrical_q=0.4), 7)
    0.0064894
    """
    return 4.0 * math.pi**2 / sound_speed**3 * resonance**3 * compliance_volume / electrical_q


def sensitivity(
    efficiency: float, *, density: float = AIR_DENSITY, sound_speed: float = SOUND_SPEED
) -> float:
    """Level at 1 m for 1 W into half space. [dB]

    Parameters
    ----------
    efficiency : float
        Reference efficiency. [-]
    density : float
        Of the air. [kg/m3]
    sound_speed : float
        In the air. [m/s]

    Returns
    -------
    float
        Level re 20 uPa. [dB]

    Notes
    -----
    For 2.83 V add 10 lg(8/R), and say whether R is the coil's or the rated resistance.

    Examples
    --------
    >>> round(sensitivity(0.0064894), 3)
    90.217
    """
    intensity = density * sound_speed / (2.0 * math.pi) / REFERENCE_PRESSURE**2
    return 10.0 * math.log10(intensity * efficiency)


def _driver_parameters_law(density: float, sound_speed: float, **parts: float) -> dict[str, Any]:
    found = driver_parameters(DriveUnit(**parts), density=density, sound_speed=sound_speed)
    return {
        "resonance": found.resonance, "mechanical_q": found.mechanical_q,
        "electrical_q": found.electrical_q, "total_q": found.total_q,
        "compliance_volume": found.compliance_volume, "efficiency": found.efficiency,
        "sensitivity_1w_db": found.sensitivity_1w_db, "peak_impedance": found.peak_impedance,
    }  # fmt: skip


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="driver_parameters",
        title=text("Small-signal parameters of a drive unit"),
        function=_driver_parameters_law,
        arguments=(
            Argument("resistance", "ohm", text("voice-coil resistance at its temperature"), must=POSITIVE),
            Argument("mass", "kg", text("moving mass with air load"), must=POSITIVE),
            Argument("compliance", "m/N", text("compliance of the suspension"), must=POSITIVE),
            Argument("loss", "kg/s", text("mechanical loss"), must=POSITIVE),
            Argument("force_factor", "T*m", text("force factor"), must=POSITIVE),
            Argument("area", "m2", text("effective area"), must=POSITIVE),
            Argument("density", "kg/m3", text("of the air"), must=POSITIVE, range=Span(1.0, 1.35),
                     default=AIR_DENSITY),
            Argument("sound_speed", "m/s", text("in the air"), must=POSITIVE, range=Span(325.0, 360.0),
                     default=SOUND_SPEED),
        ),
        results=(
            Result("resonance", "Hz", text("resonance in free air")),
            Result("mechanical_q", "-", text("mechanical quality factor")),
            Result("electrical_q", "-", text("electrical quality factor")),
            Result("total_q", "-", text("total quality factor")),
            Result("compliance_volume", "m3", text("compliance as an air volume")),
            Result("efficiency", "-", text("reference efficiency in half space")),
            Result("sensitivity_1w_db", "dB", text("level for 1 W at 1 m in half space")),
            Result("peak_impedance", "ohm", text("impedance at resonance, without inductance")),
        ),
        accuracy=text(
            "exact for a rigid piston at small signals; resonance may move 5 to 15 % with level and "
            "warm-up, resistance 0.39 % per kelvin"
        ),
        sources=(Source("published", "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383-395"),),
        worked=Worked(
            {"resistance": 5.8, "mass": 0.0185, "compliance": 0.85e-3, "loss": 1.35,
             "force_factor": 7.2, "area": 0.0137},
            {"resonance": 40.13514, "mechanical_q": 3.455753, "electrical_q": 0.5219626,
             "total_q": 0.4534698, "compliance_volume": 22.4068e-3, "efficiency": 0.002668196,
             "peak_impedance": 44.2},
            tolerance=1e-5,
        ),
    ),
)  # fmt: skip
