"""Cure kinetics against published peaks, energies, orders and one bound from practice.

No complete published set of A, E and n was found for any wood adhesive. The set used here joins
two confirmed inputs of different resins: E = 80 kJ/mol (melamine-urea resin, Poljansek et al., Wood
Sci. Technol. 47 (2013) 395-409) and the calorimeter peak of a urea resin at 10 K/min, 94.6 degC neat
and 100.2 degC in poplar flour (attributed to Popovic et al., Wood Research 56 (2011) 589-600).
"""

from __future__ import annotations

import math

import pytest

from pairwright.base.laws import ask
from pairwright.physics.cure import LAWS, cure_fraction, cure_of, isothermal_time, reaction_rate, thermal_dose
from pairwright.physics.kinetics import fit_kinetics, kissinger_constant, kissinger_fit, kissinger_peak
from pairwright.physics.slab import slab_temperature

E, RAMP = 80e3, 10.0 / 60.0
NEAT = kissinger_constant(273.15 + 94.6, heating_rate=RAMP, activation_energy=E)
IN_WOOD = kissinger_constant(273.15 + 100.2, heating_rate=RAMP, activation_energy=E)


def peak_of_the_heat_flow(constant: float, order: float, energy: float = E) -> tuple[float, float]:
    """Temperature and cure where dx/dt is largest in a ramp of 10 K/min, by stepping through it."""
    best, at, cure = 0.0, 0.0, 0.0
    dose, step = 0.0, 0.02
    T = 293.15
    while T < 433.15:
        dose += thermal_dose(constant, energy, history=[(0.0, T), (step / RAMP, T + step)])
        T += step
        x = cure_of(dose, order)
        flow = reaction_rate(constant, energy, temperature=T) * (1.0 - x) ** order
        if flow > best:
            best, at, cure = flow, T, x
    return at, cure


@pytest.mark.parametrize(("constant", "published"), [(NEAT, 94.6), (IN_WOOD, 100.2)])
def test_the_peak_comes_back_where_it_was_published(constant: float, published: float) -> None:
    at, cure = peak_of_the_heat_flow(constant, 1.0)

    # Kissinger's equation is exact for first order up to its series; 0.605 is derived
    assert at - 273.15 == pytest.approx(published, abs=0.1)
    assert cure == pytest.approx(0.605, abs=0.005)


def test_a_second_order_peak_lies_a_little_lower() -> None:
    # derived for the neat set, n = 2: 93.7 degC, cure 0.465
    at, cure = peak_of_the_heat_flow(NEAT, 2.0)

    assert at - 273.15 == pytest.approx(93.7, abs=0.1)
    assert cure == pytest.approx(0.465, abs=0.005)


def test_the_constants_are_those_of_the_derived_set() -> None:
    assert pytest.approx(2.734e9, rel=5e-4) == NEAT
    assert pytest.approx(1.792e9, rel=5e-4) == IN_WOOD


# Derived table, time to 0.90 in seconds, glue line 80 ... 130 degC; printed to 0.1 s
@pytest.mark.parametrize(
    ("celsius", "neat", "in_wood"),
    [
        (80, 572.8, 874.1), (90, 270.5, 412.8), (95, 188.7, 288.0), (100, 133.0, 202.9),
        (105, 94.6, 144.3), (110, 67.8, 103.5), (120, 35.8, 54.7), (130, 19.5, 29.8),
    ],
)  # fmt: skip
def test_times_to_ninety_per_cent_are_those_of_the_derived_table(
    celsius: float, neat: float, in_wood: float
) -> None:
    for constant, seconds in ((NEAT, neat), (IN_WOOD, in_wood)):
        history = [[0.0, celsius + 273.15], [seconds, celsius + 273.15]]
        given = {"rate_constant": constant, "activation_energy": E, "order": 1.0, "history": history}

        assert ask(LAWS[0], given).result["cure"] == pytest.approx(0.90, abs=0.0015)
        assert isothermal_time(
            constant, E, order=1.0, temperature=celsius + 273.15, cure=0.90
        ) == pytest.approx(seconds, rel=0.005)


@pytest.mark.parametrize(("celsius", "seconds"), [(100, 173.0), (110, 88.3), (120, 46.6)])
def test_times_to_ninety_five_per_cent_are_those_of_the_derived_table(celsius: float, seconds: float) -> None:
    found = isothermal_time(NEAT, E, order=1.0, temperature=celsius + 273.15, cure=0.95)

    assert found == pytest.approx(seconds, rel=0.005)


@pytest.mark.parametrize(
    ("energy", "constant", "seconds", "ratio"),
    [(70e3, 9.089e7, 159.3, 1.802), (80e3, 2.734e9, 133.0, 1.960), (90e3, 8.098e10, 112.7, 2.132)],
)
def test_the_peak_fixes_the_time_less_than_the_energy_does(
    energy: float, constant: float, seconds: float, ratio: float
) -> None:
    A = kissinger_constant(273.15 + 94.6, heating_rate=RAMP, activation_energy=energy)

    assert pytest.approx(constant, rel=5e-4) == A
    assert isothermal_time(A, energy, order=1.0, temperature=373.15, cure=0.9) == pytest.approx(
        seconds, rel=1e-3
    )
    hot, cold = (reaction_rate(A, energy, temperature=t) for t in (383.15, 373.15))
    assert hot / cold == pytest.approx(ratio, abs=0.001)


# Heating rates of Popovic et al. 2011 (5, 10, 15, 20 K/min); peaks derived
@pytest.mark.parametrize(("rate", "celsius"), [(5, 85.76), (10, 94.60), (15, 99.97), (20, 103.87)])
def test_faster_heating_moves_the_peak(rate: float, celsius: float) -> None:
    peak = kissinger_peak(NEAT, heating_rate=rate / 60.0, activation_energy=E)

    assert peak - 273.15 == pytest.approx(celsius, abs=0.01)


def test_four_peaks_give_the_energy_back() -> None:
    rates = [r / 60.0 for r in (5.0, 10.0, 15.0, 20.0)]
    peaks = [(b, kissinger_peak(NEAT, heating_rate=b, activation_energy=E)) for b in rates]

    A, energy = kissinger_fit(peaks)

    assert energy == pytest.approx(E, rel=1e-6)
    assert pytest.approx(NEAT, rel=1e-5) == A


@pytest.mark.parametrize(("first", "second"), [((80, 572.8), (130, 19.5)), ((100, 133.0), (120, 35.8))])
def test_two_times_of_the_table_give_the_energy_back(
    first: tuple[float, float], second: tuple[float, float]
) -> None:
    A, energy = fit_kinetics((first[0] + 273.15, first[1]), (second[0] + 273.15, second[1]))

    # times rounded to 0.1 s: 0.3 % at 19.5 s
    assert energy / 1000.0 == pytest.approx(80.0, abs=0.1)
    assert pytest.approx(NEAT, rel=0.05) == A


def test_the_energy_lies_where_resins_were_measured() -> None:
    # novolac phenolic: 144 kJ/mol (J. Appl. Polym. Sci. 90 (2003) 1678); melamine-urea: 80, with liquefied
    # wood 71 (Poljansek et al. 2013). The range in which the law speaks without a finding holds them all.
    for energy in (71e3, 80e3, 144e3):
        given = {"rate_constant": 1e9, "activation_energy": energy, "order": 1.5,
                 "history": [[0, 373.15], [60, 373.15]]}  # fmt: skip
        assert ask(LAWS[0], given).findings == ()


# Cerne, thesis, Univ. of Ljubljana 2021: 0.5, 0.9, 1.4 mm beech at 100 degC: the thinnest cures first.
# Conduction alone (1.6e-7 m2/s, 24.5 degC start) brings the far face to 95 degC after 1.9, 6.1, 14.7 s (derived)
@pytest.mark.parametrize(("thickness", "seconds"), [(0.5e-3, 1.9), (0.9e-3, 6.1), (1.4e-3, 14.7)])
def test_a_thicker_veneer_reaches_its_glue_line_later(thickness: float, seconds: float) -> None:
    def far_face(time: float) -> float:
        return slab_temperature(2.0 * thickness, 1.6e-7, initial=24.5, surface=100.0, time=time)

    assert far_face(seconds - 0.06) < 95.0 < far_face(seconds + 0.06)


def test_a_patent_veneered_faster_than_the_derived_set_allows() -> None:
    # GB 1,063,765 (1967): 0.6 mm sapele, platens 300 degF, 24 s in all, urea resin. The derived set gives 0.71
    # neat and 0.56 in wood at that glue line: a fast hardener is several times quicker. Bound only.
    times = [0.25 * n for n in range(97)]
    history = [(t, slab_temperature(1.2e-3, 1.6e-7, initial=293.15, surface=422.0, time=t)) for t in times]
    neat, in_wood = (cure_fraction(A, E, order=1.0, history=history) for A in (NEAT, IN_WOOD))

    assert in_wood < neat
    assert all(0.2 < x < 1.0 for x in (neat, in_wood))
    assert math.isclose(cure_fraction(6.0 * NEAT, E, order=1.0, history=history), 1.0, abs_tol=0.01)
