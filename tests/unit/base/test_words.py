"""Texts in a reader's language, with the reader's decimal sign and length unit."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pairwright.base.words import ENGLISH, Amount, Words, text


def test_another_language_is_a_table_of_templates() -> None:
    message = text("opens by {gap} after {time}", gap=Amount(0.0031, "length"), time=Amount(681, "duration"))
    german = Words(
        language="de", decimal=",", catalogue={"opens by {gap} after {time}": "{time} danach {gap} offen"}
    )

    assert str(message) == "opens by 3.1 mm after 11.3 min"
    assert german.say(message) == "11,3 min danach 3,1 mm offen"


def test_a_missing_translation_falls_back_to_english() -> None:
    assert Words(language="de", decimal=",").say(text("trim")) == "trim"


def test_a_text_inside_a_text_is_translated_too() -> None:
    inner = text("in step")
    outer = text("{pair} is {state}", pair="0417", state=inner)
    words = Words(catalogue={"in step": "im Takt", "{pair} is {state}": "{pair} ist {state}"})

    assert words.say(outer) == "0417 ist im Takt"


@pytest.mark.parametrize(
    ("amount", "shown"),
    [
        (Amount(0.0006, "length"), "0.6 mm"), (Amount(12.0, "length"), "12 m"),
        (Amount(391.15, "temperature"), "118 °C"),
        (Amount(45, "duration"), "45 s"), (Amount(660, "duration"), "11 min"), (Amount(0.0, "duration"), "0 s"),
        (Amount(1.2e6, "pressure"), "1.2 MPa"), (Amount(0.714, "share"), "71.4 %"), (Amount(5.2, "number"), "5.2"),
        (Amount(1_234.5, "money"), "1234.50 EUR"), (Amount(0.00004, "film"), "40 µm"),
    ],
)  # fmt: skip
def test_amounts_are_written_with_their_unit(amount: Amount, shown: str) -> None:
    assert str(amount) == shown


def test_lengths_may_be_inches() -> None:
    assert Words(lengths="inch").amount(Amount(0.0254, "length")) == "1 in"


def test_moments_are_local() -> None:
    amsterdam = Words(zone=ZoneInfo("Europe/Amsterdam"))

    assert amsterdam.amount(Amount(1803877200, "instant")) == "1 Mar 2027 06:00"
    assert amsterdam.amount(Amount(1803877200, "date")) == "1 Mar 2027"


@given(st.floats(-1e9, 1e9, allow_subnormal=False), st.integers(1, 8))
def test_a_number_is_never_off_by_more_than_its_digits(value: float, digits: int) -> None:
    shown = float(ENGLISH.number(value, digits))

    assert abs(shown - value) <= abs(value) * 10.0 ** (1 - digits) + 1e-300
