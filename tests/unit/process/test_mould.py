"""The mould that compensates: what it gives back is the shell that was wanted."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from pairwright.archive.profiles import (
    read_profile_csv,
    read_profile_dxf,
    write_profile_csv,
    write_profile_dxf,
)
from pairwright.base.errors import InputError
from pairwright.physics.profile import Arc, Piece, sprung, tip_opening
from pairwright.process.mould import Mould, mould_of
from tests.unit.process.small import changed

WORKS = changed()
SHELL = {"option": "walnut", "part": "shell"}
MIDDLE = 0.5 * (2 * 0.6e-3 + 7 * 1.5e-3)


def at_middle(pieces: tuple[Piece, ...]) -> list[Piece]:
    """A surface half a stack outside the inner face; every bend of the shell turns inwards."""
    return [replace(p, radius=p.radius + MIDDLE) if isinstance(p, Arc) else p for p in pieces]


@pytest.mark.parametrize("moisture", [False, True])
def test_what_springs_out_of_the_mould_is_the_shell(moisture: bool) -> None:
    found = mould_of(WORKS, "linden", moisture=moisture, **SHELL)
    closing = found.spring.closing if moisture else 0.0

    after = sprung(at_middle(found.mould), fraction=found.spring.lost, closing=closing)

    for got, wanted in zip(after, at_middle(found.wanted), strict=True):
        assert got.length == pytest.approx(wanted.length, rel=1e-9)
        if isinstance(got, Arc) and isinstance(wanted, Arc):
            assert got.angle == pytest.approx(wanted.angle, rel=1e-9)


def test_the_mould_is_narrower_by_what_the_shell_opens() -> None:
    found = mould_of(WORKS, "linden", **SHELL)

    opening = tip_opening(at_middle(found.mould), at_middle(found.wanted))
    assert found.narrower == pytest.approx(opening, rel=1e-9)
    assert found.narrower == pytest.approx(found.spring.opens.value, rel=0.1)
    assert 0.0 < found.narrower_sd < found.narrower


def test_moisture_works_against_spring_back_and_widens_the_doubt() -> None:
    dry, moist = (mould_of(WORKS, "linden", moisture=m, **SHELL) for m in (False, True))

    assert moist.narrower < dry.narrower
    assert moist.narrower_sd > dry.narrower_sd


def test_the_mould_goes_to_the_machine_and_comes_back() -> None:
    found = mould_of(WORKS, "linden", **SHELL)
    by_csv = read_profile_csv(write_profile_csv(found.mould), "mould.csv")
    by_dxf = read_profile_dxf(write_profile_dxf(found.mould), "mould.dxf")

    for segments in (by_csv, by_dxf):
        arc = next(p for p in found.mould if isinstance(p, Arc))
        read = next(s for s in segments if s.radius is not None)
        assert read.radius == pytest.approx(arc.radius, abs=1e-7)
        assert read.turn == pytest.approx(arc.angle, abs=1e-7)


def test_every_ply_has_its_developed_length() -> None:
    found: Mould = mould_of(WORKS, "linden", **SHELL)
    lengths = [course.length for course in found.courses]

    assert len(lengths) == 9
    assert lengths == sorted(lengths)
    assert lengths[0] == pytest.approx(0.4 + math.pi * 0.1503)


def test_a_part_that_is_not_pressed_or_not_bent_has_no_mould() -> None:
    with pytest.raises(InputError, match="press step"):
        mould_of(WORKS, "linden", option="walnut", part="body")
    flat = changed(('{ radius = "150 mm", turn = "180 deg" }, ', ""))
    with pytest.raises(InputError, match="bend in it"):
        mould_of(flat, "linden", **SHELL)
