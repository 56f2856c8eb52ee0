"""Rules along an item's way: sequence, waits, transport, assembly, mates, held places."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from pairwright.audit.case import Case
from pairwright.audit.expected import Item
from pairwright.audit.reading import Op, Violation
from pairwright.base.words import Amount, text


def pairs(case: Case) -> Iterator[tuple[Item, Op, Op]]:
    """Each item's neighbouring operations; the last of a part's is followed by its user."""
    for item in case.expected.items.values():
        chain = [op for op in case.chain(item) if op is not None]
        chain = (
            sorted([*chain, *again], key=lambda o: (o.start, o.end)) if (again := case.again(item)) else chain
        )
        yield from ((item, a, b) for a, b in itertools.pairwise(chain))
        user = case.after(item)
        if chain and user is not None:
            yield item, chain[-1], user


def sequence(case: Case) -> Iterator[Violation]:
    """`sequence`, `least_wait`, `longest_wait`, `transport` between neighbours."""
    seen: set[tuple[str, str, str]] = set()
    areas = _areas(case)
    for _item, before, after in pairs(case):
        if after.id in case.begun:
            continue
        gap = after.start - before.end
        step = case.step(before)
        faults: list[tuple[str, float]] = []
        inside = before.item in (after.item, after.set) or after.item in (before.item, before.set)
        if gap < 0:
            faults.append(("sequence" if inside else "assembly", 0.0))
        else:
            if gap < step.next_min:
                faults.append(("least_wait", step.next_min))
            if step.next_max is not None and gap > step.next_max and before.id not in case.begun:
                faults.append(("longest_wait", step.next_max))
            a, b = areas.get(before.id), areas.get(after.id)
            if a is not None and b is not None:
                way = case.works.factory.transport.time(a, b)
                if gap < way:
                    faults.append(("transport", way))
        for rule, limit in faults:
            if (rule, before.id, after.id) not in seen:
                seen.add((rule, before.id, after.id))
                yield Violation(
                    rule,
                    after.id,
                    text(
                        "starts {gap} after the end of {before}; the rule says {limit}",
                        gap=Amount(gap, "duration"),
                        before=before.id,
                        limit=Amount(limit, "duration"),
                    ),
                )


def _areas(case: Case) -> dict[str, str | None]:
    areas: dict[str, str | None] = {}
    for item in case.expected.items.values():
        where: str | None = None
        for op in case.chain(item):
            if op is not None:
                where = areas[op.id] = case.area(op, where)
    return areas


def overlap(case: Case) -> Iterator[Violation]:
    """`sequence`: operations of one item never overlap, rework included."""
    by_item: dict[str, list[Op]] = {}
    for op in case.ops:
        by_item.setdefault(op.item, []).append(op)
    for item, ops in by_item.items():
        ops.sort(key=lambda o: (o.start, o.end))
        for a, b in itertools.pairwise(ops):
            if b.id in case.begun:
                continue
            if b.start < a.end:
                yield Violation("sequence", b.id, text("overlaps {other} of {item}", other=a.id, item=item))
            elif b.index < a.index and not (b.rework or a.rework):
                yield Violation("sequence", b.id, text("comes after {other}, a later step", other=a.id))


def assembly(case: Case) -> Iterator[Violation]:
    """`assembly`: what a step uses is listed, belongs there, and is used once."""
    used_by: dict[str, str] = {}
    for op in case.ops:
        if op.rework:
            continue
        must = case.expected.used.get((op.item, op.step), ())
        if tuple(sorted(op.uses)) != must:
            yield Violation(
                "assembly",
                op.id,
                text(
                    "must use {must}, lists {got}",
                    must=", ".join(must) or "nothing",
                    got=", ".join(op.uses) or "nothing",
                ),
            )
        for used in op.uses:
            if used_by.setdefault(used, op.id) != op.id:
                yield Violation(
                    "assembly",
                    op.id,
                    text("{item} is used by {other} already", item=used, other=used_by[used]),
                )


def held(case: Case) -> Iterator[Violation]:
    """`held`: a step that keeps its place holds it until the next step starts."""
    following = {before.id: after for _item, before, after in pairs(case)}
    for op in case.ops:
        keeps = case.step(op).keeps_place
        must = following[op.id].start if keeps and op.id in following else None
        if keeps and must is not None and op.held_until != must:
            yield Violation(
                "held", op.id, text("must hold its place until {must}", must=Amount(must, "instant"))
            )


def mates(case: Case) -> Iterator[Violation]:
    """`mates_batch` and `mates_within`: the halves keep together as their steps say."""
    for halves in case.expected.sets.values():
        if len(halves) != 2:
            continue
        parts = halves[0].product.parts
        for suffix, part in _twins(case, halves):
            one = case.by_item.get(halves[0].id + suffix, {})
            other = case.by_item.get(halves[1].id + suffix, {})
            for index, step in enumerate(parts[part].steps):
                a, b = one.get(index), other.get(index)
                if a is None or b is None or a.id in case.begun or b.id in case.begun:
                    continue
                if step.mates == "same batch" and (a.batch is None or a.batch != b.batch):
                    yield Violation("mates_batch", b.id, text("must share a batch with {mate}", mate=a.id))
                limit = step.mates_within
                product = halves[0].product
                if limit is None and part == product.root and product.binding == "early":
                    limit = product.mates_within
                apart = abs(a.start - b.start)
                if limit is not None and apart > limit:
                    yield Violation(
                        "mates_within",
                        b.id,
                        text(
                            "starts {apart} apart from {mate}; allowed are {limit}",
                            apart=Amount(apart, "duration"),
                            mate=a.id,
                            limit=Amount(limit, "duration"),
                        ),
                    )


def _twins(case: Case, halves: tuple[Item, ...]) -> Iterator[tuple[str, str]]:
    """Suffix and part of every item of the first half that the second half has too."""
    base = halves[0].id
    for half_item in case.by_item:
        if half_item == base or half_item.startswith(base + "."):
            suffix = half_item[len(base) :]
            item = case.expected.items.get(half_item)
            if item is not None and halves[1].id + suffix in case.by_item:
                yield suffix, item.part
