"""Whether there is room (places, load, buffer), and whether all that goes in has been scanned."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from pairwright.app.acting_case import Case
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import State
from pairwright.floor.things import Item, Set, Worked

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading

MOST: Final = 500  # pieces in work at one station


def no_room(floor: Floor, reading: Reading, *, case: Case) -> Iterator[Finding]:
    """Why the events of an act find no room, or leave out a part.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    reading : Reading
        The record as it was before them.
    case : Case
        The act, with its events.
    """
    starts = [one for one in case.events if one["kind"] == "started"]
    moves = [one for one in case.events if one["kind"] == "moved"]
    if starts and case.station in case.routes.works.factory.stations:
        yield from _station(reading, case, starts=starts)
    if moves:
        yield from _buffer(floor, case, moves=moves)
    for one in case.events:
        if one["kind"] == "finished":
            yield from _incomplete(reading, case, event=one)


def _station(reading: Reading, case: Case, *, starts: list[dict[str, Any]]) -> Iterator[Finding]:
    name = str(case.station)
    station = case.routes.works.factory.stations[name]
    ours = {one.get("item") or one.get("set") for one in starts}
    rows = [
        row
        for kind in ("item", "set")
        for word in ("in work", "on hold")
        for row in reading.things(kind, station=name, standing=word, limit=MOST)
    ]
    there = [case.state.thing(row.id) for row in rows if row.id not in ours]
    busy = [
        one
        for one in there
        if isinstance(one, Item | Set) and one.under is not None and one.under.station == name
    ]
    if station.kind == "batch":
        most = float(station.capacity)
        load = sum(_load(case, one) for one in busy) + sum(_load_of(case, one) for one in starts)
    else:
        most, load = float(station.places), float(len(busy) + len(starts))
    if load <= most + 1e-9:
        return
    if not busy:
        yield Finding(
            "station_full", "error", name,
            text("{station} does not hold so much at once: start fewer", station=station.name),
        )  # fmt: skip
        return
    yield Finding(
        "station_full", "error", name,
        text("{station} is taken by {ids}: finish that first",
             station=station.name, ids=", ".join(one.id for one in busy[:3])),
    )  # fmt: skip


def _load(case: Case, thing: Worked) -> float:
    position = case.position(thing)
    index = None if position is None or thing.under is None else position.index_of(thing.under.step)
    return 1.0 if position is None or index is None else float(position.steps[index].load)


def _load_of(case: Case, event: dict[str, Any]) -> float:
    thing = case.state.thing(event.get("item") or event.get("set") or "")
    return _load(case, thing) if isinstance(thing, Item | Set) else 1.0


def _buffer(floor: Floor, case: Case, *, moves: list[dict[str, Any]]) -> Iterator[Finding]:
    from pairwright.app.stationing import making_of

    ours = {one.get("item") or one.get("set") for one in moves}
    name = moves[0]["data"]["buffer"]
    buffer = case.routes.works.factory.buffers.get(name)
    if buffer is None:
        return
    with making_of(floor).looking(floor) as look:
        state, index = look.state, look.index
        inside = [one for one, place in index.placed.items() if place == name and one not in ours]
        taken = sum(_places(case, state, one) for one in inside)
    wanted = sum(_places(case, case.state, str(one)) for one in ours)
    if taken + wanted > buffer.places:
        yield Finding(
            "buffer_full", "error", name,
            text("{buffer} is full, {taken} of {places} places are taken: take something out first",
                 buffer=buffer.name, taken=taken, places=buffer.places),
        )  # fmt: skip


def _places(case: Case, state: State, name: str) -> int:
    thing = state.thing(name)
    product = case.routes.variant(thing) if isinstance(thing, Item) else None
    if not isinstance(thing, Item) or product is None or thing.part not in product.parts:
        return 1
    return int(product.parts[thing.part].places)


def _incomplete(reading: Reading, case: Case, *, event: dict[str, Any]) -> Iterator[Finding]:
    """Parts that a step builds in and that nobody scanned; parts that never got labels are not asked for."""
    thing = case.state.thing(event.get("item") or event.get("set") or "")
    position = case.position(thing) if isinstance(thing, Item | Set) else None
    index = None if position is None else position.index_of(event["data"]["step"])
    if not isinstance(thing, Item | Set) or position is None or index is None:
        return
    product = position.product
    inside = [item.part for item in _inside(case.state, thing)]
    for name in position.steps[index].uses:
        part = product.parts[name]
        if not part.steps or inside.count(name) >= part.quantity:
            continue
        if reading.things("item", product=product.id, part=name, limit=1):
            yield Finding(
                "part_missing", "error", thing.id,
                text("{part} of {id} is not recorded ({count} of {wanted}): scan it before you finish",
                     part=part.name, id=thing.id, count=inside.count(name), wanted=part.quantity),
            )  # fmt: skip


def _inside(state: State, thing: Item | Set) -> list[Item]:
    """Items that went into a thing or are mounted in it."""
    names = [one.id for one in thing.inputs]
    names += [one.id for one in thing.parts] if isinstance(thing, Item) else []
    return [item for item in map(state.item, names) if item is not None]
