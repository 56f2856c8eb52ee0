"""Sets as tracks: halves above and below, what is done together across, what joins from outside."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from pairwright.base.words import Amount, Text, text
from pairwright.reports.figures import Bar, Gap, Join, State, Track
from pairwright.reports.names import part_name, step_of, step_word, variant_name
from pairwright.reports.planned import Planned
from pairwright.works.product import Product

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation


def tracks(plan: Planned, dues: dict[str, int]) -> tuple[Track, ...]:
    """A track for every set in the plan.

    Parameters
    ----------
    plan : Planned
        The plan.
    dues : dict
        Due moments by order. [s]
    """
    return tuple(_track(plan, name, dues) for name in sorted(plan.sets) if plan.sets[name])


def _track(plan: Planned, name: str, dues: dict[str, int]) -> Track:
    operations = plan.sets[name]
    first = operations[0]
    product = plan.works.variants[first.product, first.option]
    sides = tuple(s for s in product.sides() if s is not None)
    halves = [f"{name}.{side}" for side in sides] or [f"{name}.single"]
    lines = [_line(plan, product, half) for half in halves]
    own = {o.id for line in lines for o in line} | {o.id for o in plan.items.get(name, ())}
    together = plan.items.get(name, ())
    none: tuple[Operation, ...] = ()
    upper, lower, both = none, none, together
    if sides:
        upper, lower = lines
    else:
        both = tuple(sorted((*lines[0], *together), key=lambda o: o.start))
    gaps = _gaps(product, upper, lower)
    completion = max(o.end for o in operations)
    due = dues.get(first.order)
    state, word = _state(gaps, due=due, completion=completion)
    title = variant_name(plan.works, first.product, first.option)
    return Track(
        name, first.order, first.product, title, sides, _bars(plan, upper), _bars(plan, lower), _bars(plan, both),
        _joins(plan, operations, own=own, halves=halves), gaps, due, completion, state, word,
        _sentence(name, gaps, due=due, completion=completion),
    )  # fmt: skip


def _line(plan: Planned, product: Product, item: str) -> tuple[Operation, ...]:
    """A half's operations with those of the body that it is made from, back to the beginning."""
    own = list(plan.items.get(item, ()))
    part, name = product.root, item
    while True:
        body = _body(product, part)
        if body is None:
            return tuple(own)
        name = f"{name}.{body}"
        own = [*plan.items.get(name, ()), *own]
        part = body


def _body(product: Product, part: str) -> str | None:
    """The part that a route begins with: the longest made one among what its first uses take."""
    for step in product.parts[part].steps:
        made = [u for u in step.uses if u in product.parts and product.parts[u].steps]
        if made:
            longest = max(made, key=lambda u: (product.parts[u].leaf, len(product.parts[u].steps), u))
            return longest if product.parts[longest].quantity == 1 else None
    return None


def _bars(plan: Planned, operations: Sequence[Operation]) -> tuple[Bar, ...]:
    return tuple(Bar(o.start, o.end, _kind(plan, o), step_word(o.step)) for o in operations)


def _kind(plan: Planned, op: Operation) -> str:
    step = step_of(plan.works, op.product, option=op.option, part=op.part, step=op.step)
    return step.kind if step is not None else "build"


def _gaps(product: Product, upper: Sequence[Operation], lower: Sequence[Operation]) -> tuple[Gap, ...]:
    """How far apart the halves start each step, and how far they may."""
    mates = {(o.part, o.index): o for o in lower if not o.rework}
    found = []
    for op in upper:
        mate = mates.get((op.part, op.index))
        if mate is None or op.rework:
            continue
        step = product.parts[op.part].steps[op.index]
        allowed = step.mates_within
        if allowed is None and op.part == product.root and product.binding == "early":
            allowed = product.mates_within
        found.append(
            Gap(step_word(op.step), op.start, mate.start, None if allowed is None else float(allowed))
        )
    return tuple(found)


def _joins(
    plan: Planned, operations: Sequence[Operation], *, own: set[str], halves: list[str]
) -> tuple[Join, ...]:
    """Items made apart from the line and built into it."""
    found: list[Join] = []
    for op in operations:
        if op.id not in own:
            continue
        for item in op.uses:
            made = plan.items.get(item, ())
            if not made or made[0].id in own:
                continue
            side = next((1 - 2 * n for n, h in enumerate(halves) if item.startswith(f"{h}.")), 0)
            name = part_name(plan.works, op.product, option=op.option, part=made[0].part)
            side = side if len(halves) > 1 else (1 if len(found) % 2 == 0 else -1)
            found.append(Join(name, made[0].start, made[-1].end, op.start, side))
    return tuple(found)


def _state(gaps: Sequence[Gap], *, due: int | None, completion: int) -> tuple[State, Text]:
    if any(g.beyond > 0 for g in gaps):
        return "broken", text("out of step")
    if due is not None and completion > due:
        return "broken", text("late")
    return "fine", text("in step") if gaps else text("in time")


def _sentence(name: str, gaps: Sequence[Gap], *, due: int | None, completion: int) -> Text:
    end = Amount(float(completion), "instant")
    late = due is not None and completion > due
    wide = max(gaps, key=lambda g: (g.beyond, g.apart), default=None)
    if wide is not None and wide.beyond > 0:
        return text(
            "The halves of {set} are {apart} apart at {step}, {allowed} are allowed; it is planned to end {end}.",
            set=name, apart=Amount(float(wide.apart), "duration"), step=wide.word,
            allowed=Amount(wide.allowed or 0.0, "duration"), end=end,
        )  # fmt: skip
    if wide is None:
        if late:
            return text("{set} is planned to end {end}, after its due date.", set=name, end=end)
        return text("{set} is planned to end {end}.", set=name, end=end)
    if late:
        return text(
            "The halves of {set} stay in step, {apart} apart at most; it is planned to end {end}, after its due date.",
            set=name, apart=Amount(float(wide.apart), "duration"), end=end,
        )  # fmt: skip
    return text(
        "The halves of {set} stay in step, {apart} apart at most; it is planned to end {end}.",
        set=name, apart=Amount(float(wide.apart), "duration"), end=end,
    )  # fmt: skip


def opening_sentence(found: Sequence[Track]) -> Text:
    """What all tracks together say."""
    pairs = [t for t in found if t.sides]
    opened = sum(1 for t in pairs if t.widest is not None and t.widest.beyond > 0)
    if not pairs:
        return text("{n} sets are in the plan.", n=len(found))
    if opened == 0:
        return text(
            "All {n} pairs keep step: no half runs further ahead of its mate than allowed.", n=len(pairs)
        )
    return text("{opened} of {n} pairs run further apart than allowed.", opened=opened, n=len(pairs))


def telling(found: Sequence[Track], *, most: int = 4) -> tuple[Track, ...]:
    """The tracks worth drawing large: of each product the widest opened, else the latest."""
    ranked = sorted(
        found,
        key=lambda t: (
            -(t.widest.beyond if t.widest else 0.0),
            -(t.completion - t.due if t.due else 0),
            t.set,
        ),
    )
    chosen: list[Track] = []
    seen: set[str] = set()
    for track in ranked:
        if track.product not in seen:
            seen.add(track.product)
            chosen.append(track)
    return tuple(chosen[:most])
