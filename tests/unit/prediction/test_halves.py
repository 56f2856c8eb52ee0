"""The predicted response of a half and of a pair: closed forms, propagated uncertainty, what would help."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.physics.network import Branch
from pairwright.prediction.halves import (
    MeasuredBoard,
    MeasuredUnit,
    bias_of,
    choices,
    predict_half,
    predict_pair,
)

F = np.geomspace(20.0, 20000.0, 121)
SOURCE = Branch("source", ("in", "common"), 1.0)


def unit(name: str, level: float = 0.0, resistance: float = 8.0) -> MeasuredUnit:
    """A unit that is the same at every frequency."""
    size = 0.1 * 10 ** (level / 20.0)
    return MeasuredUnit(name, F, np.full(F.size, size + 0j), np.full(F.size, resistance + 0j))


def lr4(name: str, frequency: float = 2000.0, resistance: float = 8.0) -> MeasuredBoard:
    """A fourth-order board of both halves squared Butterworth; coefficients of published tables."""
    low = (0.30011, 0.25321, 0.15005, 0.05627)
    high = (0.08440, 0.10004, 0.16881, 0.45016)

    def coil(k: float) -> float:
        return k * resistance / frequency

    def cap(k: float) -> float:
        return k / (resistance * frequency)

    # alternating series and shunt: L C L C for the low output, C L C L for the high one
    return MeasuredBoard(
        name,
        (
            SOURCE,
            Branch("inductor", ("in", "a"), coil(low[0])), Branch("capacitor", ("a", "common"), cap(low[1])),
            Branch("inductor", ("a", "low"), coil(low[2])), Branch("capacitor", ("low", "common"), cap(low[3])),
            Branch("capacitor", ("in", "b"), cap(high[0])), Branch("inductor", ("b", "common"), coil(high[1])),
            Branch("capacitor", ("b", "high"), cap(high[2])), Branch("inductor", ("high", "common"), coil(high[3])),
        ),
        ("low", "high"),
    )  # fmt: skip


def test_two_equal_units_on_a_flat_sum_board_are_flat() -> None:
    # S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976): the fourth-order halves add up flat; table to 5 places
    found = predict_half(lr4("B1"), [unit("W1"), unit("T1")])

    assert found.level - found.level[0] == pytest.approx(0.0, abs=2e-3)
    assert found.level[0] == pytest.approx(20 * math.log10(0.1 * 2.83 / 20e-6), abs=2e-3)


def test_far_from_the_crossover_a_unit_s_level_and_its_uncertainty_come_through() -> None:
    louder = predict_half(lr4("B1"), [unit("W1"), unit("T1", 1.0)])

    assert louder.level[-1] - louder.level[0] == pytest.approx(1.0, abs=5e-3)
    assert louder.sd[0] == pytest.approx(0.1, rel=0.02)


def test_first_order_uncertainty_is_that_of_draws() -> None:
    board, units = lr4("B1"), [unit("W1"), unit("T1")]
    rng = np.random.default_rng(1)
    rows = []
    for _ in range(400):
        parts = tuple(
            b
            if b.kind == "source"
            else replace(b, value=b.value * (1 + board.part_sd * rng.standard_normal()))
            for b in board.branches
        )
        drawn = [
            replace(
                u, transfer=u.transfer * 10 ** (u.level_sd * rng.standard_normal() / 20),
                impedance=u.impedance * (1 + u.impedance_sd * rng.standard_normal()),
            )
            for u in units
        ]  # fmt: skip
        rows.append(predict_half(replace(board, branches=parts), drawn).level)

    assert predict_half(board, units).sd == pytest.approx(np.std(rows, axis=0), rel=0.2)


def test_two_halves_differ_by_what_their_parts_do() -> None:
    left = predict_half(lr4("B1"), [unit("W1", 0.3), unit("T1")])
    right = predict_half(lr4("B2"), [unit("W2"), unit("T2")])
    pair = predict_pair(left, right)

    assert pair.difference[0] == pytest.approx(0.3, abs=2e-3)
    assert pair.difference[-1] == pytest.approx(0.0, abs=5e-3)
    assert pair.sd[0] == pytest.approx(math.sqrt(2) * 0.1, rel=0.02)
    assert predict_pair(left, right, shared=1.0).sd == pytest.approx(0.0)
    assert 0.0 < pair.distance < pair.worst


def test_the_best_choice_is_told_first_and_nothing_that_makes_it_worse() -> None:
    left = (lr4("B1"), [unit("W1", 0.5), unit("T1", 0.2)])
    right = (lr4("B2"), [unit("W2"), unit("T2")])

    found = choices(left, right, spares=[(0, unit("W3", 0.5)), (1, unit("T3", 3.0))])

    assert str(found[0].change) == "as it is"
    assert str(found[1].change) == "W3 for W2"
    assert all(c.distance < found[0].distance for c in found[1:])
    assert not any("T3" in str(c.change) for c in found)


def test_the_bias_of_earlier_sets_is_learned_and_taken_into_account() -> None:
    rng = np.random.default_rng(2)
    predicted = [predict_half(lr4("B"), [unit("W"), unit("T")])] * 20
    measured = [p.level + 0.4 + 0.1 * rng.standard_normal(F.size) for p in predicted]

    mean, error = bias_of(predicted, measured)

    assert mean == pytest.approx(0.4, abs=0.12)
    assert error == pytest.approx(0.1 / math.sqrt(20), rel=0.6)
    bettered = predict_half(lr4("B"), [unit("W"), unit("T")], correction=mean)
    assert bettered.level - predicted[0].level == pytest.approx(mean)


def test_what_does_not_fit_is_refused() -> None:
    with pytest.raises(InputError):
        predict_half(lr4("B1"), [unit("W1")])
    with pytest.raises(InputError):
        predict_half(lr4("B1"), [unit("W1"), replace(unit("T1"), frequencies=F * 2)])
    with pytest.raises(InputError):
        bias_of([], [])
