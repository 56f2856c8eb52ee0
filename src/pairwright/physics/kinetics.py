"""Kinetics of an adhesive, fitted: from a data sheet's press times, from calorimeter peaks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.cure import GAS_CONSTANT, KISSINGER, dose_for

ARRHENIUS: Final = Source("closed form", "ln t = ln(dose/A) + E/(R T): the line through two or more times")


def fit_kinetics(
    first: tuple[float, float], second: tuple[float, float], *, cure: float = 0.90, order: float = 1.0
) -> tuple[float, float]:
    """A [1/s] and E [J/mol] from two press temperatures and times.

    Parameters
    ----------
    first : tuple of float
        Glue-line temperature and time to `cure`, as on the adhesive's data sheet. [K, s]
    second : tuple of float
        The same at another temperature. [K, s]
    cure : float
        Degree of cure that the sheet's times stand for. [-]
    order : float
        Reaction order n assumed. [-]

    Returns
    -------
    tuple of float
        A [1/s] and E [J/mol].

    Notes
    -----
    Two times fix two constants: there is no residual, hence no measure of the fit's quality. The
    hotter time must be the shorter.

    Examples
    --------
    >>> A, E = fit_kinetics((373.15, 133.0), (393.15, 35.8))
    >>> round(E / 1000, 1)
    80.0
    """
    (T1, t1), (T2, t2) = first, second
    if T1 == T2 or t1 <= 0.0 or t2 <= 0.0 or (T1 - T2) * (t1 - t2) >= 0.0:
        raise InputError(
            Problem("kinetics", "second", text("another temperature, with a shorter time where it is hotter"),
                    shown((first, second)), text("read two press temperatures and times off the data sheet"))
        )  # fmt: skip
    energy = GAS_CONSTANT * math.log(t1 / t2) / (1.0 / T1 - 1.0 / T2)
    constant = dose_for(cure, order) / t1 * math.exp(energy / (GAS_CONSTANT * T1))
    return constant, energy


@dataclass(frozen=True, slots=True)
class KineticsFit:
    """Kinetics through the times of a data sheet.

    `rate_constant` A [1/s], `activation_energy` E [J/mol], `order` n assumed [-], `cure` that the
    times stand for [-]; `worst` share by which the line misses a time, 0 where two points leave
    nothing to miss [-]; `coldest` and `hottest` temperature of the points [K].
    """

    rate_constant: float
    activation_energy: float
    order: float
    cure: float
    worst: float
    coldest: float
    hottest: float

    def time(self, temperature: float) -> float:
        """Time at a glue-line temperature to the cure that the points stand for. [s]

        Parameters
        ----------
        temperature : float
            Of the glue line, even. [K]
        """
        rate = self.rate_constant * math.exp(-self.activation_energy / (GAS_CONSTANT * temperature))
        return dose_for(self.cure, self.order) / rate


def fit_sheet(
    points: Sequence[tuple[float, float]], *, cure: float = 0.90, order: float = 1.0
) -> KineticsFit:
    """Kinetics from two or more press temperatures and times of a data sheet.

    Parameters
    ----------
    points : sequence of pairs
        Glue-line temperature and time to `cure`; each hotter time the shorter. [K, s]
    cure : float
        Degree of cure that the times stand for. [-]
    order : float
        Reaction order n assumed. [-]

    Returns
    -------
    KineticsFit
        Exact through two points, else the least-squares line of ln t over 1/T.

    Notes
    -----
    The literature has no complete set of A, E and n for every glue; none is invented here. A
    sheet's press times often hold the heating of its own panel: then the fit is too slow, on the
    safe side. Between the points it interpolates; beyond them it is a guess.

    Examples
    --------
    >>> fit = fit_sheet([(373.15, 133.0), (393.15, 35.8)])
    >>> round(fit.activation_energy / 1000, 1), round(fit.time(383.15), 1)
    (80.0, 67.8)
    """
    ordered = sorted(points)
    if len(ordered) == 2:
        constant, energy = fit_kinetics(ordered[0], ordered[1], cure=cure, order=order)
    else:
        for one, other in pairwise(ordered):
            fit_kinetics(one, other, cure=cure, order=order)  # refuses what does not fall
        if len(ordered) < 2:
            raise _too_few(points)
        xs, ys = [1.0 / T for T, _ in ordered], [math.log(t) for _, t in ordered]
        mean_x, mean_y = math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)
        slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / math.fsum(
            (x - mean_x) ** 2 for x in xs
        )
        energy = slope * GAS_CONSTANT
        constant = dose_for(cure, order) * math.exp(slope * mean_x - mean_y)
    fit = KineticsFit(constant, energy, order, cure, 0.0, ordered[0][0], ordered[-1][0])
    if len(ordered) == 2:
        return fit
    return replace(fit, worst=max(abs(fit.time(T) / t - 1.0) for T, t in ordered))


def _too_few(points: object) -> InputError:
    return InputError(
        Problem("kinetics", "points", text("two or more temperatures with their times"), shown(points),
                text("read two press temperatures and times off the data sheet"))
    )  # fmt: skip


def hardener_factor(level: float, reference: float, *, power: float) -> float:
    """How much faster a glue cures at another level of hardener. [-]

    Parameters
    ----------
    level : float
        Share of hardener used. [-]
    reference : float
        Share at which the kinetics hold. [-]
    power : float
        Of the ratio, from the user's trial: 0 no effect, 1 in proportion. [-]

    Returns
    -------
    float
        (level/reference)^power, to multiply A with. [-]

    Notes
    -----
    Trials found urea resins faster with more hardener, several-fold from end to end; no law of it
    was found, so form and power are the user's.

    Examples
    --------
    >>> hardener_factor(0.10, 0.05, power=1.0)
    2.0
    """
    if level <= 0.0 or reference <= 0.0:
        raise InputError(
            Problem("kinetics", "hardener", text("above 0, as is the level at which the kinetics hold"),
                    shown((level, reference)), text("state the shares of hardener, or no power of it"))
        )  # fmt: skip
    return float((level / reference) ** power)


def kissinger_constant(peak: float, *, heating_rate: float, activation_energy: float) -> float:
    """Pre-exponential factor from one calorimetric peak. [1/s]

    Parameters
    ----------
    peak : float
        Peak temperature of the heat flow. [K]
    heating_rate : float
        Heating rate b. [K/s]
    activation_energy : float
        E. [J/mol]

    Returns
    -------
    float
        A = b E/(R Tp^2) exp(E/(R Tp)). [1/s]

    References
    ----------
    .. [1] H. E. Kissinger, Anal. Chem. 29 (1957) 1702-1706.

    Examples
    --------
    >>> A = kissinger_constant(273.15 + 94.6, heating_rate=10 / 60, activation_energy=80e3)
    >>> print(f"{A:.3e}")
    2.734e+09
    """
    scaled = activation_energy / (GAS_CONSTANT * peak)
    return heating_rate * scaled / peak * math.exp(scaled)


def kissinger_peak(rate_constant: float, *, heating_rate: float, activation_energy: float) -> float:
    """Peak temperature at a heating rate, first order. [K]

    Parameters
    ----------
    rate_constant : float
        Pre-exponential factor A. [1/s]
    heating_rate : float
        Heating rate b. [K/s]
    activation_energy : float
        E. [J/mol]

    Returns
    -------
    float
        Peak temperature, the root of Kissinger's equation. [K]

    Examples
    --------
    >>> peak = kissinger_peak(2.734e9, heating_rate=20 / 60, activation_energy=80e3)
    >>> round(peak - 273.15, 2)
    103.87
    """
    low, high = 100.0, 3000.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        needed = kissinger_constant(middle, heating_rate=heating_rate, activation_energy=activation_energy)
        low, high = (middle, high) if needed > rate_constant else (low, middle)
    return 0.5 * (low + high)


def kissinger_fit(peaks: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """A [1/s] and E [J/mol] from peaks at several heating rates.

    Parameters
    ----------
    peaks : sequence of pairs
        Heating rate and peak temperature, at least two different. [K/s, K]

    Returns
    -------
    tuple of float
        A [1/s] and E [J/mol] by a straight line through ln(b/Tp^2) over 1/Tp.

    Examples
    --------
    >>> rates = [5 / 60, 10 / 60, 20 / 60]
    >>> tops = [kissinger_peak(2.734e9, heating_rate=b, activation_energy=80e3) for b in rates]
    >>> A, E = kissinger_fit(list(zip(rates, tops, strict=True)))
    >>> round(E / 1000, 2)
    80.0
    """
    xs = [1.0 / T for _, T in peaks]
    ys = [math.log(b / (T * T)) for b, T in peaks]
    mean_x, mean_y = sum(xs) / len(xs), sum(ys) / len(ys)
    spread = sum((x - mean_x) ** 2 for x in xs)
    if spread == 0.0:
        raise InputError(
            Problem("kinetics", "peaks", text("peaks at two or more heating rates"), shown(list(peaks)),
                    text("measure the peak at another heating rate"))
        )  # fmt: skip
    slope = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / spread
    energy = -slope * GAS_CONSTANT
    return energy / GAS_CONSTANT * math.exp(mean_y - slope * mean_x), energy


def _fit_law(**inputs: Any) -> dict[str, float]:
    rows = inputs["points"]
    for n, row in enumerate(rows):
        if not isinstance(row, list) or len(row) != 2:
            raise InputError(
                Problem("calc kinetics_fit", f"points[{n}]", text("a temperature and a time"), shown(row),
                        text("write [temperature, time]"))
            )  # fmt: skip
    fit = fit_sheet([(row[0], row[1]) for row in rows], cure=inputs["cure"], order=inputs["order"])
    return {
        "rate_constant": fit.rate_constant, "activation_energy": fit.activation_energy,
        "time": fit.time(inputs["temperature"]), "worst": fit.worst,
    }  # fmt: skip


LAWS: tuple[Law, ...] = (
    Law(
        "kinetics_fit",
        text("Kinetics of an adhesive through the times of its data sheet"),
        _fit_law,
        (
            Argument("points", "-", text("pairs of glue-line temperature [K] and time [s], two or more"),
                     POSITIVE, shape="rows", least=2),
            Argument("cure", "-", text("degree of cure that the times stand for"),
                     Span(0.0, 1.0, open_low=True, open_high=True), Span(0.5, 0.99), default=0.9),
            Argument("order", "-", text("reaction order assumed"), Span(0.0, 5.0), Span(1.0, 2.0), default=1.0),
            Argument("temperature", "K", text("at which to tell the time"), Span(200.0, 600.0),
                     Span(293.15, 433.15), default=373.15),
        ),
        (
            Result("rate_constant", "1/s", text("A")),
            Result("activation_energy", "J/mol", text("E")),
            Result("time", "s", text("to that cure at an even temperature")),
            Result("worst", "-", text("share by which the line misses a time; 0 for two points")),
        ),
        text("as good as the sheet: no complete published set of A, E and n was found for any wood adhesive"),
        (ARRHENIUS, KISSINGER),
        Worked({"points": [[373.15, 133.0], [393.15, 35.8]], "temperature": 383.15},
               {"activation_energy": 80.0e3, "time": 67.8}, 2e-3),
    ),
)  # fmt: skip
