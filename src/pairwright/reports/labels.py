"""What stands on a label: the code, what it is, its side and its mate. Plain data, in the shop's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from pairwright.base.codes import LETTERS, Code, make_code
from pairwright.base.words import Amount, Text, text
from pairwright.floor import State
from pairwright.floor.routes import Routes, halves, mate_of
from pairwright.floor.things import Item, Lot, Order, Set, Thing, Tool
from pairwright.reports.names import part_name, sets_of, variant_name
from pairwright.works import Works

SIDES: Final[Mapping[str, Text]] = {
    "left": text("left"), "right": text("right"), "a": text("half a"), "b": text("half b"),
}  # fmt: skip
KIND_NAMES: Final[Mapping[str, Text]] = {
    "item": text("Item"), "leaf": text("Leaf"), "lot": text("Lot"), "set": text("Set"),
    "carrier": text("Carrier"), "mould": text("Mould"), "programme": text("Programme"),
    "instrument": text("Instrument"), "person": text("Person"), "station": text("Station"),
    "order": text("Order"), "batch": text("Batch"),
}  # fmt: skip


def side_word(side: str | None) -> Text | None:
    """A side in words; None where there is none.

    Parameters
    ----------
    side : str | None
        As the record has it.
    """
    return SIDES.get(side or "")


@dataclass(frozen=True, slots=True)
class Carton:
    """One of the boxes of a set: which of how many, the set, what is in the other."""

    number: int
    of: int
    set: Code
    mate: Code | None


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    `side` decides which way it is drawn: the labels of mates mirror each other. `part` says of which part
    an item is, where the record knows it.
    """

    code: Code
    title: Text
    lines: tuple[Text, ...] = ()
    side: str | None = None
    part: str | None = None
    carton: Carton | None = None


def kind_of(works: Works, state: State, name: str) -> str | None:
    """Which kind of thing has a name, or None where neither the record nor the works knows it.

    Parameters
    ----------
    works : Works
        The definition: stations, programmes.
    state : State
        The record's.
    name : str
        The identity.
    """
    thing = state.thing(name)
    if thing is not None:
        what = thing.what if isinstance(thing, Item) else thing.kind
        if what in LETTERS:
            return what
        return "item" if isinstance(thing, Item) else None
    if name in works.factory.stations:
        return "station"
    return "programme" if name in works.factory.programmes else None


def label_of(
    routes: Routes, state: State, name: str, *, kind: str, people: Mapping[str, str] | None = None
) -> Label:
    """The label of a thing; of one that nobody knows yet it carries the kind alone.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        The record's.
    name : str
        The identity.
    kind : str
        Of `base.codes.KINDS`.
    people : Mapping[str, str] | None
        Names of people by id, where they may be shown.

    Raises
    ------
    CodeError
        When no code can hold the identity.
    """
    works = routes.works
    code = make_code(kind, name)
    if kind == "station" and name in works.factory.stations:
        return Label(code, text("{name}", name=works.factory.stations[name].name),
                     (text("scan this to work here"),))  # fmt: skip
    if kind == "programme" and name in works.factory.programmes:
        return _programme(routes, name)
    if kind == "person":
        named = (people or {}).get(name)
        return Label(code, KIND_NAMES[kind] if named is None else text("{name}", name=named))
    thing = state.thing(name)
    return Label(code, KIND_NAMES[kind]) if thing is None else _of_thing(routes, state, thing, code=code)


def _programme(routes: Routes, name: str) -> Label:
    """Its code carries the revision, so that a label of an earlier one is noticed."""
    found = routes.works.factory.programmes[name]
    line = routes.works.products.get(found.product)
    lines = [text("revision {revision}", revision=found.revision)]
    if line is not None:
        option = next(iter(line.options))
        part = part_name(routes.works, found.product, option=option, part=found.part)
        lines.append(text("{product}, {part}", product=line.name, part=part))
    side = found.side if found.side in SIDES else None
    return Label(
        make_code("programme", f"{name}.{found.revision}"), KIND_NAMES["programme"], tuple(lines), side
    )


def _of_thing(routes: Routes, state: State, thing: Thing, *, code: Code) -> Label:
    match thing:
        case Item():
            return _item(routes, state, thing, code=code)
        case Set():
            lines = [part_line(routes, half) for half in halves(state, thing)]
            return Label(code, _name(routes, thing) or KIND_NAMES["set"], tuple(lines))
        case Lot():
            return _lot(routes, thing, code=code)
        case Order():
            return _order(routes, thing, code=code)
        case Tool():
            stated = () if thing.revision is None else (text("revision {revision}", revision=thing.revision),)
            return Label(code, KIND_NAMES[code.kind], stated)


def _name(routes: Routes, thing: Item | Set) -> Text | None:
    """The product in its option."""
    variant = routes.variant(thing)
    if variant is None:
        return None
    return variant_name(routes.works, variant.id, thing.option or variant.option)


def part_line(routes: Routes, item: Item) -> Text:
    """An item's part and side: ``Cabinet, left: C-0231L``."""
    name = _part(routes, item)
    side = side_word(item.side)
    if side is not None:
        return text("{part}, {side}: {id}", part=name, side=side, id=item.id)
    return text("{part}: {id}", part=name, id=item.id)


def _part(routes: Routes, item: Item) -> str:
    variant = routes.variant(item)
    if variant is None or item.part is None:
        return item.part or ""
    return part_name(routes.works, variant.id, option=variant.option, part=item.part)


def _item(routes: Routes, state: State, item: Item, *, code: Code) -> Label:
    lines: list[Text] = []
    part = _part(routes, item)
    if part:
        lines.append(text("{part}", part=part))
    if item.what == "leaf":
        lines += _leaf(routes, item)
    if item.set is not None:
        lines.append(text("set {set}", set=item.set))
    mate = mate_of(state, item)
    if mate is not None:
        lines.append(text("mate {code}", code=make_code(code.kind, mate.id).readable))
    return Label(code, _name(routes, item) or KIND_NAMES[code.kind], tuple(lines), item.side, item.part)


def _leaf(routes: Routes, item: Item) -> list[Text]:
    values = dict(item.values)
    material = routes.works.materials.get(item.material or "")
    lines = [] if material is None else [text("{material}", material=material.name)]
    if "flitch" in values:
        lines.append(text("flitch {flitch}, leaf {number}", flitch=str(values["flitch"]),
                          number=str(values.get("number", "?"))))  # fmt: skip
    return lines


def _lot(routes: Routes, lot: Lot, *, code: Code) -> Label:
    material = routes.works.materials.get(lot.material or "")
    lines: list[Text] = []
    if lot.arrived is not None:
        lines.append(text("came in {day}", day=Amount(float(lot.arrived), "date")))
    if lot.expiry is not None:
        lines.append(text("use by {day}", day=date.fromisoformat(lot.expiry).isoformat()))
    return Label(
        code, KIND_NAMES["lot"] if material is None else text("{name}", name=material.name), tuple(lines)
    )


def _order(routes: Routes, order: Order, *, code: Code) -> Label:
    works = routes.works
    lines: list[Text] = []
    if order.product is not None and order.kind == "order":
        lines.append(sets_of(works, order.product, count=int(order.quantity)))
        if order.due is not None:
            lines.append(text("due {day}", day=order.due))
        return Label(code, variant_name(works, order.product, order.option), tuple(lines))
    return Label(code, KIND_NAMES["order"], tuple(lines))


def cartons_of(routes: Routes, state: State, one: Set) -> tuple[Label, ...]:
    """The labels of the boxes of a set, one for each half: each names its mate.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        The record's.
    one : Set
        The set. A pair needs both its halves for it; without them there is no label.
    """
    inside = list(halves(state, one))
    variant = routes.variant(one) or (routes.variant(inside[0]) if inside else None)
    wanted = 2 if variant is None or variant.kind == "pair" else 1
    if variant is not None:
        inside = [item for item in inside if item.part == variant.root]
    if len(inside) != wanted:
        return ()
    made = make_code("set", one.id)
    codes = [make_code("item", item.id) for item in inside]
    title = KIND_NAMES["set"] if variant is None else variant_name(
        routes.works, variant.id, one.option or inside[0].option or variant.option
    )  # fmt: skip
    found = []
    for n, item in enumerate(inside):
        mate = codes[1 - n] if wanted == 2 else None
        lines = () if mate is None else (
            text("The halves of a pair belong together: never send one without the other."),
        )  # fmt: skip
        found.append(Label(codes[n], title, lines, item.side, item.part, Carton(n + 1, wanted, made, mate)))
    return tuple(found)
