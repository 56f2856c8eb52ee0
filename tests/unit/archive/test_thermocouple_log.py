"""A log of thermocouples at the door, and laid over the step that it was read in."""

from __future__ import annotations

import math

import pytest

from pairwright.archive.thermocouple_log import read_log
from pairwright.base.errors import InputError
from pairwright.physics.thermocouple import predicted
from pairwright.process.context import contexts
from pairwright.process.overlay import PressLog, heat_of, log_of, overlay
from pairwright.process.press_heat import inputs_of
from tests.unit.process.small import changed

WORKS = changed()
GOOD = (
    "time [s],line 1 [degC],depth 5.1 mm [degC],platen [degC]\n"
    "0,20.0,20.0,113\n30,88.5,,113\n1e2,104,71.2,113.0\n"
)


def test_a_log_is_read_in_base_units() -> None:
    log = read_log(GOOD.encode(), "log.csv")

    assert log.times == (0.0, 30.0, 100.0)
    first, second = log.sensors
    assert (first.line, first.depth) == (1, None)
    assert second.depth == pytest.approx(0.0051)
    assert first.readings[1] == pytest.approx(361.65)
    assert math.isnan(second.readings[1])
    assert log.platen == pytest.approx((386.15, 386.15, 386.15))
    assert log.platen_top is None


def test_minutes_and_fahrenheit_are_units_too() -> None:
    log = read_log(b"time [min],line 2 [degF]\n0,68\n2,212\n", "log.csv")

    assert log.times == (0.0, 120.0)
    assert log.sensors[0].readings[1] == pytest.approx(373.15)


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("time [s],line 1 [degC]\n", "a header and at least one row"),
        ("time [s]\n0\n", "at least one line or depth"),
        ("line 1 [degC],time [s]\n20,0\n", "the time first"),
        ("time [s],line 1\n0,20\n", "unit in square brackets"),
        ("time [s],line 0 [degC]\n0,20\n", "columns once each"),
        ("time [s],line 1 [s]\n0,20\n", "columns once each"),
        ("time [s],depth 5 kg [degC]\n0,20\n", "columns once each"),
        ("time [s],line 1 [degC],line 1 [degC]\n0,20,20\n", "columns once each"),
        ("time [s],line 1 [degC]\n0,warm\n", "a number with a decimal point"),
        ("time [s],line 1 [degC]\n0,nan\n", "a number with a decimal point"),
        ('time [s],line 1 [degC]\n0,"20,5"\n', "a number with a decimal point"),
        ("time [s],line 1 [degC]\n0,20,30\n", "2 values"),
        ("time [s],line 1 [degC]\n0,20\n0,30\n", "rising"),
        ("time [s],line 1 [degC]\n,20\n", "nothing"),
        ('time [s],line 1 [degC]\n0,"20\n', "quotation marks"),
        ("time [s],line 1 [degC]\n0,\x00\n", "null character"),
        ("time [s],line 1 [degC]\n" + "".join(f"{n},20\n" for n in range(50_002)), "at most 50000"),
    ],
)
def test_a_wrong_log_says_what_and_where(body: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_log(body.encode(), "log.csv")


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"\x00" * 10, b"a" * (9 << 20)])
def test_hostile_bytes_are_refused_cleanly(content: bytes) -> None:
    with pytest.raises(InputError):
        read_log(content, "log.csv")


# --------------------------------------------------------------------------- laid over the step
def logged(factor: float, resistance: float) -> PressLog:
    """What the thermocouples would read if the stack conducted so much better."""
    context = next(c for c in contexts(WORKS) if c.step.id == "press" and c.product.option == "walnut")
    inputs = inputs_of(context)
    times = range(0, 300, 6)
    empty = "time [s],line 1 [degC],line 4 [degC]\n" + "".join(f"{t},21,21\n" for t in times)
    log = read_log(empty.encode(), "log.csv")
    true = predicted(heat_of(inputs, log), log_of(inputs, log), factor=factor, resistance=resistance) - 273.15
    body = "time [s],line 1 [degC],line 4 [degC]\n" + "".join(
        f"{t},{a:.2f},{b:.2f}\n" for t, (a, b) in zip(times, true, strict=True)
    )
    return read_log(body.encode(), "log.csv")


def test_a_log_corrects_the_constants_of_the_step() -> None:
    found = overlay(WORKS, "linden", option="walnut", part="shell", step="press", log=logged(1.2, 1 / 600))

    changes = dict(found.changes)
    assert float(changes["conductivity_factor"]) == pytest.approx(1.2, abs=0.01)
    assert float(changes["contact"].split()[0]) == pytest.approx(600.0, rel=0.05)
    assert [f.code for f in found.findings] == ["thermocouple_differs"]
    assert "factor of 1.2 ±" in str(found.findings[0].text)
    assert len(found.figure.curves) == 6
    assert found.overlay.rms_after < 0.1 < found.overlay.rms_before


def test_a_line_that_the_layup_has_not_is_refused() -> None:
    log = read_log(b"time [s],line 12 [degC]\n0,20\n30,90\n", "log.csv")

    with pytest.raises(InputError, match="glue lines 1 to 8"):
        overlay(WORKS, "linden", option="walnut", part="shell", step="press", log=log)
