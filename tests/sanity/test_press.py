"""The hot press lands where the trade knows it: common practice, no source.

Inputs are plausible and not any works' own.
"""

from __future__ import annotations

import pytest

from pairwright.physics.press import Glue, Ply, PressStack, press_cycle
from pairwright.physics.species import SPECIES

UREA = Glue(1.792e9, 80e3, order=1.0, spread=0.15, water=0.4)  # the derived set, peak in wood


# common practice, no source: a thick crossed beech laminate pressed at 135 to 140 degC comes out after 20 to 25 minutes
@pytest.mark.parametrize("platen", [408.15, 413.15])
def test_a_thick_beech_laminate_comes_out_after_twenty_to_twenty_five_minutes(platen: float) -> None:
    beech = SPECIES["beech, European"].specific_gravity
    stack = PressStack((Ply(1.5e-3, beech, 0.08),) * 25, UREA)

    opened = press_cycle(stack, platen=platen, initial=293.15, target_cure=0.95, record=False).open_time

    assert 20.0 <= opened / 60.0 <= 25.0
