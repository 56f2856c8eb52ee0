"""Every text a person reads: a template in English, its values, and a language.

A `Text` is data: the English template is its key in the catalogue, the values are
named. `Words` turns it into a sentence in a language, with that language's decimal
sign and the reader's length unit. Another language is one file that maps English
templates to its own (see `docs/how-to/another-language.md`).

>>> str(text("opens by {gap}", gap=Amount(0.0031, "length")))
'opens by 3.1 mm'
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from typing import Final, TypeAlias
from zoneinfo import ZoneInfo

Value: TypeAlias = "str | int | float | Amount | Text"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number in base SI with the kind of thing it measures.

    Kinds: see `KINDS`; ``date`` and ``instant`` hold UTC seconds. `digits` is the
    number of significant figures (default by kind).
    """

    value: float
    kind: str
    digits: int | None = None

    def __str__(self) -> str:
        return ENGLISH.amount(self)


@dataclass(frozen=True, slots=True)
class Text:
    """A template and its values; `str()` gives plain English."""

    template: str
    values: tuple[tuple[str, Value], ...] = ()

    def __str__(self) -> str:
        return ENGLISH.say(self)


def text(template: str, /, **values: Value) -> Text:
    """A text of the catalogue. The template must be a literal, so tools can find it."""
    return Text(template, tuple(sorted(values.items())))


# kind -> ((unit, SI value of one unit, used from this many units on), ...), largest first;
# the last one is used for everything smaller.
KINDS: Final[Mapping[str, tuple[tuple[str, float, float], ...]]] = {
    "length": (("m", 1.0, 10.0), ("mm", 1e-3, 0.0)),
    "film": (("µm", 1e-6, 0.0),),
    "area": (("m²", 1.0, 0.0),),
    "volume": (("L", 1e-3, 0.0),),
    "mass": (("kg", 1.0, 1.0), ("g", 1e-3, 0.0)),
    "spread": (("g/m²", 1e-3, 0.0),),
    "duration": (("d", 86400.0, 3.0), ("h", 3600.0, 3.0), ("min", 60.0, 2.0), ("s", 1.0, 0.0)),
    "pressure": (("MPa", 1e6, 0.1), ("kPa", 1e3, 1.0), ("Pa", 1.0, 0.0)),
    "force": (("kN", 1e3, 1.0), ("N", 1.0, 0.0)),
    "energy": (("kWh", 3.6e6, 0.1), ("kJ", 1e3, 0.0)),
    "power": (("kW", 1e3, 1.0), ("W", 1.0, 0.0)),
    "speed": (("m/s", 1.0, 0.5), ("mm/s", 1e-3, 0.0)),
    "density": (("kg/m³", 1.0, 0.0),),
    "frequency": (("kHz", 1e3, 1.0), ("Hz", 1.0, 0.0)),
    "voltage": (("V", 1.0, 0.0),),
    "resistance": (("Ω", 1.0, 0.0),),
    "angle": (("°", math.pi / 180.0, 0.0),),
    "share": (("%", 0.01, 0.0),),
    "stiffness": (("GPa", 1e9, 0.1), ("MPa", 1e6, 0.0)),
    "number": (("", 1.0, 0.0),),
}
_DIGITS: Final = {"share": 3, "duration": 3, "number": 4}
_INCH: Final = 0.0254


@dataclass(frozen=True, slots=True)
class Words:
    """A language with the reader's habits: how numbers, lengths and times are written."""

    language: str = "en"
    decimal: str = "."
    lengths: str = "mm"
    zone: tzinfo = ZoneInfo("UTC")
    currency: str = "EUR"
    catalogue: Mapping[str, str] = field(default_factory=dict)

    def say(self, message: Text) -> str:
        """The sentence in this language; a missing translation falls back to English."""
        template = self.catalogue.get(message.template, message.template)
        return template.format_map({name: self.value(v) for name, v in message.values})

    def value(self, value: Value) -> str:
        """One value of a template as written in this language."""
        if isinstance(value, Text):
            return self.say(value)
        if isinstance(value, Amount):
            return self.amount(value)
        if isinstance(value, float):
            return self.number(value, 4)
        return str(value)

    def number(self, value: float, digits: int = 3) -> str:
        """A number to so many significant figures, never in powers of ten up to a million."""
        if not math.isfinite(value):
            return "∞" if value > 0 else ("-∞" if value < 0 else "?")
        if value == 0.0:
            return "0"
        places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
        body = f"{value:.{places}f}"
        if "." in body:
            body = body.rstrip("0").rstrip(".")
        body = "0" if body == "-0" else body
        return body.replace(".", self.decimal)

    def amount(self, amount: Amount) -> str:
        """A quantity with its unit: ``11.2 min``, ``0.41 mm``, ``3 Mar 2027 14:00``."""
        if amount.kind == "date":
            return self.moment(amount.value, "%-d %b %Y")
        if amount.kind == "instant":
            return self.moment(amount.value, "%-d %b %Y %H:%M")
        if amount.kind == "temperature":
            return f"{self.number(round(amount.value - 273.15, 1), amount.digits or 4)} °C"
        if amount.kind == "temperature_difference":
            return f"{self.number(amount.value, amount.digits or 3)} K"
        if amount.kind == "money":
            return f"{self.fixed(amount.value, 2)} {self.currency}"
        if amount.kind == "length" and self.lengths == "inch":
            return f"{self.number(amount.value / _INCH, amount.digits or 3)} in"
        units = KINDS[amount.kind]
        name, size = next(((n, s) for n, s, least in units if abs(amount.value) >= least * s), units[-1][:2])
        digits = amount.digits or _DIGITS.get(amount.kind, 3)
        return f"{self.number(amount.value / size, digits)} {name}".rstrip()

    def fixed(self, value: float, places: int) -> str:
        """A number with a fixed count of decimals."""
        return f"{value:.{places}f}".replace(".", self.decimal)

    def moment(self, seconds: float, pattern: str) -> str:
        """UTC seconds as local time; month names go through the catalogue."""
        at = datetime.fromtimestamp(int(seconds), tz=self.zone)
        month = at.strftime("%b")
        return at.strftime(pattern).replace(month, self.catalogue.get(month, month))


ENGLISH: Final = Words()
