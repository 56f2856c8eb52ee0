"""Rules about what is in the plan: unknown, complete, identity, station, duration, earliest."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.audit.case import Case
from pairwright.audit.expected import Expected, Item
from pairwright.audit.hours import local_moment
from pairwright.audit.reading import Op, Violation
from pairwright.base.words import Amount, text
from pairwright.works.definition import Works


def known(works: Works, expected: Expected, *, op: Op) -> Iterator[Violation]:
    """`unknown`: every id that an operation names exists."""
    for field, value in (*_unknown_work(works, expected, op=op), *_unknown_places(works, expected, op=op)):
        yield Violation("unknown", op.id, text("there is no {field} {value}", field=field, value=str(value)))


def _unknown_work(works: Works, expected: Expected, *, op: Op) -> Iterator[tuple[str, object]]:
    variant = works.variants.get((op.product, op.option))
    if variant is None:
        yield "product and option", f"{op.product} {op.option}"
    elif op.part not in variant.parts:
        yield "part", op.part
    elif op.step not in (s.id for s in variant.parts[op.part].steps):
        yield "step", op.step
    if op.set not in expected.sets:
        yield "set", op.set
    elif op.item not in expected.items and op.item != op.set:
        yield "item to be made", op.item
    elif expected.sets[op.set][0].order.id != op.order:
        yield "order of that set", op.order


def _unknown_places(works: Works, expected: Expected, *, op: Op) -> Iterator[tuple[str, object]]:
    factory = works.factory
    if op.station is not None:
        station = factory.stations.get(op.station)
        if station is None:
            yield "station", op.station
        elif op.unit is None or not 0 <= op.unit < station.places:
            yield "place at that station", op.unit
    elif op.unit is not None:
        yield "place without a station", op.unit
    if op.crew is not None and op.crew not in factory.crews:
        yield "crew", op.crew
    if op.carrier is not None and op.carrier not in factory.carriers:
        yield "carrier", op.carrier
    yield from (("buffer", s.buffer) for s in op.stays if s.buffer not in factory.buffers)
    for used in op.uses:
        if used not in expected.items and used not in expected.stocked:
            yield "item used", used


def identity(expected: Expected, op: Op) -> Iterator[Violation]:
    """`identity` and `complete` (index): an operation belongs to its item and its route."""
    whole = op.item == op.set
    item = expected.sets[op.set][0] if whole else expected.items[op.item]
    facts = (
        ("set", op.set, item.set),
        ("side", op.side or "-", "-" if whole else item.side or "-"),
        ("product", op.product, item.product.id),
        ("option", op.option, item.product.option),
        ("part", op.part, item.part),
        ("revision", op.revision or "-", _revision(item)),
    )
    for field, got, must in facts:
        if got != must:
            yield Violation(
                "identity",
                op.id,
                text("{field} of {item} is {must}, not {got}", field=field, item=op.item, must=must, got=got),
            )
    steps = item.product.parts[item.part].steps
    right = 0 <= op.index < len(steps) and steps[op.index].id == op.step
    if not right or steps[op.index].together != whole:
        yield Violation(
            "complete",
            op.id,
            text(
                "step {step} of {item} has not the index {index}", step=op.step, item=op.item, index=op.index
            ),
        )


def _revision(item: Item) -> str:
    stated = item.product.effectivity
    return "-" if stated is None else stated.revision


def complete(case: Case) -> Iterator[Violation]:
    """`complete`: each item has each step exactly once; both halves are there."""
    counted: dict[tuple[str, int], int] = {}
    for op in case.ops:
        if not op.rework:
            counted[op.item, op.index] = counted.get((op.item, op.index), 0) + 1
    wanted: set[tuple[str, int]] = set()
    for item in case.expected.items.values():
        for index, step in enumerate(item.product.parts[item.part].steps):
            wanted.add((item.set if step.together else item.id, index))
    for key in sorted(wanted - counted.keys()):
        yield Violation("complete", key[0], text("step {n} is not planned", n=key[1]))
    for key, count in sorted(counted.items()):
        if count > 1 or key not in wanted:
            yield Violation(
                "complete", key[0], text("step {n} is planned {count} times", n=key[1], count=count)
            )


def station(case: Case) -> Iterator[Violation]:
    """`station`: one of the step's alternatives, or none where the step has none."""
    for op in case.ops:
        allowed: list[str | None] = [a.station for a in case.step(op).stations]
        if op.station not in (allowed or [None]):
            yield Violation(
                "station",
                op.id,
                text("{station} is not a station for step {step}", station=str(op.station), step=op.step),
            )


def duration(case: Case) -> Iterator[Violation]:
    """`duration`: worked time equals the step's time at the station, or the batch's longest."""
    longest: dict[str, int] = {}
    for op in case.ops:
        if op.batch is not None:
            longest[op.batch] = max(longest.get(op.batch, 0), case.duration(op) or 0)
    for op in case.ops:
        if op.id in case.begun:
            continue
        must = longest[op.batch] if op.batch is not None else case.duration(op)
        worked = sum(e - s for s, e in op.pieces) if op.pieces else op.end - op.start
        if must is None:
            yield Violation(
                "duration", op.id, text("the step has no duration at {station}", station=str(op.station))
            )
        elif worked != must:
            yield Violation(
                "duration",
                op.id,
                text(
                    "takes {worked} and must take {must}",
                    worked=Amount(worked, "duration"),
                    must=Amount(must, "duration"),
                ),
            )


def earliest(case: Case) -> Iterator[Violation]:
    """`earliest`: nothing before now, nor before the order may start."""
    starts: dict[str, int] = {}
    for halves in case.expected.sets.values():
        order = halves[0].order
        released = local_moment(order.released, 0, case.works.zone) if order.released else case.now
        starts[order.id] = max(case.now, released)
    for op in case.ops:
        if op.id in case.begun:
            continue
        first = op.start if op.setup_start is None else min(op.start, op.setup_start)
        if first < case.now or op.start < starts[op.order]:
            yield Violation(
                "earliest",
                op.id,
                text(
                    "starts {start}, before {first}",
                    start=Amount(first, "instant"),
                    first=Amount(starts[op.order], "instant"),
                ),
            )


def half_of(item: Item) -> str:
    """The half (or the set) an item belongs to."""
    return f"{item.set}.{item.side}" if item.side else item.set
