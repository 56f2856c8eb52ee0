"""Propagation of uncertainty against the worked examples of JCGM 100, JCGM 101 and NIST TN 1900.

JCGM 100:2008 H.1 (end gauge) and H.2 (resistance and reactance), inputs and results as in public copies;
JCGM 101:2008 9.2.2, 9.2.3 and 9.5 (gauge block by Monte Carlo; its result as quoted in Metrology 2 (2022)),
NIST TN 1900 (2015) E13. The five readings of H.2 and the input shapes of 9.5 are recalled; the readings
give back the confirmed means and correlations, the shapes the confirmed result. 9.2.4 and 9.3 are from memory:
printed, not asserted as published.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import t as student

from pairwright.physics.fit import expansion_coefficient
from pairwright.physics.tolerance import symmetric_interval
from pairwright.physics.uncertain import Spread, draw_spreads, effective_freedom, first_order

# JCGM 100 H.1: value, standard uncertainty, degrees of freedom; lengths in nm, temperatures in K
GAUGE = {
    "standard": (50_000_623.0, 25.0, 18.0), "repeats": (215.0, 5.8, 24.0), "random": (0.0, 3.9, 5.0),
    "systematic": (0.0, 6.7, 8.0), "expansion": (11.5e-6, 1.2e-6, math.inf), "their difference": (0.0, 0.58e-6, 50.0),
    "mean temperature": (-0.1, 0.2, math.inf), "cycle": (0.0, 0.35, math.inf),
    "temperature difference": (0.0, 0.029, 2.0),
}  # fmt: skip


def gauge(x: np.ndarray) -> np.ndarray:
    standard, repeats, random, systematic, expansion, apart, mean, cycle, difference = x
    measured = standard + repeats + random + systematic
    return np.array([measured - standard * (apart * (mean + cycle) + expansion * difference)])


def test_the_end_gauge() -> None:
    # H.1: 50.000 838 mm, u 32 nm, 16 degrees of freedom, k 2.92, U99 93 nm
    values = np.array([v for v, _, _ in GAUGE.values()])
    sds = np.array([u for _, u, _ in GAUGE.values()])

    length, spread = first_order(gauge, values, covariance=np.diag(sds**2))
    u = math.sqrt(spread[0, 0])
    parts = [
        (
            math.sqrt(
                first_order(gauge, values, covariance=np.diag(np.where(np.arange(9) == n, sds**2, 0.0)))[1][
                    0, 0
                ]
            ),
            f,
        )
        for n, (_, _, f) in enumerate(GAUGE.values())
    ]
    freedom = effective_freedom(parts)

    assert length[0] == pytest.approx(50_000_838.0, abs=0.5)
    assert u == pytest.approx(32.0, abs=0.5)
    assert int(freedom) == 16
    k = float(student.ppf(0.995, int(freedom)))
    assert k == pytest.approx(2.92, abs=0.005)
    assert k * 32.0 == pytest.approx(93.0, abs=0.5)
    assert [p for p, _ in parts[:1]] == pytest.approx([25.0])
    assert parts[5][0] == pytest.approx(2.9, abs=0.05)
    assert parts[8][0] == pytest.approx(16.6, abs=0.1)


READINGS = np.array([
    [5.007, 4.994, 5.005, 4.990, 4.999],
    [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
    [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
])  # fmt: skip


def impedance(x: np.ndarray) -> np.ndarray:
    voltage, current, angle = x
    return np.array(
        [voltage / current * math.cos(angle), voltage / current * math.sin(angle), voltage / current]
    )


def test_resistance_and_reactance_from_five_readings() -> None:
    # H.2, Table H.4: R 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236) ohm; r -0.588, -0.485, 0.993
    mean = READINGS.mean(axis=1)
    covariance = np.cov(READINGS) / 5.0

    found, spread = first_order(impedance, mean, covariance=covariance)
    sd = np.sqrt(np.diag(spread))
    r = spread / np.outer(sd, sd)

    # Table H.2: means, standard uncertainties and correlations of the readings
    assert mean == pytest.approx([4.9990, 19.6610e-3, 1.04446], rel=1e-6)
    assert np.sqrt(np.diag(covariance)) == pytest.approx([0.0032, 0.0095e-3, 0.00075], rel=0.02)
    assert found == pytest.approx([127.732, 219.847, 254.260], abs=5e-4)
    assert sd == pytest.approx([0.071, 0.295, 0.236], abs=1.1e-3)  # Table H.4 rounds; H.3 carries rounded r
    assert [r[0, 1], r[0, 2], r[1, 2]] == pytest.approx([-0.588, -0.485, 0.993], abs=1.1e-3)


def test_the_expansion_coefficient_with_its_uncertainty() -> None:
    # TN 1900 E13: 1.7266e-5 1/K, u 1.76e-6
    found, spread = first_order(
        lambda x: np.array([expansion_coefficient(x[0], x[1], before=x[2], after=x[3])]),
        np.array([1.4999, 1.5021, 288.15, 373.10]),
        covariance=np.diag(np.array([1e-4, 2e-4, 0.02, 0.05]) ** 2),
    )

    assert found[0] == pytest.approx(1.7266e-5, abs=5e-10)
    assert math.sqrt(spread[0, 0]) == pytest.approx(1.76e-6, abs=5e-9)


def test_the_gauge_block_drawn() -> None:
    # JCGM 101 9.5: 838 nm, u 36 nm, 99 % interval 745 to 932 nm; here from 1e6 draws, noise of the ends 0.4 nm
    r3 = math.sqrt(3.0)
    spreads = [
        Spread(25.0, "student", freedom=18.0), Spread(6.0, "student", freedom=24.0),
        Spread(4.0, "student", freedom=5.0), Spread(7.0, "student", freedom=8.0), Spread(2e-6 / r3, "uniform"),
        Spread(1e-6 / r3, "inexact", doubt=0.1e-6), Spread(0.2), Spread(0.5 / math.sqrt(2.0), "arcsine"),
        Spread(0.05 / r3, "inexact", doubt=0.025),
    ]  # fmt: skip
    values = np.array([v for v, _, _ in GAUGE.values()])

    drawn = gauge(values[:, None] + draw_spreads(spreads, seed=6, samples=1_000_000))[0] - 5e7

    assert drawn.mean() == pytest.approx(838.0, abs=0.5)
    assert drawn.std() == pytest.approx(36.0, abs=0.5)
    low, high = symmetric_interval(drawn, 0.99)
    assert low == pytest.approx(745.0, abs=1.5)
    assert high == pytest.approx(932.0, abs=1.5)


def test_the_mass_of_a_weight_is_printed_only(capsys: pytest.CaptureFixture[str]) -> None:
    # conventional mass by substitution: (reference + difference) (1 + (air - 1.2)(1/weight - 1/reference)) - nominal
    rng = np.random.default_rng(8)
    n = 1_000_000
    reference, difference = 100_000.0 + 0.050 * rng.standard_normal(n), 1.234 + 0.020 * rng.standard_normal(n)
    air, weight, steel = rng.uniform(1.1, 1.3, n), rng.uniform(7e3, 9e3, n), rng.uniform(7950.0, 8050.0, n)

    drawn = (reference + difference) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / steel)) - 100_000.0
    low, high = symmetric_interval(drawn, 0.95)
    slope = first_order(
        lambda x: np.array([(x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4]))]),
        np.array([100_000.0, 1.234, 1.2, 8000.0, 8000.0]),
        covariance=np.diag([0.05**2, 0.02**2, 0.1**2 / 3, 1000.0**2 / 3, 50.0**2 / 3]),
    )[1]

    with capsys.disabled():
        print(f"\nfrom memory, JCGM 101 9.3: 1.2341, 0.0754, 1.0834 to 1.3825 mg; here {drawn.mean():.4f}, "
              f"{drawn.std():.4f}, {low:.4f} to {high:.4f}")  # fmt: skip
    # closed form: at its centre the first-order slopes by the densities vanish
    assert math.sqrt(slope[0, 0]) == pytest.approx(math.hypot(0.05, 0.02), rel=1e-4)
    # and the second-order term adds the product of air and density: (1e5 0.1/sqrt(3))^2 (var of 1/density)
    inverse = np.var(1.0 / weight) + np.var(1.0 / steel)
    assert drawn.var() == pytest.approx(0.05**2 + 0.02**2 + 1e10 * 0.01 / 3 * inverse, rel=0.01)
