"""Distortion by order, and what rubs and rattles leave: short events far above the tone that causes them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.measure.signal import Floats, bin_frequencies
from pairwright.measure.synchronized import Orders, inverse_spectrum

LOWEST_ORDER: Final = 10  # a rub or a rattle makes orders above this; a sound motor hardly any
BELOW: Final = 12.0  # tones per octave at which the residue is looked at [-]


@dataclass(frozen=True, slots=True)
class Residue:
    """What is left of a recording above the low orders, by the frequency that was played meanwhile.

    `fundamental` (n,) centre of each stretch [Hz]; `peak` and `rms` (n,) of the residue in it [unit of
    the recording]; `tone` (n,) rms of all that was recorded in it.
    """

    fundamental: Floats
    peak: Floats
    rms: Floats
    tone: Floats

    @property
    def crest(self) -> Floats:
        """Peak over root mean square: a steady residue has about 12 dB, a click far more. [dB]"""
        return np.asarray(20.0 * np.log10(np.maximum(self.peak, 1e-300) / np.maximum(self.rms, 1e-300)))

    @property
    def level(self) -> Floats:
        """Peak of the residue against the tone that was recorded. [dB]"""
        return np.asarray(20.0 * np.log10(np.maximum(self.peak, 1e-300) / np.maximum(self.tone, 1e-300)))


def order_levels(orders: Orders, fundamental: Floats) -> Floats:
    """Every order against the first, at fundamental frequencies. [dB]

    Parameters
    ----------
    orders : Orders
        A sweep taken apart.
    fundamental : ndarray, shape (n,)
        Played frequencies. [Hz]

    Returns
    -------
    ndarray, shape (orders - 1, n)
        Orders 2 and up; NaN beyond half the sampling rate. [dB]
    """
    first = np.abs(orders.at(1, fundamental))
    count = orders.orders.shape[0]
    rows = [np.abs(orders.at(k, fundamental)) / first for k in range(2, count + 1)]
    return np.asarray(20.0 * np.log10(np.maximum(np.array(rows), 1e-300)))


def total_distortion(orders: Orders, fundamental: Floats, *, of_total: bool = False) -> Floats:
    """Total harmonic distortion at fundamental frequencies. [-]

    Parameters
    ----------
    orders : Orders
        A sweep taken apart.
    fundamental : ndarray, shape (n,)
        Played frequencies. [Hz]
    of_total : bool
        Against everything instead of the fundamental alone; the two differ by 0.05 % of the value at 3 %.

    Notes
    -----
    Orders beyond half the sampling rate are left out.
    """
    sizes = np.array([np.abs(orders.at(k, fundamental)) for k in range(1, orders.orders.shape[0] + 1)])
    harmonics = np.sqrt(np.nansum(sizes[1:] ** 2, axis=0))
    below = np.hypot(harmonics, sizes[0]) if of_total else sizes[0]
    return np.asarray(harmonics / below)


def residue(values: Floats, orders: Orders, *, delay: float = 0.0) -> Residue:
    """What lies above the low orders while the sweep runs.

    Parameters
    ----------
    values : ndarray, shape (n,)
        The recording, beginning with the sweep. [unit of the recording]
    orders : Orders
        The same, taken apart.
    delay : float
        Arrival of the direct sound. [s]

    Notes
    -----
    Everything later than the tenth order is taken out of the impulse response, and the rest played
    through the sweep again: a high-pass filter that runs along with the tone. What is left is looked
    at in stretches of a twelfth of an octave of the tone.
    """
    import scipy.fft

    one, size = orders.sweep, orders.impulse.size
    rate = one.rate
    f = bin_frequencies(size, rate)
    cut = round(0.5 * (one.lead(LOWEST_ORDER) + one.lead(LOWEST_ORDER + 1)) * rate)
    far = round(min(one.lead(120.0), one.duration) * rate)
    kept = np.zeros(size)
    kept[size - far : size - cut] = orders.impulse[size - far : size - cut]
    inverse = inverse_spectrum(f, one)
    sweep_spectrum = np.divide(1.0, inverse, out=np.zeros_like(inverse), where=inverse != 0.0)
    left = scipy.fft.irfft(scipy.fft.rfft(kept, size) * sweep_spectrum, size)
    return _stretches(values, left[: values.size], orders, delay=delay)


def _stretches(values: Floats, left: Floats, orders: Orders, *, delay: float) -> Residue:
    one = orders.sweep
    octaves = math.log2(one.stop / one.start)
    edges = one.start * 2.0 ** (np.arange(math.floor(octaves * BELOW) + 1) / BELOW)
    places = np.round((one.slowness * np.log(edges / one.start) + delay) * one.rate).astype(int)
    places = places[places < min(values.size, left.size)]
    starts, ends = places[:-1], places[1:]
    size = np.maximum(ends - starts, 1)

    def rms(row: Floats) -> Floats:
        total = np.concatenate([[0.0], np.cumsum(row**2)])
        return np.asarray(np.sqrt((total[ends] - total[starts]) / size))

    peak = np.maximum.reduceat(np.abs(left[: ends[-1]]), starts) if starts.size else np.empty(0)
    middle = np.sqrt(edges[: starts.size] * edges[1 : starts.size + 1])
    return Residue(middle, peak, rms(left), rms(values))
