"""From an impulse response to a judged curve: gate, arrival, polarity, bands, levels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.measure.bands import Band, band_edges
from pairwright.measure.signal import REFERENCE_PRESSURE, Complexes, Floats, bin_frequencies
from pairwright.measure.synchronized import Orders

RISE: Final = 0.001  # that a gate begins before the arrival [s]
TAIL: Final = 0.3  # share of a gate that fades out [-]
FIRST: Final = 0.3  # share of the largest sample that counts as the arrival [-]


@dataclass(frozen=True, slots=True)
class Arrival:
    """When the sound comes, and which way it begins: +1 or -1."""

    delay: float  # [s]
    polarity: int
    crest: float  # largest sample over the root mean square of its surroundings [-]


@dataclass(frozen=True, slots=True)
class Response:
    """A gated response.

    `frequencies` (n,) [Hz]; `transfer` (n,) complex, phase from the arrival on [unit of the recording
    per unit of the sweep]; `lowest` frequency that the gate resolves [Hz].
    """

    frequencies: Floats
    transfer: Complexes
    lowest: float
    arrival: Arrival


def arrival_of(impulse: Floats, rate: float, *, within: float = 0.1) -> Arrival:
    """When the direct sound arrives, and its polarity.

    Parameters
    ----------
    impulse : ndarray, shape (n,)
        Impulse response; times before 0 lie at its end. [1/s]
    rate : float
        Sampling rate. [1/s]
    within : float
        The arrival lies within this time. [s]

    Notes
    -----
    The arrival is the first sample of at least 0.3 of the largest; its sign is that of the first
    half wave: positive where a positive voltage moves the diaphragm outward.
    """
    part = impulse[: max(2, round(within * rate))]
    size = np.abs(part)
    peak = float(size.max(initial=0.0))
    if peak <= 0.0 or not math.isfinite(peak):
        raise InputError(
            Problem("recording", "samples", text("a sweep that can be heard"), "silence",
                    text("check amplifier, microphone and routing"))
        )  # fmt: skip
    first = int(np.argmax(size >= FIRST * peak))
    sign = 1 if part[first] > 0.0 else -1
    around = part[: first + round(0.01 * rate)]
    return Arrival(first / rate, sign, peak / float(np.sqrt(np.mean(around**2))))


def gated(orders: Orders, gate: float, *, within: float = 0.1, resolution: float = 1.0) -> Response:
    """The first order through a gate: what came before the first reflection.

    Parameters
    ----------
    orders : Orders
        A sweep taken apart.
    gate : float
        Time after the arrival that still counts. [s]
    within : float
        The arrival lies within this time. [s]
    resolution : float
        Spacing of the frequencies, by zeros behind the gate. [Hz]

    Notes
    -----
    Below 1/gate nothing is resolved: such values are not valid.

    References
    ----------
    .. [1] Time and resolution: a gate of T resolves 1/T (Fourier).
    """
    import scipy.fft

    rate = orders.sweep.rate
    if not 0.0 < gate <= 0.25 * orders.impulse.size / rate:
        raise InputError(
            Problem("measurement", "gate", text("above 0, and shorter than the recording"), shown(gate),
                    text("take the time from the direct sound to the first reflection"))
        )  # fmt: skip
    arrival = arrival_of(orders.impulse, rate, within=within)
    before, after = round(RISE * rate), max(2, round(gate * rate))
    start = round(arrival.delay * rate) - before
    taken = np.take(orders.impulse, np.arange(start, start + before + after), mode="wrap")
    taken *= _gate(before, after)
    size = scipy.fft.next_fast_len(max(taken.size, round(rate / resolution)), real=True)
    frequencies = bin_frequencies(size, rate)
    turned = np.exp(2j * math.pi * frequencies * before / rate)
    return Response(frequencies, scipy.fft.rfft(taken, size) / rate * turned, 1.0 / gate, arrival)


def _gate(before: int, after: int) -> Floats:
    shape = np.ones(before + after)
    rise, fall = max(1, before // 2), max(1, round(TAIL * after))
    shape[:rise] = 0.5 - 0.5 * np.cos(math.pi * (np.arange(rise) + 0.5) / rise)
    shape[-fall:] = 0.5 + 0.5 * np.cos(math.pi * (np.arange(fall) + 0.5) / fall)
    return shape


def bands_between(lowest: float, highest: float, *, fraction: int) -> tuple[Band, ...]:
    """Every band of a fraction of an octave whose edges lie between two frequencies.

    Parameters
    ----------
    lowest : float
        No lower edge lies below. [Hz]
    highest : float
        No upper edge lies above. [Hz]
    fraction : int
        Bands per octave. [-]

    Examples
    --------
    >>> [round(b.centre) for b in bands_between(300.0, 1200.0, fraction=3)]
    [398, 501, 631, 794, 1000]
    """
    middle = math.log10(lowest / 1000.0) / 0.3 * fraction
    found = []
    for index in range(math.floor(middle) - 1, math.ceil(math.log10(highest / 1000.0) / 0.3 * fraction) + 2):
        band = band_edges(fraction, index)
        if band.lower >= lowest * (1.0 - 1e-9) and band.upper <= highest * (1.0 + 1e-9):
            found.append(band)
    return tuple(found)


def band_powers(frequencies: Floats, powers: Floats, bands: tuple[Band, ...]) -> Floats:
    """Mean power of each band: by power, edges cut within a bin. [unit of the powers]

    Parameters
    ----------
    frequencies : ndarray, shape (n,)
        Rising from 0 in equal steps. [Hz]
    powers : ndarray, shape (n,)
        Squared sizes. [-]
    bands : tuple of Band
        The bands.

    Examples
    --------
    >>> f = np.linspace(0.0, 2000.0, 2001)
    >>> round(float(band_powers(f, np.ones(2001), (band_edges(3, 0),))[0]), 12)
    1.0
    """
    total = np.concatenate([[0.0], np.cumsum(0.5 * (powers[1:] + powers[:-1]) * np.diff(frequencies))])
    lower = np.interp([b.lower for b in bands], frequencies, total)
    upper = np.interp([b.upper for b in bands], frequencies, total)
    return np.asarray((upper - lower) / np.array([b.upper - b.lower for b in bands]))


def band_levels(
    response: Response, bands: tuple[Band, ...], *, reference: float = REFERENCE_PRESSURE
) -> Floats:
    """Level of a response in bands; NaN where the gate does not resolve a band. [dB]

    Parameters
    ----------
    response : Response
        The response.
    bands : tuple of Band
        The bands.
    reference : float
        What 0 dB is; 20 micropascals for sound pressure. [unit of the response]

    Notes
    -----
    Smoothed by power, the phase left alone. A band counts when it lies above the lowest frequency
    that the gate resolves.

    References
    ----------
    .. [1] IEC 61260-1:2014 (bands).
    """
    powers = band_powers(response.frequencies, np.abs(response.transfer) ** 2, bands)
    level = 10.0 * np.log10(np.maximum(powers, 1e-300) / reference**2)
    return np.where([b.lower >= response.lowest for b in bands], level, math.nan)


def mean_level(levels: Floats) -> float:
    """Level of the mean power of bands, as sensitivity in a stated range is. [dB]

    >>> round(mean_level(np.array([90.0, 90.0])), 6)
    90.0
    """
    good = levels[np.isfinite(levels)]
    if not good.size:
        return math.nan
    return 10.0 * math.log10(float(np.mean(10.0 ** (good / 10.0))))
