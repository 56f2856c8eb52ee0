"""The synchronized exponential sweep: made, taken apart again, harmonic by harmonic.

The sweep starts every harmonic in phase, so that not only the size but also the phase of each order
comes out right. Its inverse is known in closed form; nothing is divided by a measured spectrum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.measure.signal import Complexes, Floats, bin_frequencies
from pairwright.measure.sweep import synchronized_rate

EDGE: Final = 0.02  # share of the sweep's octaves that fades in and out in the inverse [-]
BEFORE: Final = 0.5  # share of the way to the next order that a window takes before an order [-]


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sweep from `start` to `stop` [Hz] at a sampling `rate` [1/s].

    `slowness` is L, the time per factor e of frequency [s]; L times the first frequency is whole.
    """

    start: float
    stop: float
    rate: float
    slowness: float

    @property
    def duration(self) -> float:
        """Of the sweep. [s]"""
        return self.slowness * math.log(self.stop / self.start)

    @property
    def count(self) -> int:
        """Samples of the sweep. [-]"""
        return round(self.duration * self.rate)

    def frequency(self, time: Floats) -> Floats:
        """Frequency at a time from the beginning. [Hz]"""
        return np.asarray(self.start * np.exp(time / self.slowness))

    def lead(self, order: float) -> float:
        """Time by which an order comes before the first. [s]"""
        return self.slowness * math.log(order)

    def samples(self, *, fade: float = 0.0) -> Floats:
        """The sweep itself, of amplitude 1. [-]

        Parameters
        ----------
        fade : float
            Time in which it fades in and out. [s]
        """
        time = np.arange(self.count) / self.rate
        phase = 2.0 * math.pi * self.start * self.slowness * np.exp(time / self.slowness)
        wave = np.sin(phase)
        fading = min(round(fade * self.rate), self.count // 2)
        if fading:
            ramp = 0.5 - 0.5 * np.cos(math.pi * np.arange(fading) / fading)
            wave[:fading] *= ramp
            wave[-fading:] *= ramp[::-1]
        return np.asarray(wave)


def sweep(start: float, stop: float, *, duration: float, rate: float) -> Sweep:
    """A sweep of about a duration, synchronized.

    Parameters
    ----------
    start : float
        First frequency. [Hz]
    stop : float
        Last frequency, at most half the rate. [Hz]
    duration : float
        Wished; it comes out a little shorter or longer. [s]
    rate : float
        Sampling rate. [1/s]

    References
    ----------
    .. [1] A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786-798.

    Examples
    --------
    >>> one = sweep(20.0, 20000.0, duration=5.0, rate=48000.0)
    >>> one.slowness, round(one.duration, 6)
    (0.7, 4.835429)
    """
    if not 0.0 < start < stop <= 0.5 * rate:
        raise InputError(
            Problem("sweep", "start, stop", text("rising, and up to half the rate of {rate} 1/s", rate=rate),
                    shown([start, stop]), text("choose frequencies that can be sampled"))
        )  # fmt: skip
    return Sweep(start, stop, rate, synchronized_rate(start, stop, duration=duration))


@dataclass(frozen=True, slots=True)
class Orders:
    """A recorded sweep taken apart.

    `impulse` (n,) [1/s] with order 1 at time 0 and higher orders before it, wrapped to the end;
    `frequencies` (m,) [Hz]; `orders` (count, m) complex: order k at the frequencies it came out at,
    relative to a unit sine in. [unit of the recording]
    """

    sweep: Sweep
    impulse: Floats
    frequencies: Floats
    orders: Complexes

    def at(self, order: int, fundamental: Floats) -> Complexes:
        """An order while the sweep was at fundamental frequencies; NaN beyond half the rate. [-]"""
        real = np.interp(order * fundamental, self.frequencies, self.orders[order - 1].real, right=math.nan)
        imag = np.interp(order * fundamental, self.frequencies, self.orders[order - 1].imag, right=math.nan)
        return np.asarray(real + 1j * imag)


def inverse_spectrum(frequencies: Floats, one: Sweep) -> Complexes:
    """Spectrum that undoes a sweep, in closed form. [1/s]

    Parameters
    ----------
    frequencies : ndarray, shape (n,)
        Where it is wanted; 0 gives 0. [Hz]
    one : Sweep
        The sweep.

    References
    ----------
    .. [1] Novak et al. 2015, equation 43: 2 sqrt(f/L) exp(-j 2 pi f L (1 - ln(f/f1)) + j pi/4).
    """
    f = np.where(frequencies > 0.0, frequencies, 1.0)
    phase = -2.0 * math.pi * f * one.slowness * (1.0 - np.log(f / one.start)) + 0.25 * math.pi
    found = 2.0 * np.sqrt(f / one.slowness) * np.exp(1j * phase)
    return np.where(frequencies > 0.0, found, 0.0)


def take_apart(values: Floats, one: Sweep, *, orders: int = 10, most: float = 0.25) -> Orders:
    """Impulse response and orders from the recording of a sweep.

    Parameters
    ----------
    values : ndarray, shape (n,)
        The recording, beginning with the sweep. [unit of the recording]
    one : Sweep
        The sweep that was played, of amplitude 1.
    orders : int
        How many orders, the first included. [-]
    most : float
        Longest window to either side of an order. What the abrupt end of the sweep leaves lies later
        than this for all but the highest frequencies. [s]

    Notes
    -----
    Order k lies L ln k before the first. Its window ends where the next one's begins: for high orders
    that is short, and their resolution coarse. The inverse fades at the ends of the sweep, so that
    noise outside is not blown up.
    """
    import scipy.fft

    size = scipy.fft.next_fast_len(values.size + one.count, real=True)
    f = bin_frequencies(size, one.rate)
    spectrum = scipy.fft.rfft(values, size) / one.rate * inverse_spectrum(f, one) * _band(f, one)
    impulse = scipy.fft.irfft(spectrum, size) * one.rate
    windows = [_window(impulse, one, order=k, most=most) for k in range(1, orders + 1)]
    length = scipy.fft.next_fast_len(max(w.size for w, _ in windows), real=True)
    frequencies = bin_frequencies(length, one.rate)
    found = np.empty((orders, frequencies.size), dtype=np.complex128)
    for n, (window, offset) in enumerate(windows):
        found[n] = scipy.fft.rfft(window, length) / one.rate * np.exp(2j * math.pi * frequencies * offset)
    return Orders(one, impulse, frequencies, found)


def _band(f: Floats, one: Sweep) -> Floats:
    """One within the sweep and its harmonics, fading below its start and towards half the rate."""
    octaves = math.log2(one.stop / one.start)
    low = one.start * 2.0 ** (-EDGE * octaves)
    place = np.clip(np.log2(np.maximum(f, 1e-9) / low) / (EDGE * octaves), 0.0, 1.0)
    return np.asarray(0.5 - 0.5 * np.cos(math.pi * place))


def _window(impulse: Floats, one: Sweep, *, order: int, most: float) -> tuple[Floats, float]:
    """The stretch of the impulse response that holds an order, and its beginning before it. [s]"""
    behind = one.lead(order) - one.lead(order - 1) if order > 1 else most / (1.0 - BEFORE)
    before = BEFORE * (one.lead(order + 1) - one.lead(order))
    after = (1.0 - BEFORE) * behind
    before, after = min(before, most), min(after, most)
    first = round((-one.lead(order) - before) * one.rate)
    last = round((-one.lead(order) + after) * one.rate)
    taken = np.take(impulse, np.arange(first, last), mode="wrap")
    fading = max(1, min(taken.size // 8, round(0.02 * one.rate)))
    ramp = 0.5 - 0.5 * np.cos(math.pi * (np.arange(fading) + 0.5) / fading)
    taken[:fading] *= ramp
    taken[-fading:] *= ramp[::-1]
    return taken, -(first / one.rate + one.lead(order))
