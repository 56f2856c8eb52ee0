"""Drawings in the open exchange format DXF: lines and arcs in, lines and arcs out."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

from pairwright.archive.door import refuse_size
from pairwright.archive.outlines import Point, Stroke
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import Text, text

MOST_ENTITIES: Final = 2000
MOST_BYTES: Final = 2 << 20
LARGEST: Final = 100.0  # coordinates, lengths and radii [m]
SMALLEST: Final = 1e-5  # shorter strokes are slips of the pen [m]
_UNITS: Final = {1: 0.0254, 2: 0.3048, 4: 1e-3, 5: 1e-2, 6: 1.0, 13: 1e-6, 14: 0.1}  # $INSUNITS -> [m]
# annotations, passed over
_PASSED: Final = frozenset(
    (
        "ARC_DIMENSION",
        "ATTDEF",
        "DIMENSION",
        "LEADER",
        "MLEADER",
        "MTEXT",
        "MULTILEADER",
        "POINT",
        "TEXT",
        "VIEWPORT",
    )
)
_FLAT: Final = 1e-9


def strokes_of(content: bytes, name: str, *, unit: str | None, layer: str | None) -> list[Stroke]:
    """Every line and arc of a drawing's model space.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    unit : str, optional
        Unit of its coordinates, where the file states none.
    layer : str, optional
        Only this layer.
    """
    refuse_size(content, name, most=MOST_BYTES)
    document = _document(content, name)
    size = _size(document, name, unit)
    entities = list(document.modelspace())
    if len(entities) > MOST_ENTITIES:
        raise _refuse(name, text("at most {n} things in model space", n=MOST_ENTITIES), str(len(entities)),
                      text("keep only the profile"))  # fmt: skip
    layers = sorted({str(entity.dxf.layer) for entity in entities})
    if layer is not None and layer not in layers:
        raise _refuse(name, text("a drawing with the layer {layer}", layer=layer), ", ".join(layers) or "no layers",
                      text("name one of its layers"))  # fmt: skip
    found: list[Stroke] = []
    for entity in entities:
        if layer is None or str(entity.dxf.layer) == layer:
            found.extend(_strokes(entity, name, size))
    for stroke in found:
        _check(stroke, name)
    return found


def _document(content: bytes, name: str) -> Any:
    import struct

    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    try:
        document, _ = recover.read(io.BytesIO(content))
    except (DXFError, OSError, ValueError, TypeError, KeyError, IndexError, AttributeError, EOFError,
            AssertionError, RecursionError, MemoryError, struct.error) as error:  # fmt: skip
        raise _refuse(name, text("a drawing in DXF"), shown(f"{type(error).__name__}: {error}"),
                      text("export it as DXF, text form, release R12 or later")) from None  # fmt: skip
    return document


def _size(document: Any, name: str, unit: str | None) -> float:
    """Metres of one unit of the drawing."""
    stated = document.header.get("$INSUNITS", 0)
    if unit is None:
        if stated in _UNITS:
            return _UNITS[stated]
        raise _refuse(name, text("a drawing that states its unit"), f"$INSUNITS {stated}",
                      text("say the unit, such as mm, or set it in the drawing"))  # fmt: skip
    try:
        size = parse(f"1 {unit}", "m")
    except QuantityError as error:
        raise InputError(
            Problem(
                name, "unit", text("a unit of length"), shown(unit), text("correct it: {why}", why=str(error))
            )
        ) from None
    if stated in _UNITS and not math.isclose(_UNITS[stated], size, rel_tol=1e-9):
        raise _refuse(name, text("in the unit that was said, {unit}", unit=unit), f"$INSUNITS {stated}",
                      text("leave the unit out, or correct the drawing"))  # fmt: skip
    return size


def _strokes(entity: Any, name: str, size: float) -> Iterator[Stroke]:
    """The strokes of one entity."""
    kind, title = entity.dxftype(), f"{entity.dxftype()} {entity.dxf.handle}"
    if kind in _PASSED:
        return
    if kind == "LINE":
        start, end = entity.dxf.start, entity.dxf.end
        _plane(name, title, start.z - end.z)
        yield Stroke(_scaled(start, size), _scaled(end, size), math.inf, 0.0, title)
    elif kind == "ARC":
        _upright(name, title, entity)
        yield _arc(entity, title, size)
    elif kind in ("LWPOLYLINE", "POLYLINE"):
        _upright(name, title, entity)
        yield from _polyline(entity, name, title, size)
    else:
        raise _refuse(
            name, text("drawn with lines, arcs and polylines"), title,
            text("redraw it with lines and arcs, or put it on another layer and name that of the profile"),
        )  # fmt: skip


def _arc(entity: Any, title: str, size: float) -> Stroke:
    first, last = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    sweep = math.fmod(last - first, 2.0 * math.pi)
    sweep += 2.0 * math.pi if sweep <= 0.0 else 0.0
    centre, radius = _scaled(entity.dxf.center, size), float(entity.dxf.radius) * size
    ends = [
        (centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in (first, first + sweep)
    ]
    return Stroke(ends[0], ends[1], radius, sweep, title)


def _polyline(entity: Any, name: str, title: str, size: float) -> Iterator[Stroke]:
    if entity.dxftype() == "POLYLINE":
        if not entity.is_2d_polyline:
            raise _refuse(name, text("a flat polyline"), title, text("redraw it in the plane"))
        points = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        closed = bool(entity.is_closed)
    else:
        points, closed = list(entity.get_points("xyb")), bool(entity.closed)
    if closed:
        raise _refuse(name, text("an open outline"), f"{title}, closed", text("leave the open side undrawn"))
    if len(points) > MOST_ENTITIES:
        raise _refuse(name, text("at most {n} points", n=MOST_ENTITIES), f"{title}, {len(points)}",
                      text("draw it with fewer pieces"))  # fmt: skip
    for n, ((x0, y0, bulge), (x1, y1, _)) in enumerate(pairwise(points), start=1):
        start, end = (float(x0) * size, float(y0) * size), (float(x1) * size, float(y1) * size)
        part = f"{title}, piece {n}"
        if bulge == 0.0:
            yield Stroke(start, end, math.inf, 0.0, part)
        else:
            turn = 4.0 * math.atan(float(bulge))
            radius = math.dist(start, end) / (2.0 * abs(math.sin(0.5 * turn)))
            yield Stroke(start, end, radius, turn, part)


def _scaled(point: Any, size: float) -> Point:
    return float(point.x) * size, float(point.y) * size


def _plane(name: str, title: str, rise: float) -> None:
    if abs(rise) > _FLAT:
        raise _refuse(name, text("drawn flat, in the plane of x and y"), title, text("flatten the drawing"))


def _upright(name: str, title: str, entity: Any) -> None:
    axis = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    _plane(name, title, abs(axis[0]) + abs(axis[1]) + abs(axis[2] - 1.0))


def _check(stroke: Stroke, name: str) -> None:
    numbers = (*stroke.start, *stroke.end, stroke.turn)
    radius = 0.0 if math.isinf(stroke.radius) else stroke.radius
    length = radius * abs(stroke.turn) or math.dist(stroke.start, stroke.end)
    if not all(math.isfinite(v) and abs(v) <= LARGEST for v in (*numbers, radius)):
        raise _refuse(name, text("within {most} m of the origin", most=LARGEST), stroke.name,
                      text("check the unit, and move the drawing to the origin"))  # fmt: skip
    if length < SMALLEST:
        raise _refuse(name, text("of pieces longer than {least} m", least=SMALLEST), f"{stroke.name}, {length:.2g} m",
                      text("remove it, or check the unit"))  # fmt: skip


def drawn(strokes: list[Stroke], *, layer: str) -> bytes:
    """A drawing in millimetres; the same strokes give the same bytes.

    Parameters
    ----------
    strokes : list of Stroke
        In order.
    layer : str
        Of all of them.
    """
    import ezdxf

    library: Any = ezdxf
    before = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True  # no clock, no random marks in the file
    try:
        document = library.new("R2010")
        document.header["$INSUNITS"] = 4
        document.layers.add(layer)
        space = document.modelspace()
        for stroke in strokes:
            _draw(space, stroke, layer)
        stream = io.StringIO()
        document.write(stream)
    finally:
        library.options.write_fixed_meta_data_for_testing = before
    return stream.getvalue().encode()


def _draw(space: Any, stroke: Stroke, layer: str) -> None:
    start, end = ((x * 1e3, y * 1e3) for x, y in (stroke.start, stroke.end))
    if math.isinf(stroke.radius):
        space.add_line(start, end, dxfattribs={"layer": layer})
        return
    heading = stroke.headings()[0]
    side = 1.0 if stroke.turn > 0.0 else -1.0
    radius = stroke.radius * 1e3
    centre = (start[0] - side * radius * math.sin(heading), start[1] + side * radius * math.cos(heading))
    first, last = (math.degrees(math.atan2(y - centre[1], x - centre[0])) for x, y in (start, end))
    if stroke.turn < 0.0:
        first, last = last, first
    space.add_arc(centre, radius, first, last, dxfattribs={"layer": layer})


def _refuse(name: str, must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem(name, "drawing", must_be, got, do))
