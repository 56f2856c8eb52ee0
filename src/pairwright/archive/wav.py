"""Recordings as WAV: read with care, written with their rate. Calibration is not part of the file."""

from __future__ import annotations

import io
from typing import Final

import numpy as np

from pairwright.archive.door import refuse_size
from pairwright.base.digests import digest_bytes
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.measure.signal import Recording

MOST_BYTES: Final = 64 << 20
MOST_CHANNELS: Final = 8
RATES: Final = (8000, 384_000)  # lowest and highest sampling rate [1/s]
FORMATS: Final = ("WAV", "WAVEX", "RF64")
DEPTHS: Final = ("PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE")
SHORTEST: Final = 256  # samples


def read_wav(content: bytes, name: str, *, rate: float | None = None) -> tuple[Recording, ...]:
    """The channels of a WAV file; otherwise an `InputError`.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    rate : float, optional
        The rate that is wanted. [1/s]

    Notes
    -----
    What a header claims is checked against what the file holds before anything is read. Samples of
    floating point may lie beyond full scale; they must be finite.
    """
    import soundfile

    refuse_size(content, name, most=MOST_BYTES)
    try:
        with soundfile.SoundFile(io.BytesIO(content)) as file:
            _check_header(file, name, rate, size=len(content))
            samples = file.read(dtype="float64", always_2d=True)
            found = float(file.samplerate)
    except (soundfile.LibsndfileError, RuntimeError, TypeError, ValueError) as error:
        why = " ".join(str(error).split())[:80]
        raise _refused(name, "file", got=why, must=text("a WAV file")) from None
    if samples.shape[0] < SHORTEST:
        raise _refused(
            name, "length", got=f"{samples.shape[0]} samples", must=text("at least {n} samples", n=SHORTEST)
        )
    if not np.isfinite(samples).all():
        raise _refused(name, "samples", got="NaN or infinity", must=text("numbers throughout"))
    digest = digest_bytes(content)
    return tuple(
        Recording(np.ascontiguousarray(samples[:, n]), found, digest=digest) for n in range(samples.shape[1])
    )


def _check_header(file: object, name: str, rate: float | None, *, size: int) -> None:
    form, depth = getattr(file, "format", ""), getattr(file, "subtype", "")
    channels, found = int(getattr(file, "channels", 0)), float(getattr(file, "samplerate", 0))
    frames = int(getattr(file, "frames", 0))
    if form not in FORMATS or depth not in DEPTHS:
        raise _refused(
            name, "format", got=f"{form} {depth}", must=text("WAV with 16, 24 or 32 bits or floating point")
        )
    if not 1 <= channels <= MOST_CHANNELS:
        raise _refused(name, "channels", got=shown(channels), must=text("1 to {n}", n=MOST_CHANNELS))
    if not RATES[0] <= found <= RATES[1]:
        raise _refused(
            name, "rate", got=shown(found), must=text("{low} to {high} 1/s", low=RATES[0], high=RATES[1])
        )
    if rate is not None and found != rate:
        raise _refused(name, "rate", got=shown(found), must=text("{rate} 1/s, as the test asks", rate=rate))
    if frames * channels * 2 > size + 64:
        raise _refused(name, "length", got=f"{frames} samples", must=text("as long as the file is"))


def _refused(name: str, field: str, *, got: str, must: Text) -> InputError:
    return InputError(Problem(name, field, must, got, text("record it again, and export it as WAV")))


def write_wav(recording: Recording) -> bytes:
    """A recording as WAV of floating point, full scale kept.

    Parameters
    ----------
    recording : Recording
        One channel.
    """
    import soundfile

    out = io.BytesIO()
    soundfile.write(out, recording.samples, round(recording.rate), format="WAV", subtype="FLOAT")
    return out.getvalue()
