"""Colour difference against the published test pairs."""

from __future__ import annotations

import pytest

from pairwright.base.laws import ask
from pairwright.measure.colour import LAWS, colour_difference
from tests.reference.published_sets import COLOUR_PAIRS


@pytest.mark.parametrize("row", COLOUR_PAIRS, ids=[f"pair {n}" for n in range(1, 35)])
def test_a_published_pair_differs_as_printed(row: list[float]) -> None:
    # Sharma, Wu, Dalal, Color Res. Appl. 30 (2005), table I: four decimals
    assert colour_difference(row[:3], row[3:6]) == pytest.approx(row[6], abs=5e-5)
    assert colour_difference(row[3:6], row[:3]) == pytest.approx(row[6], abs=5e-5)


def test_the_handbook_serves_the_same_number_and_warns_of_far_colours() -> None:
    near = ask(LAWS[0], {"lab1": COLOUR_PAIRS[0][:3], "lab2": COLOUR_PAIRS[0][3:6]})
    far = ask(LAWS[0], {"lab1": COLOUR_PAIRS[16][:3], "lab2": COLOUR_PAIRS[16][3:6]})

    assert near.result["delta_e"] == pytest.approx(2.0425, abs=5e-5)
    assert near.findings == ()
    assert far.result["delta_e"] == pytest.approx(27.1492, abs=5e-5)
    assert [f.code for f in far.findings] == ["out_of_range"]
