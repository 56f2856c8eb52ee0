"""Laws of circuits, leaks, loops and allocation against hand-solved cases, asked as `calc` asks them.

No published numbers were found for these five; what stands here is solved by hand beside each figure, from
the relation that the law's source prints (Kirchhoff; Small, J. Audio Eng. Soc. 20 (1972) 798-808 and 21 (1973)
363-372; the closing of a triangle; Lagrange's condition as in Chase and Greenwood). The roller between hub and
ring is the classic of the method's literature; its sizes are from memory, its angle is an arc cosine.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from pairwright.app.laws import law_named
from pairwright.base.laws import ask


def calc(name: str, **inputs: Any) -> dict[str, Any]:
    return dict(ask(law_named(name), inputs).result)


def test_a_divider_whose_lower_part_scatters() -> None:
    # v = r/(1 + r); uniform r 0.8 to 1.2; level against nominal within 0.5 dB: v from 0.47203 to 0.52963
    # -> r from 0.89406 to 1.12600: share (1.12600 - 0.89406)/0.4 = 0.57985
    low, high = (0.5 * 10.0 ** (d / 20.0) for d in (-0.5, 0.5))
    share = (high / (1.0 - high) - low / (1.0 - low)) / 0.4
    board = [
        {"kind": "source", "nodes": ["in", "common"], "value": 1.0},
        {"kind": "resistor", "nodes": ["in", "out"], "value": 4.0},
        {"kind": "resistor", "nodes": ["out", "common"], "value": 4.0, "tolerance": 0.2},
    ]

    found = calc(
        "circuit_spread", circuit=board, frequencies=[1000.0], node="out", limit_db=0.5, samples=200_000
    )

    assert share == pytest.approx(0.57985, abs=1e-4)
    assert found["share"] == pytest.approx(share, abs=0.0035)  # 3 binomial sd of 200 000
    assert found["share_low"] < share < found["share_high"]
    assert found["lower_db"][0] == pytest.approx(20.0 * math.log10(2.0 * 0.81 / 1.81), abs=0.01)
    assert found["upper_db"][0] == pytest.approx(20.0 * math.log10(2.0 * 1.19 / 2.19), abs=0.01)
    # d ln v/d ln r = 1/(1 + r) = 0.5, times 8.6859 dB
    assert [row[0] for row in found["sensitivity_db"]] == pytest.approx(
        [8.68589, -4.34294, 4.34294], abs=1e-5
    )


def test_a_resonant_circuit_whose_coil_and_capacitor_scatter() -> None:
    # f0 = 1/(2 pi sqrt(L C)): sensitivity -1/2 to each; at f0 of a series circuit |Vc| = Q, which goes with
    # +1/2 (L) and -1/2 (C) and -1 (R); 4 ohm, 1 mH, 10 uF: Q 2.5 (theory)
    board = [
        {"kind": "source", "nodes": ["in", "common"], "value": 1.0},
        {"kind": "resistor", "nodes": ["in", "a"], "value": 4.0},
        {"kind": "inductor", "nodes": ["a", "b"], "value": 1e-3, "tolerance": 0.05},
        {"kind": "capacitor", "nodes": ["b", "common"], "value": 10e-6, "tolerance": 0.05},
    ]

    found = calc("circuit_spread", circuit=board, frequencies=[1591.549430918953], node="b", limit_db=20.0)

    _, resistor, coil, capacitor = (row[0] / 8.685889638 for row in found["sensitivity_db"])
    # at the fixed tone, d ln|Vc|/d ln R = -1; L: Vc = 1/(1 - w2LC + jwRC) at w2LC = 1: real part of
    # w2LC/(jwRC) = 0; C: real part of (w2LC - jwRC)/(jwRC) = -1
    assert resistor == pytest.approx(-1.0, abs=1e-9)
    assert coil == pytest.approx(0.0, abs=1e-9)
    assert capacitor == pytest.approx(-1.0, abs=1e-9)
    assert found["share"] == 1.0


def test_the_leak_of_a_box() -> None:
    # tight: 49.5 Hz (public worked example of Small's closed box); with QL 7: a = 50/23.6, w = sqrt(1 + a),
    # loss = sqrt((QL + a Qts/w)^2 + 1)/QL = sqrt((7 + 0.47988)^2 + 1)/7 = 1.07805 -> 0.6528 dB
    tight = calc(
        "leaky_box", resonance=28.0, compliance_volume=0.050, total_q=0.40, box_volume=0.0236, leakage_q=1e9
    )
    leaky = calc("leaky_box", resonance=28.0, compliance_volume=0.050, total_q=0.40, box_volume=0.0236)

    assert tight["half_power_frequency"] == pytest.approx(49.5, abs=0.1)
    assert tight["loss_db"] == pytest.approx(0.0, abs=1e-6)
    assert leaky["loss_db"] == pytest.approx(0.6528, abs=5e-4)
    assert leaky["half_power_frequency"] > tight["half_power_frequency"]


def test_the_roller_between_hub_and_ring() -> None:
    # cos(phi) = (27.645 + 11.430)/(50.800 - 11.430) = 0.992507 -> 7.0184 deg; gap sqrt(39.37^2 - 39.075^2) = 4.8105
    arms = [
        {"name": "hub", "length": 27.645e-3, "turn_deg": 90.0, "tolerance": 12.5e-6},
        {"name": "roller", "length": 11.430e-3, "turn_deg": 0.0, "tolerance": 10e-6},
        {"name": "gap", "length": 5e-3, "turn_deg": -90.0, "unknown": ["length"]},
        {"name": "roller again", "length": 0.0, "turn_deg": 80.0, "unknown": ["turn"], "same_as": "roller"},
        {"name": "ring", "length": 50.8e-3, "turn_deg": 180.0, "tolerance": 12.5e-6},
    ]

    found = calc("tolerance_loop", arms=arms, samples=20_000)
    gap, angle = found["unknowns"]

    assert 90.0 - angle["nominal"] == pytest.approx(7.0184, abs=5e-5)
    assert gap["nominal"] == pytest.approx(4.8105e-3, abs=5e-8)
    # slopes of phi by hand, deg/mm: 57.2958/(39.37 x 0.122187) = 11.9106 for a, 23.7319 for c, -11.8213 for e
    rss = math.hypot(11.9106 * 0.0125, 23.7319 * 0.010, 11.8213 * 0.0125)
    worst = 11.9106 * 0.0125 + 23.7319 * 0.010 + 11.8213 * 0.0125
    assert angle["rss_high"] - angle["nominal"] == pytest.approx(rss, rel=1e-4)
    assert angle["worst_high"] - angle["nominal"] == pytest.approx(worst, rel=1e-4)


def test_a_triangle_of_three_four_and_five() -> None:
    # slopes of the long side: cosines of the angles beside it, 0.6 and 0.8
    arms = [
        {"name": "base", "length": 0.3, "turn_deg": 0.0, "tolerance": 0.1e-3},
        {"name": "side", "length": 0.4, "turn_deg": 90.0, "tolerance": 0.1e-3},
        {"name": "long", "length": 0.45, "turn_deg": 130.0, "unknown": ["length", "turn"]},
    ]

    length, turn = calc("tolerance_loop", arms=arms, samples=20_000)["unknowns"]

    assert length["nominal"] == pytest.approx(0.5)
    assert length["worst_high"] - 0.5 == pytest.approx(0.14e-3)
    assert length["rss_high"] - 0.5 == pytest.approx(0.1e-3)
    assert turn["nominal"] == pytest.approx(180.0 - math.degrees(math.atan2(3.0, 4.0)))
    assert {c["name"]: round(c["share"], 9) for c in length["contributions"]} == {
        "base length": 0.36,
        "side length": 0.64,
    }


def test_two_links_at_least_cost() -> None:
    # worst case, cost f/t: t in proportion to sqrt(f): 1 : sqrt(8) of 1 mm; cost (1 + sqrt 8)^2 = 14.6569
    worst = calc(
        "tolerance_allocation", links=[{"factor": 1e-3}, {"factor": 8e-3}], limit=1e-3, worst_case=True
    )
    # root sum of squares: t in proportion to f^(1/3): 1 : 2 of 3 sd = 1 mm at 99.73 %: 1/sqrt 5 and 2/sqrt 5
    squared = calc(
        "tolerance_allocation", links=[{"factor": 1e-3}, {"factor": 8e-3}], limit=1e-3, fraction=0.9973
    )

    assert worst["tolerances"] == pytest.approx([0.261204e-3, 0.738796e-3], rel=1e-5)
    assert worst["cost"] == pytest.approx(14.65685, rel=1e-6)
    assert worst["price"] == pytest.approx(14656.85, rel=1e-5)  # cost goes with 1/limit
    assert squared["tolerances"] == pytest.approx([0.447214e-3, 0.894427e-3], rel=1e-4)
    assert squared["fraction"] == pytest.approx(0.9973, abs=1e-6)
    assert squared["cost"] < worst["cost"]


def test_the_trials_on_a_drive_unit() -> None:
    # synthetic unit by Small's relations: Mms 18.5 g, Vas 22.4068 L, Qms 3.455753, Qes 0.5219626
    mass = calc(
        "added_mass", resonance=40.13514, loaded=32.33614, mass=0.010, resonance_sd=0.02, loaded_sd=0.02
    )
    volume = calc("known_volume", resonance=40.13514, boxed=72.25086, electrical_q=0.5219626,
                  boxed_electrical_q=0.9396316, volume=0.010, volume_sd=0.0001)  # fmt: skip
    points = calc(
        "three_points", resistance=5.8, peak=44.2, resonance=40.13514, lower=27.18758, upper=59.24874
    )

    assert mass["moving_mass"] == pytest.approx(18.5e-3, rel=2e-6)
    # by hand: (fs/fm)^2 = 1.540541, lever 2 x 1.540541/0.540541 = 5.7; 5.7 hypot(0.02/40.135, 0.02/32.336) = 0.452 %
    assert mass["moving_mass_sd"] / mass["moving_mass"] == pytest.approx(0.00452, rel=2e-3)
    assert volume["compliance_volume"] == pytest.approx(22.4068e-3, rel=1e-5)
    assert volume["compliance_volume_sd"] == pytest.approx(22.4068e-3 * 0.01, rel=1e-5)
    assert points["mechanical_q"] == pytest.approx(3.455753, rel=1e-5)
    assert points["electrical_q"] == pytest.approx(0.5219626, rel=1e-5)
    assert points["total_q"] == pytest.approx(0.4534698, rel=1e-5)


def test_what_speaks_against_a_trial_is_told() -> None:
    small = ask(law_named("added_mass"), {"resonance": 40.0, "loaded": 39.0, "mass": 0.001})
    uneven = ask(law_named("three_points"), {"resistance": 5.8, "peak": 44.0, "resonance": 40.0, "lower": 27.0,
                                             "upper": 65.0})  # fmt: skip

    assert [f.code for f in small.findings] == ["measurement_doubtful"]
    assert [f.code for f in uneven.findings] == ["measurement_uneven"]
