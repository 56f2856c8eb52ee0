"""Profiles as files: what is drawn comes in, what comes out can be read again, nothing odd gets through."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.archive.profiles import (
    read_profile_csv,
    read_profile_dxf,
    segments_of,
    strokes_from,
    text_pieces,
    write_profile_csv,
    write_profile_dxf,
)
from pairwright.base.errors import InputError
from pairwright.physics.profile import Arc, Piece, Straight
from pairwright.works.product import Segment
from tests.strategies import finite

U: list[Piece] = [Straight(0.235), Arc(0.128, math.radians(70)), Arc(0.18, math.radians(40)),
                  Arc(0.128, math.radians(70)), Straight(0.235)]  # fmt: skip


def drawing(draw: Callable[[Any], None], *, unit: int = 4) -> bytes:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    draw(document.modelspace())
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def numbers(segments: tuple[Segment, ...]) -> list[tuple[float, ...]]:
    return [
        (s.line,) if s.line is not None else (s.radius or 0.0, s.turn or 0.0) for s in segments
    ]  # fmt: skip


def alike(found: tuple[Segment, ...], wanted: tuple[Segment, ...], tolerance: float = 1e-7) -> bool:
    pairs = zip(numbers(found), numbers(wanted), strict=True)
    return all(
        len(a) == len(b) and all(abs(x - y) < tolerance for x, y in zip(a, b, strict=True)) for a, b in pairs
    )


# ------------------------------------------------------------------------------------- there and back
def test_csv_comes_back_as_it_went() -> None:
    assert alike(read_profile_csv(write_profile_csv(U), "u.csv"), segments_of(U))


def test_a_drawing_comes_back_as_it_went() -> None:
    assert alike(read_profile_dxf(write_profile_dxf(U), "u.dxf"), segments_of(U))


def test_the_same_profile_is_the_same_bytes() -> None:
    assert write_profile_dxf(U) == write_profile_dxf(U)


turns = st.one_of(finite(0.1, 2.5), finite(-1.0, -0.1))


@given(st.lists(st.one_of(st.builds(Straight, finite(0.01, 1.0)), st.builds(Arc, finite(0.02, 0.6), turns)),
                min_size=1, max_size=6))  # fmt: skip
@settings(max_examples=25)
def test_any_smooth_outline_survives_a_drawing(pieces: list[Piece]) -> None:
    strokes = strokes_from(pieces)
    ends = [*(s.start for s in strokes), strokes[-1].end]
    if any(math.dist(a, b) < 1e-3 for n, a in enumerate(ends) for b in ends[n + 1 :]):
        return  # it touches itself: not one outline
    total = math.fsum(p.angle for p in pieces if isinstance(p, Arc))
    if abs(total) < 1e-9:
        return  # neither way bends inwards

    found = read_profile_dxf(write_profile_dxf(pieces), "p.dxf")

    backwards = [p if isinstance(p, Straight) else Arc(p.radius, -p.angle) for p in reversed(pieces)]
    assert alike(found, segments_of(pieces if total > 0.0 else backwards), 1e-6)


def test_a_part_can_be_written_for_its_file() -> None:
    assert text_pieces(U).count("radius") == 3


# ------------------------------------------------------------------------------------------- drawings
def test_order_and_direction_of_the_strokes_do_not_matter() -> None:
    def draw(space: Any) -> None:
        space.add_line((200, 300), (0, 300))  # drawn backwards
        space.add_arc((200, 150), 150, -90, 90)
        space.add_line((0, 0), (200, 0))
        space.add_text("the shell")

    found = read_profile_dxf(drawing(draw), "u.dxf")

    assert alike(found, segments_of([Straight(0.2), Arc(0.15, math.pi), Straight(0.2)]))


def test_a_polyline_with_bulges_is_lines_and_arcs() -> None:
    def draw(space: Any) -> None:
        space.add_lwpolyline([(0, 0, 0), (200, 0, 1), (200, 300, 0), (0, 300, 0)], format="xyb")

    assert alike(
        read_profile_dxf(drawing(draw), "u.dxf"),
        segments_of([Straight(0.2), Arc(0.15, math.pi), Straight(0.2)]),
    )


def test_it_is_taken_the_way_in_which_it_bends_inwards() -> None:
    def draw(space: Any) -> None:  # runs clockwise
        space.add_lwpolyline([(0, 300, 0), (200, 300, -1), (200, 0, 0), (0, 0, 0)], format="xyb")

    turns = [s.turn for s in read_profile_dxf(drawing(draw), "u.dxf") if s.turn is not None]

    assert turns == [pytest.approx(math.pi)]


def test_inches_are_inches() -> None:
    found = read_profile_dxf(drawing(lambda space: space.add_line((0, 0), (10, 0)), unit=1), "l.dxf")

    assert found[0].line == pytest.approx(0.254)


def test_a_drawing_without_a_unit_asks_for_it() -> None:
    bare = drawing(lambda space: space.add_line((0, 0), (235, 0)), unit=0)

    with pytest.raises(InputError, match="states its unit"):
        read_profile_dxf(bare, "l.dxf")
    assert read_profile_dxf(bare, "l.dxf", unit="mm")[0].line == pytest.approx(0.235)
    with pytest.raises(InputError, match="unit of length"):
        read_profile_dxf(bare, "l.dxf", unit="kg")
    with pytest.raises(InputError, match="in the unit that was said"):
        read_profile_dxf(drawing(lambda space: space.add_line((0, 0), (1, 0))), "l.dxf", unit="in")


def test_only_the_named_layer_is_read() -> None:
    def draw(space: Any) -> None:
        space.add_line((0, 0), (100, 0), dxfattribs={"layer": "shell"})
        space.add_circle((0, 0), 5, dxfattribs={"layer": "holes"})

    assert read_profile_dxf(drawing(draw), "l.dxf", layer="shell")[0].line == pytest.approx(0.1)
    with pytest.raises(InputError, match="CIRCLE"):
        read_profile_dxf(drawing(draw), "l.dxf")
    with pytest.raises(InputError, match="holes, shell"):
        read_profile_dxf(drawing(draw), "l.dxf", layer="frame")


def lines(*points: tuple[float, float]) -> Callable[[Any], None]:
    return lambda space: [space.add_line(a, b) for a, b in pairwise(points)]  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("draw", "says"),
    [
        (lambda space: None, "at least one line or arc"),
        (lines((0, 0), (100, 0), (100, 100)), "corner of 90.00°"),
        (lambda space: [space.add_line((0, 0), (50, 0)), space.add_line((51, 0), (100, 0))], "4 ends"),
        (lambda space: [space.add_line((0, 0), (y, 100 - y)) for y in (10, 50, 90)], "3 pieces meet"),
        (lines((0, 0), (100, 0), (50, 80), (0, 0)), "a closed one"),
        (lambda space: space.add_lwpolyline([(0, 0), (10, 0), (10, 10)], close=True), "closed"),
        (lambda space: space.add_spline([(0, 0, 0), (1, 1, 0), (2, 0, 0)]), "SPLINE"),
        (lambda space: space.add_ellipse((0, 0), (5, 0)), "ELLIPSE"),
        (lambda space: space.add_line((0, 0, 0), (10, 0, 5)), "drawn flat"),
        (lambda space: space.add_line((0, 0), (1e9, 0)), "of the origin"),
        (lambda space: space.add_line((0, 0), (1e-4, 0)), "pieces longer than"),
        (lambda space: space.add_arc((0, 0), 5, 0, 90, dxfattribs={"extrusion": (0, 0, -1)}), "drawn flat"),
        (lambda space: space.add_lwpolyline([(0, 0, math.nan), (10, 0, 0)], format="xyb"), "of the origin"),
        (lambda space: [space.add_line((n, 0), (n + 1, 0)) for n in range(2100)], "at most 2000"),
        (lambda space: [space.add_line((n, 0), (n + 1, 0)) for n in range(600)], "at most 500"),
    ],
)
def test_what_is_no_outline_is_refused_with_the_place(draw: Callable[[Any], None], says: str) -> None:
    with pytest.raises(InputError, match=says) as refused:
        read_profile_dxf(drawing(draw), "odd.dxf")

    problem = refused.value.problems[0]
    assert problem.where == "odd.dxf"
    assert str(problem.do)


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00" * 100, b"PK\x03\x04" + b"\xff" * 500, b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n0\nEOF\n",
     b"0\nSECTION\n" * 2000, b"{}", "é".encode("latin-1") * 50, b"AutoCAD Binary DXF\r\n\x1a\x00" + b"\x01" * 64,
     b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n99999999999999999999\n0\nENDSEC\n0\nEOF\n", b"x" * (5 << 20)],
)  # fmt: skip
def test_hostile_bytes_are_refused_cleanly(content: bytes) -> None:
    with pytest.raises(InputError):
        read_profile_dxf(content, "hostile.dxf", unit=None)
    with pytest.raises(InputError):
        read_profile_csv(content, "hostile.csv")


GOOD = write_profile_dxf(U)


@given(at=st.integers(0, len(GOOD) - 1), byte=st.integers(0, 255), cut=st.booleans())
@settings(max_examples=60)
def test_a_damaged_drawing_is_read_or_refused_and_nothing_else(at: int, byte: int, cut: bool) -> None:
    damaged = GOOD[:at] if cut else GOOD[:at] + bytes([byte]) + GOOD[at + 1 :]

    try:
        found = read_profile_dxf(damaged, "d.dxf", unit="mm")
    except InputError:
        return

    assert found


# ------------------------------------------------------------------------------------------------ CSV
@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("line,radius,turn\n", "at least one line or arc"),
        ("line,radius,turn\n235,,\n", "unit is missing"),
        ("line,radius,turn\n235 kg,,\n", "a length such as"),
        ("line,radius,turn\n235 mm,10 mm,\n", "either a line"),
        ("line,radius,turn\n,10 mm,\n", "either a line"),
        ("line,radius,turn\n,10 mm,0 deg\n", "not 0"),
        ("line,radius,turn\n,10 mm,400 deg\n", "between -360"),
        ("line,radius,turn\n-5 mm,,\n", "from 0.00001 to 100 m"),
        ("line,radius,turn\n1e9 mm,,\n", "from 0.00001 to 100 m"),
        ("line;radius;turn\n235 mm;;\n", "commas"),
        ("line,radius,turn,colour\n235 mm,,,red\n", "known column"),
        ("line,radius,turn\n" + "1 mm,,\n" * 501, "at most 500"),
    ],
)
def test_a_wrong_table_says_what_and_where(body: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_profile_csv(body.encode(), "p.csv")


def test_every_wrong_row_is_told() -> None:
    with pytest.raises(InputError) as refused:
        read_profile_csv(b"line,radius,turn\n5,,\n,6 mm,x\n", "p.csv")

    assert [p.where for p in refused.value.problems] == ["p.csv line 2", "p.csv line 3"]
