"""The chain from a sweep to its orders, bands, noise and verdicts, against closed forms and published values."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pairwright.measure.bands import band_edges
from pairwright.measure.distortion import order_levels, residue, total_distortion
from pairwright.measure.judging import Limit, conformance, judge
from pairwright.measure.response import arrival_of, band_levels, band_powers, bands_between, gated
from pairwright.measure.signal import Floats, Recording
from pairwright.measure.synchronized import Orders, Sweep, sweep, take_apart
from pairwright.measure.validity import clipped, noise_powers, without_noise

ONE = sweep(20.0, 20000.0, duration=5.0, rate=48000.0)
WAVE = ONE.samples()


def recorded(values: Floats, *, delay: int = 0, tail: int = 24000) -> Floats:
    return np.concatenate([np.zeros(delay), values, np.zeros(tail)])


@pytest.fixture(scope="module")
def polynomial() -> Orders:
    """y = x + 0.1 x^2 + 0.05 x^3 of a sweep of amplitude 1."""
    return take_apart(recorded(WAVE + 0.1 * WAVE**2 + 0.05 * WAVE**3), ONE, orders=5)


# By the Chebyshev identities cos(2t) and cos(3t) of a unit sine: 1 + 3/4 0.05, 0.1/2, 0.05/4;
# phases 0, -90 and 180 degrees. Method: A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786-798.
@pytest.mark.parametrize("fundamental", [200.0, 1000.0, 3000.0])
@pytest.mark.parametrize(
    ("order", "size", "degrees"), [(1, 1.0375, 0.0), (2, 0.05, -90.0), (3, 0.0125, 180.0)]
)
def test_a_polynomial_comes_out_order_by_order(
    polynomial: Orders, fundamental: float, order: int, size: float, degrees: float
) -> None:
    found = polynomial.at(order, np.array([fundamental]))[0]

    assert abs(found) == pytest.approx(size, abs=1e-5)
    turn = math.degrees(np.angle(found)) - degrees
    assert (turn + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=0.01)


def test_the_polynomial_s_total_distortion_is_that_of_its_orders(polynomial: Orders) -> None:
    # sqrt(0.05^2 + 0.0125^2)/1.0375 = 4.9676 % of the fundamental (closed form)
    assert total_distortion(polynomial, np.array([1000.0]))[0] == pytest.approx(0.049676, abs=1e-6)
    expected = [20 * math.log10(0.05 / 1.0375), 20 * math.log10(0.0125 / 1.0375)]
    assert order_levels(polynomial, np.array([1000.0]))[:2, 0] == pytest.approx(expected, abs=1e-3)


def test_the_synchronized_sweep_has_its_published_numbers() -> None:
    # L f1 whole: L = 0.7 s and T = 0.7 ln 1000 = 4.835429 s for a wish of 5 s, 20 Hz to 20 kHz
    assert (ONE.slowness, ONE.duration) == (pytest.approx(0.7), pytest.approx(4.835429, abs=1e-6))


def high_pass(frequency: float) -> tuple[Floats, Floats]:
    """A second-order high-pass by the bilinear transform: an oracle with a closed form."""
    from scipy.signal import butter

    b, a = butter(2, frequency, "high", fs=48000.0)
    return b, a


def played(values: Floats, *, delay: int = 0) -> Floats:
    """A sweep through a box that passes nothing low, as every loudspeaker is."""
    from scipy.signal import lfilter

    return recorded(np.asarray(lfilter(*high_pass(60.0), recorded(values, tail=0))), delay=delay)


def expected_levels(low: float, high: float) -> Floats:
    from scipy.signal import freqz

    f = np.arange(0.0, 24000.0, 0.5)
    found = np.abs(freqz(*high_pass(60.0), f, fs=48000.0)[1]) ** 2
    return 10 * np.log10(band_powers(f, found, bands_between(low, high, fraction=3)))


def test_a_high_pass_is_measured_as_it_is_in_closed_form() -> None:
    from scipy.signal import freqz

    f = np.array([60.0, 200.0, 1000.0, 10000.0])
    found = take_apart(played(WAVE), ONE).at(1, f)

    # the sweep begins at 20 Hz: near it the window cuts what rings on, by less than 0.02 dB
    assert found == pytest.approx(freqz(*high_pass(60.0), f, fs=48000.0)[1], abs=2e-3)


def test_a_delayed_and_reversed_path_is_seen_as_such() -> None:
    one = take_apart(played(-0.25 * WAVE, delay=480), ONE)
    found = arrival_of(one.impulse, 48000.0)
    levels = band_levels(gated(one, 0.2), bands_between(60.0, 10000.0, fraction=3), reference=0.25)

    assert (found.delay, found.polarity) == (pytest.approx(0.01), -1)
    assert levels == pytest.approx(expected_levels(60.0, 10000.0), abs=0.05)


def test_a_gate_hides_a_reflection_and_what_it_cannot_resolve() -> None:
    # an excess path of 1.5 m at 343 m/s: 4.373 ms, resolution 228.7 Hz (time-frequency reciprocity)
    gap = round(1.5 / 343.0 * 48000.0)
    direct = played(WAVE)
    echo = direct + 0.5 * np.concatenate([np.zeros(gap), direct])[: direct.size]
    gate = 0.95 * gap / 48000.0
    response = gated(take_apart(echo, ONE), gate)
    bands = bands_between(60.0, 10000.0, fraction=3)
    levels = band_levels(response, bands, reference=1.0)

    assert pytest.approx(228.7, abs=0.1) == 1.0 / (1.5 / 343.0)
    low = np.array([b.lower for b in bands]) < response.lowest
    assert np.isnan(levels[low]).all()
    off = np.abs(levels - expected_levels(60.0, 10000.0))
    well = np.array([b.lower for b in bands]) > 2.0 * response.lowest
    assert off[well].max() < 0.1
    opened = band_levels(gated(take_apart(echo, ONE), 0.2), bands, reference=1.0)
    assert np.abs(opened - expected_levels(60.0, 10000.0))[well].max() > 1.0


def test_bands_are_those_of_the_standard() -> None:
    # IEC 61260-1:2014: third octaves of x = -17 and 13 at 19.953 and 19952.6 Hz
    assert band_edges(3, -17).centre == pytest.approx(19.953, abs=5e-4)
    found = bands_between(17.0, 23000.0, fraction=3)
    assert (len(found), found[-1].centre) == (31, pytest.approx(19952.6, abs=0.05))


# K1 = -10 lg(1 - 10^(-0.1 d)) at 6 and 10 dB: 1.256 and 0.458 dB (closed form; limits of use from memory, ISO 3744)
@pytest.mark.parametrize(("above", "correction"), [(6.0, 1.256), (10.0, 0.458), (15.0, 0.0), (40.0, 0.0)])
def test_noise_is_taken_out_by_its_formula(above: float, correction: float) -> None:
    judged = without_noise(np.array([80.0]), np.array([80.0 - above]))

    assert 80.0 - judged.levels[0] == pytest.approx(correction, abs=1e-3)


def test_less_than_six_decibels_above_the_noise_nothing_is_proven() -> None:
    judged = without_noise(np.array([80.0, 80.0]), np.array([74.5, 81.0]))

    assert not judged.proven.any()


def test_the_noise_of_a_response_is_what_the_silence_says() -> None:
    rng = np.random.default_rng(5)
    silence = 0.01 * rng.standard_normal(WAVE.size + 24000)
    band = bands_between(200.0, 10000.0, fraction=1)
    expected = noise_powers(silence, ONE, gate=0.1, bands=band)
    measured = [
        10 ** (band_levels(gated(take_apart(noise, ONE), 0.1), band, reference=1.0) / 10)
        for noise in 0.01 * rng.standard_normal((12, silence.size))
    ]

    # the fading tail of the gate takes away 3/8 of three tenths of its power; 12 draws of noise are within 2 dB
    ratio = 10 * np.log10(np.mean(measured, axis=0) / expected)
    assert np.abs(ratio).max() < 2.0


def test_a_clipped_run_is_an_overload_and_a_touch_is_not() -> None:
    wave = np.sin(np.arange(4800) * 2 * math.pi * 50 / 4800)

    assert clipped(Recording(0.9 * wave, 48000.0)) == 0
    assert clipped(Recording(np.clip(1.2 * wave, -1.0, 1.0), 48000.0)) == 100


def test_a_click_and_a_rub_stand_out_where_they_are() -> None:
    rng = np.random.default_rng(7)
    clean = recorded(WAVE + 0.01 * WAVE**2 + 0.005 * WAVE**3) + 1e-4 * rng.standard_normal(WAVE.size + 24000)
    clicked = clean.copy()
    clicked[round(ONE.slowness * math.log(60.0 / 20.0) * 48000)] += 0.02

    sound, broken = (residue(row, take_apart(row, ONE)) for row in (clean, clicked))
    middle = (sound.fundamental > 40.0) & (sound.fundamental < 500.0)
    at = np.argmax(np.where(middle, broken.level, -999.0))

    assert broken.fundamental[at] == pytest.approx(60.0, rel=0.06)
    assert broken.level[at] > sound.level[middle].max() + 20.0
    assert broken.crest[at] > 20.0
    assert sound.crest[middle].max() < 16.0


# JCGM 106:2012: within one standard uncertainty to either side of a limit the probability to conform goes
# from 84.1 % to 15.9 % (normal distribution)
@pytest.mark.parametrize(("value", "chance"), [(-1.0, 0.8413), (0.0, 0.5), (1.0, 0.1587)])
def test_the_probability_to_conform_is_normal(value: float, chance: float) -> None:
    assert conformance(value, Limit(upper=0.0), uncertainty=1.0) == pytest.approx(chance, abs=1e-4)


def test_a_guard_band_leaves_what_it_accepts_at_least_95_percent_likely_to_conform() -> None:
    limit = Limit(-3.0, 3.0)
    for value in np.linspace(-4.0, 4.0, 161):
        said = judge(float(value), limit, uncertainty=0.5)
        chance = conformance(float(value), limit, uncertainty=0.5)
        assert said != "good" or chance >= 0.95 - 1e-4
        assert said != "bad" or chance <= 0.05 + 1e-4
        assert said != "not proven" or 0.05 - 1e-4 < chance < 0.95 + 1e-4


def test_a_sweep_that_cannot_be_sampled_is_refused() -> None:
    from pairwright.base.errors import InputError

    with pytest.raises(InputError):
        sweep(20.0, 30000.0, duration=5.0, rate=48000.0)
    with pytest.raises(InputError):
        gated(take_apart(recorded(WAVE), ONE), -1.0)
    with pytest.raises(InputError):
        arrival_of(np.zeros(1000), 48000.0)


def test_a_sweep_is_as_long_as_it_says() -> None:
    one: Sweep = sweep(10.0, 1000.0, duration=2.0, rate=8000.0)

    assert one.samples(fade=0.01).size == one.count
    assert one.frequency(np.array([0.0, one.duration])) == pytest.approx([10.0, 1000.0])
