"""Recordings as WAV: what is sound comes through, what is hostile is refused in words."""

from __future__ import annotations

import io
import struct

import numpy as np
import pytest
import soundfile

from pairwright.archive.wav import read_wav, write_wav
from pairwright.base.errors import InputError
from pairwright.measure.signal import Recording

TONE = 0.5 * np.sin(np.arange(4800) * 0.05)


def wav(samples: object, *, rate: int = 48000, form: str = "WAV", depth: str = "PCM_24") -> bytes:
    out = io.BytesIO()
    soundfile.write(out, samples, rate, format=form, subtype=depth)
    return out.getvalue()


@pytest.mark.parametrize("depth", ["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
@pytest.mark.parametrize("form", ["WAV", "WAVEX", "RF64"])
def test_every_usual_depth_is_read(form: str, depth: str) -> None:
    (found,) = read_wav(wav(TONE, form=form, depth=depth), "a.wav")

    assert found.rate == 48000.0
    assert found.samples == pytest.approx(TONE, abs=4e-5)


def test_what_is_written_is_read_again_with_its_overload() -> None:
    one = Recording(1.5 * TONE, 96000.0)

    (found,) = read_wav(write_wav(one), "a.wav", rate=96000.0)

    assert found.samples == pytest.approx(one.samples, abs=1e-7)
    assert len(found.digest) == 64


def test_channels_come_apart() -> None:
    left, right = read_wav(wav(np.stack([TONE, -TONE], axis=1)), "a.wav")

    assert left.samples == pytest.approx(-right.samples, abs=1e-6)


def header(content: bytes, place: int, form: str, value: int) -> bytes:
    """A WAV file with another number in its header."""
    size = struct.calcsize(form)
    return content[:place] + struct.pack(form, value) + content[place + size :]


PLAIN = wav(TONE, depth="PCM_16")
HOSTILE = {
    "nothing": b"",
    "one byte": b"R",
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(2000),
    "no channels": header(PLAIN, 22, "<H", 0),
    "65535 channels": header(PLAIN, 22, "<H", 65535),
    "rate 0": header(PLAIN, 24, "<I", 0),
    "rate of 2e9": header(PLAIN, 24, "<I", 2_000_000_000),
    "no samples": wav(np.zeros(0), depth="PCM_16"),
    "cut off": PLAIN[:60],
    "NaN": wav(np.full(4800, np.nan), depth="FLOAT"),
    "infinity": wav(np.full(4800, np.inf), depth="FLOAT"),
    "another format": wav(TONE, form="FLAC", depth="PCM_16"),
    "8 bits": wav(TONE, depth="PCM_U8"),
}


@pytest.mark.parametrize("content", HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_file_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(InputError) as refused:
        read_wav(content, "hostile.wav")

    problem = refused.value.problems[0]
    assert problem.where == "hostile.wav"
    assert str(problem.must_be)
    assert problem.got


def test_a_header_that_claims_four_gigabytes_is_not_believed() -> None:
    place = PLAIN.index(b"data") + 4
    claimed = header(header(PLAIN, place, "<I", 0xFFFFFFF0), 4, "<I", 0xFFFFFFF8)

    try:
        (found,) = read_wav(claimed, "large.wav")
    except InputError:
        return
    assert found.samples.size <= TONE.size


def test_the_wrong_rate_is_refused_where_a_rate_is_wanted() -> None:
    with pytest.raises(InputError) as refused:
        read_wav(PLAIN, "a.wav", rate=96000.0)

    assert refused.value.problems[0].field == "rate"
