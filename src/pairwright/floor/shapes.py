"""What the fields of one event must be to each other, kind by kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

from pairwright.base.words import text
from pairwright.floor import fields
from pairwright.floor.event import SUBJECTS
from pairwright.floor.fields import Slips

Subject: TypeAlias = tuple[str | None, str | None]
Shape: TypeAlias = Callable[[str | None, str | None, dict[str, Any], Slips], Subject]

REPLACEABLE: Final = ("event_time", "station", "actor", *SUBJECTS, "data")


def any_shape(kind: str | None, subject: str | None, _data: dict[str, Any], _slips: Slips) -> Subject:
    """Whatever the fields allow."""
    return kind, subject


def _received(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    lot = data.pop("lot", None)
    if lot is not None:
        if kind == "lot" and subject != lot:
            slips.tell(
                "data.lot", text("the lot {lot} of the event", lot=str(subject)), lot, do=text("remove it")
            )
        elif kind is None:
            kind, subject = "lot", lot
    if kind is None and "serials" not in data:
        slips.tell("lot", text("given, or serials in data"), None, do=text("name what came in"))
    if ("quantity" in data) != ("unit" in data) and kind == "lot":
        missing = "unit" if "quantity" in data else "quantity"
        slips.tell(
            f"data.{missing}", text("given together with the other of the two"), None, do=text("add it")
        )
    if kind == "lot" and "quantity" not in data and "serials" not in data:
        slips.tell(
            "data.quantity", text("a number above 0, or serials"), None, do=text("say how much came in")
        )
    return kind, subject


def _measured(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if "value" not in data and "attachment" not in data:
        slips.tell("data.value", text("given, or an attachment"), None, do=text("say what was measured"))
    return kind, subject


def _inspected(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if data.get("clear"):
        for name in ("defect", "size", "nonconformance"):
            if name in data:
                slips.tell(f"data.{name}", text("left out where the zone is clear"), data[name],
                           do=text("remove one of the two"))  # fmt: skip
    elif "defect" not in data:
        slips.tell("data.defect", text("given, or clear = true"), None, do=text("say what was seen"))
    return kind, subject


def _halves(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    sides = tuple(side for side in ("left", "right", "a", "b") if side in data)
    if sides not in (("left", "right"), ("a", "b")):
        slips.tell("data", text("a table with left and right, or with a and b"), ", ".join(sides) or None,
                   do=text("name both halves"))  # fmt: skip
    elif data[sides[0]] == data[sides[1]]:
        slips.tell(f"data.{sides[1]}", text("another item than {side}", side=sides[0]), data[sides[1]],
                   do=text("scan the other half"))  # fmt: skip
    return kind, subject


def _mounted(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if data["into"] == subject:
        slips.tell("data.into", text("another item"), subject, do=text("scan what holds it"))
    return kind, subject


def _disposed(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if data["disposition"] == "rework" and "to_step" not in data and kind != "lot":
        slips.tell("data.to_step", text("given for rework"), None, do=text("name the step it returns to"))
    if data["disposition"] == "concession" and "reason" not in data:
        slips.tell(
            "data.reason", text("given for a concession"), None, do=text("say why it may stay as it is")
        )
    return kind, subject


def _noted(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if "text" not in data and "photograph" not in data:
        slips.tell("data.text", text("given, or a photograph"), None, do=text("write what is to be kept"))
    return kind, subject


def _logged(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    first, last = fields.read_moment(data["from"]), fields.read_moment(data["to"])
    if first is None or last is None or last < first:
        slips.tell(
            "data.to", text("{first} or later", first=data["from"]), data["to"], do=text("correct the two")
        )
    return kind, subject


def _cancelled(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    if ("order" in data) == ("purchase" in data):
        slips.tell("data", text("a table with order or purchase"), ", ".join(data), do=text("name the one"))
    return kind, subject


def _corrected(kind: str | None, subject: str | None, data: dict[str, Any], slips: Slips) -> Subject:
    replacement = data.get("replacement")
    if data["reason"] == "did_not_occur":
        if replacement is not None:
            slips.tell("data.replacement", text("left out where the event did not occur"), replacement,
                       do=text("remove it, or give the reason incorrect_data"))  # fmt: skip
        return kind, subject
    if isinstance(replacement, str):
        replacement = [replacement]
    if isinstance(replacement, list):
        keys = fields.distinct(fields.key)("data.replacement", replacement, slips)
        if keys is not None:
            data["replacement"] = keys
    elif isinstance(replacement, Mapping) and replacement and set(replacement) <= set(REPLACEABLE):
        plain = fields.plain("data.replacement", replacement, slips)
        if plain is not None:
            data["replacement"] = plain
    else:
        slips.tell(
            "data.replacement",
            text("the key of the event that is right, or a table of the fields that are ({names})",
                 names=", ".join(REPLACEABLE)),
            replacement if not isinstance(replacement, Mapping) else ", ".join(map(str, replacement)) or None,
            do=text("say what is right"),
        )  # fmt: skip
    return kind, subject


SHAPES: Final[Mapping[str, Shape]] = {
    "received": _received,
    "measured": _measured,
    "inspected": _inspected,
    "mated": _halves,
    "unmated": _halves,
    "mounted": _mounted,
    "removed": _mounted,
    "disposed": _disposed,
    "noted": _noted,
    "logged": _logged,
    "cancelled": _cancelled,
    "corrected": _corrected,
}
