"""One sweep, everything it tells: response, distortion by order, residue, impedance, delay, polarity, validity."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from pairwright.base.words import Text, text
from pairwright.measure.bands import Band
from pairwright.measure.distortion import Residue, order_levels, residue
from pairwright.measure.response import band_levels, band_powers, bands_between, gated, mean_level
from pairwright.measure.signal import REFERENCE_PRESSURE, Complexes, Floats, Recording
from pairwright.measure.synchronized import Orders, Sweep, take_apart
from pairwright.measure.validity import clipped, noise_powers

ORDERS: Final = 10
NOISE_DRAW: Final = 9.0  # of one draw of noise over its mean: more in one of 3000 [dB]
NOISE_PEAK: Final = 5.0  # of noise within a stretch, over its root mean square: 14 dB, seldom more [-]
CLEAR: Final = 6.0  # above the noise by less, a residue is taken to be noise [dB]


@dataclass(frozen=True, slots=True)
class Setup:
    """How a sweep is played and looked at.

    `sweep`; `drive` of the sweep, root mean square [V]; `gate` [s]; bands per octave of responses and
    of distortion; `lowest` and `highest` frequency looked at [Hz]; `level_from` and `level_to` bound
    the range of the sensitivity [Hz]; distortion and residue are looked at up to `tone_to` [Hz].
    """

    sweep: Sweep
    drive: float
    gate: float
    fraction: int = 6
    lowest: float = 40.0
    highest: float = 16000.0
    level_from: float = 300.0
    level_to: float = 3000.0
    tone_to: float = 3000.0

    @property
    def bands(self) -> tuple[Band, ...]:
        """Bands of the response."""
        return bands_between(self.lowest, self.highest, fraction=self.fraction)

    @property
    def tone_bands(self) -> tuple[Band, ...]:
        """Thirds of octaves of the tone, for distortion and residue."""
        return bands_between(self.lowest, self.tone_to, fraction=3)


@dataclass(frozen=True, slots=True)
class Course:
    """A characteristic over frequency: `centres` (n,) [Hz], `values` (n,) in `unit`.

    `values` are as measured, noise and all; `noise` (n,) is what the noise alone would have given, in
    the same unit, NaN where it is not known. A value near its noise is no more than an upper bound.
    """

    name: str
    unit: str
    centres: Floats
    values: Floats
    noise: Floats


@dataclass(frozen=True, slots=True)
class Examination:
    """What one sweep told. `doubts` say in words why it proves nothing, where it does not."""

    courses: Mapping[str, Course]
    numbers: Mapping[str, float]
    impedance: tuple[Floats, Complexes] | None = None
    doubts: tuple[Text, ...] = ()
    simulated: bool = False
    digests: tuple[str, ...] = field(default=())

    @property
    def valid(self) -> bool:
        """Whether the recording can prove anything at all."""
        return not self.doubts


def examine(
    microphone: Recording, setup: Setup, *, silence: Recording | None = None, current: Recording | None = None
) -> Examination:
    """Everything that a recorded sweep tells.

    Parameters
    ----------
    microphone : Recording
        Sound pressure, beginning with the sweep. [Pa]
    setup : Setup
        How it was played.
    silence : Recording, optional
        The room without the sweep; without it noise is not judged and that is a doubt. [Pa]
    current : Recording, optional
        Through the terminals meanwhile. [A]

    Notes
    -----
    Levels are those of a steady drive of `setup.drive`. Overload, and an unknown noise, are doubts
    about everything; noise itself is judged with each value (`quality.masks.judged`).
    """
    scale = 1.0 / math.sqrt(2.0)  # the sweep's peak is its drive times the root of 2
    apart = take_apart(microphone.values * scale, setup.sweep, orders=ORDERS)
    response = gated(apart, setup.gate)
    levels = band_levels(response, setup.bands)
    noise, quiet = np.full(levels.size, math.nan), None
    doubts = _overload((microphone, text("microphone")), (current, text("current")))
    if silence is None:
        doubts.append(text("no silence was recorded: the noise is not known"))
    else:
        quiet = silence.values * scale
        powers = noise_powers(quiet, setup.sweep, gate=setup.gate, bands=setup.bands)
        noise = 10.0 * np.log10(np.maximum(powers, 1e-300) / REFERENCE_PRESSURE**2)
    centres = np.array([b.centre for b in setup.bands])
    inside = (centres >= setup.level_from) & (centres <= setup.level_to)
    level = mean_level(levels[inside])
    courses = {
        "response": Course("response", "dB", centres, levels, noise),
        "shape": Course("shape", "dB", centres, levels - level, noise - level),
        **_distortion(microphone.values * scale, apart, setup, quiet=quiet, delay=response.arrival.delay),
    }
    numbers = {
        "sensitivity": level, "delay": response.arrival.delay, "polarity": float(response.arrival.polarity),
    }  # fmt: skip
    impedance = None
    if current is not None:
        impedance = _impedance(current, setup)
        courses["impedance"] = _impedance_course(impedance, setup)
    return Examination(
        courses, numbers, impedance, tuple(doubts), microphone.simulated,
        tuple(r.digest for r in (microphone, silence, current) if r is not None),
    )  # fmt: skip


def _overload(*rows: tuple[Recording | None, Text]) -> list[Text]:
    found = []
    for recording, name in rows:
        times = 0 if recording is None else clipped(recording)
        if times:
            found.append(text("the {input} was overloaded {n} times", input=name, n=times))
    return found


def _distortion(
    values: Floats, apart: Orders, setup: Setup, *, quiet: Floats | None, delay: float
) -> dict[str, Course]:
    """Orders 2 and 3, residue and its crest by thirds of octaves of the tone, each with its noise."""
    centres = np.array([b.centre for b in setup.tone_bands])
    orders, left = order_levels(apart, centres), residue(values, apart, delay=delay)
    level, crest = (_highest(setup, left.fundamental, row) for row in (left.level, left.crest))
    unknown = np.full(centres.size, math.nan)
    noise = (unknown, unknown, unknown)
    if quiet is not None:
        noise = _distortion_noise(np.resize(quiet, values.size), apart, setup, left=left, delay=delay)
    # the crest of what is noise says nothing of the unit
    buried = np.where(level - noise[2] < CLEAR, crest, -math.inf)
    return {
        "second order": Course("second order", "dB", centres, orders[0], noise[0]),
        "third order": Course("third order", "dB", centres, orders[1], noise[1]),
        "residue": Course("residue", "dB", centres, level, noise[2]),
        "crest": Course("crest", "dB", centres, crest, buried),
    }


def _distortion_noise(
    quiet: Floats, apart: Orders, setup: Setup, *, left: Residue, delay: float
) -> tuple[Floats, Floats, Floats]:
    """What a silence would be taken for: orders 2 and 3 against the tone, residue against the tone. [dB]

    An order at one frequency is one draw of the noise, which now and then is far above its mean: the mean
    power of the third of an octave is taken, and 6 dB added.
    """
    none = take_apart(quiet, setup.sweep, orders=3)
    tone = np.abs(apart.at(1, np.array([b.centre for b in setup.tone_bands])))
    found = []
    for order in (2, 3):
        bands = tuple(Band(order * b.centre, order * b.lower, order * b.upper) for b in setup.tone_bands)
        power = band_powers(none.frequencies, np.abs(none.orders[order - 1]) ** 2, bands)
        found.append(_decibel(np.sqrt(power) / tone) + NOISE_DRAW)
    alone = residue(quiet, none, delay=delay)
    loud = _decibel(NOISE_PEAK * alone.rms[: left.tone.size] / left.tone)
    return found[0], found[1], _highest(setup, left.fundamental, loud)


def _decibel(ratio: Floats) -> Floats:
    return np.asarray(20.0 * np.log10(np.maximum(ratio, 1e-300)))


def _highest(setup: Setup, fundamental: Floats, values: Floats) -> Floats:
    """The highest value within each third of an octave of the tone; NaN where there is none."""
    tones = setup.tone_bands
    place = np.searchsorted([b.upper for b in tones], fundamental)
    inside = (place < len(tones)) & (fundamental >= tones[0].lower)
    found = np.full(len(tones), -math.inf)
    np.maximum.at(found, place[inside], values[inside])
    return np.where(np.isfinite(found), found, math.nan)


def _impedance(current: Recording, setup: Setup) -> tuple[Floats, Complexes]:
    """Voltage over current at the frequencies of the first order. [Hz, ohm]"""
    apart = take_apart(current.values, setup.sweep, orders=1)
    f = apart.frequencies
    used = (f >= setup.sweep.start) & (f <= setup.highest)
    return f[used], setup.drive * math.sqrt(2.0) / apart.orders[0][used]


def _impedance_course(impedance: tuple[Floats, Complexes], setup: Setup) -> Course:
    f, z = impedance
    bands = tuple(b for b in setup.bands if b.lower >= f[0] and b.upper <= f[-1])
    shifted = tuple(Band(b.centre, b.lower - f[0], b.upper - f[0]) for b in bands)
    sizes = np.sqrt(band_powers(f - f[0], np.abs(z) ** 2, shifted))
    unknown = np.full(len(bands), math.nan)
    return Course("impedance", "ohm", np.array([b.centre for b in bands]), sizes, unknown)
