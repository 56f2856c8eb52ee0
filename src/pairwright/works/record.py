"""What the records of a works definition are made of: frozen models and quantities.

A quantity field says its SI unit and what is possible, so that a file, a form and the
documentation read the same facts. Validation errors carry the texts of a five-part message.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any, Literal, TypeAlias, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, Strict
from pydantic_core import PydanticCustomError

from pairwright.base.laws import ANY, FRACTION, NOT_NEGATIVE, POSITIVE, Span
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import Text, text


class Record(BaseModel):
    """A frozen record of the definition; unknown names are errors."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, defer_build=True)


def refuse(must_be: Text, do: Text) -> PydanticCustomError:
    """An error that carries two of the five parts of a message; the loader adds the others."""
    return PydanticCustomError("pairwright", "refused", {"must_be": must_be, "do": do})


@dataclass(frozen=True, slots=True)
class Unit:
    """The unit and possible span of a quantity field, for reading, forms and docs."""

    unit: str
    must: Span = ANY

    def wanted(self) -> Text:
        """What a value must be, in words."""
        if self.unit == "-":
            return text("a number, {span}", span=str(self.must))
        return text("a quantity in {unit}, {span}", unit=self.unit, span=str(self.must))

    def read(self, value: object) -> float:
        """The value in this unit; refuses what is not such a quantity or impossible."""
        wanted = self.wanted()
        try:
            number = parse(value, self.unit)
        except QuantityError as error:
            raise refuse(wanted, text("correct it: {why}", why=str(error))) from None
        if not self.must.holds(number):
            raise refuse(wanted, text("give a possible value"))
        return number


def quantity(unit: str, must: Span = POSITIVE) -> Any:
    """An annotated float that is written with a unit."""
    rule = Unit(unit, must)
    return Annotated[float, BeforeValidator(rule.read), rule]


Length: TypeAlias = quantity("m")  # type: ignore[valid-type]
Area: TypeAlias = quantity("m2")  # type: ignore[valid-type]
Volume: TypeAlias = quantity("m3")  # type: ignore[valid-type]
Mass: TypeAlias = quantity("kg")  # type: ignore[valid-type]
LONGEST = 1e9  # 31 years: longer times are slips of the pen [s]
Time: TypeAlias = quantity("s", Span(0.0, LONGEST, open_low=True))  # type: ignore[valid-type]
Wait: TypeAlias = quantity("s", Span(0.0, LONGEST))  # type: ignore[valid-type]
Temperature: TypeAlias = quantity("K", Span(200.0, 1000.0))  # type: ignore[valid-type]
Pressure: TypeAlias = quantity("Pa")  # type: ignore[valid-type]
Force: TypeAlias = quantity("N")  # type: ignore[valid-type]
Speed: TypeAlias = quantity("m/s")  # type: ignore[valid-type]
Angle: TypeAlias = quantity("rad", ANY)  # type: ignore[valid-type]
Spread: TypeAlias = quantity("kg/m2")  # type: ignore[valid-type]
Density: TypeAlias = quantity("kg/m3")  # type: ignore[valid-type]
Conductivity: TypeAlias = quantity("W/(m*K)")  # type: ignore[valid-type]
HeatCapacity: TypeAlias = quantity("J/(kg*K)")  # type: ignore[valid-type]
HeatTransfer: TypeAlias = quantity("W/(m2*K)")  # type: ignore[valid-type]
Power: TypeAlias = quantity("W", NOT_NEGATIVE)  # type: ignore[valid-type]
Share: TypeAlias = quantity("-", FRACTION)  # type: ignore[valid-type]
Number: TypeAlias = quantity("-", ANY)  # type: ignore[valid-type]
Positive: TypeAlias = quantity("-", POSITIVE)  # type: ignore[valid-type]
Rate: TypeAlias = quantity("1/s")  # type: ignore[valid-type]
MolarEnergy: TypeAlias = quantity("J/mol")  # type: ignore[valid-type]
Money: TypeAlias = quantity("EUR", NOT_NEGATIVE)  # type: ignore[valid-type]
MoneyRate: TypeAlias = quantity("EUR/s", NOT_NEGATIVE)  # type: ignore[valid-type]
EnergyPrice: TypeAlias = quantity("EUR/J", NOT_NEGATIVE)  # type: ignore[valid-type]
Expansion: TypeAlias = quantity("1/K", NOT_NEGATIVE)  # type: ignore[valid-type]


# Strict: a text "3" is not a number, and true is not one; nothing is guessed.
Flag: TypeAlias = Annotated[bool, Strict()]
Count: TypeAlias = Annotated[int, Strict(), Field(ge=1, le=100_000)]
People: TypeAlias = Annotated[int, Strict(), Field(ge=0, le=100_000)]
Day: TypeAlias = Annotated[date, Strict()]
Moment: TypeAlias = Annotated[datetime, Strict()]


def _is_id(value: object) -> str:
    wanted = text("an id of small letters, digits, point and hyphen, such as hot-press")
    ok = isinstance(value, str) and 0 < len(value) <= 40 and value[0].isalnum() and value.isascii()
    if not ok or any(not (c.islower() or c.isdigit() or c in ".-") for c in str(value)):
        raise refuse(wanted, text("rename it"))
    return str(value)


Id: TypeAlias = Annotated[str, BeforeValidator(_is_id)]


class Times(Record):
    """A duration with scatter: the shortest, the likely and the longest. [s]"""

    low: Wait
    likely: Wait
    high: Wait


def _read_duration(value: object) -> object:
    if value == "computed" or isinstance(value, Times):
        return value
    if isinstance(value, dict):
        times = Times.model_validate(value)
        if not times.low <= times.likely <= times.high:
            raise refuse(text("low <= likely <= high"), text("put the three times in order"))
        return times
    try:
        fixed = parse(value, "s")
    except QuantityError as error:
        raise refuse(
            text('"computed", a time such as "12 min", or low, likely and high'),
            text("correct it: {why}", why=str(error)),
        ) from None
    if not 0 <= fixed <= LONGEST:
        raise refuse(text("a time of at least 0 s"), text("give a possible time"))
    return Times.model_construct(low=fixed, likely=fixed, high=fixed)


StatedDuration: TypeAlias = Annotated[Literal["computed"] | Times, BeforeValidator(_read_duration)]


def units_of(model: type[BaseModel]) -> dict[str, Unit]:
    """The unit of every quantity field of a record, by field name."""
    found: dict[str, Unit] = {}
    for name, info in model.model_fields.items():
        candidates = [*info.metadata]
        for part in (info.annotation, *get_args(info.annotation)):
            candidates.extend(get_args(part))
        for extra in candidates:
            if isinstance(extra, Unit):
                found[name] = extra
    return found
