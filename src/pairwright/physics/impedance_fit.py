"""Small-signal parameters of a drive unit from its measured complex impedance."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Worked
from pairwright.base.sources import COMMON_PRACTICE, Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.impedance_peak import find_peak, read_three_points
from pairwright.physics.uncertain import first_order
from pairwright.physics.unit_impedance import CoilLoss, Estimate, impedance

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
CoilModel: TypeAlias = Literal["bridge", "power", "plain", "none"]
COIL_MODELS: Final[tuple[str, ...]] = ("bridge", "power", "plain", "none")

_MOTION: Final = ("resistance", "resonance", "mechanical_q", "electrical_q")
_COIL: Final[Mapping[str, tuple[str, ...]]] = {
    "bridge": ("inductance", "second", "bridge"),
    "power": ("factor", "power"),
    "plain": ("inductance",),
    "none": (),
}
_TOP: Final = 5000.0  # [Hz]; the bridge model is not settled by less
_LOOSE: Final = 0.25  # relative uncertainty beyond which a parameter is hardly known
_ROUGH: Final = 0.05  # relative residual beyond which the model does not fit
_SMALL: Final = Source("published", "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383-395")


@dataclass(frozen=True, slots=True)
class ImpedanceFit:
    """Parameters of a drive unit's impedance, fitted.

    `names` and `values` of the parameters (resistance [ohm], resonance [Hz], mechanical_q [-],
    electrical_q [-] and those of the coil: inductance [H], second [H], bridge [ohm]; or factor, power [-]);
    `covariance` of the values; `residual` relative root mean square [-]; `points` fitted [-].
    """

    model: CoilModel
    names: tuple[str, ...]
    values: Floats
    covariance: Floats
    residual: float
    points: int
    findings: tuple[Finding, ...]

    def estimate(self, name: str) -> Estimate:
        """A parameter and its standard uncertainty, in the unit of the parameter. [-]

        Parameters
        ----------
        name : str
            One of `names`, or ``total_q``. [-]

        Returns
        -------
        Estimate
            Value and uncertainty. [-]
        """
        if name == "total_q":
            return self._derived(lambda p: 1.0 / (1.0 / p["mechanical_q"] + 1.0 / p["electrical_q"]))
        n = self.names.index(name)
        return Estimate(float(self.values[n]), math.sqrt(float(self.covariance[n, n])))

    def _derived(self, function: _Function) -> Estimate:
        def of(values: Floats) -> Floats:
            return np.array([function(dict(zip(self.names, (float(v) for v in values), strict=True)))])

        value, spread = first_order(of, self.values, covariance=self.covariance)
        return Estimate(float(value[0]), math.sqrt(float(spread[0, 0])))

    @property
    def coil(self) -> CoilLoss:
        """The coil's constants. [-]"""
        found = dict(zip(self.names, (float(v) for v in self.values), strict=True))
        return CoilLoss(**{n: found[n] for n in _COIL[self.model]})

    def curve(self, frequency: Floats) -> Complexes:
        """The fitted impedance. [ohm]

        Parameters
        ----------
        frequency : ndarray
            Shape (n_freq,). [Hz]

        Returns
        -------
        ndarray, shape (n_freq,)
            Complex impedance. [ohm]
        """
        re, fs, qms, qes = (float(v) for v in self.values[:4])
        return impedance(
            frequency, resistance=re, resonance=fs, mechanical_q=qms, electrical_q=qes, coil=self.coil
        )


_Function: TypeAlias = "Callable[[Mapping[str, float]], float]"


def fit_impedance(
    frequency: Floats,
    measured: Complexes,
    *,
    coil: CoilModel = "bridge",
    resistance: Estimate | None = None,
) -> ImpedanceFit:
    """Parameters of a drive unit from its complex impedance. [-]

    Parameters
    ----------
    frequency : ndarray
        Rising, from well below resonance up, shape (n_freq,). [Hz]
    measured : ndarray
        Complex impedance, shape (n_freq,). [ohm]
    coil : CoilModel
        ``bridge`` (two inductances, a resistance across the second), ``power`` (half inductance),
        ``plain`` (one inductance) or ``none``. [-]
    resistance : Estimate, optional
        Of the coil by direct current, at the temperature of the measurement. [ohm]

    Returns
    -------
    ImpedanceFit
        Parameters, their covariance, findings. [-]

    Notes
    -----
    Least squares of the complex residual relative to the impedance, each point weighed by the share
    of the logarithmic frequency axis that it stands for. The errors of the points are taken as
    independent and of one relative size, estimated from the residuals: an error common to all points,
    such as that of the reference resistor, is not in the uncertainty. Drive level and warm-up move the
    compliance: resonance may differ by 5-15 % between small and large signals (common practice).

    References
    ----------
    .. [1] Small 1972 (motional impedance).
    .. [2] W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442-450 (``power``).
    .. [3] IEC 60268-22 (``bridge``, from memory).

    Examples
    --------
    >>> f = np.geomspace(10.0, 20e3, 120)
    >>> truth = CoilLoss(0.3e-3, 0.5e-3, 4.0)
    >>> z = impedance(
    ...     f, resistance=5.8, resonance=40.0, mechanical_q=3.5, electrical_q=0.5, coil=truth
    ... )
    >>> fit = fit_impedance(f, z)
    >>> round(fit.estimate("resonance").value, 4), round(fit.estimate("bridge").value, 4)
    (40.0, 4.0)
    """
    frequency = np.asarray(frequency, dtype=np.float64)
    measured = np.asarray(measured, dtype=np.complex128)
    _checked(frequency, measured, coil)
    names = _MOTION + _COIL[coil]
    weight = _weights(frequency)
    size = np.abs(measured)
    theta = _solved(frequency, measured, names=names, weight=weight / size, resistance=resistance)
    model, rise = _model(frequency, theta, names)
    off = (model - measured) / size
    freedom = max(1, 2 * frequency.size - len(names))
    noise = float(np.sum(off.real**2 + off.imag**2)) / freedom
    spread = _covariance(rise / size[:, None], weight, noise=noise, resistance=resistance)
    values = _natural(theta, names)
    stretch = np.where([n == "power" for n in names], 1.0, values)
    covariance = spread * np.outer(stretch, stretch)
    residual = math.sqrt(noise)
    fit = ImpedanceFit(coil, names, values, covariance, residual, frequency.size, ())
    return ImpedanceFit(coil, names, values, covariance, residual, frequency.size,
                        tuple(_findings(fit, frequency, measured)))  # fmt: skip


def _checked(frequency: Floats, measured: Complexes, coil: str) -> None:
    def refused(field: str, must_be: Text, got: object, do: Text) -> InputError:
        return InputError(Problem("impedance fit", field, must_be, shown(got), do))

    if coil not in _COIL:
        raise refused(
            "coil", text("one of {names}", names=", ".join(COIL_MODELS)), coil, text("choose a model")
        )
    least = 2 * (len(_MOTION) + len(_COIL[coil]))
    if frequency.size < least or frequency.size != measured.size:
        raise refused("frequency", text("at least {least} points, one for each impedance", least=least),
                      frequency.size, text("measure at more frequencies"))  # fmt: skip
    if not (np.all(np.diff(frequency) > 0.0) and frequency[0] > 0.0):
        raise refused("frequency", text("rising and above 0"), "unsorted", text("sort the points"))
    if not (np.all(np.isfinite(measured)) and np.all(np.abs(measured) > 0.0)):
        raise refused("measured", text("finite and not 0"), "nan", text("leave out points that failed"))


def _weights(frequency: Floats) -> Floats:
    """Square roots of each point's share of the logarithmic axis, of mean square 1."""
    width = np.gradient(np.log(frequency))
    return np.asarray(np.sqrt(width / width.mean()), dtype=np.float64)


def _natural(theta: Floats, names: tuple[str, ...]) -> Floats:
    """Parameters from what is fitted: logarithms, but the power as it is."""
    return np.array([t if n == "power" else math.exp(t) for n, t in zip(names, theta, strict=True)])


def _model(frequency: Floats, theta: Floats, names: tuple[str, ...]) -> tuple[Complexes, Complexes]:
    """Impedance, shape (n_freq,), and its derivatives by theta, shape (n_freq, n)."""
    p = dict(zip(names, _natural(theta, names), strict=True))
    s = 2j * math.pi * frequency
    u = frequency / p["resonance"]
    q = 1j * p["mechanical_q"]
    damped = 1.0 + q * (u - 1.0 / u)
    motion = p["resistance"] * p["mechanical_q"] / p["electrical_q"] / damped
    total = p["resistance"] + motion
    rise = {
        "resistance": p["resistance"] + motion,
        "resonance": motion * q * (u + 1.0 / u) / damped,
        "mechanical_q": motion / damped,
        "electrical_q": -motion,
    }
    if "inductance" in p:
        rise["inductance"] = s * p["inductance"]
        total = total + rise["inductance"]
    if "second" in p:
        reactance = s * p["second"]
        together = reactance * p["bridge"] / (reactance + p["bridge"])
        rise["second"] = together * p["bridge"] / (reactance + p["bridge"])
        rise["bridge"] = together * reactance / (reactance + p["bridge"])
        total = total + together
    if "factor" in p:
        half = p["factor"] * s ** p["power"]
        rise["factor"], rise["power"] = half, half * np.log(s)
        total = total + half
    return total, np.stack([np.broadcast_to(rise[n], frequency.shape) for n in names], axis=1)


def _solved(
    frequency: Floats, measured: Complexes, *, names: tuple[str, ...], weight: Floats,
    resistance: Estimate | None,
) -> Floats:  # fmt: skip
    """Bounded least squares from a start read off the curve."""
    from scipy.optimize import least_squares

    # how much the direct-current reading counts beside the points: as if their relative error were 1 %
    tie = (
        None
        if resistance is None
        else 0.01 * resistance.value / max(resistance.uncertainty, 1e-6 * resistance.value)
    )

    def off(theta: Floats) -> Floats:
        rest = (_model(frequency, theta, names)[0] - measured) * weight
        extra = [] if tie is None or resistance is None else [tie * (theta[0] - math.log(resistance.value))]
        return np.concatenate([rest.real, rest.imag, extra])

    def rise(theta: Floats) -> Floats:
        rows = _model(frequency, theta, names)[1] * weight[:, None]
        extra = np.zeros((0 if tie is None else 1, len(names)))
        if tie is not None:
            extra[0, 0] = tie
        return np.concatenate([rows.real, rows.imag, extra])

    start = _start(frequency, measured, names=names, resistance=resistance)
    low = np.array([0.5 if n == "power" else t - 5.0 for n, t in zip(names, start, strict=True)])
    high = np.array([1.0 if n == "power" else t + 5.0 for n, t in zip(names, start, strict=True)])
    found = least_squares(
        off, start, jac=rise, bounds=(low, high), x_scale="jac", xtol=1e-12, ftol=1e-12, gtol=1e-12
    )
    return np.asarray(found.x, dtype=np.float64)


def _start(
    frequency: Floats, measured: Complexes, *, names: tuple[str, ...], resistance: Estimate | None
) -> Floats:
    """Parameters read off the curve, good enough to begin with."""
    re, peak = find_peak(measured, None if resistance is None else resistance.value)
    top = abs(measured[peak])
    ratio = max(1.05, top / re)
    level = math.sqrt(top * re)
    over = np.abs(measured) >= level
    first, last = peak, peak
    while first > 0 and over[first - 1]:
        first -= 1
    while last < frequency.size - 1 and over[last + 1]:
        last += 1
    width = max(float(frequency[last] - frequency[first]), float(frequency[peak]) * 0.02)
    mechanical = float(frequency[peak]) * math.sqrt(ratio) / width
    end = max(float(measured[-1].imag), 0.02 * re)
    omega = 2.0 * math.pi * float(frequency[-1])
    guess = {
        "resistance": re, "resonance": float(frequency[peak]), "mechanical_q": mechanical,
        "electrical_q": mechanical / (ratio - 1.0), "inductance": 0.5 * end / omega,
        "second": 1.0 * end / omega, "bridge": max(0.5 * end, 0.5 * re),
        "factor": end / (math.sin(0.35 * math.pi) * omega**0.7), "power": 0.7,
    }  # fmt: skip
    if "second" not in names:
        guess["inductance"] = end / omega
    return np.array([guess[n] if n == "power" else math.log(guess[n]) for n in names])


def _covariance(rise: Complexes, weight: Floats, *, noise: float, resistance: Estimate | None) -> Floats:
    """Covariance of the fitted numbers when weights are importance, not accuracy."""
    rows = np.concatenate([rise.real, rise.imag])
    both = np.concatenate([weight, weight])
    inner = (rows * both[:, None] ** 2).T @ rows
    outer = noise * (rows * both[:, None] ** 4).T @ rows
    if resistance is not None:
        relative = max(resistance.uncertainty / resistance.value, 1e-6)
        tie = (0.01 / relative) ** 2
        inner[0, 0] += tie
        outer[0, 0] += tie**2 * relative**2
    inverse = np.linalg.pinv(inner, rcond=1e-15, hermitian=True)
    return np.asarray(inverse @ outer @ inverse, dtype=np.float64)


def _findings(fit: ImpedanceFit, frequency: Floats, measured: Complexes) -> list[Finding]:
    """What speaks against the numbers."""
    found = []
    if fit.residual > _ROUGH:
        found.append(Finding("fit_poor", "warning", "drive unit",
                             text("the fitted impedance misses the measured one by {off} on average",
                                  off=Amount(fit.residual, "share")), _SMALL))  # fmt: skip
    if fit.model == "bridge" and frequency[-1] < _TOP:
        found.append(Finding("measurement_short", "warning", "drive unit",
                             text("the coil's bridge is settled only by data up to {top} and beyond; they end at {end}",
                                  top=Amount(_TOP, "frequency"), end=Amount(float(frequency[-1]), "frequency")),
                             COMMON_PRACTICE))  # fmt: skip
    loose = [n for n in fit.names if n != "power"
             and fit.estimate(n).uncertainty > _LOOSE * abs(fit.estimate(n).value)]  # fmt: skip
    if loose:
        found.append(Finding("fit_uncertain", "warning", "drive unit",
                             text("hardly settled by these data: {names}", names=", ".join(loose)),
                             _SMALL))  # fmt: skip
    try:
        reading = read_three_points(frequency, np.abs(measured), resistance=float(fit.values[0]))
    except InputError:
        return found
    return [*found, *reading.findings]


def _law(
    impedance: Sequence[Sequence[float]], coil: CoilModel, resistance: float | None, resistance_sd: float
) -> dict[str, Any]:
    rows = np.array(sorted(tuple(r) for r in _rows(impedance)))
    known = None if resistance is None else Estimate(resistance, resistance_sd)
    fit = fit_impedance(rows[:, 0], rows[:, 1] + 1j * rows[:, 2], coil=coil, resistance=known)
    names = ("resistance", "resonance", "mechanical_q", "electrical_q", "total_q")
    found: dict[str, Any] = {}
    for name in names:
        one = fit.estimate(name)
        found[name], found[f"{name}_sd"] = one.value, one.uncertainty
    found["coil"] = {n: fit.estimate(n).value for n in fit.names[len(_MOTION) :]}
    found["coil_sd"] = {n: fit.estimate(n).uncertainty for n in fit.names[len(_MOTION) :]}
    found["residual"] = fit.residual
    return found


def _rows(given: Sequence[Sequence[float]]) -> Sequence[Sequence[float]]:
    if any(np.ndim(r) != 1 or len(r) != 3 or r[0] <= 0.0 for r in given):
        raise InputError(Problem("calc impedance_fit", "impedance", text("rows of frequency, real and imaginary part"),
                                 shown(given), text("give the measured impedance")))  # fmt: skip
    return given


def _also(inputs: Mapping[str, Any]) -> Sequence[Finding]:
    rows = np.array(sorted(tuple(r) for r in _rows(inputs["impedance"])))
    known = None if inputs["resistance"] is None else Estimate(inputs["resistance"], inputs["resistance_sd"])
    return fit_impedance(
        rows[:, 0], rows[:, 1] + 1j * rows[:, 2], coil=inputs["coil"], resistance=known
    ).findings


def _worked() -> list[list[float]]:
    f = np.geomspace(10.0, 2000.0, 13)
    z = impedance(f, resistance=5.8, resonance=40.13514, mechanical_q=3.455753, electrical_q=0.5219626,
                  coil=CoilLoss(0.4e-3))  # fmt: skip
    return [[float(a), float(b.real), float(b.imag)] for a, b in zip(f, z, strict=True)]


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="impedance_fit",
        title=text("Parameters of a drive unit from its measured impedance"),
        function=_law,
        arguments=(
            Argument("impedance", "-", text("rows of frequency [Hz], real and imaginary part [ohm]"), shape="rows"),
            Argument("coil", "-", text("how the coil's inductance loses: bridge, power, plain, none"), shape="word",
                     choices=COIL_MODELS, default="bridge"),
            Argument("resistance", "ohm", text("of the coil by direct current, at the same temperature"),
                     must=POSITIVE, default=None),
            Argument("resistance_sd", "ohm", text("its standard uncertainty"), must=NOT_NEGATIVE, default=0.0),
        ),
        results=(
            Result("resistance", "ohm", text("of the coil")),
            Result("resistance_sd", "ohm", text("its standard uncertainty")),
            Result("resonance", "Hz", text("of the drive unit")),
            Result("resonance_sd", "Hz", text("its standard uncertainty")),
            Result("mechanical_q", "-", text("mechanical quality factor")),
            Result("mechanical_q_sd", "-", text("its standard uncertainty")),
            Result("electrical_q", "-", text("electrical quality factor")),
            Result("electrical_q_sd", "-", text("its standard uncertainty")),
            Result("total_q", "-", text("total quality factor")),
            Result("total_q_sd", "-", text("its standard uncertainty")),
            Result("coil", "-", text("inductance and second [H], bridge [ohm]; or factor and power")),
            Result("coil_sd", "-", text("their standard uncertainties")),
            Result("residual", "-", text("relative root mean square of what the model misses")),
        ),
        accuracy=text("as the stated uncertainties for independent errors of the points; drive level and warm-up move "
                      "resonance by 5 to 15 %"),
        sources=(_SMALL, Source("published", "W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442-450 (power)"),
                 Source("from memory", "IEC 60268-22 (two inductances with a bridge)")),
        worked=Worked({"impedance": _worked(), "coil": "plain"},
                      {"resistance": 5.8, "resonance": 40.13514, "mechanical_q": 3.455753,
                       "electrical_q": 0.5219626, "coil": {"inductance": 0.4e-3}}, tolerance=1e-6),
        also=_also,
    ),
)  # fmt: skip
