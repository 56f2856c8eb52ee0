"""Rules of what many share: crews, skills, carriers, buffers."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.audit.capacity import setup_need, worked
from pairwright.audit.case import Case, group_by_unit
from pairwright.audit.expected import Item
from pairwright.audit.flow import pairs
from pairwright.audit.hours import local_moment, within
from pairwright.audit.reading import Op, Stay, Violation
from pairwright.base.words import Amount, text

Use = tuple[int, int, int, str]  # start, end, amount, by whom


def over(uses: list[Use], limit: int, *, begun: frozenset[str] = frozenset()) -> tuple[int, int, str] | None:
    """The first moment at which more than `limit` are in use: when, how many, by whom.

    A moment at which only facts ask for them (and people are away) is no fault of the plan.
    """
    edges: list[tuple[int, int, int, str]] = []
    for start, end, amount, by in uses:
        if end > start:
            edges.append((start, 1, amount, by))
            edges.append((end, 0, -amount, by))
    level = planned = 0
    for moment, kind, change, by in sorted(edges):
        level += change
        planned += 0 if by in begun or not by else change
        if kind == 1 and level > limit and planned > 0:
            return moment, level, by
    return None


def crews(case: Case) -> Iterator[Violation]:
    """`crew` and `skill`: enough people with the skill, setups included."""
    uses: dict[str, list[Use]] = {}
    for (station, _unit), groups in group_by_unit(case).items():
        state: str | None = None
        for group in groups:
            op = max(group, key=lambda o: (case.people(o), o.id))
            crew = case.crew(op)
            if crew is not None:
                row = uses.setdefault(crew, [])
                row.extend((s, e, case.people(op), op.id) for s, e in worked(op))
                row.extend(_setup_uses(case, station, group, state, op, crew))
                yield from _skills(case, group, crew)
            families = {case.step(o).setup for o in group} - {None}
            state = sorted(str(f) for f in families)[-1] if families else state
    for crew, row in sorted(uses.items()):
        people = case.works.factory.crews[crew].people
        broken = over([*row, *_absent(case, crew)], people, begun=case.begun)
        if broken is not None:
            yield Violation(
                "crew",
                broken[2] or crew,
                text(
                    "with those away {n} of {crew} are asked for at {moment}; there are {people}",
                    n=broken[1],
                    crew=crew,
                    moment=Amount(broken[0], "instant"),
                    people=people,
                ),
            )


def _absent(case: Case, crew: str) -> Iterator[Use]:
    """People that are away count as asked for."""
    for one in case.works.factory.crews[crew].absences:
        start = local_moment(one.from_, 0, case.works.zone)
        yield start, local_moment(one.to, 1440, case.works.zone), one.people, ""


def _setup_uses(case: Case, station: str, group: list[Op], state: str | None, op: Op, crew: str) -> list[Use]:
    begins = [o.setup_start for o in group if o.setup_start is not None]
    need = setup_need(case, group, state)
    uses: list[Use] = []
    if begins and need:
        for start, end in within(case.hours(station, crew), min(begins), op.start):
            end = min(end, start + need)
            uses.append((start, end, case.people(op), op.id))
            need -= end - start
            if need <= 0:
                break
    return uses


def _skills(case: Case, group: list[Op], crew: str) -> Iterator[Violation]:
    for op in group:
        skill = case.step(op).skill
        if skill is not None and skill not in case.works.factory.crews[crew].skills:
            yield Violation("skill", op.id, text("{crew} has not the skill {skill}", crew=crew, skill=skill))
        if op.crew is not None and op.crew != crew:
            yield Violation("skill", op.id, text("its crew is {must}, not {got}", must=crew, got=op.crew))


def carriers(case: Case) -> Iterator[Violation]:
    """`carrier`: no more are out than there are."""
    uses: dict[str, list[Use]] = {}
    done: set[tuple[str, str]] = set()
    for item in case.expected.items.values():
        out: dict[str, Op] = {}
        for op in case.chain(item):
            if op is None:
                continue
            step = case.step(op)
            if step.takes is not None:
                out.setdefault(step.takes, op)
            if step.returns is not None and step.returns in out:
                first = out.pop(step.returns)
                if (first.id, op.id) not in done:
                    done.add((first.id, op.id))
                    uses.setdefault(step.returns, []).append((first.start, op.end, 1, first.id))
    for carrier, row in sorted(uses.items()):
        gone = [(one.start, one.end, one.count, "") for one in case.away if one.count and one.name == carrier]
        broken = over([*row, *gone], case.works.factory.carriers[carrier].count, begun=case.begun)
        if broken is not None:
            yield Violation(
                "carrier",
                broken[2],
                text(
                    "{n} of {carrier} are out at {moment}",
                    n=broken[1],
                    carrier=carrier,
                    moment=Amount(broken[0], "instant"),
                ),
            )


def expected_stays(case: Case) -> Iterator[tuple[Item, Op, Stay]]:
    """Every stay that the operations imply."""
    for item, before, after in pairs(case):
        step = case.step(before)
        if step.buffer is not None:
            arrives = before.start if before.station is None else before.end
            if after.start > arrives:
                yield item, before, Stay(step.buffer, arrives, after.start)


def buffers(case: Case) -> Iterator[Violation]:
    """`buffer`: the stays are as listed and fit the places."""
    uses: dict[str, list[Use]] = {}
    implied: dict[str, list[Stay]] = {}
    for item, before, stay in expected_stays(case):
        places = item.product.parts[item.part].places
        uses.setdefault(stay.buffer, []).append((stay.start, stay.end, places, before.id))
        implied.setdefault(before.id, []).append(stay)
    for op in case.ops:
        if op.rework and op.id in case.begun:
            continue  # lost with its piece: the place was given up then
        listed = sorted((s.buffer, s.start, s.end) for s in op.stays if s.end > s.start)
        must = sorted((s.buffer, s.start, s.end) for s in implied.get(op.id, []))
        if listed != must:
            yield Violation("buffer", op.id, text("its stays in a buffer are not as listed"))
    for buffer, row in sorted(uses.items()):
        limit = case.works.factory.buffers[buffer].places
        broken = over(row, limit, begun=case.begun)
        if broken is not None:
            yield Violation(
                "buffer",
                broken[2],
                text(
                    "{n} places of {buffer} at {moment}; there are {limit}",
                    n=broken[1],
                    buffer=buffer,
                    moment=Amount(broken[0], "instant"),
                    limit=limit,
                ),
            )
