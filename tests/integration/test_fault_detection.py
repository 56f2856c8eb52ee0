"""The bench finds what is wrong with a simulated loudspeaker, passes good ones, and never judges noise."""

from __future__ import annotations

import numpy as np
import pytest

from pairwright.base.errors import InputError
from pairwright.measure.examination import Examination, Setup, examine
from pairwright.measure.signal import Recording
from pairwright.measure.synchronized import sweep
from pairwright.quality.masks import Mask, deviation, judged, make_mask
from pairwright.simulation.faults import FAULTS, Fault
from pairwright.simulation.loudspeaker import Rig, play, scattered, two_way

SETUP = Setup(sweep(20.0, 20000.0, duration=1.5, rate=48000.0), drive=2.83, gate=0.2)
WAVE = SETUP.sweep.samples(fade=0.003)
UPPER = ("second order", "third order", "residue", "crest")
COURSES = ("shape", *UPPER, "impedance")
SURE = [f for f in FAULTS if f.name not in ("box leaks", "cone heavy", "magnet weak", "turns shorted")]


def measured(seed: int, fault: Fault | None = None) -> Examination:
    speaker, rig, usual = scattered(two_way(), seed=seed), Rig(), Rig()
    if fault is not None:
        speaker, rig = fault.make(speaker, rig)
    taken = play(speaker, WAVE, rig, seed=seed + 1)
    return examine(
        Recording(taken.microphone, taken.rate, 1.0 / usual.microphone, "Pa", simulated=True), SETUP,
        silence=Recording(taken.silence, taken.rate, 1.0 / usual.microphone, "Pa"),
        current=Recording(taken.current, taken.rate, 1.0 / usual.probe, "A"),
    )  # fmt: skip


@pytest.fixture(scope="module")
def masks() -> dict[str, Mask]:
    good = [measured(10 * n) for n in range(30)]
    found = {
        name: make_mask(np.array([one.courses[name].values for one in good]), upper_only=name in UPPER)
        for name in COURSES
    }
    found |= {
        name: make_mask(np.array([[one.numbers[name]] for one in good]), least=least)
        for name, least in (("sensitivity", 0.03), ("delay", 1e-5), ("polarity", 0.1))
    }
    return found


def said(one: Examination, masks: dict[str, Mask]) -> str:
    if not one.valid:
        return "not proven"
    found = [judged(masks[n], one.courses[n].values, one.courses[n].noise) for n in COURSES]
    found += [judged(masks[n], np.array([one.numbers[n]])) for n in ("sensitivity", "delay", "polarity")]
    return "bad" if "bad" in found else "not proven" if "not proven" in found else "good"


def test_good_units_pass(masks: dict[str, Mask]) -> None:
    assert [said(measured(5000 + 10 * n), masks) for n in range(8)] == ["good"] * 8


@pytest.mark.parametrize("fault", SURE, ids=[f.name for f in SURE])
def test_a_fault_is_found_and_noise_is_not_judged(fault: Fault, masks: dict[str, Mask]) -> None:
    assert said(measured(7770, fault), masks) == ("not proven" if fault.unproven else "bad")


def test_a_recording_without_its_silence_proves_nothing() -> None:
    taken = play(two_way(), WAVE, Rig(), seed=1)

    one = examine(Recording(taken.microphone, taken.rate, 50.0, "Pa"), SETUP)

    assert not one.valid


def test_sensitivity_is_that_of_the_simulated_unit() -> None:
    # the efficiency of Small, JAES 20(5) 1972: L = 20 lg(rho Sd Bl U/(2 pi r Re M)/20 uPa) in the mass-controlled range
    unit = two_way().ways[0].unit
    pressure = 1.2041 * unit.area * unit.force_factor * 2.83 / (2 * np.pi * 0.5 * unit.resistance * unit.mass)
    expected = 20 * np.log10(pressure / 20e-6)

    one = measured(3)

    # the coil's inductance and the room take and give: 2.5 dB
    assert one.numbers["sensitivity"] == pytest.approx(expected, abs=2.5)


def test_few_good_units_make_no_mask_and_more_make_a_narrower_one() -> None:
    rng = np.random.default_rng(3)
    few, many = (make_mask(rng.standard_normal((n, 30)), alarms=0.01) for n in (25, 400))

    assert few.most > many.most
    with pytest.raises(InputError):
        make_mask(rng.standard_normal((10, 30)))


def test_a_mask_keeps_its_share_of_false_alarms() -> None:
    rng = np.random.default_rng(4)
    mask = make_mask(rng.standard_normal((400, 40)), alarms=0.01)
    others = rng.standard_normal((20000, 40))

    alarms = np.mean([deviation(mask, row) > mask.most for row in others])

    assert 0.0005 < alarms < 0.012


def test_near_the_noise_a_value_is_only_an_upper_bound() -> None:
    rng = np.random.default_rng(5)
    both = make_mask(rng.standard_normal((100, 3)))
    upper = make_mask(rng.standard_normal((100, 3)), upper_only=True)
    noise = np.array([-1.0, -99.0, -99.0])

    assert judged(upper, np.zeros(3), noise) == "good"
    assert judged(both, np.zeros(3), noise) == "not proven"
    assert judged(upper, np.array([90.0, 0.0, 0.0]), np.array([88.0, -99.0, -99.0])) == "not proven"
    assert judged(upper, np.array([90.0, 0.0, 0.0]), noise) == "bad"
    assert judged(both, np.array([-90.0, 0.0, 0.0]), np.array([-91.0, -99.0, -99.0])) == "bad"
    assert judged(both, np.array([np.nan, 0.0, 0.0])) == "not proven"
