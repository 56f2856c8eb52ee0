"""Profiles of lines and arcs as files: read from CSV and DXF, written to both.

What comes in is a list of `Segment`, as a product file states it; what goes out is drawn from pieces of
`physics.profile`. A drawing that is not one smooth, open outline of lines and arcs is refused with what
is wrong and where.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Final

from pairwright.archive.door import text_of
from pairwright.archive.outlines import Stroke, chained, turned_inwards
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import Text, text
from pairwright.physics.profile import Arc, Piece, Straight
from pairwright.works.product import Segment
from pairwright.works.rows import Columns, Row, read_rows

MOST_SEGMENTS: Final = 500
LARGEST: Final = 100.0  # of a line or a radius [m]
SMALLEST: Final = 1e-5  # [m]
_COLUMNS: Final = Columns((), ("line", "radius", "turn"))


def read_profile_csv(content: bytes, name: str) -> tuple[Segment, ...]:
    """The segments of a CSV file with the columns line, radius and turn.

    Parameters
    ----------
    content : bytes
        The file. Each row is a line ("235 mm") or an arc ("128 mm", "70 deg"), in order.
    name : str
        Its name, for messages.
    """
    problems: list[Problem] = []
    rows = read_rows(name, text_of(content, name), columns=_COLUMNS, problems=problems)
    if len(rows) > MOST_SEGMENTS:
        raise InputError(_too_many(name, len(rows)))
    pieces = [_row(row) for row in rows]
    if problems:
        raise InputError(problems)
    if not rows:
        raise InputError(
            Problem(name, "rows", text("at least one line or arc"), "none", text("write the profile"))
        )
    return segments_of([piece for piece in pieces if piece is not None])


def _row(row: Row) -> Piece | None:
    """One row as a piece, or its problems told."""
    given = [column for column in ("line", "radius", "turn") if row.cell(column)]
    if given == ["line"]:
        length = _size(row, "line")
        return None if length is None else Straight(length)
    if given != ["radius", "turn"]:
        row.refuse(
            given[0] if given else "line",
            text("either a line, or a radius and a turn"),
            text("write one of the two in each row"),
        )
        return None
    radius = _size(row, "radius")
    try:
        turn = parse(row.cell("turn"), "rad")
    except QuantityError as error:
        row.refuse("turn", text("an angle such as 70 deg"), text("correct it: {why}", why=str(error)))
        return None
    if not 0.0 < abs(turn) < 2.0 * math.pi:
        row.refuse("turn", text("between -360 and 360 degrees, not 0"), text("correct the turn"))
        return None
    return None if radius is None else Arc(radius, turn)


def _size(row: Row, column: str) -> float | None:
    try:
        value = parse(row.cell(column), "m")
    except QuantityError as error:
        row.refuse(column, text("a length such as 235 mm"), text("correct it: {why}", why=str(error)))
        return None
    if not SMALLEST <= value <= LARGEST:
        row.refuse(
            column, text("from {least} to {most} m", least=SMALLEST, most=LARGEST), text("correct the length")
        )
        return None
    return float(value)


def segments_of(pieces: Sequence[Piece]) -> tuple[Segment, ...]:
    """Pieces as the segments of a product's profile.

    >>> [segment.line for segment in segments_of([Straight(0.235)])]
    [0.235]
    """
    return tuple(
        Segment.model_construct(line=piece.length)
        if isinstance(piece, Straight)
        else Segment.model_construct(radius=piece.radius, turn=piece.angle)
        for piece in pieces
    )


def write_profile_csv(pieces: Sequence[Piece]) -> bytes:
    """A profile as CSV with units, to a tenth of a micrometre and a millionth of a degree.

    >>> print(write_profile_csv([Straight(0.235), Arc(0.128, math.pi / 2)]).decode())
    line,radius,turn
    235.0000 mm,,
    ,128.0000 mm,90.000000 deg
    <BLANKLINE>
    """
    rows = ["line,radius,turn"]
    for piece in pieces:
        if isinstance(piece, Straight):
            rows.append(f"{piece.length * 1e3:.4f} mm,,")
        else:
            rows.append(f",{piece.radius * 1e3:.4f} mm,{math.degrees(piece.angle):.6f} deg")
    return ("\n".join(rows) + "\n").encode()


# -------------------------------------------------------------------------------------- drawings
def read_profile_dxf(
    content: bytes, name: str, *, unit: str | None = None, layer: str | None = None
) -> tuple[Segment, ...]:
    """The segments of a drawing: one open, smooth outline of lines and arcs in model space.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    unit : str, optional
        Unit of the drawing, needed where the file states none: "mm", "m", "in" ...
    layer : str, optional
        Read only what lies on this layer.

    Notes
    -----
    Taken in the direction in which its bends turn inwards on the whole (a positive turn bends around
    the inside). Texts, dimensions and points are passed over; splines, circles and blocks are not.
    """
    from pairwright.archive.drawings import strokes_of

    strokes = strokes_of(content, name, unit=unit, layer=layer)
    if len(strokes) > MOST_SEGMENTS:
        raise InputError(_too_many(name, len(strokes)))
    return segments_of(turned_inwards(chained(strokes, name)))


def write_profile_dxf(pieces: Sequence[Piece], *, layer: str = "PROFILE") -> bytes:
    """A profile as a drawing in millimetres, starting at the origin along x.

    Parameters
    ----------
    pieces : sequence of pieces
        Lines and arcs.
    layer : str
        Name of the layer.
    """
    from pairwright.archive.drawings import drawn

    return drawn(strokes_from(pieces), layer=layer)


def strokes_from(pieces: Sequence[Piece]) -> list[Stroke]:
    """Pieces laid out in their plane from the origin along +x."""
    x, y, heading = 0.0, 0.0, 0.0
    found: list[Stroke] = []
    for piece in pieces:
        start = (x, y)
        if isinstance(piece, Straight):
            turn, radius, chord = 0.0, math.inf, piece.length
        else:
            turn, radius = piece.angle, piece.radius
            chord = 2.0 * radius * math.sin(0.5 * abs(turn))
        direction = heading + 0.5 * turn
        x, y = x + chord * math.cos(direction), y + chord * math.sin(direction)
        heading += turn
        found.append(Stroke(start, (x, y), radius, turn, f"piece {len(found) + 1}"))
    return found


def _too_many(name: str, count: int) -> Problem:
    must_be: Text = text("at most {n} lines and arcs", n=MOST_SEGMENTS)
    return Problem(name, "profile", must_be, shown(count), text("draw the profile with fewer pieces"))


def text_pieces(pieces: Sequence[Piece]) -> str:
    """A profile as the `segments` of a product file.

    >>> print(text_pieces([Straight(0.235), Arc(0.128, math.pi / 2)]))
    [
      { line = "235.0000 mm" },
      { radius = "128.0000 mm", turn = "90.000000 deg" },
    ]
    """
    body = io.StringIO()
    body.write("[\n")
    for piece in pieces:
        if isinstance(piece, Straight):
            body.write(f'  {{ line = "{piece.length * 1e3:.4f} mm" }},\n')
        else:
            turn = math.degrees(piece.angle)
            body.write(f'  {{ radius = "{piece.radius * 1e3:.4f} mm", turn = "{turn:.6f} deg" }},\n')
    body.write("]")
    return body.getvalue()
