"""Saturated steam against the standard's own verification values and older printed tables."""

from __future__ import annotations

import pytest

from pairwright.base.laws import ask
from pairwright.physics.steam import (
    BLOW_PRESSURE,
    LAWS,
    gas_overpressure,
    saturation_temperature,
    steam_pressure,
)

PSI = 6894.757293168


# IAPWS R7-97, Table 35 and the critical point
@pytest.mark.parametrize(
    ("temperature", "pressure"),
    [(300.0, 3.53658941e3), (500.0, 2.63889776e6), (600.0, 1.23443146e7), (623.15, 1.65291643e7)],
)
def test_pressure_is_the_standards(temperature: float, pressure: float) -> None:
    assert ask(LAWS[0], {"temperature": temperature}).result["pressure"] == pytest.approx(pressure, rel=3e-9)


def test_the_line_ends_at_the_critical_point() -> None:
    # IAPWS: 647.096 K, 22.064 MPa
    assert steam_pressure(647.096) == pytest.approx(22.064e6, rel=1e-6)


# IAPWS R7-97, Table 36
@pytest.mark.parametrize(
    ("pressure", "temperature"), [(1e5, 372.755919), (1e6, 453.035632), (1e7, 584.149488)]
)
def test_boiling_point_is_the_standards(pressure: float, temperature: float) -> None:
    assert saturation_temperature(pressure) == pytest.approx(temperature, abs=1e-6)


# Keenan and Keyes, Thermodynamic Properties of Steam (1936), psia -> degF, as printed in a steam handbook:
# an older formulation, 0.02 degF and 0.05 % apart at most
@pytest.mark.parametrize(
    ("psia", "fahrenheit"),
    [(1.0, 101.74), (14.696, 212.00), (20.0, 227.96), (25.0, 240.07), (30.0, 250.33), (35.0, 259.28)],
)
def test_an_older_printed_table_agrees(psia: float, fahrenheit: float) -> None:
    assert saturation_temperature(psia * PSI) == pytest.approx((fahrenheit - 32.0) / 1.8 + 273.15, abs=0.03)


# Saturation table of Ohio University (J. Trembly), degC -> MPa, five digits
@pytest.mark.parametrize(
    ("celsius", "megapascal"), [(20, 0.00234), (60, 0.01995), (80, 0.04741), (90, 0.07018), (95, 0.08461)]
)
def test_a_university_table_agrees(celsius: float, megapascal: float) -> None:
    # the printed value is rounded to 1e-5 MPa, and for 60 degC comes from another formulation
    assert steam_pressure(celsius + 273.15) / 1e6 == pytest.approx(megapascal, abs=1.2e-5)


# Dry saturated steam table, gauge bar -> degC, one decimal; gauge over 1.01325 bar
@pytest.mark.parametrize(
    ("gauge", "celsius"), [(0.5, 111.6), (1.0, 120.4), (1.5, 127.6), (2.0, 133.7), (2.6, 140.0)]
)
def test_a_pipefitters_gauge_table_agrees(gauge: float, celsius: float) -> None:
    assert saturation_temperature(gauge * 1e5 + 101325.0) - 273.15 == pytest.approx(celsius, abs=0.06)


def test_the_fibreboard_criterion_is_reached_at_120_degrees() -> None:
    # Cai, Muehl, Winandy: delamination above 100 kPa inside (15 psi); saturated at 120.5 degC
    assert pytest.approx(15.0 * PSI, rel=0.05) == BLOW_PRESSURE
    assert gas_overpressure(273.15 + 120.0) < BLOW_PRESSURE < gas_overpressure(273.15 + 121.0)
