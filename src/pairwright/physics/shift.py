"""How a cure or a rest runs faster or slower away from its stated temperature.

Neither form carries a built-in constant: the works states an activation energy or a factor
per ten kelvin for each material, with its source.
"""

from __future__ import annotations

import math
from typing import Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text

GAS_CONSTANT: Final = 8.314462618  # J/(mol*K), exact by the 2019 SI


def arrhenius_shift(temperature: float, reference: float, *, activation_energy: float) -> float:
    """Rate relative to the reference by Arrhenius. [-]

    Parameters
    ----------
    temperature : float
        Where it happens. [K]
    reference : float
        Where the stated time was taken. [K]
    activation_energy : float
        Stated by the works, from a data sheet or a trial. [J/mol]

    Returns
    -------
    float
        Above 1 where it runs faster than stated. [-]

    Notes
    -----
    exp(E/R (1/reference - 1/temperature)). Holds while one reaction controls, commonly within
    about 20 K of the reference; below a film-forming temperature it says nothing.

    References
    ----------
    .. [1] S. Arrhenius, Z. Phys. Chem. 4 (1889) 226-248.

    Examples
    --------
    >>> round(arrhenius_shift(383.15, 373.15, activation_energy=82.4e3), 3)
    2.0
    """
    return math.exp(activation_energy / GAS_CONSTANT * (1.0 / reference - 1.0 / temperature))


def q10_shift(temperature: float, reference: float, *, factor: float) -> float:
    """Rate relative to the reference by a factor per 10 K. [-]

    Parameters
    ----------
    temperature : float
        Where it happens. [K]
    reference : float
        Where the stated time was taken. [K]
    factor : float
        How much faster 10 K warmer; stated by the works. [-]

    Returns
    -------
    float
        Above 1 where it runs faster than stated. [-]

    Notes
    -----
    factor^((temperature - reference)/10 K). A factor of about 2 is a common rule of thumb, from
    memory and without a source: it is never assumed here.

    Examples
    --------
    >>> q10_shift(303.15, 293.15, factor=2.0)
    2.0
    """
    return float(factor ** ((temperature - reference) / 10.0))


def rate_shift(
    temperature: float,
    reference: float,
    *,
    activation_energy: float | None = None,
    factor: float | None = None,
) -> float:
    """Rate relative to the reference by whichever constant is stated. [-]

    Parameters
    ----------
    temperature : float
        Where it happens. [K]
    reference : float
        Where the stated time was taken. [K]
    activation_energy : float, optional
        Arrhenius form. [J/mol]
    factor : float, optional
        Factor per 10 K. [-]

    Returns
    -------
    float
        Above 1 where it runs faster than stated. [-]

    Notes
    -----
    With neither constant the answer is 1 at the reference only; elsewhere an `InputError` asks
    for one, because no constant is ever invented. With both, an `InputError` asks which.

    Examples
    --------
    >>> rate_shift(293.15, 293.15)
    1.0
    """
    if activation_energy is not None and factor is not None:
        raise InputError(
            Problem("temperature shift", "activation_energy", text("the only shift constant"),
                    shown(activation_energy), text("state an activation energy or a factor, not both"))
        )  # fmt: skip
    if activation_energy is not None:
        return arrhenius_shift(temperature, reference, activation_energy=activation_energy)
    if factor is not None:
        return q10_shift(temperature, reference, factor=factor)
    if abs(temperature - reference) < 0.5:  # as good as the thermometer on the wall
        return 1.0
    raise InputError(
        Problem("temperature shift", "activation_energy",
                text("stated when the temperature is not the reference"), "nothing",
                text("state an activation energy or a factor per 10 K from the data sheet or a trial"))
    )  # fmt: skip
