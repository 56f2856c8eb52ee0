"""From a record's validation errors to five-part messages."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Literal, TypeAlias, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from pairwright.base.errors import Problem, shown
from pairwright.base.words import Text, text
from pairwright.works.lines import Loc
from pairwright.works.reading import Sheet, as_written, near
from pairwright.works.record import Flag, units_of

Place: TypeAlias = Callable[[Loc], tuple[Sheet, Loc]]

_MOST_NAMES: Final = 12


@dataclass(frozen=True, slots=True)
class _Spot:
    """A place of the data, and the record and field that describe it."""

    loc: Loc
    owner: type[BaseModel] | None
    name: str
    kind: Any


def problems_of(error: ValidationError, root: Any, *, tree: Any, place: Place) -> list[Problem]:
    """Five-part messages of a validation error.

    Parameters
    ----------
    error : ValidationError
        What the record refused.
    root : Any
        The record, or the annotated union of records.
    tree : Any
        The data that was refused.
    place : Callable[[Loc], tuple[Sheet, Loc]]
        The sheet and place where a place of the data was written.
    """
    found: list[Problem] = []
    for loc, kind, context, given in _flat(error, ()):
        spot = _spot(root, tree, loc)
        if kind.startswith("union_tag"):
            found.append(_no_kind(spot, given, place=place))
            continue
        sheet, written = place(spot.loc)
        if kind == "missing":
            must_be, got, do = wanted(spot), "nothing", text("add it")
        else:
            must_be, do = _say(kind, context, spot=spot)
            got = shown(spot.loc[-1]) if kind == "extra_forbidden" and spot.loc else as_written(given)
        found.append(Problem(sheet.where(written), sheet.field(written), must_be, got, do))
    return found


def _flat(error: ValidationError, prefix: Loc) -> Iterator[tuple[Loc, str, Mapping[str, Any], Any]]:
    """The single errors, those of records read inside another field's reader included."""
    for one in error.errors(include_url=False):
        loc = (*prefix, *one["loc"])
        context = one.get("ctx", {})
        inner = context.get("error")
        if isinstance(inner, ValidationError):
            yield from _flat(inner, loc)
        else:
            yield loc, one["type"], context, one["input"]


def _say(kind: str, context: Mapping[str, Any], *, spot: _Spot) -> tuple[Text, Text]:
    match kind:
        case "pairwright":
            return context["must_be"], context["do"]
        case "extra_forbidden":
            return _unknown_field(spot)
        case "literal_error":
            return wanted(spot), text("choose one of them")
        case "greater_than_equal" | "less_than_equal":
            return wanted(spot), text("give a possible number")
        case "too_short":
            return text("a list of at least {n}", n=context["min_length"]), text("add what is missing")
        case "int_type" | "int_from_float" | "int_parsing":
            return wanted(spot), text("write it with digits and without quotation marks")
        case "bool_type" | "bool_parsing":
            return wanted(spot), text("write true or false, without quotation marks")
        case "string_type":
            return wanted(spot), text("write it in quotation marks")
        case "date_type" | "datetime_type" | "date_from_datetime_inexact":
            return wanted(spot), text("write it without quotation marks")
        case _:
            return wanted(spot), text("write it so")


def _no_kind(spot: _Spot, given: Any, *, place: Place) -> Problem:
    """A table that does not say, or wrongly says, which of several it is."""
    sheet, written = place((*spot.loc, "kind"))
    kinds = [str(kind) for kind in _tags(_bare(spot.kind))]
    stated = given.get("kind") if isinstance(given, Mapping) else None
    alike = near(str(stated), kinds, 1) if stated is not None else []
    return Problem(
        sheet.where(written),
        sheet.field(written),
        text("one of {names}", names=", ".join(kinds)),
        "nothing" if stated is None else shown(stated),
        text("write {name}", name=alike[0]) if alike else text("state its kind"),
    )


def _unknown_field(spot: _Spot) -> tuple[Text, Text]:
    names = _field_names(spot.owner) if spot.owner is not None else []
    name = str(spot.loc[-1]) if spot.loc else ""
    alike = near(name, names)
    listed = names if len(names) <= _MOST_NAMES else near(name, names, _MOST_NAMES) or names[:_MOST_NAMES]
    must_be = text("a known field ({names})", names=", ".join(listed))
    if alike:
        return must_be, text("write {name}, or leave it out", name=alike[0])
    return must_be, text("leave it out")


def _field_names(owner: type[BaseModel]) -> list[str]:
    return [info.alias or name for name, info in owner.model_fields.items()]


def wanted(spot: _Spot) -> Text:
    """What a field must be."""
    unit = units_of(spot.owner).get(spot.name) if spot.owner is not None else None
    if unit is not None:
        return unit.wanted()
    kind = spot.kind
    for _ in range(4):
        if get_origin(kind) is Annotated and kind != Flag:
            kind = get_args(kind)[0]
        elif get_origin(kind) in (Union, UnionType):
            kind = next((a for a in get_args(kind) if a is not NoneType), kind)
    return _kind_text(kind)


def _kind_text(kind: Any) -> Text:
    if get_origin(kind) is Literal:
        return text("one of {names}", names=", ".join(str(a) for a in get_args(kind)))
    if kind is bool or kind == Flag:
        return text("true or false")
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        needed = [n for n, info in kind.model_fields.items() if info.is_required()]
        return text("a table with {names}", names=", ".join(needed)) if needed else text("a table")
    plain = {
        "int": text("a whole number from 1 to 100000"),
        "float": text("a number"),
        "str": text("a text"),
        "date": text("a date such as 2027-03-01"),
        "datetime": text("a date and time such as 2027-03-01T06:00:00+01:00"),
        "tuple": text("a list in square brackets"),
        "dict": text("a table"),
    }
    return plain.get(getattr(get_origin(kind) or kind, "__name__", ""), text("as the reference describes it"))


def _spot(root: Any, tree: Any, loc: Loc) -> _Spot:
    """Walk down the data and the records together; marks of unions drop out of the place."""
    kind, node, name = root, tree, ""
    owner: type[BaseModel] | None = None
    out: list[str | int] = []
    for key in loc:
        kind = _bare(kind)
        tags = _tags(kind)
        if key in tags and isinstance(node, Mapping) and node.get("kind") == key:
            kind = tags[key]
            continue
        if key == "[key]":
            continue
        owner, name, kind = _step_down(kind, key)
        node = _child(node, key)
        out.append(key)
    return _Spot(tuple(out), owner, name, kind)


def _child(node: Any, key: str | int) -> Any:
    if isinstance(node, Mapping):
        return node.get(key)
    if isinstance(node, list) and isinstance(key, int) and key < len(node):
        return node[key]
    return None


def _bare(kind: Any) -> Any:
    while get_origin(kind) is Annotated:
        kind = get_args(kind)[0]
    if get_origin(kind) in (Union, UnionType):
        rest = [a for a in get_args(kind) if a is not NoneType and get_origin(a) is not Literal]
        if len(rest) == 1:
            return _bare(rest[0])
    return kind


def _tags(kind: Any) -> dict[Any, type[BaseModel]]:
    """Of a union of records: each by the word of its kind."""
    found: dict[Any, type[BaseModel]] = {}
    if get_origin(kind) in (Union, UnionType):
        for model in get_args(kind):
            if isinstance(model, type) and issubclass(model, BaseModel) and "kind" in model.model_fields:
                for word in get_args(model.model_fields["kind"].annotation):
                    found[word] = model
    return found


def _step_down(kind: Any, key: str | int) -> tuple[type[BaseModel] | None, str, Any]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, info in kind.model_fields.items():
            if key in (name, info.alias):
                return kind, name, info.annotation
        return kind, str(key), None
    if get_origin(kind) is dict:
        return None, str(key), get_args(kind)[1]
    if get_origin(kind) is tuple:
        return None, str(key), get_args(kind)[0]
    return None, str(key), None
