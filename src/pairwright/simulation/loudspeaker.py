"""A simulated loudspeaker on a simulated rig: what a microphone and a current probe would give.

In time, and not linear: coil, suspension, air in the box; a board of second-order sections; the room, the
microphone, the amplifier; loose parts. The analysis knows nothing of it, and nothing here knows the
analysis. Everything it yields is marked as simulated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.simulation.loudspeaker_kernel import NEVER, compiled_move

Floats: TypeAlias = NDArray[np.float64]

AIR_DENSITY: Final = 1.2041  # at 20 degC [kg/m3]
SOUND_SPEED: Final = 343.21  # [m/s]
COPPER: Final = 0.00393  # relative rise of resistance [1/K]


@dataclass(frozen=True, slots=True)
class SimulatedUnit:
    """A drive unit, SI units; `bl_fall` and `stiffening` per square metre, `lopsided` per metre."""

    resistance: float = 5.8
    inductance: float = 0.5e-3
    force_factor: float = 7.2
    mass: float = 18.5e-3
    compliance: float = 0.85e-3
    loss: float = 1.35
    area: float = 137e-4
    bl_fall: float = 1.5e4
    stiffening: float = 2.5e4
    lopsided: float = 15.0
    heating: float = 2.0  # of the coil while it plays [K]


@dataclass(frozen=True, slots=True)
class Loose:
    """What should not be: a coil that rubs, a part that rattles. Off by default."""

    rub_at: float = NEVER  # displacement [m]
    rub: float = 0.0  # force [N]
    rattle_at: float = NEVER  # acceleration [m/s2]
    rattle: float = 0.0  # [m/s2]
    ring: float = 4200.0  # of the rattling part [Hz]
    ring_time: float = 1.5e-3  # in which it dies by e [s]


@dataclass(frozen=True, slots=True)
class Way:
    """One unit with its part of the board: second-order sections (n, 6), gain, sign, place."""

    unit: SimulatedUnit
    sections: tuple[tuple[float, ...], ...] = ()
    gain: float = 1.0
    box: float = 0.028  # volume behind it [m3]
    leak: float = 0.3  # rate at which pressure leaks away [1/s]
    further: float = 0.0  # further from the microphone than the first [m]
    loose: Loose = field(default_factory=Loose)
    # a mode that the analysis does not know: frequency [Hz], quality, strength
    mode: tuple[float, float, float] = (0.0, 1.0, 0.0)


@dataclass(frozen=True, slots=True)
class SimulatedLoudspeaker:
    """Ways that play together. `interrupted` seconds, at times drawn by the seed, the contact is lost."""

    ways: tuple[Way, ...]
    interrupted: float = 0.0


@dataclass(frozen=True, slots=True)
class Rig:
    """The rig: distance [m], sensitivity of the microphone [full scale/Pa], of the current probe
    [full scale/A], noise [Pa], the reflections [(s later, share)], gain error [-].
    """

    rate: float = 48_000.0
    distance: float = 0.5
    microphone: float = 0.02
    probe: float = 0.2
    noise: float = 1e-3
    reflections: tuple[tuple[float, float], ...] = ((5.2e-3, 0.35), (7.9e-3, -0.22), (11.4e-3, 0.18))
    gain: float = 1.0
    voltage: float = 2.83


@dataclass(frozen=True, slots=True)
class SimulatedRecording:
    """What the rig recorded: microphone and current in full scale, and a silence before."""

    microphone: Floats
    current: Floats
    silence: Floats
    rate: float
    simulated: bool = True


def play(
    speaker: SimulatedLoudspeaker, signal: Floats, rig: Rig, *, seed: int, tail: float = 0.3
) -> SimulatedRecording:
    """Play a signal of amplitude 1 through a loudspeaker on the rig.

    Parameters
    ----------
    speaker : SimulatedLoudspeaker
        The loudspeaker.
    signal : ndarray, shape (n,)
        The signal at the rig's rate. [-]
    rig : Rig
        The rig.
    seed : int
        Of noise, contacts and loose parts.
    tail : float
        Recorded after the signal. [s]
    """
    rng = np.random.default_rng(seed)
    extra = round(tail * rig.rate)
    voltage = np.concatenate([signal, np.zeros(extra)]) * rig.voltage * math.sqrt(2.0)
    voltage = voltage * _contact(voltage.size, rig.rate, speaker.interrupted, rng)
    pressure, current = np.zeros(voltage.size), np.zeros(voltage.size)
    for way in speaker.ways:
        heard, drawn = _way(way, voltage, rig, seed=int(rng.integers(1, 2**31 - 1)))
        pressure += heard
        current += drawn
    pressure = pressure * rig.gain + _reflected(pressure, rig)
    noise = rig.noise * _pink(voltage.size, rng)
    silence = rig.noise * _pink(voltage.size, rng)
    probed = current * rig.probe + 1e-5 * rng.standard_normal(current.size)
    return SimulatedRecording(
        _converted((pressure + noise) * rig.microphone), _converted(probed),
        _converted(silence * rig.microphone), rig.rate,
    )  # fmt: skip


def _way(way: Way, voltage: Floats, rig: Rig, *, seed: int) -> tuple[Floats, Floats]:
    """Pressure at the microphone and current of one way."""
    from scipy.signal import sosfilt

    unit = way.unit
    driven = np.asarray(sosfilt(np.array(way.sections), voltage)) if way.sections else voltage
    driven = np.ascontiguousarray(driven * way.gain)
    acceleration, current = np.empty(driven.size), np.empty(driven.size)
    warm = unit.resistance * (1.0 + COPPER * unit.heating)
    stiffness = AIR_DENSITY * SOUND_SPEED**2 / way.box
    constants = (
        1.0 / rig.rate, warm, unit.inductance, unit.force_factor, unit.mass, 1.0 / unit.compliance, unit.loss,
        unit.area, stiffness, way.leak, unit.bl_fall, unit.lopsided, unit.stiffening,
    )  # fmt: skip
    loose = way.loose
    decay = math.exp(-1.0 / (loose.ring_time * rig.rate))
    parts = (loose.rub_at, loose.rub, loose.rattle_at, loose.rattle, decay,
             math.cos(2.0 * math.pi * loose.ring / rig.rate), seed)  # fmt: skip
    compiled_move()(driven, constants, parts, (acceleration, current))
    if way.mode[2]:
        acceleration = acceleration + _mode(acceleration, way.mode, rig.rate)
    distance = rig.distance + way.further
    heard = acceleration * (AIR_DENSITY * unit.area / (2.0 * math.pi * distance))
    return _delayed(heard, distance / SOUND_SPEED * rig.rate), current


def _mode(values: Floats, mode: tuple[float, float, float], rate: float) -> Floats:
    """A resonance of box or cone that sings along."""
    from scipy.signal import iirpeak, lfilter

    b, a = iirpeak(mode[0], mode[1], fs=rate)
    return np.asarray(mode[2] * lfilter(b, a, values))


def _delayed(values: Floats, samples: float) -> Floats:
    """Later by a number of samples that need not be whole."""
    whole = math.floor(samples)
    share = samples - whole
    later = np.concatenate([np.zeros(whole), values])[: values.size]
    before = np.concatenate([[0.0], later[:-1]])
    return (1.0 - share) * later + share * before


def _reflected(pressure: Floats, rig: Rig) -> Floats:
    found = np.zeros(pressure.size)
    for late, share in rig.reflections:
        found += share * _delayed(pressure, late * rig.rate)
    return found


def _contact(size: int, rate: float, interrupted: float, rng: np.random.Generator) -> Floats:
    """One where the terminal holds, nothing where it has come loose: in short bursts."""
    holds = np.ones(size)
    for _ in range(round(interrupted / 2e-3)):
        begin = int(rng.integers(0, size))
        holds[begin : begin + round(2e-3 * rate)] = 0.0
    return holds


def _pink(size: int, rng: np.random.Generator) -> Floats:
    """Room noise of root mean square 1, its power falling with frequency."""
    spectrum = np.fft.rfft(rng.standard_normal(size))
    spectrum[1:] /= np.sqrt(np.arange(1, spectrum.size))
    spectrum[0] = 0.0
    found = np.fft.irfft(spectrum, size)
    return np.asarray(found / np.sqrt(np.mean(found**2)))


def _converted(values: Floats) -> Floats:
    """As a converter of 24 bits gives it: rounded, and cut at full scale."""
    steps = 2.0**23
    return np.clip(np.round(values * steps) / steps, -1.0, 1.0)


def two_way(*, crossover: float = 2200.0, rate: float = 48_000.0) -> SimulatedLoudspeaker:
    """A sound two-way loudspeaker: a low-mid unit and a dome, crossed over in phase at fourth order."""
    dome = SimulatedUnit(
        resistance=5.4, inductance=0.04e-3, force_factor=3.1, mass=0.42e-3, compliance=0.09e-3, loss=0.75,
        area=7.5e-4, bl_fall=2.0e5, stiffening=4.0e5, lopsided=20.0,
    )  # fmt: skip
    low = Way(SimulatedUnit(), _sections(crossover, "low", rate), gain=1.0, mode=(620.0, 9.0, 0.05))
    high = Way(dome, _sections(crossover, "high", rate), gain=0.85, box=0.0006, leak=3.0, further=0.004)
    return SimulatedLoudspeaker((low, high))


def _sections(frequency: float, side: str, rate: float) -> tuple[tuple[float, ...], ...]:
    """Fourth order, both halves -6 dB at the crossover: a second-order Butterworth twice."""
    from scipy.signal import butter

    one = butter(2, frequency, side, fs=rate, output="sos")
    return tuple(tuple(float(v) for v in row) for row in (*one, *one))


def scattered(speaker: SimulatedLoudspeaker, *, seed: int, spread: float = 1.0) -> SimulatedLoudspeaker:
    """Another of the same make: parts vary as good parts do, by a few per cent at most.

    Parameters
    ----------
    speaker : SimulatedLoudspeaker
        The design.
    seed : int
        Of the draw.
    spread : float
        Factor on the usual scatter. [-]
    """
    rng = np.random.default_rng(seed)

    def near(value: float, share: float) -> float:
        return float(value * (1.0 + spread * share * float(np.clip(rng.standard_normal(), -3.0, 3.0))))

    ways = []
    for way in speaker.ways:
        unit = replace(
            way.unit, resistance=near(way.unit.resistance, 0.008), force_factor=near(way.unit.force_factor, 0.008),
            mass=near(way.unit.mass, 0.008), compliance=near(way.unit.compliance, 0.03), loss=near(way.unit.loss, 0.05),
            inductance=near(way.unit.inductance, 0.02), heating=float(rng.uniform(0.5, 4.0)),
        )  # fmt: skip
        ways.append(replace(way, unit=unit, gain=near(way.gain, 0.008), leak=near(way.leak, 0.1)))
    return replace(speaker, ways=tuple(ways))
