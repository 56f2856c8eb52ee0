"""A plan document, read without trust: whatever cannot be read is a violation, not a crash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pairwright.base.errors import shown
from pairwright.base.words import Text, Words, text

ENGLISH = Words()


@dataclass(frozen=True, slots=True)
class Violation:
    """A rule of a plan that is not kept: which, by what, how."""

    rule: str
    subject: str
    text: Text

    def as_json(self, words: Words = ENGLISH) -> dict[str, str]:
        """The public shape of a violation."""
        return {"rule": self.rule, "subject": self.subject, "text": words.say(self.text)}


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay in a buffer, UTC seconds."""

    buffer: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Op:
    """An operation as the document states it; times in UTC seconds."""

    id: str
    order: str
    set: str
    item: str
    side: str | None
    product: str
    option: str
    part: str
    step: str
    index: int
    rework: bool
    station: str | None
    unit: int | None
    start: int
    end: int
    pieces: tuple[tuple[int, int], ...]
    setup_start: int | None
    batch: str | None
    crew: str | None
    carrier: str | None
    held_until: int | None
    stays: tuple[Stay, ...]
    uses: tuple[str, ...]
    revision: str | None = None


class _Unreadable(Exception):
    """A field that is not what it must be (kept inside this module)."""

    def __init__(self, field: str, must_be: str, got: object) -> None:
        self.field, self.must_be, self.got = field, must_be, got
        super().__init__(field)


def moment(value: object, field: str) -> int:
    """UTC seconds of an ISO time with offset."""
    try:
        at = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        at = None
    if at is None or at.tzinfo is None:
        raise _Unreadable(field, "an ISO time with offset", value)
    return round(at.timestamp())


def _word(raw: Mapping[str, Any], field: str, *, optional: bool = False) -> Any:
    value = raw.get(field)
    if optional and value is None:
        return None
    if not isinstance(value, str) or not value:
        raise _Unreadable(field, "a word", value)
    return value


def _optional_moment(raw: Mapping[str, Any], field: str) -> int | None:
    return None if raw.get(field) is None else moment(raw[field], field)


def _whole(raw: Mapping[str, Any], field: str, *, optional: bool = False) -> Any:
    value = raw.get(field)
    if optional and value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int):
        raise _Unreadable(field, "a whole number", value)
    return value


def _list(raw: Mapping[str, Any], field: str) -> list[Any]:
    value = raw.get(field)
    if value is None:
        return []
    if not isinstance(value, list):
        raise _Unreadable(field, "a list", value)
    return value


def _stay(raw: object) -> Stay:
    if not isinstance(raw, Mapping):
        raise _Unreadable("buffer_stays", "objects with buffer, from, to", raw)
    return Stay(_word(raw, "buffer"), moment(raw.get("from"), "from"), moment(raw.get("to"), "to"))


def _piece(raw: object) -> tuple[int, int]:
    if not isinstance(raw, list) or len(raw) != 2:
        raise _Unreadable("pieces", "pairs of start and end", raw)
    return moment(raw[0], "pieces"), moment(raw[1], "pieces")


def _operation(raw: Mapping[str, Any]) -> Op:
    op = Op(
        id=_word(raw, "id"),
        order=_word(raw, "order"),
        set=_word(raw, "set"),
        item=_word(raw, "item"),
        side=_word(raw, "side", optional=True),
        product=_word(raw, "product"),
        option=_word(raw, "option"),
        part=_word(raw, "part"),
        step=_word(raw, "step"),
        index=_whole(raw, "index"),
        rework=raw.get("rework") is True,
        station=_word(raw, "station", optional=True),
        unit=_whole(raw, "unit", optional=True),
        start=moment(raw.get("start"), "start"),
        end=moment(raw.get("end"), "end"),
        pieces=tuple(_piece(p) for p in _list(raw, "pieces")),
        setup_start=_optional_moment(raw, "setup_start"),
        batch=_word(raw, "batch", optional=True),
        crew=_word(raw, "crew", optional=True),
        carrier=_word(raw, "carrier", optional=True),
        held_until=_optional_moment(raw, "held_until"),
        stays=tuple(_stay(s) for s in _list(raw, "buffer_stays")),
        uses=tuple(u if isinstance(u, str) else str(u) for u in _list(raw, "uses")),
        revision=_word(raw, "revision", optional=True),
    )
    if op.end < op.start:
        raise _Unreadable("end", "at or after the start", raw.get("end"))
    return op


def read_operations(document: Mapping[str, Any]) -> tuple[list[Op], list[Violation]]:
    """The readable operations, and a `unreadable` violation for each that is not."""
    operations: list[Op] = []
    violations: list[Violation] = []
    raws = document.get("operations")
    if not isinstance(raws, list):
        return [], [_form("plan", _Unreadable("operations", "a list", raws))]
    seen: set[str] = set()
    for n, raw in enumerate(raws):
        name = str(raw.get("id", f"operations[{n}]")) if isinstance(raw, Mapping) else f"[{n}]"
        try:
            if not isinstance(raw, Mapping):
                raise _Unreadable("operation", "an object", raw)
            op = _operation(raw)
            if op.id in seen:
                raise _Unreadable("id", "used once", op.id)
        except (_Unreadable, OverflowError) as error:
            fault = error if isinstance(error, _Unreadable) else _Unreadable("time", "near", "")
            violations.append(_form(name, fault))
            continue
        seen.add(op.id)
        operations.append(op)
    return operations, violations


def read_moment(value: object) -> int | None:
    """UTC seconds, or None where the document does not hold a time."""
    try:
        return moment(value, "time")
    except (_Unreadable, OverflowError):
        return None


def _form(subject: str, error: _Unreadable) -> Violation:
    return Violation(
        "unreadable",
        subject,
        text(
            "{field} must be {wanted}, got {got}",
            field=error.field,
            wanted=error.must_be,
            got=shown(error.got),
        ),
    )
