"""Hardness growth against certified fits of the same curve.

For pendulum hardness itself only the form is published (Ma, Wang, Jing, Huang, Qiao, Pigment &
Resin Technology 43 (2014) 271-276); its constants are not. The form with exponent 1 is
b1 (1 - exp(-b2 x)), for which the NIST Statistical Reference Datasets certify fits with standard
deviations.
"""

from __future__ import annotations

import math

import pytest

from pairwright.physics.hardness import days_to_hardness, hardness, hardness_day, ready_day
from pairwright.physics.hardness_fit import HardnessGrowth, fit_growth

# NIST StRD BoxBOD (higher level of difficulty), from Box, Hunter, Hunter (1978) pp. 483-487; x in days
BOXBOD = [(1.0, 109.0), (2.0, 149.0), (3.0, 149.0), (5.0, 191.0), (7.0, 213.0), (10.0, 224.0)]
# NIST StRD Misra1a (lower level of difficulty), Misra, NIST (1978)
MISRA1A = [
    (77.6, 10.07), (114.9, 14.73), (141.1, 17.94), (190.8, 23.93), (239.9, 29.61), (289.0, 35.18),
    (332.8, 40.02), (378.4, 44.82), (434.8, 50.76), (477.3, 55.05), (536.8, 61.01), (593.1, 66.40),
    (689.1, 75.47), (760.0, 81.78),
]  # fmt: skip
# final, rate, their standard deviations, residual standard deviation, degrees of freedom
CERTIFIED = {
    "BoxBOD": (2.1380940889e2, 5.4723748542e-1, 1.2354515176e1, 1.0455993237e-1, 1.7088072423e1, 4),
    "Misra1a": (2.3894212918e2, 5.5015643181e-4, 2.7070075241e0, 7.2668688436e-6, 1.0187876330e-1, 12),
}
DATA = {"BoxBOD": BOXBOD, "Misra1a": MISRA1A}

names = pytest.mark.parametrize("name", sorted(CERTIFIED))


def fitted(name: str) -> HardnessGrowth:
    return fit_growth(DATA[name], exponent=1.0)


@names
def test_the_constants_are_the_certified_ones(name: str) -> None:
    final, rate, *_ = CERTIFIED[name]

    growth = fitted(name)

    assert growth.final == pytest.approx(final, rel=1e-7)
    assert growth.rate == pytest.approx(rate, rel=1e-7)


@names
def test_the_scatter_is_the_certified_one(name: str) -> None:
    *_, scatter, freedom = CERTIFIED[name]

    growth = fitted(name)

    assert growth.scatter == pytest.approx(scatter, rel=1e-7)
    assert growth.freedom == freedom


@names
def test_the_uncertainties_are_the_certified_ones(name: str) -> None:
    # our covariance is that of ln(final) and ln(characteristic day); rate = 1/characteristic at m = 1
    final, rate, final_sd, rate_sd, *_ = CERTIFIED[name]

    growth = fitted(name)

    assert final * math.sqrt(growth.covariance[0][0]) == pytest.approx(final_sd, rel=1e-6)
    assert rate * math.sqrt(growth.covariance[1][1]) == pytest.approx(rate_sd, rel=1e-6)


@names
def test_the_day_follows_from_the_certified_constants(name: str) -> None:
    final, rate, *_ = CERTIFIED[name]
    wanted = 0.3 * final

    ready = hardness_day(DATA[name], wanted, exponent=1.0)

    assert ready.day == pytest.approx(-math.log(0.7) / rate, rel=1e-6)
    assert ready.low < ready.day < ready.high


def test_another_published_fit_of_oxygen_demand() -> None:
    # Bates and Watts (1988), appendix A1.4 (data set BOD), first-order model; the fit printed in
    # the documentation of a public statistics system: 19.143, exp(-0.6328) per day
    seen = [(1.0, 8.3), (2.0, 10.3), (3.0, 19.0), (4.0, 16.0), (5.0, 15.6), (7.0, 19.8)]

    growth = fit_growth(seen, exponent=1.0)

    assert growth.final == pytest.approx(19.143, abs=0.001)
    assert math.log(growth.rate) == pytest.approx(-0.6328, abs=0.0002)
    assert growth.scatter == pytest.approx(2.549, abs=0.001)


def test_the_published_form_is_bounded_and_grows() -> None:
    # Ma et al. 2014: H = Hinf (1 - exp(-k t^m))
    values = [hardness(day, 150.0, rate=0.3, exponent=0.8) for day in (0.0, 1.0, 3.0, 10.0, 1000.0)]

    assert values == sorted(values)
    assert values[0] == 0.0
    assert values[-1] == pytest.approx(150.0, rel=1e-9)
    assert math.isinf(days_to_hardness(150.0, 150.0, rate=0.3, exponent=0.8))


def test_the_interval_holds_what_it_promises_on_the_certified_scatter() -> None:
    # half a standard deviation more or less of the certified rate moves the day inside the interval
    final, rate, _, rate_sd, *_ = CERTIFIED["BoxBOD"]
    ready = ready_day(fitted("BoxBOD"), 0.5 * final)

    for moved in (rate - 0.5 * rate_sd, rate + 0.5 * rate_sd):
        assert ready.low < math.log(2.0) / moved < ready.high
