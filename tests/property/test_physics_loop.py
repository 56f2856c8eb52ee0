"""Vector loops: closed forms, chains as a special case, nonlinear loops, climate, measured scatter."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.physics.fit import Climate, Side, size_in
from pairwright.physics.tolerance import Contributor, tolerance_chain
from pairwright.physics.tolerance_links import MovingLink, capable_link, climate_links, measured_link
from pairwright.physics.tolerance_loop import Arm, tolerance_loop
from tests.strategies import finite

FIXED = Contributor(0.0, 0.0)
RIGHT = Contributor(math.pi / 2.0, 0.0)


def size(nominal: float, tolerance: float = 0.0, **more: object) -> Contributor:
    return Contributor(nominal, tolerance, **more)  # type: ignore[arg-type]


def turn(degrees: float, tolerance: float = 0.0) -> Contributor:
    return Contributor(math.radians(degrees), math.radians(tolerance))


@given(finite(0.05, 0.5), finite(0.05, 0.5), finite(20.0, 150.0))
@settings(max_examples=25, deadline=None)
def test_the_third_side_of_a_triangle_and_its_slopes(a: float, b: float, between: float) -> None:
    # closed form: c^2 = a^2 + b^2 - 2 a b cos(gamma)
    gamma = math.radians(between)
    c = math.sqrt(a * a + b * b - 2.0 * a * b * math.cos(gamma))
    angle = math.degrees(math.atan2(-b * math.sin(gamma), -(a - b * math.cos(gamma))))
    loop = [Arm("a", size(a, 1e-4), FIXED), Arm("b", size(b, 2e-4), turn(180.0 - between, 0.1)),
            Arm("c", size(0.9 * c), turn(angle - (180.0 - between) + 3.0), unknown=("length", "turn"))]  # fmt: skip

    found = tolerance_loop(loop, samples=200).unknowns[0]

    slopes = dict(found.slopes)
    assert found.nominal == pytest.approx(c, rel=1e-9)
    assert slopes["a length"] == pytest.approx((a - b * math.cos(gamma)) / c, abs=1e-9)
    assert slopes["b length"] == pytest.approx((b - a * math.cos(gamma)) / c, abs=1e-9)
    assert slopes["b turn"] == pytest.approx(-a * b * math.sin(gamma) / c, abs=1e-9)
    arms = [
        1e-4 * abs(slopes["a length"]),
        2e-4 * abs(slopes["b length"]),
        math.radians(0.1) * abs(slopes["b turn"]),
    ]
    assert found.worst_high - found.nominal == pytest.approx(sum(arms), rel=1e-9)
    assert found.rss_high - found.nominal == pytest.approx(math.hypot(*arms), rel=1e-9)
    assert sum(s for _, s in found.contributions) == pytest.approx(1.0)


def test_a_roller_between_hub_and_ring() -> None:
    # closed form: cos(phi) = (a + c)/(e - c), b^2 = (e - c)^2 - (a + c)^2; the roller's radius counts twice
    a, c, e = 27.645e-3, 11.430e-3, 50.800e-3
    phi = math.acos((a + c) / (e - c))
    loop = [
        Arm("hub", size(a, 12.5e-6), turn(90.0)), Arm("roller", size(c, 10e-6), turn(0.0)),
        Arm("gap", size(5e-3), turn(-90.0), unknown=("length",)),
        Arm("roller again", size(0.0), turn(80.0), unknown=("turn",), same_as="roller"),
        Arm("ring", size(e, 12.5e-6), turn(180.0)),
    ]  # fmt: skip

    gap, angle = tolerance_loop(loop, samples=50_000).unknowns

    assert gap.nominal == pytest.approx(math.sqrt((e - c) ** 2 - (a + c) ** 2), rel=1e-9)
    assert angle.nominal == pytest.approx(math.pi / 2.0 - phi, abs=1e-9)
    slope = 1.0 / ((e - c) * math.sin(phi))  # of phi, by differentiating the cosine
    slopes = dict(angle.slopes)
    assert slopes["hub length"] == pytest.approx(slope, rel=1e-6)
    assert slopes["roller length"] == pytest.approx(slope * (1.0 + math.cos(phi)), rel=1e-6)
    assert slopes["ring length"] == pytest.approx(-slope * math.cos(phi), rel=1e-6)
    assert "roller again length" not in slopes
    assert angle.mc_sd == pytest.approx(angle.sd, rel=0.03)


def test_a_straight_loop_is_a_chain() -> None:
    links = [size(0.100, 0.1e-3), size(0.050, 0.2e-3, distribution="uniform"), size(0.030, 0.1e-3)]
    back = Arm("gap", size(0.18), turn(180.0), unknown=("length", "turn"))

    found = tolerance_loop(
        [*(Arm(f"l{n}", c, turn(0.0)) for n, c in enumerate(links)), back], samples=100_000
    )
    chain = tolerance_chain(links, samples=400_000)

    gap = found.unknowns[0]
    for name in ("nominal", "worst_low", "worst_high", "rss_low", "rss_high", "sd"):
        assert getattr(gap, name) == pytest.approx(getattr(chain, name), rel=1e-9)
    assert gap.mc_high == pytest.approx(chain.mc_high, abs=0.02 * chain.sd)


def test_three_unknowns_close_the_angles_too() -> None:
    # a door in its frame: the last arm comes back to the first one's direction
    loop = [
        Arm("sill", size(0.4, 1e-3), FIXED), Arm("post", size(0.6, 1e-3), turn(90.0, 0.2)),
        Arm("lintel", size(0.39), turn(90.0), unknown=("length", "turn")),
        Arm("other post", size(0.6, 1e-3), turn(90.0, 0.2)), Arm("datum", size(0.0), turn(88.0), unknown=("turn",)),
    ]  # fmt: skip

    found = tolerance_loop(loop, samples=20_000)

    lintel = found.unknowns[0]
    assert lintel.nominal == pytest.approx(0.4)
    assert sum(u.nominal for u in found.unknowns[1:]) == pytest.approx(math.pi, abs=1e-9)
    # closed form: both posts lean apart by their angles; the top is wider by post times each lean
    slopes = dict(lintel.slopes)
    assert slopes["sill length"] == pytest.approx(1.0, abs=1e-9)
    assert abs(slopes["post turn"]) == pytest.approx(0.6, rel=1e-9)


def test_a_loop_near_its_dead_point_is_not_linear_and_says_so() -> None:
    # two arms of 0.1 m that nearly make a straight line of 0.1999 m: the height goes with the square root
    loop = [Arm("base", size(0.1999, 0.06e-3), FIXED), Arm("one", size(0.1), turn(178.0), unknown=("turn",)),
            Arm("two", size(0.1), turn(4.0), unknown=("turn",))]  # fmt: skip

    found = tolerance_loop(loop, samples=20_000)

    assert any(f.code == "spread_disagrees" for f in found.findings)


def test_parts_that_can_t_be_put_together_are_told() -> None:
    loop = [Arm("base", size(0.19999, 0.06e-3), FIXED), Arm("one", size(0.1), turn(178.0), unknown=("turn",)),
            Arm("two", size(0.1), turn(4.0), unknown=("turn",))]  # fmt: skip

    found = tolerance_loop(loop, samples=5_000)

    assert found.open_share == pytest.approx(0.31, abs=0.05)  # beyond 0.2 m: half a standard deviation
    assert [f.severity for f in found.findings if f.code == "assembly_not_closed"] == ["error"]


def test_loops_without_an_answer_are_refused() -> None:
    base = Arm("base", size(0.5), FIXED)
    with pytest.raises(InputError, match="two, or three"):
        tolerance_loop([base, Arm("b", size(0.2), turn(120.0))])
    with pytest.raises(InputError, match="close at nominal"):
        tolerance_loop(
            [base, Arm("b", size(0.1), turn(120.0), ("turn",)), Arm("c", size(0.1), turn(120.0), ("turn",))]
        )
    with pytest.raises(InputError, match="arm before it"):
        tolerance_loop([base, Arm("b", size(0.1), turn(120.0), ("turn",), same_as="x")])


def test_measured_scatter_takes_the_place_of_the_assumed() -> None:
    drawn = Contributor(0.100, 0.3e-3)
    made = measured_link(drawn, mean=0.10006, sd=40e-6, count=25)

    chain = tolerance_chain([made, Contributor(0.05, 0.0)], samples=200_000)

    # closed form: 40 um sqrt(26/25 24/22) = 42.6 um; about the measured mean
    assert chain.sd == pytest.approx(40e-6 * math.sqrt(26 / 25 * 24 / 22), rel=1e-12)
    assert chain.mean - chain.nominal == pytest.approx(60e-6)
    assert chain.mc_high == pytest.approx(chain.mean + 1.96 * chain.sd, abs=0.02 * chain.sd)
    assert chain.worst_high == pytest.approx(0.1503)  # the drawing's limits stay
    with pytest.raises(InputError, match="readings"):
        measured_link(drawn, mean=0.1, sd=1e-5, count=3)


@given(finite(0.5, 3.0), finite(0.3, 1.0), st.booleans())
def test_capability_and_scatter_say_the_same(cp: float, share: float, high: bool) -> None:
    link = capable_link(Contributor(0.1, 0.3e-3), cp=cp, cpk=share * cp, high=high)

    upper = (link.tolerance - link.shift) / (3.0 * link.spread)
    lower = (link.tolerance + link.shift) / (3.0 * link.spread)
    assert 0.5 * (upper + lower) == pytest.approx(cp)
    assert min(upper, lower) == pytest.approx(share * cp)
    assert (link.shift >= 0.0) == (high or share == 1.0)


def test_one_climate_moves_all_links_at_once() -> None:
    made, dry, wet = Climate("shop", 0.08, 293.15), Climate("dry", 0.06, 289.15), Climate("wet", 0.12, 303.15)
    oak = MovingLink(Contributor(0.300, 0.0), movement=0.25, expansion=5e-6)
    against = MovingLink(Contributor(0.300, 0.0, sensitivity=-1.0), movement=0.25, expansion=5e-6)
    steel = MovingLink(Contributor(0.300, 0.0, sensitivity=-1.0), expansion=12e-6)

    same = climate_links([oak, against], made=made, dry=dry, wet=wet)
    moist, warm = climate_links([oak, steel], made=made, dry=dry, wet=wet)

    assert [c.tolerance for c in same] == pytest.approx([0.0, 0.0], abs=1e-15)
    ends = []
    for climate in (dry, wet):
        sides = [Side(0.300, 0.25, 5e-6), Side(0.300, 0.0, 12e-6)]
        ends.append(np.subtract(*(size_in(s, climate, made=made) for s in sides)))
    middle, half = 0.5 * sum(ends), 0.5 * abs(ends[1] - ends[0])
    assert moist.shift + warm.shift == pytest.approx(middle, rel=1e-9)
    assert abs(moist.tolerance - warm.tolerance) == pytest.approx(half, rel=1e-9)  # here against each other
