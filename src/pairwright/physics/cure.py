"""Cure of an adhesive: n-th order Arrhenius kinetics along a temperature history.

dx/dt = A exp(-E/(R T)) (1 - x)^n. The history enters only through the thermal dose
g = integral of A exp(-E/(R T)) dt; the degree of cure is then a closed function of g.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

GAS_CONSTANT: Final = 8.314462618  # CODATA 2018, exact by definition [J/(mol*K)]

NTH_ORDER: Final = Source(
    "published",
    "Poljansek, Likozar, Cuk, Kunaver, Wood Sci. Technol. 47 (2013) 395-409: melamine-urea resin, "
    "E about 80 kJ/mol, order between 1 and 2",
)
KISSINGER: Final = Source("closed form", "Kissinger 1957, ln(b/Tp^2) = ln(A R/E) - E/(R Tp)")
# Gauss-Legendre, 5 points on (0, 1)
_NODES: Final = (0.04691007703066800, 0.23076534494715845, 0.5, 0.76923465505284155, 0.95308992296933200)
_WEIGHTS: Final = (0.11846344252809454, 0.23931433524968324, 0.28444444444444444, 0.23931433524968324,
                   0.11846344252809454)  # fmt: skip
_STEP: Final = 4.0  # largest change of temperature in one panel [K]: the sum is then exact to 1e-10


def reaction_rate(rate_constant: float, activation_energy: float, *, temperature: float) -> float:
    """Arrhenius rate A exp(-E/(R T)). [1/s]

    Parameters
    ----------
    rate_constant : float
        Pre-exponential factor A. [1/s]
    activation_energy : float
        E. [J/mol]
    temperature : float
        Glue-line temperature. [K]

    Returns
    -------
    float
        Rate. [1/s]

    Examples
    --------
    >>> slow, fast = (reaction_rate(2.734e9, 80e3, temperature=t) for t in (373.15, 383.15))
    >>> round(fast / slow, 2)
    1.96
    """
    return rate_constant * math.exp(-activation_energy / (GAS_CONSTANT * temperature))


def dose_for(cure: float, order: float) -> float:
    """Thermal dose that brings uncured glue to a degree of cure. [-]

    Parameters
    ----------
    cure : float
        Degree of cure, 0 to below 1. [-]
    order : float
        Reaction order n. [-]

    Returns
    -------
    float
        Dose g: -ln(1-x) for n = 1, else ((1-x)^(1-n) - 1)/(n - 1). [-]

    Examples
    --------
    >>> round(dose_for(0.90, 1.0), 6)
    2.302585
    """
    left = -math.log1p(-cure)
    if order == 1.0:
        return left
    return math.expm1((order - 1.0) * left) / (order - 1.0)


def cure_of(dose: float, order: float) -> float:
    """Degree of cure after a thermal dose. [-]

    Parameters
    ----------
    dose : float
        Integral of A exp(-E/(R T)) dt. [-]
    order : float
        Reaction order n. [-]

    Returns
    -------
    float
        Degree of cure; for n below 1 it reaches 1 at a finite dose. [-]

    Examples
    --------
    >>> round(cure_of(2.302585, 1.0), 6)
    0.9
    """
    if order == 1.0:
        return -math.expm1(-dose)
    base = (order - 1.0) * dose
    if base <= -1.0:
        return 1.0
    return -math.expm1(-math.log1p(base) / (order - 1.0))


def cures_of(doses: Floats, order: float) -> Floats:
    """Degrees of cure after many thermal doses, as `cure_of` for each. [-]

    Parameters
    ----------
    doses : ndarray
        Integrals of A exp(-E/(R T)) dt, of any shape. [-]
    order : float
        Reaction order n. [-]

    Examples
    --------
    >>> import numpy as np
    >>> [round(float(x), 6) for x in cures_of(np.array([0.0, 2.302585]), 1.0)]
    [0.0, 0.9]
    """
    import numpy as np

    if order == 1.0:
        found: Floats = -np.expm1(-doses)
        return found
    base = np.maximum((order - 1.0) * doses, -1.0)
    with np.errstate(divide="ignore"):  # below first order the cure is whole at a finite dose
        whole: Floats = -np.expm1(-np.log1p(base) / (order - 1.0))
    return whole


def thermal_dose(
    rate_constant: float, activation_energy: float, *, history: Sequence[Sequence[float]]
) -> float:
    """Dose of a temperature history, linear between its points. [-]

    Parameters
    ----------
    rate_constant : float
        Pre-exponential factor A. [1/s]
    activation_energy : float
        E. [J/mol]
    history : sequence of pairs
        Points of time and temperature, times never falling. [s, K]

    Returns
    -------
    float
        Integral of A exp(-E/(R T)) dt. [-]

    Notes
    -----
    Five-point Gauss sums over panels of at most 4 K; checked against the closed form with the
    exponential integral.

    Examples
    --------
    >>> round(thermal_dose(2.734e9, 80e3, history=[(0.0, 373.15), (133.0, 373.15)]), 3)
    2.303
    """
    dose = 0.0
    for (t0, T0, *_), (t1, T1, *_) in pairwise(history):
        panels = max(1, math.ceil(abs(T1 - T0) / _STEP))
        part = 0.0
        for n in range(panels):
            for node, weight in zip(_NODES, _WEIGHTS, strict=True):
                share = (n + node) / panels
                part += weight * math.exp(-activation_energy / (GAS_CONSTANT * (T0 + (T1 - T0) * share)))
        dose += part / panels * (t1 - t0)
    return rate_constant * dose


def cure_fraction(
    rate_constant: float, activation_energy: float, *, order: float, history: Sequence[Sequence[float]]
) -> float:
    """Degree of cure after a temperature history. [-]

    Parameters
    ----------
    rate_constant : float
        Pre-exponential factor A. [1/s]
    activation_energy : float
        E. [J/mol]
    order : float
        Reaction order n. [-]
    history : sequence of pairs
        Points of time and temperature, linear between them. [s, K]

    Returns
    -------
    float
        Degree of cure from 0 at the first point. [-]

    Notes
    -----
    dx/dt = A exp(-E/(R T)) (1 - x)^n. No complete published set of A, E and n was found for any
    wood adhesive: fit A and E to the adhesive's data sheet (`fit_kinetics`). Hardener level
    moves the rate several-fold. Not for glues that set by drying or by moisture.

    References
    ----------
    .. [1] Poljansek et al., Wood Sci. Technol. 47 (2013) 395-409 (form, E and range of n).

    Examples
    --------
    >>> round(cure_fraction(2.734e9, 80e3, order=1.0, history=[(0, 373.15), (173, 373.15)]), 3)
    0.95
    """
    return cure_of(thermal_dose(rate_constant, activation_energy, history=history), order)


def isothermal_time(
    rate_constant: float, activation_energy: float, *, order: float, temperature: float, cure: float
) -> float:
    """Time to a degree of cure at one temperature. [s]

    Parameters
    ----------
    rate_constant : float
        Pre-exponential factor A. [1/s]
    activation_energy : float
        E. [J/mol]
    order : float
        Reaction order n. [-]
    temperature : float
        Glue-line temperature. [K]
    cure : float
        Degree of cure wanted, below 1. [-]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(isothermal_time(2.734e9, 80e3, order=1.0, temperature=373.15, cure=0.90), 1)
    133.0
    """
    return dose_for(cure, order) / reaction_rate(rate_constant, activation_energy, temperature=temperature)


def _cure_law(**inputs: Any) -> Mapping[str, float]:
    history = inputs["history"]
    problems = []
    for n, point in enumerate(history):
        pair = isinstance(point, Sequence) and len(point) == 2
        before = history[n - 1] if n else None
        if not pair:
            must, do = text("a pair [time, temperature]"), text("write [seconds, kelvin]")
        elif point[1] <= 0.0:
            must, do = text("a temperature above 0 K"), text("write temperatures in kelvin")
        elif isinstance(before, Sequence) and point[0] < before[0]:
            must, do = text("at or after the time before it"), text("put the points in order of time")
        else:
            continue
        problems.append(Problem("calc cure_fraction", f"history[{n}]", must, shown(point), do))
    if problems:
        raise InputError(problems)
    cure = cure_fraction(
        inputs["rate_constant"], inputs["activation_energy"], order=inputs["order"], history=history
    )
    return {"cure": cure}


KINETICS_ARGUMENTS: Final = (
    Argument("rate_constant", "1/s", text("pre-exponential factor A"), POSITIVE),
    Argument("activation_energy", "J/mol", text("activation energy E"), NOT_NEGATIVE, Span(60e3, 150e3)),
    Argument("order", "-", text("reaction order n"), Span(0.0, 10.0), Span(1.0, 2.0)),
)

LAWS: tuple[Law, ...] = (
    Law(
        "cure_fraction",
        text("Degree of cure of an adhesive after a temperature history"),
        _cure_law,
        (*KINETICS_ARGUMENTS,
         Argument("history", "-", text("points [time in s, temperature in K], linear between them"),
                  shape="rows", least=2)),
        (Result("cure", "-", text("degree of cure, 0 to 1")),),
        text("exact for the equation; as good as A and E, which must be fitted to the adhesive"),
        (NTH_ORDER, KISSINGER),
        Worked({"rate_constant": 2.734e9, "activation_energy": 80e3, "order": 1.0,
                "history": [[0.0, 373.15], [133.0, 373.15]]}, {"cure": 0.90}),
    ),
)  # fmt: skip
