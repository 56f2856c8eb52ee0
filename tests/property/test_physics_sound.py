"""Drive units, boxes, crossovers, circuits: inverses, symmetry, conservation, bounds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.measure.bands import a_weighting, band_edges
from pairwright.measure.sweep import sweep_lead, synchronized_rate
from pairwright.physics.box import closed_box, closed_volume, vented_box, vented_coefficients
from pairwright.physics.crossover import TYPES, crossover_values, filter_polynomial, ladder, pad
from pairwright.physics.drive_unit import DriveUnit, driver_parameters
from pairwright.physics.network import Branch, branch_impedance, network
from pairwright.physics.unit_impedance import Estimate, added_mass, impedance, known_volume, three_points
from tests.strategies import finite

units = st.builds(
    DriveUnit, finite(2.0, 16.0), finite(1e-3, 0.15), finite(1e-4, 3e-3), finite(0.2, 6.0),
    finite(2.0, 25.0), finite(2e-3, 0.1),
)  # fmt: skip
qualities = finite(0.15, 1.5)


@given(units)
def test_efficiency_by_parameters_is_efficiency_by_parts(unit: DriveUnit) -> None:
    found = driver_parameters(unit)
    direct = (
        1.18 * unit.force_factor**2 * unit.area**2 / (2.0 * math.pi * 345.0 * unit.resistance * unit.mass**2)
    )

    assert found.efficiency == pytest.approx(direct, rel=1e-9)
    assert 1.0 / found.total_q == pytest.approx(1.0 / found.mechanical_q + 1.0 / found.electrical_q)


@given(units)
def test_the_impedance_peaks_at_resonance_with_the_stated_height(unit: DriveUnit) -> None:
    p = driver_parameters(unit)
    around = p.resonance * np.array([0.98, 1.0, 1.02])

    z = np.abs(
        impedance(around, resistance=unit.resistance, resonance=p.resonance, mechanical_q=p.mechanical_q,
                  electrical_q=p.electrical_q)
    )  # fmt: skip

    assert z[1] == pytest.approx(p.peak_impedance, rel=1e-9)
    assert z[1] > max(z[0], z[2])


@given(units, finite(0.2, 2.0))
def test_adding_mass_and_taking_it_away(unit: DriveUnit, share: float) -> None:
    bare = driver_parameters(unit).resonance
    loaded = bare / math.sqrt(1.0 + share)

    found = added_mass(Estimate(bare, 0.0), Estimate(loaded, 0.0), mass=Estimate(share * unit.mass, 0.0))

    assert found.value == pytest.approx(unit.mass, rel=1e-9)


def test_a_small_added_mass_makes_the_frequency_error_large() -> None:
    def relative(share: float) -> float:
        found = added_mass(
            Estimate(40.0, 0.02), Estimate(40.0 / math.sqrt(1.0 + share), 0.02), mass=Estimate(share, 0.0)
        )
        return found.uncertainty / found.value

    assert relative(0.1) > 3.0 * relative(0.5) > 3.0 * relative(1.0)


def test_first_order_and_drawn_uncertainty_agree() -> None:
    rng = np.random.default_rng(7)
    n = 200_000
    fs, fm, ma = 40.0 + 0.05 * rng.standard_normal(n), 32.0 + 0.05 * rng.standard_normal(n), 0.01
    drawn = ma / ((fs / fm) ** 2 - 1.0)
    found = added_mass(Estimate(40.0, 0.05), Estimate(32.0, 0.05), mass=Estimate(ma, 0.0))
    assert found.uncertainty == pytest.approx(float(drawn.std()), rel=0.01)

    fc = 70.0 + 0.05 * rng.standard_normal(n)
    qe, qc = 0.5 * (1 + 0.004 * rng.standard_normal(n)), 0.9 * (1 + 0.004 * rng.standard_normal(n))
    vt = 0.01 * (1 + 0.01 * rng.standard_normal(n))
    drawn = vt * (fc * qc / (fs * qe) - 1.0)
    volume = known_volume(
        Estimate(40.0, 0.05), Estimate(70.0, 0.05), electrical_q=Estimate(0.5, 0.002),
        boxed_electrical_q=Estimate(0.9, 0.0036), volume=Estimate(0.01, 1e-4),
    )  # fmt: skip
    assert volume.uncertainty == pytest.approx(float(drawn.std()), rel=0.01)


@given(finite(20.0, 120.0), finite(2.0, 8.0), finite(0.3, 1.2))
def test_three_points_undo_the_impedance(resonance: float, mechanical: float, electrical: float) -> None:
    ratio = 1.0 + mechanical / electrical
    width = resonance * math.sqrt(ratio) / mechanical
    lower = 0.5 * (math.sqrt(width**2 + 4.0 * resonance**2) - width)

    qms, qes, off = three_points(6.0, 6.0 * ratio, resonance=resonance, lower=lower, upper=lower + width)

    assert (qms, qes) == pytest.approx((mechanical, electrical), rel=1e-9)
    assert off == pytest.approx(0.0, abs=1e-9)


@given(finite(20.0, 80.0), finite(0.005, 0.2), finite(0.2, 0.6), finite(1.05, 3.0))
def test_the_volume_for_a_quality_gives_that_quality(
    resonance: float, compliance: float, quality: float, factor: float
) -> None:
    volume = closed_volume(compliance, quality, system_q=factor * quality)

    box = closed_box(resonance, compliance, total_q=quality, box_volume=volume)

    assert box.system_q == pytest.approx(factor * quality, rel=1e-9)
    assert box.peak_db >= 0.0


@given(qualities, finite(0.2, 12.0), finite(0.5, 2.2), st.none() | finite(3.0, 30.0))
def test_a_vented_box_is_half_power_down_at_its_corner(
    quality: float, ratio: float, tuning: float, leakage: float | None
) -> None:
    box = vented_box(
        30.0, 0.1, total_q=quality, box_volume=0.1 / ratio, box_tuning=30.0 * tuning, leakage_q=leakage
    )
    a1, a2, a3 = vented_coefficients(ratio, tuning, total_q=quality, leakage_q=leakage)

    def level(frequency: float) -> float:
        s = 1j * frequency / (30.0 * math.sqrt(tuning))
        return 20.0 * math.log10(abs(s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1.0)))

    assert level(box.half_power_frequency) == pytest.approx(-3.0103, abs=1e-4)
    above = box.half_power_frequency * np.geomspace(1.0, 50.0, 4000)
    levels = [level(float(f)) for f in above]
    assert min(levels) >= -3.0104
    assert max(levels) <= box.peak_db + 1e-6
    assert box.peak_db >= max(0.0, max(levels) - 1e-9) - 0.01


def test_a_tight_box_is_a_leaky_box_without_leaks() -> None:
    tight = vented_box(30.0, 0.1, total_q=0.4, box_volume=0.08, box_tuning=30.0)
    nearly = vented_box(30.0, 0.1, total_q=0.4, box_volume=0.08, box_tuning=30.0, leakage_q=1e9)

    assert nearly.half_power_frequency == pytest.approx(tight.half_power_frequency, rel=1e-6)


def test_the_exact_butterworth_box() -> None:
    # closed form: Qt 1/sqrt(4 + 2 sqrt 2), Vas/Vb sqrt 2, h 1 is the fourth-order Butterworth
    box = vented_box(
        30.0, 0.1, total_q=1.0 / math.sqrt(4.0 + 2.0 * math.sqrt(2.0)), box_volume=0.1 / math.sqrt(2.0),
        box_tuning=30.0,
    )  # fmt: skip

    assert box.half_power_frequency == pytest.approx(30.0, rel=1e-9)
    assert box.peak_db == pytest.approx(0.0, abs=1e-9)


@given(st.sampled_from(TYPES), finite(100.0, 8000.0), finite(2.0, 16.0))
@settings(max_examples=25, deadline=None)
def test_the_ladder_realises_its_polynomial(kind: str, corner: float, load: float) -> None:
    frequency = corner * np.geomspace(0.1, 10.0, 9)
    node, circuit = "n0", [Branch("source", ("n0", "common"), 1.0)]
    for n, e in enumerate(crossover_values(kind, "low", frequency=corner, resistance=load), start=1):
        ends = (node, f"n{n}") if e.position == "series" else (node, "common")
        circuit.append(Branch(e.kind, ends, e.value))
        node = ends[1] if e.position == "series" else node
    circuit.append(Branch("resistor", (node, "common"), load))

    found = network(circuit, frequency)[node]

    s = 1j * frequency / corner
    wanted = 1.0 / sum(c * s**n for n, c in enumerate(filter_polynomial(kind)))
    assert found == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("kind", TYPES)
def test_high_pass_is_the_mirror_of_low_pass(kind: str) -> None:
    low = crossover_values(kind, "low", frequency=1000.0, resistance=1.0)
    high = crossover_values(kind, "high", frequency=1000.0, resistance=1.0)

    for one, other in zip(low, high, strict=True):
        assert one.position == other.position
        assert one.kind != other.kind
        assert one.value * other.value == pytest.approx(1.0 / (2000.0 * math.pi) ** 2)
    assert len(low) == len(ladder(kind))


def test_the_sum_of_a_fourth_order_pair_is_flat() -> None:
    s = 1j * np.geomspace(0.01, 10.0, 50)
    whole = sum(c * s**n for n, c in enumerate(filter_polynomial("LR4")))

    assert np.abs((1.0 + s**4) / whole) == pytest.approx(np.ones(50), abs=1e-12)


@given(finite(1.0, 20.0), finite(0.1, 30.0))
def test_a_pad_attenuates_as_asked(load: float, attenuation: float) -> None:
    found = pad(load, attenuation)
    shunt = found.shunt * load / (found.shunt + load)

    assert 20.0 * math.log10(shunt / (shunt + found.series)) == pytest.approx(-attenuation, abs=1e-9)
    assert shunt + found.series == pytest.approx(load)


parts = st.builds(
    lambda kind, ends, value, own: Branch(kind, ends, {"resistor": 10.0, "inductor": 1e-3,
                                                       "capacitor": 1e-5}[kind] * value, own),
    st.sampled_from(("resistor", "inductor", "capacitor")),
    st.sampled_from((("a", "b"), ("b", "c"), ("c", "a"), ("a", "common"), ("b", "common"), ("c", "common"))),
    finite(0.1, 10.0),
    finite(0.0, 1.0),
)  # fmt: skip


@given(st.lists(parts, min_size=3, max_size=9))
@settings(max_examples=40, deadline=None)
def test_power_given_is_power_lost(found_parts: list[Branch]) -> None:
    # Tellegen: what the source gives is what the parts take
    circuit = [Branch("source", ("in", "common"), 2.0), Branch("resistor", ("in", "a"), 1.0),
               *[Branch("resistor", (n, "common"), 1e4) for n in ("b", "c")], *found_parts]  # fmt: skip
    frequency = np.array([50.0, 1000.0, 15000.0])
    volts = {**network(circuit, frequency), "common": np.zeros(3, dtype=np.complex128)}
    taken = np.zeros(3, dtype=np.complex128)
    for part in circuit[1:]:
        drop = volts[part.nodes[0]] - volts[part.nodes[1]]
        taken += np.abs(drop) ** 2 / np.conj(branch_impedance(part, frequency))
    given_by_source = 2.0 * np.conj(volts["in"] - volts["a"])  # through 1 ohm

    assert taken == pytest.approx(given_by_source, rel=1e-8, abs=1e-10)
    assert np.all(taken.real >= -1e-12)


@given(finite(0.1, 10.0))
def test_twice_the_source_is_twice_the_voltage(volts: float) -> None:
    def out(value: float) -> complex:
        circuit = [Branch("source", ("in", "common"), value, 0.5), Branch("capacitor", ("in", "o"), 1e-5),
                   Branch("resistor", ("o", "common"), 8.0)]  # fmt: skip
        return complex(network(circuit, np.array([800.0]))["o"][0])

    assert out(2.0 * volts) == pytest.approx(2.0 * out(volts), rel=1e-12)


def test_a_measured_part_is_read_between_its_points() -> None:
    rows = tuple((f, 6.0 + math.log(f), 2.0 * math.log(f)) for f in (100.0, 1000.0, 10000.0))
    part = Branch("measured", ("a", "common"), impedance=rows)

    z = branch_impedance(part, np.array([50.0, 300.0, 20000.0]))

    assert z[1] == pytest.approx(6.0 + math.log(300.0) + 2j * math.log(300.0))
    assert z[0] == pytest.approx(6.0 + math.log(100.0) + 2j * math.log(100.0))  # the end is held
    assert z[2] == pytest.approx(6.0 + math.log(1e4) + 2j * math.log(1e4))


@pytest.mark.parametrize(
    "circuit",
    [
        [Branch("source", ("a", "common"), 1.0), Branch("resistor", ("x", "y"), 8.0)],
        [Branch("source", ("a", "common"), 1.0), Branch("source", ("a", "common"), 2.0)],
    ],
)
def test_a_circuit_without_one_answer_is_refused(circuit: list[Branch]) -> None:
    with pytest.raises(InputError, match="circuit"):
        network(circuit, np.array([1000.0]))


@given(st.sampled_from((1, 2, 3, 6, 12, 24)), st.integers(-40, 40))
def test_bands_touch_and_are_centred(fraction: int, index: int) -> None:
    one, two = band_edges(fraction, index), band_edges(fraction, index + 1)

    assert one.upper == pytest.approx(two.lower, rel=1e-12)
    assert math.sqrt(one.lower * one.upper) == pytest.approx(one.centre, rel=1e-12)


@given(finite(10.0, 900.0))
def test_low_tones_weigh_less(frequency: float) -> None:
    assert a_weighting(frequency) < a_weighting(1.05 * frequency) < 0.1


@given(finite(5.0, 200.0), finite(2.0, 12.0), finite(0.5, 20.0))
def test_the_fundamental_leads_by_nothing_and_products_add(start: float, octaves: float, time: float) -> None:
    stop = start * 2.0**octaves

    def lead(order: float) -> float:
        return sweep_lead(start, stop, duration=time, order=order)

    assert lead(1) == 0.0
    assert lead(6) == pytest.approx(lead(2) + lead(3), rel=1e-9)
    whole = synchronized_rate(start, stop, duration=time) * start
    assert whole == pytest.approx(round(whole), abs=1e-9)
