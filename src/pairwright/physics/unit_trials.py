"""Moving parts of a drive unit from two fitted impedances: with a mass added, or in a known volume."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE
from pairwright.base.words import Amount, text
from pairwright.physics.drive_unit import AIR_DENSITY, SOUND_SPEED
from pairwright.physics.impedance_fit import ImpedanceFit
from pairwright.physics.uncertain import first_order
from pairwright.physics.unit_impedance import MASS_RANGE, Estimate

Floats: TypeAlias = NDArray[np.float64]

_READ: Final = ("resistance", "resonance", "mechanical_q", "electrical_q")


@dataclass(frozen=True, slots=True)
class MovingParts:
    """What moves and what drives it, each with its standard uncertainty.

    Moving mass [kg], compliance [m/N], loss [kg/s], force factor [T*m], and the compliance as an air
    volume [m3], which needs the area.
    """

    mass: Estimate
    compliance: Estimate
    loss: Estimate
    force_factor: Estimate
    compliance_volume: Estimate | None
    findings: tuple[Finding, ...]


def parts_from_mass(
    free: ImpedanceFit,
    loaded: ImpedanceFit,
    *,
    mass: Estimate,
    area: Estimate | None = None,
    density: float = AIR_DENSITY,
    sound_speed: float = SOUND_SPEED,
) -> MovingParts:
    """Moving parts from the impedance with and without an added mass. [-]

    Parameters
    ----------
    free : ImpedanceFit
        Bare, in free air. [-]
    loaded : ImpedanceFit
        With the mass on the diaphragm. [-]
    mass : Estimate
        The added mass. [kg]
    area : Estimate, optional
        Effective area, for the compliance volume. [m2]
    density : float
        Of the air. [kg/m3]
    sound_speed : float
        In the air. [m/s]

    Returns
    -------
    MovingParts
        With uncertainties that carry the correlation of the fitted numbers. [-]

    Notes
    -----
    Mms = Ma/((fs/fm)^2 - 1). The two measurements count as independent; an error common to both, such
    as that of the frequency axis, cancels in the ratio. Useless on soft domes: take a volume instead.

    References
    ----------
    .. [1] R. H. Small, J. Audio Eng. Soc. 20 (1972) 383-395.

    Examples
    --------
    >>> from pairwright.physics.impedance_fit import fit_impedance
    >>> from pairwright.physics.unit_impedance import impedance
    >>> f = np.geomspace(8.0, 400.0, 150)
    >>> bare = impedance(
    ...     f, resistance=5.8, resonance=40.13514, mechanical_q=3.455753, electrical_q=0.5219626
    ... )
    >>> heavy = impedance(
    ...     f, resistance=5.8, resonance=32.33614, mechanical_q=4.289237, electrical_q=0.6478525
    ... )
    >>> fits = [fit_impedance(f, z, coil="none") for z in (bare, heavy)]
    >>> found = parts_from_mass(fits[0], fits[1], mass=Estimate(0.010, 0.0))
    >>> round(found.mass.value, 5), round(found.force_factor.value, 3)
    (0.0185, 7.2)
    """
    if loaded.estimate("resonance").value >= free.estimate("resonance").value:
        raise InputError(
            Problem("added mass", "loaded", text("a lower resonance than the bare drive unit's"),
                    shown(f"{loaded.estimate('resonance').value:g} Hz"),
                    text("check that the mass sits on the diaphragm and that the curves are not exchanged"))
        )  # fmt: skip

    def moving(x: Floats) -> float:
        return float(x[8] / ((x[1] / x[5]) ** 2 - 1.0))

    found = _parts(moving, (free, loaded), extra=(mass, area), air=density * sound_speed**2)
    ratio = mass.value / found.mass.value
    findings: tuple[Finding, ...] = ()
    if not MASS_RANGE[0] <= ratio <= MASS_RANGE[1]:
        findings = (Finding("measurement_doubtful", "warning", "drive unit",
                            text("the added mass is {ratio} of the moving mass; about half to all of it keeps the "
                                 "errors of the frequencies small", ratio=Amount(ratio, "share")),
                            COMMON_PRACTICE),)  # fmt: skip
    return MovingParts(
        found.mass, found.compliance, found.loss, found.force_factor, found.compliance_volume, findings
    )


def parts_from_volume(
    free: ImpedanceFit,
    boxed: ImpedanceFit,
    *,
    volume: Estimate,
    area: Estimate,
    density: float = AIR_DENSITY,
    sound_speed: float = SOUND_SPEED,
) -> MovingParts:
    """Moving parts from the impedance in free air and in a closed box. [-]

    Parameters
    ----------
    free : ImpedanceFit
        In free air. [-]
    boxed : ImpedanceFit
        On a tight box without filling. [-]
    volume : Estimate
        Net volume of the box with what the drive unit adds or takes. [m3]
    area : Estimate
        Effective area of the diaphragm. [m2]
    density : float
        Of the air. [kg/m3]
    sound_speed : float
        In the air. [m/s]

    Returns
    -------
    MovingParts
        With uncertainties that carry the correlation of the fitted numbers. [-]

    Notes
    -----
    Vas = Vt (fc Qec/(fs Qes) - 1): the change of the air load cancels. The moving mass includes the
    air load of the free diaphragm and goes with the fourth power of its diameter: the area's error rules.

    References
    ----------
    .. [1] R. H. Small, J. Audio Eng. Soc. 20 (1972) 383-395.

    Examples
    --------
    >>> from pairwright.physics.impedance_fit import fit_impedance
    >>> from pairwright.physics.unit_impedance import impedance
    >>> f = np.geomspace(8.0, 400.0, 150)
    >>> bare = impedance(
    ...     f, resistance=5.8, resonance=40.13514, mechanical_q=3.455753, electrical_q=0.5219626
    ... )
    >>> closed = impedance(
    ...     f, resistance=5.8, resonance=72.25086, mechanical_q=6.221, electrical_q=0.9396316
    ... )
    >>> fits = [fit_impedance(f, z, coil="none") for z in (bare, closed)]
    >>> found = parts_from_volume(
    ...     fits[0], fits[1], volume=Estimate(0.010, 0.0), area=Estimate(0.0137, 0.0)
    ... )
    >>> round(found.compliance_volume.value * 1e3, 3), round(found.mass.value, 5)
    (22.407, 0.0185)
    """
    air = density * sound_speed**2

    def moving(x: Floats) -> float:
        compliance = x[8] * (x[5] * x[7] / (x[1] * x[3]) - 1.0) / (air * x[9] ** 2)
        return float(1.0 / ((2.0 * math.pi * x[1]) ** 2 * compliance))

    if boxed.estimate("resonance").value <= free.estimate("resonance").value:
        raise InputError(
            Problem("known volume", "boxed", text("a higher resonance than in free air"),
                    shown(f"{boxed.estimate('resonance').value:g} Hz"),
                    text("check that the box is tight and that the curves are not exchanged"))
        )  # fmt: skip
    return _parts(moving, (free, boxed), extra=(volume, area), air=air)


def _parts(
    moving: Callable[[Floats], float],
    fits: tuple[ImpedanceFit, ImpedanceFit],
    *,
    extra: Sequence[Estimate | None],
    air: float,
) -> MovingParts:
    """All parts from the moving mass, propagated together.

    The numbers: 0-3 resistance, resonance, two quality factors of the first fit, 4-7 of the second,
    8 the added mass or the volume, 9 the area.
    """
    known = [e if e is not None else Estimate(1.0, 0.0) for e in extra]
    values = np.concatenate([*(_four(f) for f in fits), [e.value for e in known]])
    covariance = np.zeros((values.size, values.size))
    for n, fit in enumerate(fits):
        chosen = [fit.names.index(name) for name in _READ]
        covariance[4 * n : 4 * n + 4, 4 * n : 4 * n + 4] = fit.covariance[np.ix_(chosen, chosen)]
    for n, one in enumerate(known, start=8):
        covariance[n, n] = one.uncertainty**2

    def of(x: Floats) -> Floats:
        mass, omega = moving(x), 2.0 * math.pi * x[1]
        compliance = 1.0 / (omega**2 * mass)
        return np.array([mass, compliance, omega * mass / x[2], math.sqrt(omega * mass * x[0] / x[3]),
                         air * x[9] ** 2 * compliance])  # fmt: skip

    found, spread = first_order(of, values, covariance=covariance)
    mass, compliance, loss, force, volume = (
        Estimate(float(v), math.sqrt(max(0.0, float(s)))) for v, s in zip(found, np.diag(spread), strict=True)
    )
    return MovingParts(mass, compliance, loss, force, volume if extra[1] is not None else None, ())


def _four(fit: ImpedanceFit) -> Floats:
    return np.array([fit.estimate(name).value for name in _READ])
