"""Whether a recording proves anything: overload, noise, silence. What proves nothing is neither good nor bad."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from pairwright.measure.bands import Band
from pairwright.measure.response import band_powers
from pairwright.measure.signal import Floats, Recording, bin_frequencies
from pairwright.measure.synchronized import Sweep, inverse_spectrum

FULL: Final = 0.999  # of full scale: at or above, a sample is taken to be clipped [-]
RUN: Final = 2  # so many clipped samples in a row are an overload [-]
CLEAR: Final = 15.0  # above the noise by so much, the noise does not count [dB]: from memory, ISO 3744
LEAST: Final = 6.0  # above the noise by less, nothing is proven [dB]: from memory, ISO 3744


@dataclass(frozen=True, slots=True)
class NoiseJudged:
    """Levels in bands with the noise taken out where that is allowed.

    `levels` (n,) [dB], NaN where nothing is proven; `above` (n,) distance to the noise [dB].
    """

    levels: Floats
    above: Floats

    @property
    def proven(self) -> np.ndarray:
        """Bands far enough above the noise."""
        return np.isfinite(self.levels)


def clipped(recording: Recording, *, full: float = FULL) -> int:
    """How many times the recording was overloaded. [-]

    Parameters
    ----------
    recording : Recording
        The recording.
    full : float
        Share of full scale that counts as the end of the scale. [-]

    Examples
    --------
    >>> clipped(Recording(np.array([0.0, 1.0, 1.0, 0.2, 1.0, 0.1]), 48000.0))
    1
    """
    over = np.abs(recording.samples) >= full
    edges = np.diff(np.concatenate([[0], over.astype(np.int8), [0]]))
    lengths = np.flatnonzero(edges == -1) - np.flatnonzero(edges == 1)
    return int(np.count_nonzero(lengths >= RUN))


def noise_powers(silence: Floats, one: Sweep, *, gate: float, bands: tuple[Band, ...]) -> Floats:
    """What the noise of a silence comes to in the bands of a gated response. [unit squared]

    Parameters
    ----------
    silence : ndarray, shape (n,)
        A recording without a sweep. [unit of the recording]
    one : Sweep
        The sweep that responses are taken with.
    gate : float
        Of the response. [s]
    bands : tuple of Band
        The bands.

    Notes
    -----
    The noise is spread evenly over the recording. Of its deconvolved power the gate lets through its
    share of the sweep's time; the power density of a stretch T gated to t is t/T of it.
    """
    import scipy.fft

    size = scipy.fft.next_fast_len(silence.size, real=True)
    f = bin_frequencies(size, one.rate)
    density = np.abs(scipy.fft.rfft(silence, size) / one.rate) ** 2 / (silence.size / one.rate)
    through = density * np.abs(inverse_spectrum(f, one)) ** 2 * gate
    return band_powers(f, through, bands)


def without_noise(levels: Floats, noise: Floats) -> NoiseJudged:
    """Levels corrected for noise, and told where they prove nothing. [dB]

    Parameters
    ----------
    levels : ndarray, shape (n,)
        Measured. [dB]
    noise : ndarray, shape (n,)
        Of the noise alone. [dB]

    Notes
    -----
    From 15 dB on nothing is corrected; from 6 to 15 dB by K1 = -10 lg(1 - 10^(-0.1 d)); below 6 dB
    nothing is proven.

    References
    ----------
    .. [1] ISO 3744 practice for background noise, from memory.

    Examples
    --------
    >>> judged = without_noise(np.array([90.0, 90.0, 90.0]), np.array([60.0, 80.0, 86.0]))
    >>> np.round(judged.levels, 3).tolist()
    [90.0, 89.542, nan]
    """
    above = levels - noise
    correction = np.where(above < CLEAR, 10.0 * np.log10(1.0 - 10.0 ** (-0.1 * np.maximum(above, 0.1))), 0.0)
    return NoiseJudged(np.where(above >= LEAST, levels + correction, np.nan), above)
