"""Quantities with units, read once at the door.

``"0.6 mm"``, ``"118 degC"``, ``"1.2 MPa"``, ``"150 g/m2"``, ``"0.18 W/(m*K)"`` become plain
floats in the unit that the reader asks for. Only ASCII digits and a decimal point count.

>>> parse("0.6 mm", "m")
0.0006
>>> parse("118 degC", "K")
391.15
>>> parse("150 g/m2", "kg/m2")
0.15
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final, TypeAlias

Dimension: TypeAlias = tuple[int, ...]  # powers of m, kg, s, K, A, mol, rad, EUR, dB

_M, _KG, _S, _K, _A, _MOL, _RAD, _EUR, _DB = (tuple(int(i == j) for j in range(9)) for i in range(9))
_NONE: Final[Dimension] = (0,) * 9


def _dim(m: int = 0, kg: int = 0, s: int = 0, k: int = 0, a: int = 0) -> Dimension:
    return (m, kg, s, k, a, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Unit:
    """What a unit measures and how large it is in base SI."""

    dimension: Dimension
    size: float
    offset: float = 0.0


_UNITS: Final[dict[str, Unit]] = {
    "m": Unit(_M, 1.0), "cm": Unit(_M, 1e-2), "mm": Unit(_M, 1e-3), "um": Unit(_M, 1e-6),
    "in": Unit(_M, 0.0254), "ft": Unit(_M, 0.3048),
    "kg": Unit(_KG, 1.0), "g": Unit(_KG, 1e-3), "mg": Unit(_KG, 1e-6), "t": Unit(_KG, 1e3),
    "s": Unit(_S, 1.0), "ms": Unit(_S, 1e-3), "us": Unit(_S, 1e-6), "min": Unit(_S, 60.0),
    "h": Unit(_S, 3600.0), "d": Unit(_S, 86400.0), "week": Unit(_S, 604800.0),
    "K": Unit(_K, 1.0), "degC": Unit(_K, 1.0, 273.15), "degF": Unit(_K, 5 / 9, 459.67 * 5 / 9),
    "A": Unit(_A, 1.0), "mA": Unit(_A, 1e-3), "mol": Unit(_MOL, 1.0),
    "rad": Unit(_RAD, 1.0), "deg": Unit(_RAD, math.pi / 180.0),
    "EUR": Unit(_EUR, 1.0), "dB": Unit(_DB, 1.0),
    "%": Unit(_NONE, 0.01), "ppm": Unit(_NONE, 1e-6),
    "Pa": Unit(_dim(-1, 1, -2), 1.0), "kPa": Unit(_dim(-1, 1, -2), 1e3),
    "MPa": Unit(_dim(-1, 1, -2), 1e6), "GPa": Unit(_dim(-1, 1, -2), 1e9),
    "bar": Unit(_dim(-1, 1, -2), 1e5), "psi": Unit(_dim(-1, 1, -2), 6894.757293168),
    "N": Unit(_dim(1, 1, -2), 1.0), "kN": Unit(_dim(1, 1, -2), 1e3),
    "J": Unit(_dim(2, 1, -2), 1.0), "kJ": Unit(_dim(2, 1, -2), 1e3),
    "MJ": Unit(_dim(2, 1, -2), 1e6), "kWh": Unit(_dim(2, 1, -2), 3.6e6),
    "W": Unit(_dim(2, 1, -3), 1.0), "kW": Unit(_dim(2, 1, -3), 1e3),
    "Hz": Unit(_dim(0, 0, -1), 1.0), "kHz": Unit(_dim(0, 0, -1), 1e3),
    "V": Unit(_dim(2, 1, -3, 0, -1), 1.0), "mV": Unit(_dim(2, 1, -3, 0, -1), 1e-3),
    "ohm": Unit(_dim(2, 1, -3, 0, -2), 1.0), "kohm": Unit(_dim(2, 1, -3, 0, -2), 1e3),
    "H": Unit(_dim(2, 1, -2, 0, -2), 1.0), "mH": Unit(_dim(2, 1, -2, 0, -2), 1e-3),
    "uH": Unit(_dim(2, 1, -2, 0, -2), 1e-6),
    "F": Unit(_dim(-2, -1, 4, 0, 2), 1.0), "uF": Unit(_dim(-2, -1, 4, 0, 2), 1e-6),
    "nF": Unit(_dim(-2, -1, 4, 0, 2), 1e-9), "T": Unit(_dim(0, 1, -2, 0, -1), 1.0),
    "L": Unit((3, 0, 0, 0, 0, 0, 0, 0, 0), 1e-3), "mL": Unit((3, 0, 0, 0, 0, 0, 0, 0, 0), 1e-6),
}  # fmt: skip
_ALIASES: Final = {"µm": "um", "µF": "uF", "µH": "uH", "°C": "degC", "°F": "degF", "°": "deg",
                   "Ω": "ohm", "kΩ": "kohm", "l": "L", "ml": "mL", "weeks": "week"}  # fmt: skip
UNIT_NAMES: Final[tuple[str, ...]] = tuple(sorted(_UNITS))

_NUMBER: Final = re.compile(r"\s*([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*")
_FACTOR: Final = re.compile(r"([A-Za-zµΩ°%]+)(?:\^?(-?[1-9]))?")


class QuantityError(ValueError):
    """The text is not a quantity, or not of the asked kind; the message says which."""


def unit(expression: str) -> Unit:
    """Dimension and size of a unit expression such as ``W/(m2*K)``; raises `QuantityError`."""
    expression = expression.strip()
    if expression in ("", "-", "1"):
        return Unit(_NONE, 1.0)
    name = _ALIASES.get(expression, expression)
    if name in _UNITS:
        return _UNITS[name]
    dimension, size, sign, depth_sign = list(_NONE), 1.0, 1, [1]
    position = 0
    while position < len(expression):
        character = expression[position]
        if character in "*· ":
            sign, position = depth_sign[-1], position + 1
        elif character == "/":
            sign, position = -depth_sign[-1], position + 1
        elif character == "(":
            depth_sign.append(sign)
            position += 1
        elif character == ")" and len(depth_sign) > 1:
            depth_sign.pop()
            sign, position = depth_sign[-1], position + 1
        elif character == "1":
            position += 1
        else:
            match = _FACTOR.match(expression, position)
            found = _UNITS.get(_ALIASES.get(match[1], match[1])) if match else None
            if match is None or found is None:
                raise QuantityError(f"unknown unit {expression!r}")
            power = sign * int(match[2] or 1)
            dimension = [d + power * f for d, f in zip(dimension, found.dimension, strict=True)]
            size *= found.size**power
            position = match.end()
    if len(depth_sign) > 1:
        raise QuantityError(f"unknown unit {expression!r}")
    return Unit(tuple(dimension), size)


def parse(quantity: object, wanted: str) -> float:
    """The quantity as a float in the wanted unit; raises `QuantityError`.

    Parameters
    ----------
    quantity : object
        Text with a unit, or a bare number where `wanted` has no dimension.
    wanted : str
        The unit of the answer, such as ``m`` or ``K``; ``-`` for a plain number.
    """
    if isinstance(quantity, bool):
        raise QuantityError("a truth value is not a quantity")
    goal = unit(wanted)
    if isinstance(quantity, int | float):
        if goal.dimension != _NONE:
            raise QuantityError(f"the unit is missing (such as {wanted})")
        return _finite(float(quantity))
    if not isinstance(quantity, str):
        raise QuantityError("not a quantity")
    match = _NUMBER.match(quantity)
    if match is None:
        raise QuantityError("does not begin with a number (digits 0-9, decimal point)")
    rest = quantity[match.end() :]
    if rest[:1] in (",", "_"):
        raise QuantityError("write the decimal sign as a point and no separators")
    given = unit(rest)
    if given.dimension != goal.dimension:
        if rest.strip() == "":
            raise QuantityError(f"the unit is missing (such as {wanted})")
        raise QuantityError(f"{rest.strip()} does not measure the same as {wanted}")
    value = float(match[1])
    si = value * given.size + given.offset
    result = (si - goal.offset) / goal.size
    if given.offset == goal.offset == 0.0 and given.size < goal.size == 1.0:
        result = _shortest(value, given.size)
    return _finite(round(result, 12) if given.offset or goal.offset else result)


def _shortest(value: float, size: float) -> float:
    """``0.6 mm`` is 0.0006, not 0.0006000000000000001: divide by the exact inverse."""
    inverse = round(1.0 / size)
    return value / inverse if inverse and abs(inverse * size - 1.0) < 1e-12 else value * size


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise QuantityError("not a finite number")
    return value
