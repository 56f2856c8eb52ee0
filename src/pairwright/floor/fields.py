"""Strict readers for what an event carries: nothing is guessed, what is odd is told.

A reader takes a JSON value and gives the value as the record keeps it, or None after it has told the
problem. Texts are kept in Unicode's composed form, times in ISO 8601 with the offset they came with.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any, Final, TypeAlias

from pairwright.base.errors import Problem, shown
from pairwright.base.quantities import QuantityError, unit
from pairwright.base.words import Text, text

LARGEST: Final = 2**53  # whole numbers up to here are exact wherever they go (RFC 8785)
LONGEST_LINE: Final = 2000
MOST_ENTRIES: Final = 2000
YEARS: Final = (2000, 2199)

IDENT: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")
NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,59}")
KEY: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,79}")
_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT: Final = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}(:[0-9]{2}([.,][0-9]{1,9})?)?([Zz]|[+-][0-9]{2}:?[0-9]{2})"
)
# controls, lone surrogates, and the marks that turn the direction of writing round
_HIDDEN: Final = re.compile(
    "[\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\u200b-\\u200f\\u202a-\\u202e\\u2060-\\u2069\\ufeff\\ud800-\\udfff]"
)


@dataclass(frozen=True, slots=True)
class Slips:
    """Takes the problems of one event."""

    where: str
    problems: list[Problem]

    def tell(self, field: str, must_be: Text, got: object, *, do: Text) -> None:
        """Note a problem of a field."""
        self.problems.append(Problem(self.where, field, must_be, as_given(got), do))


Reader: TypeAlias = Callable[[str, object, Slips], Any]


def as_given(value: object) -> str:
    """A JSON value as a message shows it."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    return ascii(value)[:60] if isinstance(value, str) and _HIDDEN.search(value) else shown(value)


def ident(field: str, value: object, slips: Slips) -> str | None:
    """The identity of a thing: what stands on its label."""
    if isinstance(value, str) and IDENT.fullmatch(value):
        return value
    slips.tell(
        field,
        text("an identity of the letters A-Z and a-z, digits, hyphen, point and underscore, at most 80"),
        value,
        do=text("scan the label again, or type it as it is printed"),
    )
    return None


def key(field: str, value: object, slips: Slips) -> str | None:
    """The key of an event, as its client made it."""
    if isinstance(value, str) and KEY.fullmatch(value):
        return value
    slips.tell(
        field,
        text("a key of letters, digits, hyphen, point, underscore and colon, at most 80"),
        value,
        do=text("let the client make one, such as a UUID"),
    )
    return None


def name(field: str, value: object, slips: Slips) -> str | None:
    """A name of the works: a station, a step, a programme."""
    if isinstance(value, str) and NAME.fullmatch(value):
        return value
    slips.tell(field, text("a name as the works writes it"), value, do=text("take it from the works"))
    return None


def line(field: str, value: object, slips: Slips) -> str | None:
    """A text that a person wrote."""
    if isinstance(value, str) and value.strip() and len(value) <= LONGEST_LINE:
        if not _HIDDEN.search(value):
            return unicodedata.normalize("NFC", value.strip())
        slips.tell(
            field, text("a text without hidden characters"), value, do=text("type it anew, do not paste it")
        )
        return None
    slips.tell(
        field,
        text("a text of 1 to {most} characters", most=LONGEST_LINE),
        value,
        do=text("write what happened"),
    )
    return None


def choice(*words: str) -> Reader:
    """One of a few words."""

    def read(field: str, value: object, slips: Slips) -> str | None:
        if isinstance(value, str) and value in words:
            return value
        slips.tell(
            field, text("one of {names}", names=", ".join(words)), value, do=text("choose one of them")
        )
        return None

    return read


def number(low: float | None = None, *, above: bool = False) -> Reader:
    """A finite number, at least `low` or above it."""

    def read(field: str, value: object, slips: Slips) -> float | int | None:
        good = isinstance(value, int | float) and not isinstance(value, bool) and _exact(value)
        if good and (low is None or value > low or (value == low and not above)):  # type: ignore[operator]
            return _plain(value)  # type: ignore[arg-type]
        if low is None:
            must_be = text("a finite number")
        elif above:
            must_be = text("a number above {low}", low=low)
        else:
            must_be = text("a number of at least {low}", low=low)
        slips.tell(field, must_be, value, do=text("write it with digits, without quotation marks"))
        return None

    return read


def _exact(value: float) -> bool:
    """Whether a number is finite and, being whole, exact in every program."""
    return abs(value) <= LARGEST if isinstance(value, int) else math.isfinite(value)


def _plain(value: float) -> float | int:
    """1.0 and 1 are one number, as in the canonical form; so is -0 and 0."""
    whole = abs(value) <= LARGEST and value == int(value)
    return int(value) if whole else value


def whole(field: str, value: object, slips: Slips) -> int | None:
    """A whole number from 0."""
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= LARGEST:
        return value
    slips.tell(
        field, text("a whole number from 0"), value, do=text("write it with digits, without quotation marks")
    )
    return None


def flag(field: str, value: object, slips: Slips) -> bool | None:
    """True or false."""
    if isinstance(value, bool):
        return value
    slips.tell(field, text("true or false"), value, do=text("write true or false, without quotation marks"))
    return None


def digest(field: str, value: object, slips: Slips) -> str | None:
    """The SHA-256 of an attachment or a document."""
    if isinstance(value, str) and _DIGEST.fullmatch(value):
        return value
    slips.tell(
        field,
        text("a SHA-256 digest of 64 figures 0-9 and a-f"),
        value,
        do=text("hand the file in first; the answer is its digest"),
    )
    return None


def day(field: str, value: object, slips: Slips) -> str | None:
    """A day in the ISO form."""
    if isinstance(value, str) and _DAY.fullmatch(value) and YEARS[0] <= int(value[:4]) <= YEARS[1]:
        try:
            return date.fromisoformat(value).isoformat()
        except ValueError:
            pass
    slips.tell(
        field,
        text("a day such as 2027-03-05, of {first} to {last}", first=YEARS[0], last=YEARS[1]),
        value,
        do=text("write year, month and day with hyphens"),
    )
    return None


def read_moment(value: object) -> datetime | None:
    """An ISO 8601 time with its offset, to the whole second, or None."""
    if not isinstance(value, str) or not _MOMENT.fullmatch(value):
        return None
    try:
        at = datetime.fromisoformat(value.upper().replace(",", ".")).replace(microsecond=0)
        fits = YEARS[0] <= at.astimezone(UTC).year <= YEARS[1]
    except (ValueError, OverflowError):
        return None
    return at if fits else None


def moment(field: str, value: object, slips: Slips) -> str | None:
    """A time with its offset from UTC."""
    at = read_moment(value)
    if at is not None:
        return at.isoformat()
    slips.tell(
        field,
        text("a time with its offset such as 2027-03-01T06:00:00+01:00"),
        value,
        do=text("write day, time and offset from UTC"),
    )
    return None


def many(one: Reader, *, least: int = 1) -> Reader:
    """A list of such values."""

    def read(field: str, value: object, slips: Slips) -> list[Any] | None:
        if not isinstance(value, list) or not least <= len(value) <= MOST_ENTRIES:
            slips.tell(
                field,
                text("a list of {least} to {most} entries", least=least, most=MOST_ENTRIES),
                f"{len(value)} entries" if isinstance(value, list) else value,
                do=text("write it in square brackets"),
            )
            return None
        found = [one(f"{field}[{n}]", entry, slips) for n, entry in enumerate(value)]
        return None if any(entry is None for entry in found) else found

    return read


def distinct(one: Reader) -> Reader:
    """A list in which each value stands once."""
    several = many(one)

    def read(field: str, value: object, slips: Slips) -> list[Any] | None:
        found: list[Any] | None = several(field, value, slips)
        if found is not None and len(set(found)) != len(found):
            twice = next(entry for entry in found if found.count(entry) > 1)
            slips.tell(field, text("each once"), twice, do=text("remove what stands twice"))
            return None
        return found

    return read


def values(field: str, value: object, slips: Slips) -> dict[str, Any] | None:
    """Names and what was measured or stated for them."""
    if not isinstance(value, Mapping) or len(value) > 100:
        slips.tell(
            field,
            text("a table of names and values, at most 100"),
            value,
            do=text("write it in curly brackets"),
        )
        return None
    found: dict[str, Any] = {}
    for key, entry in value.items():
        label = name(f"{field} name", key, slips)
        given = line(f"{field}.{key}", entry, slips) if isinstance(entry, str) else number()(
            f"{field}.{key}", entry, slips
        )  # fmt: skip
        if label is not None and given is not None:
            found[label] = given
    return found if len(found) == len(value) else None


def unit_name(field: str, value: object, slips: Slips) -> str | None:
    """A unit of measure."""
    if isinstance(value, str) and value.isascii() and 0 < len(value) <= 20:
        if value == "piece":
            return value
        try:
            unit(value)
        except QuantityError:
            pass
        else:
            return value
    slips.tell(
        field, text("a unit such as kg, m2, L or piece"), value, do=text("write the unit of the quantity")
    )
    return None


def inputs(field: str, value: object, slips: Slips) -> list[dict[str, Any]] | None:
    """What went into a step: lots with quantities, items, or bare identities.

    Kept as ``{"lot", "quantity", "unit"}``, ``{"item"}`` or, where only an identity was given, ``{"id"}``.
    """

    def read(place: str, entry: object, into: Slips) -> dict[str, Any] | None:
        if isinstance(entry, str):
            only = ident(place, entry, into)
            return None if only is None else {"id": only}
        if isinstance(entry, Mapping):
            return _input(place, entry, into)
        into.tell(
            place,
            text("an identity, or a table with lot and quantity, or with item"),
            entry,
            do=text("write what was used"),
        )
        return None

    found: list[dict[str, Any]] | None = many(read, least=0)(field, value, slips)
    return found


def _input(place: str, entry: Mapping[Any, Any], slips: Slips) -> dict[str, Any] | None:
    kinds = [kind for kind in ("lot", "item", "id") if kind in entry]
    foreign = [str(key) for key in entry if key not in ("lot", "item", "id", "quantity", "unit")]
    if len(kinds) != 1 or foreign:
        slips.tell(
            place,
            text("a table with lot or item, and quantity and unit of a lot"),
            ", ".join(map(str, entry)) or None,
            do=text("name one thing that was used"),
        )
        return None
    before = len(slips.problems)
    kind = kinds[0]
    found: dict[str, Any] = {kind: ident(f"{place}.{kind}", entry[kind], slips)}
    if entry.get("quantity") is not None:
        found["quantity"] = number(0.0, above=True)(f"{place}.quantity", entry["quantity"], slips)
    if entry.get("unit") is not None:
        found["unit"] = unit_name(f"{place}.unit", entry["unit"], slips)
    if kind == "item" and "quantity" in found:
        slips.tell(
            f"{place}.quantity",
            text("left out; an item is one piece"),
            entry["quantity"],
            do=text("remove it"),
        )
    return found if len(slips.problems) == before else None


def spans(field: str, value: object, slips: Slips) -> list[list[str]] | None:
    """Stretches of time, each from and to."""

    def read(place: str, entry: object, into: Slips) -> list[str] | None:
        if isinstance(entry, list) and len(entry) == 2:
            first, last = (moment(f"{place}[{n}]", one, into) for n, one in enumerate(entry))
            return None if first is None or last is None else [first, last]
        into.tell(place, text("two times, from and to"), entry, do=text("write both in square brackets"))
        return None

    found: list[list[str]] | None = many(read, least=0)(field, value, slips)
    return found


def plain(field: str, value: object, slips: Slips, *, depth: int = 0) -> Any:
    """A JSON value that has a canonical form, unchanged."""
    if depth > 6:
        slips.tell(
            field, text("at most 6 tables within tables"), "more", do=text("leave out what is not needed")
        )
        return None
    if isinstance(value, Mapping):
        inner = [plain(f"{field}.{key}", entry, slips, depth=depth + 1) for key, entry in value.items()]
        if any(not isinstance(key, str) or not NAME.fullmatch(key) for key in value):
            slips.tell(
                field, text("a table with plain names"), ", ".join(map(str, value)), do=text("correct them")
            )
        return dict(zip(map(str, value), inner, strict=True))
    if isinstance(value, list):
        return [plain(f"{field}[{n}]", entry, slips, depth=depth + 1) for n, entry in enumerate(value)]
    if isinstance(value, str):
        return line(field, value, slips)
    if value is None or isinstance(value, bool):
        return value
    return number()(field, value, slips)
