"""The sheet that follows an item: its code, its route, boxes to write in. Plain data; works on paper alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from pairwright.base.codes import Code, make_code
from pairwright.base.words import Amount, Text, text
from pairwright.floor import State
from pairwright.floor.routes import Position, Routes, done_together, mate_of
from pairwright.floor.things import Done, Item
from pairwright.reports.instructions import Value, instructions_of
from pairwright.reports.names import variant_name
from pairwright.works.product import Step

MOST_VALUES: Final = 4  # of a recipe, on one row
LONG_WAIT: Final = 60.0  # seconds; shorter ones are not worth a word on paper

# What is commonly written down by hand at a kind of step, with the unit to write it in (common practice).
WRITTEN: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "press": (("platen", "degC"), ("time", "min")),
    "glue-up": (("spread", "g/m2"),),
    "clamp": (("room", "degC"),),
    "spray": (("wet-film", "um"),),
    "stove": (("air", "degC"),),
    "flat": (("film", "um"),),
    "polish": (("gloss", "-"),),
}
_NAMES: Final[Mapping[str, Text]] = {
    "platen": text("platen"), "time": text("time"), "spread": text("spread"), "room": text("room"),
    "wet-film": text("wet film"), "air": text("air"), "film": text("film"), "gloss": text("gloss"),
}  # fmt: skip
# what a machine's programme knows and a hand at the bench does not need
_LEFT_OUT: Final = (
    "Area", "Pieces", "Tools", "Path", "Width of the contact", "Width of the fan", "Overlap", "Weight to lift",
)  # fmt: skip
_UNITS: Final = {"degC": "°C", "um": "µm", "g/m2": "g/m²", "-": ""}


@dataclass(frozen=True, slots=True)
class Row:
    """One step of the route.

    `stations` are names, `values` the recipe's, `write` what is to be measured and written, `cautions` the
    numbers of the sheet's cautions, `done` what the record has of it already. A pure wait has no station and
    no boxes.
    """

    number: int
    step: str
    name: str
    kind: str
    stations: tuple[str, ...]
    station_ids: tuple[str, ...] = ()
    values: tuple[Value, ...] = ()
    write: tuple[Text, ...] = ()
    programme: Text | None = None
    handling: str = ""
    cautions: tuple[int, ...] = ()
    limits: tuple[Text, ...] = ()
    together: bool = False
    done: Done | None = None

    @property
    def wait(self) -> bool:
        """Whether nothing is done but waiting."""
        return not self.stations


@dataclass(frozen=True, slots=True)
class Traveller:
    """A whole sheet: `facts` are names with what they are, `cautions` the texts that rows refer to from 1."""

    code: Code
    title: Text
    part: str
    side: str | None
    mate: Code | None
    set: Code | None
    facts: tuple[tuple[Text, str], ...]
    rows: tuple[Row, ...]
    cautions: tuple[str, ...]


def traveller_of(routes: Routes, state: State, item: Item) -> Traveller | None:
    """The sheet of an item; None where the works has no route for it.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        The record's.
    item : Item
        The item, known to the record or about to be begun.
    """
    position = routes.position(state, item)
    if position is None:
        return None
    product = position.product
    mate = mate_of(state, item)
    order = None if item.order is None else state.order(item.order)
    named = None if item.set is None else make_code("set", item.set)
    facts = [
        (text("set"), None if named is None else named.readable),
        (text("order"), item.order),
        (text("due"), None if order is None else order.due),
    ]
    cautions: dict[str, int] = {}
    rows = tuple(_rows(routes, state, item, position=position, cautions=cautions))
    return Traveller(
        make_code("item", item.id),
        variant_name(routes.works, product.id, item.option or product.option),
        product.parts[position.part].name,
        item.side,
        None if mate is None else make_code("item", mate.id),
        named,
        tuple((name, value) for name, value in facts if value is not None),
        rows,
        tuple(cautions),
    )


def _rows(
    routes: Routes, state: State, item: Item, *, position: Position, cautions: dict[str, int]
) -> Iterator[Row]:
    done = {one.step: one for one in _ended(state, item)}
    for number, step in enumerate(position.steps, start=1):
        least = routes.least_time(position, step)
        if not step.stations:
            yield Row(number, step.id, step.name or step.id, step.kind, (), limits=tuple(_waits(step, least)))
            continue
        told = instructions_of(routes, position, step=step, side=item.side)
        for caution in told.cautions:
            cautions.setdefault(_said(caution.text, caution.figure), len(cautions) + 1)
        programme = None if told.programme is None else text(
            "programme {name}, revision {revision}", name=told.programme, revision=told.revision or ""
        )  # fmt: skip
        values = tuple(one for one in told.values if one.name.template not in _LEFT_OUT)
        yield Row(
            number, step.id, told.step_name, step.kind, tuple(name for _, name in told.stations),
            tuple(one for one, _ in told.stations),
            values[:MOST_VALUES], tuple(_to_write(step)), programme, step.handling,
            tuple(cautions[_said(c.text, c.figure)] for c in told.cautions), tuple(_limits(step)),
            step.together, done.get(step.id),
        )  # fmt: skip


def _said(caution: str, figure: str) -> str:
    return f"{caution} ({figure})" if figure else caution


def _ended(state: State, item: Item) -> Iterator[Done]:
    """Steps that the record has as ended: the item's own, then those of its set."""
    for done in (*item.done, *done_together(state, item)):
        if not done.stale:
            yield done


def _to_write(step: Step) -> Iterator[Text]:
    for name, unit in WRITTEN.get(step.kind, ()):
        shown = _UNITS.get(unit, unit)
        yield text("{what} [{unit}]", what=_NAMES[name], unit=shown) if shown else _NAMES[name]


def _waits(step: Step, least: float) -> Iterator[Text]:
    total = least + step.next_min
    if total >= LONG_WAIT:
        yield text("at least {time}", time=Amount(total, "duration"))
    if step.next_max is not None:
        yield text("at most {time}", time=Amount(least + step.next_max, "duration"))


def _limits(step: Step) -> Iterator[Text]:
    if step.next_min >= LONG_WAIT:
        yield text("then wait at least {time}", time=Amount(step.next_min, "duration"))
    if step.next_max is not None:
        yield text("go on within {time}", time=Amount(step.next_max, "duration"))
