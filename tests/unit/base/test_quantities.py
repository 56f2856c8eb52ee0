"""Quantities read at the door, with pint as the second opinion."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairwright.base.quantities import UNIT_NAMES, QuantityError, parse, unit

REGISTRY = pint.UnitRegistry()
REGISTRY.define("EUR = [money]")
PINT_NAMES = {"in": "inch", "d": "day", "h": "hour", "t": "tonne", "um": "micrometer", "us": "microsecond",
              "uF": "microfarad", "uH": "microhenry", "%": "percent", "degC": "degC", "degF": "degF",
              "K": "kelvin", "g": "gram", "L": "liter", "mL": "milliliter", "min": "minute"}  # fmt: skip
COMPOUND = {
    "g/m2": "gram/meter**2", "W/(m*K)": "watt/(meter*kelvin)", "W/(m2*K)": "watt/(meter**2*kelvin)",
    "J/(kg*K)": "joule/(kilogram*kelvin)", "mm/min": "millimeter/minute", "kJ/mol": "kilojoule/mole",
    "1/s": "1/second", "kg/m3": "kilogram/meter**3", "m2/s": "meter**2/second", "1/MPa": "1/megapascal",
    "EUR/h": "EUR/hour", "EUR/kWh": "EUR/kilowatt_hour", "N*m": "newton*meter", "kPa/s": "kilopascal/second",
}  # fmt: skip
SIMPLE = [name for name in UNIT_NAMES if name not in ("dB", "degC", "degF", "EUR")]


@pytest.mark.parametrize("name", SIMPLE)
def test_every_unit_has_the_size_that_another_library_gives_it(name: str) -> None:
    other = REGISTRY.Quantity(1.0, PINT_NAMES.get(name, name)).to_base_units()

    # pint's base mass is the gram's thousandfold too, so sizes compare as they are
    assert unit(name).size == pytest.approx(other.magnitude, rel=1e-9)


@pytest.mark.parametrize("ours", COMPOUND)
def test_compound_units_agree_with_another_library(ours: str) -> None:
    other = REGISTRY.Quantity(1.0, COMPOUND[ours]).to_base_units()

    assert unit(ours).size == pytest.approx(other.magnitude, rel=1e-9)


@given(st.floats(-200, 2000))
def test_temperatures_agree_with_another_library(value: float) -> None:
    written = f"{value:.6f}"

    for name in ("degC", "degF"):
        other = REGISTRY.Quantity(float(written), name).to("kelvin").magnitude
        assert parse(f"{written} {name}", "K") == pytest.approx(other, abs=1e-8)


@given(st.floats(1e-6, 1e6), st.sampled_from(["mm", "um", "kPa", "MPa", "min", "h", "g", "mH", "uF"]))
def test_a_quantity_survives_being_written_and_read(value: float, name: str) -> None:
    base = {
        "mm": "m",
        "um": "m",
        "kPa": "Pa",
        "MPa": "Pa",
        "min": "s",
        "h": "s",
        "g": "kg",
        "mH": "H",
        "uF": "F",
    }

    si = parse(f"{value!r} {name}", base[name])

    assert si == pytest.approx(value * unit(name).size, rel=1e-12)


def test_a_decimal_of_a_millimetre_is_the_nearest_float() -> None:
    assert parse("0.6 mm", "m") == 0.0006
    assert parse("11 min", "s") == 660.0


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("1,5 mm", "m"), ("1_000 mm", "m"), ("mm", "m"), ("", "m"), ("5", "m"), (5.0, "m"), (True, "-"),
        ("5 kg", "m"), ("5 furlong", "m"), ("nan mm", "m"), ("1e400 mm", "m"), (None, "m"), ("\u0665 mm", "m"),
        ("5 W/(m*K", "W/(m*K)"), ([1], "m"), (math.inf, "-"), ("5 degC", "m"),
    ],
)  # fmt: skip
def test_what_is_not_such_a_quantity_is_refused(text: object, wanted: str) -> None:
    with pytest.raises(QuantityError):
        parse(text, wanted)
