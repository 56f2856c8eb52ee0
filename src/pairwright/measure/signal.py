"""A recording: samples, rate, calibration, where they came from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]

PASCAL: str = "Pa"
REFERENCE_PRESSURE = 20e-6  # of sound pressure level [Pa]


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel as it was recorded.

    `samples` (n,) in full scale, -1 to 1 [-]; `rate` [1/s]; `calibration` of one full scale in `unit`
    ("Pa", "V", "A" or "-"); `digest` of the file it came from; `simulated` where nothing was recorded
    at all.
    """

    samples: Floats
    rate: float
    calibration: float = 1.0
    unit: str = "-"
    digest: str = ""
    simulated: bool = False

    @property
    def values(self) -> Floats:
        """The samples in `unit`."""
        return self.samples * self.calibration

    @property
    def duration(self) -> float:
        """How long it is. [s]"""
        return self.samples.size / self.rate


def bin_frequencies(size: int, rate: float) -> Floats:
    """Frequencies of a real spectrum of so many samples. [Hz]

    >>> bin_frequencies(4, 8.0).tolist()
    [0.0, 2.0, 4.0]
    """
    found: Floats = np.arange(size // 2 + 1, dtype=np.float64) * (rate / size)
    return found
