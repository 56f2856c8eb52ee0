"""A leaking box: the same by an electrical circuit, by closed form, and tight at the limit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings

from pairwright.physics.box import closed_box
from pairwright.physics.box_leak import leaky_box, leaky_response
from pairwright.physics.network import Branch, network
from tests.strategies import finite

ratios = finite(0.3, 6.0)
qualities = finite(0.2, 1.2)
leaks = finite(2.0, 50.0)


@given(ratios, qualities, leaks)
@settings(max_examples=25, deadline=None)
def test_it_is_a_series_circuit_with_a_leaking_capacitor(a: float, q: float, leak: float) -> None:
    # force as voltage, volume velocity as current: mass L, loss R, compliance C; box 1/a beside a resistance
    at = np.geomspace(0.2, 20.0, 9) / (2.0 * math.pi)
    time_constant = leak / math.sqrt(1.0 + a)
    circuit = [
        Branch("source", ("in", "common"), 1.0), Branch("inductor", ("in", "m"), 1.0, 1.0 / q),
        Branch("capacitor", ("m", "box"), 1.0), Branch("capacitor", ("box", "common"), 1.0 / a),
        Branch("resistor", ("box", "common"), time_constant * a),
    ]  # fmt: skip
    s = 2j * math.pi * at
    radiated = s * (s / a) * network(circuit, at)["box"]  # acceleration of what leaves: cone less leak

    found = leaky_response(at * 2.0 * math.pi, resonance=1.0, compliance_volume=a, total_q=q, box_volume=1.0,
                           leakage_q=leak)  # fmt: skip

    assert found == pytest.approx(radiated, rel=1e-9)


@given(ratios, qualities, leaks)
@settings(max_examples=25, deadline=None)
def test_the_loss_is_its_closed_form(a: float, q: float, leak: float) -> None:
    # at the tight box's resonance: sqrt((QL + a Q/sqrt(1 + a))^2 + 1)/QL
    found = leaky_box(30.0, a * 0.02, total_q=q, box_volume=0.02, leakage_q=leak)

    wanted = math.hypot(leak + a * q / math.sqrt(1.0 + a), 1.0) / leak
    assert found.loss_db == pytest.approx(20.0 * math.log10(wanted), abs=1e-9)
    assert found.loss_db > 0.0


@given(ratios, qualities)
@settings(max_examples=25, deadline=None)
def test_without_a_leak_it_is_the_closed_box(a: float, q: float) -> None:
    tight = closed_box(30.0, a * 0.02, total_q=q, box_volume=0.02)
    found = leaky_box(30.0, a * 0.02, total_q=q, box_volume=0.02, leakage_q=1e9)

    assert found.half_power_frequency == pytest.approx(tight.half_power_frequency, rel=1e-6)
    assert found.peak_db == pytest.approx(tight.peak_db, abs=1e-6)


@given(ratios, qualities, leaks)
@settings(max_examples=25, deadline=None)
def test_the_half_power_frequency_is_half_power(a: float, q: float, leak: float) -> None:
    found = leaky_box(30.0, a * 0.02, total_q=q, box_volume=0.02, leakage_q=leak)

    def level(frequency: float) -> float:
        response = leaky_response(np.array([frequency]), resonance=30.0, compliance_volume=a * 0.02, total_q=q,
                                  box_volume=0.02, leakage_q=leak)  # fmt: skip
        return float(np.abs(response)[0])

    assert level(found.half_power_frequency) == pytest.approx(math.sqrt(0.5), rel=1e-6)
    beyond = [level(f) for f in np.geomspace(1.001 * found.half_power_frequency, 3000.0, 60)]
    assert min(beyond) >= math.sqrt(0.5) - 1e-9
    assert max(beyond) <= 10.0 ** (found.peak_db / 20.0) + 1e-9


def test_a_larger_leak_costs_more() -> None:
    losses = [
        leaky_box(28.0, 0.05, total_q=0.4, box_volume=0.0236, leakage_q=q).loss_db
        for q in (20.0, 10.0, 5.0, 3.0)
    ]

    assert losses == sorted(losses)


def test_a_box_that_is_mostly_leak_has_no_bass() -> None:
    found = leaky_box(30.0, 0.02, total_q=0.3, box_volume=0.02, leakage_q=0.01)

    assert found.half_power_frequency > 300.0
    assert found.peak_db == 0.0
