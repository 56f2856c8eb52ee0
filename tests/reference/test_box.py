"""Boxes against Thiele's table, a published alignment table with leakage, and worked examples.

Thiele 1961, reprinted J. Audio Eng. Soc. 19 (1971) 382-392, Table I, prints three figures: the
inputs are rounded too, so the ratio is held to 0.4 %.
"""

from __future__ import annotations

import math

import pytest

from pairwright.physics.box import closed_box, closed_volume, half_power_ratio, vented_box

# number: Qt, Vas/Vb, fb/fs, printed f3/fs, printed ripple in dB
THIELE = {
    1: (0.180, 10.48, 2.000, 2.68, 0.0), 2: (0.209, 7.48, 1.73, 2.28, 0.0),
    3: (0.259, 4.46, 1.42, 1.77, 0.0), 4: (0.303, 2.95, 1.23, 1.45, 0.0),
    5: (0.383, 1.414, 1.000, 1.000, 0.0), 6: (0.415, 1.055, 0.927, 0.867, 0.0),
    7: (0.466, 0.729, 0.829, 0.729, 0.08), 8: (0.518, 0.559, 0.757, 0.641, 0.30),
    9: (0.557, 0.485, 0.716, 0.600, 0.50),
}  # fmt: skip


@pytest.mark.parametrize("number", sorted(THIELE))
def test_a_lossless_vented_box_has_thiele_s_corner_and_ripple(number: int) -> None:
    quality, ratio, tuning, corner, ripple = THIELE[number]

    box = vented_box(30.0, 0.100, total_q=quality, box_volume=0.100 / ratio, box_tuning=30.0 * tuning)

    assert box.half_power_frequency / 30.0 == pytest.approx(corner, rel=0.004)
    # the ripple hangs on the third figure of the inputs: half a digit of Qt is worth 0.02 dB
    assert box.peak_db == pytest.approx(ripple, abs=0.05)


def test_leakage_as_in_the_published_alignment_table() -> None:
    # public table of alignments with QL = 7: B4 at Qts 0.4048, alpha 1.0613, h 1 -> f3/fs 1.0000
    box = vented_box(40.0, 0.050, total_q=0.4048, box_volume=0.050 / 1.0613, box_tuning=40.0, leakage_q=7.0)

    assert box.half_power_frequency / 40.0 == pytest.approx(1.0000, abs=0.0002)


def test_a_bessel_box_with_leakage_as_in_the_published_table() -> None:
    # the same table: Qts 0.3312, alpha 1.9076, h 0.97354 -> f3/fs 1.4941
    box = vented_box(
        40.0, 0.050, total_q=0.3312, box_volume=0.050 / 1.9076, box_tuning=0.97354 * 40.0, leakage_q=7.0
    )

    assert box.half_power_frequency / 40.0 == pytest.approx(1.4941, abs=0.0003)


def test_the_worked_vented_box() -> None:
    # public worked example on Thiele no. 3: fs 30.4 Hz, Vas 125.9 L -> Vb 28.23 L, fb 43.2, f3 53.8 Hz
    box = vented_box(30.4, 0.1259, total_q=0.259, box_volume=0.02823, box_tuning=43.2)

    assert box.half_power_frequency == pytest.approx(53.8, abs=0.15)


def test_the_worked_closed_box() -> None:
    # public worked example: Vas 50 L, fs 28 Hz, Qts 0.40, Qtc 0.707 -> Vb 23.6 L, fc 49.5 Hz
    volume = closed_volume(0.050, 0.40, system_q=0.707)
    box = closed_box(28.0, 0.050, total_q=0.40, box_volume=volume)

    assert volume == pytest.approx(23.6e-3, abs=0.1e-3)
    assert box.system_resonance == pytest.approx(49.5, abs=0.05)
    assert 0.050 / volume == pytest.approx(2.12, abs=0.01)  # printed Vas/Vb


@pytest.mark.parametrize(
    ("quality", "printed"),
    # Small 1972, closed-box half-power formula at the usual alignments
    [(0.57735, 1.2720), (0.70710678, 1.0000), (0.8, 0.8972), (1.0, 0.7862), (1.2, 0.7358)],
)
def test_the_half_power_frequency_of_a_closed_box(quality: float, printed: float) -> None:
    assert half_power_ratio(quality) == pytest.approx(printed, abs=1e-4)


@pytest.mark.parametrize(("quality", "printed"), [(1.0, 1.249), (1.1, 1.833), (1.2, 2.412)])
def test_the_peak_of_a_closed_box(quality: float, printed: float) -> None:
    # Small 1972: 20 lg(Q^2/sqrt(Q^2 - 1/4))
    box = closed_box(40.0, 0.030, total_q=quality / math.sqrt(4.0), box_volume=0.010)

    assert box.system_q == pytest.approx(quality)
    assert box.peak_db == pytest.approx(printed, abs=0.001)
