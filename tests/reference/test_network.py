"""Nodal analysis against hand-solved circuits."""

from __future__ import annotations

import numpy as np
import pytest

from pairwright.physics.network import Branch, network

TONE = np.array([1000.0])


def test_the_unbalanced_bridge() -> None:
    # Kirchhoff, solved by hand: 100/200/300/400 ohm with 500 ohm across, 1 V
    bridge = [
        Branch("source", ("1", "common"), 1.0), Branch("resistor", ("1", "2"), 100.0),
        Branch("resistor", ("2", "common"), 200.0), Branch("resistor", ("1", "3"), 300.0),
        Branch("resistor", ("3", "common"), 400.0), Branch("resistor", ("2", "3"), 500.0),
    ]  # fmt: skip

    found = network(bridge, TONE)

    assert found["2"][0].real == pytest.approx(0.6580645, abs=1e-7)
    assert found["3"][0].real == pytest.approx(0.5935484, abs=1e-7)
    assert found["1"][0] == pytest.approx(1.0)


def test_the_series_resonant_circuit() -> None:
    # theory: 4 ohm, 1 mH, 10 uF: f0 1591.549 Hz, Q 2.5, |Vc(f0)| 2.5 V
    circuit = [
        Branch("source", ("in", "common"), 1.0), Branch("resistor", ("in", "a"), 4.0),
        Branch("inductor", ("a", "b"), 1e-3), Branch("capacitor", ("b", "common"), 10e-6),
    ]  # fmt: skip
    centre = 1591.549430918953

    found = network(circuit, np.array([centre]))

    assert abs(found["b"][0]) == pytest.approx(2.5, rel=1e-9)
    assert np.degrees(np.angle(found["b"][0])) == pytest.approx(-90.0)


def test_a_coil_with_its_resistance_is_a_coil_and_a_resistor() -> None:
    # the definition of series resistance: both ways of writing it give the same voltages
    together = [Branch("source", ("in", "common"), 1.0), Branch("inductor", ("in", "out"), 1e-3, 0.4),
                Branch("resistor", ("out", "common"), 8.0)]  # fmt: skip
    apart = [Branch("source", ("in", "common"), 1.0), Branch("inductor", ("in", "m"), 1e-3),
             Branch("resistor", ("m", "out"), 0.4), Branch("resistor", ("out", "common"), 8.0)]  # fmt: skip

    assert network(together, TONE)["out"] == pytest.approx(network(apart, TONE)["out"], rel=1e-12)
