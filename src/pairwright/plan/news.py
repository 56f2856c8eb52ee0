"""News of the floor as rows: what has begun, stands still, is away, was lost, came in or fell through.

A row is a table with its kind under ``news``. Rows are read strictly, with every problem at once;
what they name is looked up in the works and in the plan that they are about.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final, Literal, TypeAlias

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.time import parse_instant
from pairwright.base.words import Text, text
from pairwright.works.definition import Works

Others: TypeAlias = Literal["as planned", "not begun"]

# Of each kind the fields that are needed, and those that may be there.
NEWS: Final[Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]] = {
    "now": (("at",), ()),
    "others": (("are",), ()),
    "stock": (("at",), ()),
    "begun": (("operation", "start"), ("end", "station", "unit")),
    "finished": (("operation", "end"), ("start", "station", "unit")),
    "late": (("operation", "end"), ()),
    "scrapped": ((), ("item", "operation")),
    "rework": ((), ("item", "operation")),
    "batch lost": (("batch",), ()),
    "stopped": (("station", "from", "to"), ("reason",)),
    "absent": (("crew", "people", "first", "last"), ("reason",)),
    "away": (("from", "to"), ("carrier", "setup", "count")),
    "ordered": (("order", "product", "quantity", "due"), ("option", "weight", "released", "customer")),
    "cancelled": ((), ("order", "purchase")),
    "purchased": (("purchase",), ("material", "quantity", "arrives")),
    "lot": (("lot", "quantity"), ("material", "received", "expiry", "at")),
    "pinned": (("operation",), ()),
    "loose": (("order",), ()),
}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of news: its kind, its values as read, where it stands."""

    kind: str
    values: Mapping[str, Any] = field(default_factory=dict)
    where: str = "news"
    raw: Mapping[str, Any] = field(default_factory=dict)  # as it was written

    def get(self, name: str) -> Any:
        """A value, None where it is not given."""
        return self.values.get(name)


@dataclass(frozen=True, slots=True)
class News:
    """Rows in the order in which they were told."""

    rows: tuple[Row, ...] = ()

    def of(self, *kinds: str) -> tuple[Row, ...]:
        """Rows of some kinds."""
        return tuple(row for row in self.rows if row.kind in kinds)

    @property
    def others(self) -> Others:
        """What is true of operations that no row is about."""
        said = [row.get("are") for row in self.of("others")]
        return "not begun" if said and said[-1] == "not begun" else "as planned"

    def last(self, kind: str) -> int | None:
        """The moment of the last row of a kind. [s]"""
        said = [int(row.get("at")) for row in self.of(kind)]
        return said[-1] if said else None


# Kinds that are still true when the next plan goes on from this one.
LASTING: Final = ("stopped", "absent", "away", "ordered", "cancelled", "purchased", "lot")

Reader: TypeAlias = Callable[[str, object], Any]


class _RowReader:
    """Reads the fields of rows; problems are gathered."""

    def __init__(self, works: Works, operations: Collection[str]) -> None:
        self.works, self.operations = works, operations
        self.problems: list[Problem] = []
        factory = works.factory
        self.readers: dict[str, Reader] = {
            **dict.fromkeys(("at", "start", "end", "from", "to"), self._moment),
            **dict.fromkeys(("first", "last", "due", "released", "received", "arrives", "expiry"), self._day),
            **dict.fromkeys(("reason", "customer"), self._words),
            "people": self._count, "count": self._count, "unit": self._place,
            "weight": self._above, "quantity": self._amount,
            "operation": self._listed(operations, text("an operation of the plan")),
            "item": self._listed({o.rpartition("/")[0] for o in operations}, text("an item of the plan")),
            "station": self._listed(factory.stations, text("a station of the works")),
            "crew": self._listed(factory.crews, text("a crew of the works")),
            "carrier": self._listed(factory.carriers, text("a carrier of the works")),
            "setup": self._listed(_families(works), text("a setup family of a step")),
            "product": self._listed(works.products, text("a product of the works")),
            "option": self._listed({o for _, o in works.variants}, text("an option of a product")),
            "material": self._listed(works.materials, text("a material of the works")),
            "are": self._listed(("as planned", "not begun"), text("as planned, or not begun")),
            "order": self._ident, "purchase": self._ident, "lot": self._ident,
            "batch": self._words,
        }  # fmt: skip
        self.where = "news"

    def row(self, raw: object, where: str) -> Row | None:
        """One row, or None after its problems were told."""
        self.where = where
        before = len(self.problems)
        if not isinstance(raw, Mapping):
            self._tell("row", text("a table"), raw, text("write it in curly brackets"))
            return None
        kind = raw.get("news")
        if not isinstance(kind, str) or kind not in NEWS:
            names = ", ".join(NEWS)
            self._tell("news", text("one of {names}", names=names), kind, text("choose one of them"))
            return None
        needed, more = NEWS[kind]
        values: dict[str, Any] = {}
        for name in raw:
            if name != "news" and name not in (*needed, *more):
                known = ", ".join((*needed, *more))
                self._tell(str(name), text("one of {names}", names=known), name, text("remove or correct it"))
        for name in (*needed, *more):
            if raw.get(name) is not None:
                values[name] = self.readers[name](name, raw[name])
            elif name in needed:
                self._tell(name, text("given: {kind} needs it", kind=kind), None, text("add it"))
        if len(self.problems) == before:
            self._whole(kind, values)
        return Row(kind, values, where, dict(raw)) if len(self.problems) == before else None

    def _whole(self, kind: str, values: Mapping[str, Any]) -> None:
        """What fields of a row ask of each other."""
        for first, last in (("start", "end"), ("from", "to"), ("first", "last"), ("released", "due")):
            if first in values and last in values and values[last] < values[first]:
                self._tell(
                    last, text("not before {first}", first=first), str(values[last]), text("correct one")
                )
        either = {
            "scrapped": ("item", "operation"), "rework": ("item", "operation"),
            "away": ("carrier", "setup"), "cancelled": ("order", "purchase"),
        }.get(kind)  # fmt: skip
        if either is not None and sum(name in values for name in either) != 1:
            names = " or ".join(either)
            self._tell(either[0], text("given, or {other}: one of the two", other=either[1]), None,
                       text("name {names}", names=names))  # fmt: skip
        if kind == "ordered":
            variant = [o for p, o in self.works.variants if p == values["product"]]
            if (values.get("option") or variant[0]) not in variant or (
                "option" not in values and len(variant) > 1
            ):
                self._tell("option", text("one of {names}", names=", ".join(variant)), values.get("option"),
                           text("name the option"))  # fmt: skip
            if values["quantity"] != int(values["quantity"]) or not 1 <= values["quantity"] <= 1000:
                self._tell("quantity", text("a whole number of sets from 1 to 1000"), values["quantity"],
                           text("correct it"))  # fmt: skip

    def _tell(self, name: str, must_be: Text, got: object, do: Text) -> None:
        self.problems.append(Problem(self.where, name, must_be, "nothing" if got is None else shown(got), do))

    # one value each

    def _moment(self, name: str, value: object) -> int | None:
        try:
            if isinstance(value, str):
                return parse_instant(value, self.works.zone)
        except ValueError:
            pass
        self._tell(
            name, text("an ISO 8601 time such as 2027-03-01T06:00:00+01:00"), value, text("correct it")
        )
        return None

    def _day(self, name: str, value: object) -> date | None:
        try:
            day = date.fromisoformat(value) if isinstance(value, str) and len(value) == 10 else None
        except ValueError:
            day = None
        if day is None or not 2000 <= day.year <= 2199:
            self._tell(name, text("a day such as 2027-03-05"), value, text("correct it"))
            return None
        return day

    def _words(self, name: str, value: object) -> str | None:
        if isinstance(value, str) and value.strip() and len(value) <= 200 and value.isprintable():
            return value.strip()
        self._tell(name, text("a text of at most 200 characters"), value, text("shorten or correct it"))
        return None

    def _number(self, name: str, value: object, low: float, *, above: bool, whole: bool) -> float | None:
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= 1e9:
            inside = value > low or (value == low and not above)
            if inside and (not whole or value == int(value)):
                return int(value) if whole else float(value)
        if whole:
            self._tell(name, text("a whole number from {low}", low=int(low)), value, text("correct it"))
        elif above:
            self._tell(name, text("a number above {low}", low=low), value, text("correct it"))
        else:
            self._tell(name, text("a number from {low}", low=low), value, text("correct it"))
        return None

    def _count(self, name: str, value: object) -> float | None:
        return self._number(name, value, 1, above=False, whole=True)

    def _place(self, name: str, value: object) -> float | None:
        return self._number(name, value, 0, above=False, whole=True)

    def _above(self, name: str, value: object) -> float | None:
        return self._number(name, value, 0.0, above=True, whole=False)

    def _amount(self, name: str, value: object) -> float | None:
        return self._number(name, value, 0.0, above=False, whole=False)

    def _ident(self, name: str, value: object) -> str | None:
        plain = isinstance(value, str) and value.replace("-", "").replace("_", "").isalnum()
        if plain and str(value).isascii() and len(str(value)) <= 40:
            return str(value)
        self._tell(name, text("an id of letters, digits, - and _, at most 40"), value, text("correct it"))
        return None

    def _listed(self, names: Collection[str], what: Text) -> Reader:
        def read(name: str, value: object) -> str | None:
            if isinstance(value, str) and value in names:
                return value
            near = difflib.get_close_matches(str(value)[:80], sorted(names), n=3, cutoff=0.6)
            do = text("did you mean {near}?", near=", ".join(near)) if near else text("correct it")
            self._tell(name, what, value, do)
            return None

        return read


def _families(works: Works) -> set[str]:
    products = works.variants.values()
    return {s.setup for v in products for p in v.parts.values() for s in p.steps if s.setup is not None}


def read_news(rows: Iterable[tuple[str, object]], works: Works, *, operations: Collection[str]) -> News:
    """Rows of news, checked against the works and the plan that they are about.

    Parameters
    ----------
    rows : Iterable[tuple[str, object]]
        Where each stands, and its table.
    works : Works
        The definition.
    operations : Collection[str]
        Ids of the plan's operations.

    Raises
    ------
    InputError
        With every problem of every row.
    """
    reader = _RowReader(works, operations)
    found = [reader.row(raw, where) for where, raw in rows]
    if reader.problems:
        raise InputError(reader.problems)
    return News(tuple(row for row in found if row is not None))
