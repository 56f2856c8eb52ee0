"""What goes into a thing: the material that the step asks for, the part of this product, option and side."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.floor.event import Event
from pairwright.floor.routes import Position, Routes
from pairwright.floor.state import State
from pairwright.floor.things import Item, Lot, Set, Worked
from pairwright.works.material import Adhesive, Coating
from pairwright.works.product import Step

MIXED = "mixed"  # value of a lot: when it was mixed, ISO 8601 with offset


def right_inputs(routes: Routes, state: State, event: Event) -> Iterator[Finding]:
    """Why what was scanned may not go into a thing.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    event : Event
        What is asked for.
    """
    thing = state.thing(event.subject) if event.subject is not None else None
    if not isinstance(thing, Item | Set):
        return
    if event.kind == "mounted":
        whole = state.item(event.data["into"])
        if isinstance(thing, Item) and whole is not None:
            yield from _part(routes, state, event, part=thing, into=whole, step=None)
        return
    if event.kind not in ("started", "finished") or not event.data.get("inputs"):
        return
    position = routes.position(state, thing)
    index = None if position is None else position.index_of(event.data["step"])
    if position is None or index is None:
        return
    step = position.steps[index]
    for one in event.data["inputs"]:
        name = next(one[kind] for kind in ("lot", "item", "id") if kind in one)
        put = state.thing(name)
        if isinstance(put, Lot):
            yield from _lot(routes, event, lot=put, position=position, step=step)
        elif isinstance(put, Item):
            yield from _part(routes, state, event, part=put, into=thing, step=step)


def _lot(routes: Routes, event: Event, *, lot: Lot, position: Position, step: Step) -> Iterator[Finding]:
    wanted = routes.needs.get(position.place(step.id), {})
    sealed = step.recipe is None and step.sealed is not None
    if lot.material is not None and wanted and lot.material not in wanted and not sealed:
        names = " / ".join(routes.works.materials[name].name for name in wanted)
        own = routes.works.materials.get(lot.material)
        yield Finding(
            "wrong_lot", "error", lot.id,
            text("lot {lot} is {material}; {step} takes {wanted}: scan a lot of that",
                 lot=lot.id, material=lot.material if own is None else own.name, step=step.name or step.id,
                 wanted=names),
        )  # fmt: skip
        return
    yield from _pot_life(routes, event, lot=lot)


def _pot_life(routes: Routes, event: Event, *, lot: Lot) -> Iterator[Finding]:
    """What was mixed keeps only so long."""
    mixed = dict(lot.values).get(MIXED)
    material = routes.works.materials.get(lot.material or "")
    if (
        not isinstance(mixed, str)
        or not isinstance(material, Adhesive | Coating)
        or material.pot_life is None
    ):
        return
    try:
        since = datetime.fromisoformat(mixed)
    except ValueError:
        return
    passed = event.event_time - since.timestamp() if since.tzinfo is not None else 0.0
    if passed > material.pot_life:
        yield Finding(
            "pot_life_over", "error", lot.id,
            text("lot {lot} was mixed {passed} ago and keeps {limit}: throw it away and mix anew",
                 lot=lot.id, passed=Amount(passed, "duration"), limit=Amount(material.pot_life, "duration")),
        )  # fmt: skip


def _part(
    routes: Routes, state: State, event: Event, *, part: Item, into: Worked, step: Step | None
) -> Iterator[Finding]:
    product = routes.variant(into)
    if product is None or part.part is None:
        return
    if part.product not in (None, product.id) and (
        product.effectivity is None or part.product != product.effectivity.revises
    ):
        yield _foreign(part, into, what=str(part.product), wanted=product.id)
        return
    if part.option is not None and into.option is not None and part.option != into.option:
        yield _foreign(part, into, what=part.option, wanted=into.option)
        return
    uses = step.uses if step is not None else _uses(routes, state, into)
    if uses and part.part not in uses:
        yield Finding(
            "wrong_part", "error", part.id,
            text("{id} is a {part} and does not go in here: {wanted} is asked for",
                 id=part.id, part=_called(routes, into, part.part),
                 wanted=" / ".join(_called(routes, into, name) for name in uses)),
        )  # fmt: skip
        return
    yield from _fits(routes, state, event, part=part, into=into)


def _called(routes: Routes, into: Worked, part: str) -> str:
    product = routes.variant(into)
    known = None if product is None else product.parts.get(part)
    return part if known is None else known.name


def _uses(routes: Routes, state: State, into: Worked) -> tuple[str, ...]:
    """Every part that goes into a thing at some step."""
    position = routes.position(state, into)
    return () if position is None else tuple(name for step in position.steps for name in step.uses)


def _foreign(part: Item, into: Worked, *, what: str, wanted: str) -> Finding:
    return Finding(
        "wrong_part", "error", part.id,
        text("{id} is of {what} and {into} is {wanted}: take a part that was made for it",
             id=part.id, what=what, into=into.id, wanted=wanted),
    )  # fmt: skip


def _fits(routes: Routes, state: State, event: Event, *, part: Item, into: Worked) -> Iterator[Finding]:
    """Side, set, and whether the part is finished and has waited as long as it must."""
    product = routes.variant(into)
    record = None if product is None else product.parts.get(str(part.part))
    side = into.side if isinstance(into, Item) else None
    if record is not None and record.handed and None not in (part.side, side) and part.side != side:
        yield Finding(
            "wrong_side", "error", part.id,
            text("{id} is a {side} part and {into} is the {other} half: take the {other} one",
                 id=part.id, side=str(part.side), into=into.id, other=str(side)),
        )  # fmt: skip
        return
    own = into.id if isinstance(into, Set) else into.set if isinstance(into, Item) else None
    if part.set is not None and own is not None and part.set != own and "reason" not in event.data:
        yield Finding(
            "foreign_part", "error", part.id,
            text("{id} was made for set {set}, {into} is of set {other}: take the one made for it",
                 id=part.id, set=part.set, into=into.id, other=own),
        )  # fmt: skip
        return
    yield from _finished(routes, state, event, part=part)


def _finished(routes: Routes, state: State, event: Event, *, part: Item) -> Iterator[Finding]:
    position = routes.position(state, part)
    if position is None:
        return
    if position.next is not None or part.under is not None:
        due = part.under.step if part.under is not None else position.next.id if position.next else ""
        yield Finding(
            "part_unfinished", "error", part.id,
            text("{id} is not finished: {step} comes first", id=part.id, step=due),
        )  # fmt: skip
        return
    if position.last is None:
        return
    wait, since = routes.least_wait(position), position.last[1].end
    if event.event_time - since < wait:
        yield Finding(
            "uncured", "error", part.id,
            text("{id} needs {wait} after {step} and has had {passed}: leave it until {until}",
                 id=part.id, wait=Amount(wait, "duration"), step=position.last[0].name or position.last[0].id,
                 passed=Amount(max(0, event.event_time - since), "duration"),
                 until=Amount(since + wait, "instant")),
        )  # fmt: skip
