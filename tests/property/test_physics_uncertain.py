"""Answers with a spread: closed forms, agreement, and the finding where the two ways part."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings

from pairwright.base.errors import InputError
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text
from pairwright.physics.box import LAWS as BOX
from pairwright.physics.tolerance import LAWS as CHAIN
from pairwright.physics.uncertain import (
    Spread,
    ask_with_spread,
    draw_spreads,
    effective_freedom,
    first_order,
    slopes,
)
from tests.strategies import finite

NAMED = {law.name: law for law in (*BOX, *CHAIN)}


def made_law(function: object, span: Span = POSITIVE, covered: Span | None = None) -> Law:
    return Law("made", text("made"), function, (Argument("x", "m", text("x"), must=span, range=covered),
               Argument("y", "m", text("y"), default=1.0)), (Result("out", "m", text("out")),), text("exact"),
               (Source("closed form"),), Worked({"x": 1.0}, {"out": 1.0}))  # type: ignore[arg-type]  # fmt: skip


LINEAR = made_law(
    lambda x, y: {"out": 3.0 * x - 2.0 * y, "rest": [x, {"deep": 2.0 * y}], "word": "as it is", "count": 3}
)
SQUARE = made_law(lambda x, y: {"out": (x - 1.0) ** 2 + 0.0 * y})


def test_a_linear_law_is_the_closed_form() -> None:
    found = ask_with_spread(
        LINEAR, {"x": 5.0, "y": 2.0}, spreads={"x": Spread(0.1), "y": Spread(0.2)}, seed=3
    )

    out = found.outputs["out"]
    assert set(found.outputs) == {"out", "rest[0]", "rest[1].deep"}
    assert out.value == pytest.approx(11.0)
    assert out.sd_first == pytest.approx(0.5, rel=1e-9)
    assert out.sd == pytest.approx(0.5, rel=0.03)
    assert dict(out.shares) == pytest.approx({"x": 0.36, "y": 0.64})
    assert (out.first_low, out.first_high) == pytest.approx((11.0 - 0.98, 11.0 + 0.98), abs=1e-3)
    assert found.findings == ()
    assert found.refused == 0.0


def test_a_parabola_at_its_bottom_is_not_told_by_its_slope() -> None:
    # closed form: (x - 1)^2 of a normal x about 1 has slope 0 and mean sd^2
    found = ask_with_spread(SQUARE, {"x": 1.0}, spreads={"x": Spread(0.1)}, seed=1)

    out = found.outputs["out"]
    assert out.sd_first == pytest.approx(0.0, abs=1e-9)
    assert out.mean == pytest.approx(0.01, rel=0.05)
    assert out.sd == pytest.approx(0.01 * math.sqrt(2.0), rel=0.06)
    assert [f.code for f in found.findings] == ["spread_disagrees"]
    assert "rely on the draws" in str(found.findings[0].text)


def test_the_verdict_does_not_hang_on_the_unit() -> None:
    def cube(size: float) -> tuple[str, ...]:
        law = made_law(lambda x, y: {"out": size * x**3})
        return tuple(
            f.code for f in ask_with_spread(law, {"x": 1.0}, spreads={"x": Spread(0.2)}, seed=2).findings
        )

    assert cube(1.0) == cube(0.11) == cube(9.3e6) == ("spread_disagrees",)


def test_a_flat_input_alone_disagrees_by_its_shape() -> None:
    # slopes assume a normal output: 1.96 sd against 0.95 sqrt(3) sd = 1.645
    found = ask_with_spread(LINEAR, {"x": 5.0}, spreads={"x": Spread(0.1, "uniform")}, seed=1)

    assert found.outputs["out"].apart == pytest.approx(0.31, abs=0.03)
    assert "spread_disagrees" in [f.code for f in found.findings]


def test_impossible_draws_are_left_out_and_told() -> None:
    law = made_law(lambda x, y: {"out": x})
    found = ask_with_spread(law, {"x": 0.1}, spreads={"x": Spread(0.1)}, seed=1)

    assert found.refused == pytest.approx(0.159, abs=0.015)  # below one standard deviation
    assert found.outputs["out"].low > 0.0
    assert "spread_refused" in [f.code for f in found.findings]


def test_draws_that_leave_the_range_are_counted_once() -> None:
    law = made_law(lambda x, y: {"out": x}, covered=Span(0.0, 1.0))
    inside = ask_with_spread(law, {"x": 0.9}, spreads={"x": Spread(0.1)}, seed=1)
    outside = ask_with_spread(law, {"x": 1.2}, spreads={"x": Spread(0.05)}, seed=1)

    assert [f.code for f in inside.findings].count("out_of_range") == 1
    said = next(dict(f.text.values) for f in inside.findings if f.code == "out_of_range")
    assert said["share"].value == pytest.approx(0.159, abs=0.015)  # type: ignore[union-attr]
    assert [f.code for f in outside.findings].count("out_of_range") == 1  # the value itself: said already


def test_a_box_whose_drive_unit_scatters() -> None:
    inputs = {"resonance": 28.0, "compliance_volume": 0.050, "total_q": 0.40, "box_volume": 0.0236}
    spreads = {"resonance": Spread(0.7), "total_q": Spread(0.012), "compliance_volume": Spread(0.002)}

    found = ask_with_spread(NAMED["closed_box"], inputs, spreads=spreads, seed=4, samples=4000)

    # closed form: fc = fs sqrt(1 + Vas/Vb): relative variance (0.7/28)^2 + (Vas/(2 (Vb + Vas)) 0.04)^2
    q = 0.050 / (2.0 * (0.0236 + 0.050)) * 0.04
    corner = found.outputs["system_resonance"]
    assert corner.sd_first / corner.value == pytest.approx(math.hypot(0.7 / 28.0, q), rel=1e-4)
    assert corner.sd == pytest.approx(corner.sd_first, rel=0.05)


def test_a_number_inside_a_table_may_scatter() -> None:
    inputs = {
        "contributors": [{"nominal": 0.1, "tolerance": 1e-4}, {"nominal": 0.2, "tolerance": 1e-4}],
        "samples": 100,
    }

    found = ask_with_spread(NAMED["tolerance_chain"], inputs, spreads={"contributors[1].nominal": Spread(2e-5)},
                            seed=1, samples=500)  # fmt: skip

    assert found.outputs["nominal"].sd_first == pytest.approx(2e-5, rel=1e-6)
    assert found.outputs["worst_high"].value == pytest.approx(0.3002)


@pytest.mark.parametrize(
    "path", ["z", "contributors[7].nominal", "contributors", "seed", "contributors[0].distribution"]
)
def test_a_path_that_leads_to_no_number_is_refused(path: str) -> None:
    inputs = {"contributors": [{"nominal": 0.1, "tolerance": 1e-4}], "samples": 100}
    with pytest.raises(InputError, match="path of a number"):
        ask_with_spread(NAMED["tolerance_chain"], inputs, spreads={path: Spread(1.0)}, seed=1)


def test_the_same_seed_gives_the_same_answer() -> None:
    one, two = (
        ask_with_spread(SQUARE, {"x": 2.0}, spreads={"x": Spread(0.3)}, seed=9, samples=200) for _ in range(2)
    )

    assert one.outputs == two.outputs


@pytest.mark.parametrize(
    ("spread", "sd"),
    [(Spread(2.0), 2.0), (Spread(2.0, "uniform"), 2.0), (Spread(2.0, "triangular"), 2.0), (Spread(2.0, "arcsine"), 2.0),
     (Spread(2.0, "student", freedom=10.0), 2.0 * math.sqrt(10.0 / 8.0)),
     (Spread(2.0, "inexact", doubt=0.6), math.sqrt(4.0 + 0.36 / 9.0))],
)  # fmt: skip
def test_each_shape_has_its_standard_deviation(spread: Spread, sd: float) -> None:
    # JCGM 101, Table 1 and 6.4: the formulas of the standard deviations
    drawn = draw_spreads([spread], seed=2, samples=400_000)[0]

    assert drawn.std() == pytest.approx(sd, rel=0.006)
    assert drawn.mean() == pytest.approx(0.0, abs=0.015)


@given(finite(-0.99, 0.99))
@settings(max_examples=10)
def test_correlated_draws_are_correlated(r: float) -> None:
    drawn = draw_spreads(
        [Spread(1.0), Spread(3.0)], seed=1, samples=40_000, correlation=np.array([[1.0, r], [r, 1.0]])
    )

    assert np.corrcoef(drawn)[0, 1] == pytest.approx(r, abs=0.02)
    assert drawn.std(axis=1) == pytest.approx([1.0, 3.0], rel=0.03)


@given(finite(0.5, 3.0), finite(0.5, 3.0), finite(-0.9, 0.9))
@settings(max_examples=20)
def test_a_sum_and_a_difference_by_first_order(a: float, b: float, r: float) -> None:
    covariance = np.array([[a * a, r * a * b], [r * a * b, b * b]])

    _, spread = first_order(
        lambda x: np.array([x[0] + x[1], x[0] - x[1]]), np.array([10.0, 5.0]), covariance=covariance
    )

    assert spread[0, 0] == pytest.approx(a * a + b * b + 2.0 * r * a * b, rel=1e-7, abs=1e-9)
    assert spread[1, 1] == pytest.approx(a * a + b * b - 2.0 * r * a * b, rel=1e-7, abs=1e-9)
    assert spread[0, 1] == pytest.approx(a * a - b * b, rel=1e-6, abs=1e-8)


def test_slopes_of_a_parabola_are_exact() -> None:
    _, rise = slopes(lambda x: np.array([x[0] ** 2]), np.array([3.0]), steps=np.array([0.5]))

    assert rise[0, 0] == pytest.approx(6.0, rel=1e-12)


def test_freedom_of_one_part_is_its_own() -> None:
    assert effective_freedom([(2.0, 7.0)]) == pytest.approx(7.0)
    assert effective_freedom([(2.0, math.inf), (1.0, math.inf)]) == math.inf
