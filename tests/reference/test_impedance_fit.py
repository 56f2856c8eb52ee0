"""Parameters fitted to impedance: back from Small's relations, coverage of the uncertainties, NIST's data.

No full worked example of parameters from a raw impedance was found in print. In its place: the synthetic unit
whose parameters follow from Small's relations (J. Audio Eng. Soc. 20 (1972) 383-395), hidden in noise many
times; the same least squares on NIST's certified Eckerle4 (StRD, nonlinear regression, a peak like a
resonance) would test the library, not us, and is left to it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.physics.drive_unit import DriveUnit, driver_parameters
from pairwright.physics.impedance_fit import fit_impedance
from pairwright.physics.impedance_peak import read_three_points
from pairwright.physics.unit_impedance import CoilLoss, Estimate, impedance
from pairwright.physics.unit_trials import parts_from_mass, parts_from_volume

F = np.geomspace(10.0, 20e3, 160)
UNIT = DriveUnit(5.8, 0.0185, 0.85e-3, 1.35, 7.2, 0.0137)
SMALL = driver_parameters(UNIT)
COILS = {"bridge": CoilLoss(0.3e-3, 0.5e-3, 4.0), "power": CoilLoss(factor=0.02, power=0.7),
         "plain": CoilLoss(0.4e-3)}  # fmt: skip


def curve(unit: DriveUnit, coil: CoilLoss, at: np.ndarray = F) -> np.ndarray:
    p = driver_parameters(unit)
    return impedance(at, resistance=unit.resistance, resonance=p.resonance, mechanical_q=p.mechanical_q,
                     electrical_q=p.electrical_q, coil=coil)  # fmt: skip


def noisy(z: np.ndarray, seed: int, relative: float = 0.005) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return z * (1.0 + relative * (rng.standard_normal(z.size) + 1j * rng.standard_normal(z.size)))


@pytest.mark.parametrize("coil", ["bridge", "power", "plain"])
def test_a_clean_curve_gives_back_the_parameters_of_small_s_relations(coil: str) -> None:
    fit = fit_impedance(F, curve(UNIT, COILS[coil]), coil=coil)  # type: ignore[arg-type]

    # fs 40.13514 Hz, Qms 3.455753, Qes 0.5219626, Qts 0.4534698, by independent arithmetic
    assert fit.estimate("resonance").value == pytest.approx(40.13514, rel=1e-6)
    assert fit.estimate("mechanical_q").value == pytest.approx(3.455753, rel=1e-6)
    assert fit.estimate("electrical_q").value == pytest.approx(0.5219626, rel=1e-6)
    assert fit.estimate("total_q").value == pytest.approx(0.4534698, rel=1e-6)
    assert fit.coil.inductance == pytest.approx(COILS[coil].inductance, rel=1e-5, abs=1e-12)
    assert fit.coil.bridge == pytest.approx(COILS[coil].bridge, rel=1e-5)
    assert fit.coil.factor == pytest.approx(COILS[coil].factor, rel=1e-5)


def test_the_stated_uncertainty_covers_the_truth_as_often_as_it_says() -> None:
    # 95 % intervals of 7 parameters in 80 noisy curves: 532 of 560 expected, 3 sd of a binomial are 15;
    # parameters of one fit are correlated, which widens the scatter by up to sqrt(7) in the worst case
    truth = {"resistance": 5.8, "resonance": SMALL.resonance, "mechanical_q": SMALL.mechanical_q,
             "electrical_q": SMALL.electrical_q, "inductance": 0.3e-3, "second": 0.5e-3, "bridge": 4.0}  # fmt: skip
    z = curve(UNIT, COILS["bridge"])
    fits = [fit_impedance(F, noisy(z, seed)) for seed in range(80)]

    pulls = np.array([
        [(fit.estimate(n).value - t) / fit.estimate(n).uncertainty for n, t in truth.items()] for fit in fits
    ])  # fmt: skip

    assert np.mean(np.abs(pulls) < 1.96) == pytest.approx(0.95, abs=0.03)
    assert np.std(pulls, axis=0) == pytest.approx(np.ones(7), abs=0.3)
    assert np.mean([f.residual for f in fits]) == pytest.approx(0.005, rel=0.03)


def test_points_that_crowd_do_not_spoil_the_uncertainty() -> None:
    # a linear axis puts nearly all points at the top: weights undo that, and the uncertainty knows of them
    at = np.concatenate([np.linspace(12.0, 200.0, 60), np.linspace(220.0, 20e3, 140)])
    z = curve(UNIT, COILS["bridge"], at)
    fits = [fit_impedance(at, noisy(z, seed)) for seed in range(40)]

    pulls = np.array(
        [
            (f.estimate("resonance").value - SMALL.resonance) / f.estimate("resonance").uncertainty
            for f in fits
        ]
    )
    assert np.std(pulls) == pytest.approx(1.0, abs=0.35)


def test_an_added_mass_and_a_known_volume_give_the_same_moving_parts() -> None:
    heavy = DriveUnit(5.8, 0.0285, 0.85e-3, 1.35, 7.2, 0.0137)
    air = 1.18 * 345.0**2
    stiff = 1.0 / (1.0 / 0.85e-3 + air * 0.0137**2 / 0.010)
    boxed = DriveUnit(5.8, 0.0185, stiff, 1.35, 7.2, 0.0137)
    free, loaded, closed = (
        fit_impedance(F, noisy(curve(u, COILS["bridge"]), n)) for n, u in enumerate((UNIT, heavy, boxed))
    )
    area = Estimate(0.0137, 0.0137 * 0.01)

    by_mass = parts_from_mass(free, loaded, mass=Estimate(0.010, 1e-5), area=area)
    by_volume = parts_from_volume(free, closed, volume=Estimate(0.010, 2e-5), area=area)

    for parts in (by_mass, by_volume):
        for name, true in (("mass", 0.0185), ("compliance", 0.85e-3), ("loss", 1.35), ("force_factor", 7.2),
                           ("compliance_volume", 22.40682e-3)):  # fmt: skip
            one = getattr(parts, name)
            assert abs(one.value - true) < 3.5 * one.uncertainty, name
    # the area rules the mass by volume: Mms goes with its square at a given Vas, so 1 % of area is 2 %
    assert by_volume.mass.uncertainty / by_volume.mass.value == pytest.approx(0.02, rel=0.15)
    assert by_mass.mass.uncertainty < by_volume.mass.uncertainty


def test_the_drawn_scatter_of_the_mass_is_the_stated_one() -> None:
    heavy = DriveUnit(5.8, 0.0285, 0.85e-3, 1.35, 7.2, 0.0137)
    bare, loaded = curve(UNIT, COILS["plain"]), curve(heavy, COILS["plain"])
    found = [
        parts_from_mass(fit_impedance(F, noisy(bare, 2 * n), coil="plain"),
                        fit_impedance(F, noisy(loaded, 2 * n + 1), coil="plain"), mass=Estimate(0.010, 0.0))
        for n in range(60)
    ]  # fmt: skip

    for name in ("mass", "force_factor"):
        values = np.array([getattr(p, name).value for p in found])
        stated = np.mean([getattr(p, name).uncertainty for p in found])
        assert values.std() == pytest.approx(stated, rel=0.3)


def test_a_small_mass_is_told() -> None:
    slightly = DriveUnit(5.8, 0.0195, 0.85e-3, 1.35, 7.2, 0.0137)
    free, loaded = (fit_impedance(F, curve(u, COILS["plain"]), coil="plain") for u in (UNIT, slightly))

    found = parts_from_mass(free, loaded, mass=Estimate(0.001, 1e-6))

    assert [f.code for f in found.findings] == ["measurement_doubtful"]
    with pytest.raises(InputError, match="lower resonance"):
        parts_from_mass(loaded, free, mass=Estimate(0.001, 1e-6))


def test_a_direct_current_reading_settles_the_resistance() -> None:
    at = np.geomspace(25.0, 20e3, 80)  # begins so high that the curve alone says little
    z = noisy(curve(UNIT, COILS["bridge"], at), 3, relative=0.01)

    alone = fit_impedance(at, z)
    tied = fit_impedance(at, z, resistance=Estimate(5.8, 0.01))

    assert tied.estimate("resistance").uncertainty < 0.6 * alone.estimate("resistance").uncertainty
    assert tied.estimate("resistance").uncertainty <= 0.0101
    assert tied.estimate("resistance").value == pytest.approx(5.8, abs=0.03)


def test_inductance_makes_the_resonance_uneven_and_that_is_told() -> None:
    at = np.geomspace(5.0, 2000.0, 600)
    even = read_three_points(at, np.abs(curve(UNIT, CoilLoss(), at)), resistance=5.8)
    uneven = read_three_points(at, np.abs(curve(UNIT, CoilLoss(4e-3), at)), resistance=5.8)

    assert even.mechanical_q == pytest.approx(3.455753, rel=2e-3)
    assert even.electrical_q == pytest.approx(0.5219626, rel=2e-3)
    assert abs(even.asymmetry) < 5e-4
    assert even.findings == ()
    assert abs(uneven.asymmetry) > 0.02
    assert [f.code for f in uneven.findings] == ["measurement_uneven"]
    # and the fit, which knows of the inductance, is not misled
    fit = fit_impedance(at, curve(UNIT, CoilLoss(4e-3), at), coil="plain")
    assert fit.estimate("mechanical_q").value == pytest.approx(3.455753, rel=1e-5)
    assert "measurement_uneven" in [f.code for f in fit.findings]


def test_a_short_measurement_and_a_wrong_model_are_told() -> None:
    short = np.geomspace(10.0, 1000.0, 80)
    codes = [f.code for f in fit_impedance(short, noisy(curve(UNIT, COILS["bridge"], short), 1)).findings]
    assert "measurement_short" in codes

    without = fit_impedance(F, curve(UNIT, COILS["bridge"]), coil="none")
    assert "fit_poor" in [f.code for f in without.findings]


@pytest.mark.parametrize(
    ("at", "z", "message"),
    [
        (F[:5], curve(UNIT, CoilLoss())[:5], "at least"),
        (F[::-1], curve(UNIT, CoilLoss()), "rising"),
        (F, np.where(F > 1e3, np.nan, 6.0).astype(complex), "finite"),
        (F, np.full(F.size, 8.0 + 0.0j), "peak"),
    ],
)
def test_curves_that_can_t_be_fitted_are_refused(at: np.ndarray, z: np.ndarray, message: str) -> None:
    with pytest.raises(InputError, match=message):
        fit_impedance(at, z)


def test_the_fit_settles_for_odd_units_too() -> None:
    for unit, coil in (
        (DriveUnit(3.2, 0.0003, 0.03e-3, 0.4, 2.5, 0.0006), CoilLoss(0.01e-3)),
        (DriveUnit(6.4, 0.120, 0.3e-3, 8.0, 22.0, 0.088), CoilLoss(0.9e-3)),
        (DriveUnit(5.5, 0.012, 0.9e-3, 0.15, 5.0, 0.011), CoilLoss(0.2e-3)),
    ):
        p = driver_parameters(unit)
        at = np.geomspace(p.resonance / 6.0, 20e3, 200)
        fit = fit_impedance(at, noisy(curve(unit, coil, at), 2), coil="plain")

        for name in ("resonance", "mechanical_q", "electrical_q"):
            one = fit.estimate(name)
            assert abs(one.value - getattr(p, name)) < 4.0 * one.uncertainty, (unit, name)
        assert math.isclose(fit.residual, 0.005, rel_tol=0.15)
