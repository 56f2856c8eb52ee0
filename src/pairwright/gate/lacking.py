"""Everything that a set lacks for its release, item by item, all of it at once.

Each rule is a generator that yields what it misses. A set may leave when none yields anything, but for
what a named authority has conceded: a concession closes one lack and says so in the dossier.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias

from pairwright.base.digests import digest_bytes
from pairwright.base.time import local_date
from pairwright.base.words import Text, text
from pairwright.floor.effective import correction_in_force, replaced
from pairwright.floor.event import Event
from pairwright.floor.holds import holds_on
from pairwright.floor.leaving import may_leave, standing_halves, within
from pairwright.floor.programme_rules import programme_of
from pairwright.floor.qualification import may_do
from pairwright.floor.routes import Position, Routes
from pairwright.floor.state import State
from pairwright.floor.things import Done, Item, Set, Worked
from pairwright.works.inspection import Zone
from pairwright.works.product import Product, Step

Found: TypeAlias = Iterator["Lack"]


@dataclass(frozen=True, slots=True)
class Lack:
    """Something missing: which rule asks for it, of which thing, in words.

    `conceded` names the authority that let it pass; `nonconformance` is the id under which that can be
    done.
    """

    rule: str
    subject: str
    detail: str  # tells lacks of one rule and subject apart
    says: Text
    conceded: str | None = None

    @property
    def nonconformance(self) -> str:
        """The nonconformance that a concession must name: the same for the same lack, whenever it is asked."""
        body = f"{self.rule}\x1f{self.subject}\x1f{self.detail}"
        return f"lack-{digest_bytes(body.encode())[:20]}"


@dataclass(frozen=True, slots=True)
class Asked:
    """The question: which set, by which routes, in which state of the floor, with which machine curves.

    `proofs` has the verdict of every press and stove step that a machine should have logged, by item and
    step: "good", "bad", "not proven".
    """

    routes: Routes
    state: State
    one: Set
    proofs: Mapping[tuple[str, str], str] = field(default_factory=dict)

    @property
    def halves(self) -> tuple[Item, ...]:
        """The halves that are there."""
        return tuple(standing_halves(self.state, self.one))

    def items(self) -> Iterator[Item]:
        """Every item of the set, the innermost too."""
        for half in self.halves:
            yield from within(self.state, half)

    def worked(self) -> Iterator[Worked]:
        """The set itself and every item of it."""
        yield self.one
        yield from self.items()

    def steps(self) -> Iterator[tuple[Item, Position, Step, Done]]:
        """Every step that was done and still counts, with its place on the route."""
        for item in self.items():
            position = self.routes.position(self.state, item)
            if position is None:
                continue
            by_id = {step.id: step for step in position.steps}
            for done in item.done:
                if not done.stale and done.step in by_id:
                    yield item, position, by_id[done.step], done

    def event(self, key: str) -> Event | None:
        """An event as it counts now, its correction carried out."""
        entry = self.state.past.entry(key)
        if entry is None:
            return None
        correction = correction_in_force(self.state.past, key)
        return entry.event if correction is None else replaced(entry.event, correction.event)


def lacking(asked: Asked) -> tuple[Lack, ...]:
    """Everything that a set lacks, conceded lacks included and marked.

    Parameters
    ----------
    asked : Asked
        The set and the floor.

    Notes
    -----
    Order: by rule, then by thing. Nothing is hidden behind an earlier lack.
    """
    conceded = dict(_concessions(asked))
    found = dict.fromkeys(lack for rule in RULES.values() for lack in rule(asked))
    return tuple(
        Lack(one.rule, one.subject, one.detail, one.says, conceded.get(one.nonconformance)) for one in found
    )


def _concessions(asked: Asked) -> Iterator[tuple[str, str]]:
    """Nonconformances that were conceded, each with its authority."""
    for thing in asked.worked():
        for trouble in thing.troubles:
            if trouble.disposition == "concession" and trouble.authority:
                yield trouble.id, trouble.authority


# the rules


def _whole(asked: Asked) -> Found:
    """What holds in every works: halves there and mated, nothing open, measured since the last change."""
    event = Event("", "released", 0, 0, "", None, "set", asked.one.id, {})
    for slip in may_leave(asked.state, event):
        yield Lack("whole", slip.subject, slip.code, slip.text)


def _held(asked: Asked) -> Found:
    for reach in holds_on(asked.state, asked.one.id):
        says = text("{on} is held: {reason}", on=reach.on, reason=reach.hold.reason)
        yield Lack("held", reach.on, reach.hold.key, says)


def _steps(asked: Asked) -> Found:
    """Every planned step at a station is done, of every item that has a route."""
    for item in asked.items():
        position = asked.routes.position(asked.state, item)
        if position is None or item.finished:
            continue
        for step in position.steps:
            if step.stations and step.id not in position.finished:
                says = text("{id} has not been through {step}", id=item.id, step=step.name or step.id)
                yield Lack("steps", item.id, step.id, says)


def _parts(asked: Asked) -> Found:
    """Every part that the route uses up or mounts is in its item."""
    for item in asked.items():
        position = asked.routes.position(asked.state, item)
        if position is None or item.finished:
            continue
        inside = _inside(asked, item)
        for step in position.steps:
            for name in step.uses:
                part = position.product.parts[name]
                short = part.quantity - inside.get(name, 0)
                if short > 0 and part.steps:
                    says = text(
                        "{id} holds {n} of {part} too few", id=item.id, n=short, part=part.name or name
                    )
                    yield Lack("parts", item.id, name, says)


def _inside(asked: Asked, item: Item) -> dict[str, int]:
    names = [one.id for one in item.inputs] + [one.id for one in item.parts]
    found: dict[str, int] = {}
    for name in dict.fromkeys(names):
        part = asked.state.item(name)
        if part is not None and part.part is not None:
            found[part.part] = found.get(part.part, 0) + 1
    return found


def _qualified(asked: Asked) -> Found:
    for item, _, step, done in asked.steps():
        if step.skill is None:
            continue
        event = asked.event(done.key)
        day = _day(asked, done.end) if event is None else event.local_time()[:10]
        slip = may_do(asked.state, done.actor, skill=step.skill, day=day)
        if slip is not None:
            says = text("{step} of {id}: {why}", step=step.name or step.id, id=item.id, why=slip.text)
            yield Lack("qualified", item.id, step.id, says)


def _day(asked: Asked, seconds: int) -> str:
    """The local day of a moment."""
    return local_date(seconds, asked.routes.works.zone).isoformat()


def _programmes(asked: Asked) -> Found:
    """A machine's step was done by the programme that the works names for it."""
    for item, position, step, done in asked.steps():
        wanted = programme_of(asked.routes, position, step=step, station=done.station, side=item.side)
        if wanted is not None and done.programme != wanted[0]:
            says = text(
                "{step} of {id} was done by programme {was}, not {wanted}", step=step.name or step.id, id=item.id,
                was=done.programme or "-", wanted=wanted[0],
            )  # fmt: skip
            yield Lack("programmes", item.id, step.id, says)


def _verdicts(asked: Asked) -> Found:
    """A measurement that was held against limits is proven and good."""
    for thing in asked.worked():
        for reading in thing.readings:
            event = asked.event(reading.key)
            said = None if event is None else event.data.get("verdict")
            if (reading.limit_revision is None and said is None) or said == "good":
                continue
            says = text(
                "{what} of {id} is {verdict}", what=reading.characteristic, id=thing.id,
                verdict=said or "not proven",
            )  # fmt: skip
            yield Lack("verdicts", thing.id, reading.characteristic, says)


def _instruments(asked: Asked) -> Found:
    """What was judged was judged by an instrument in calibration."""
    for thing in asked.worked():
        for reading in thing.readings:
            if reading.instrument is None:
                continue
            tool = asked.state.tool(reading.instrument)
            checks = () if tool is None else tool.checks
            good = [c for c in checks if c.time <= reading.time]
            last = max(good, key=lambda c: c.time, default=None)
            if (
                last is not None
                and last.good
                and (last.until is None or _day(asked, reading.time) <= last.until)
            ):
                continue
            says = text(
                "{instrument} was out of calibration when it measured {what} of {id}",
                instrument=reading.instrument, what=reading.characteristic, id=thing.id,
            )  # fmt: skip
            yield Lack("instruments", thing.id, f"{reading.instrument} {reading.characteristic}", says)


def _inspected(asked: Asked) -> Found:
    """Every zone of every half was looked over since it last changed, and is clear or within its limits."""
    product = asked.routes.variant(asked.one) or next(
        (p for half in asked.halves if (p := asked.routes.variant(half)) is not None), None
    )
    if product is None or product.inspection is None:
        return
    for half in asked.halves:
        looks = {look.zone: look for look in half.looks}
        for name, zone in product.inspection.zones.items():
            if not _of(product, zone, half):
                continue
            look = looks.get(name)
            if look is None or look.sequence < half.changed:
                says = text(
                    "zone {zone} of {id} was not looked over since its last change",
                    zone=zone.name,
                    id=half.id,
                )
                yield Lack("inspected", half.id, name, says)
            elif not look.clear and not _within_limits(asked, zone, look.defect, look.size):
                if any(t.zone == name and not t.open for t in half.troubles):
                    continue  # somebody has decided
                says = text(
                    "zone {zone} of {id} shows {defect}",
                    zone=zone.name,
                    id=half.id,
                    defect=look.defect or "-",
                )
                yield Lack("inspected", half.id, name, says)


def _of(product: Product, zone: Zone, half: Item) -> bool:
    """Whether a zone lies on the half itself; faces of other parts are looked over with those."""
    inspection = product.inspection
    face = None if inspection is None else inspection.faces.get(zone.face)
    return face is not None and (face.part or product.root) == (half.part or product.root)


def _within_limits(asked: Asked, zone: Zone, defect: str | None, size: float | None) -> bool:
    kind = asked.routes.works.factory.defects.get(defect or "")
    limit = None if kind is None else kind.allowed.get(zone.seen)
    return limit is not None and size is not None and size <= limit


def _cures(asked: Asked) -> Found:
    """A cure that a machine should have logged is proven."""
    items = {item.id for item in asked.items()}
    for (name, step), verdict in sorted(asked.proofs.items()):
        if name in items and verdict != "good":
            says = text("the cure of {id} in {step} is {verdict}", id=name, step=step, verdict=verdict)
            yield Lack("cures", name, step, says)


def _waits(asked: Asked) -> Found:
    """What must rest between two steps has rested."""
    for item in asked.items():
        position = asked.routes.position(asked.state, item)
        if position is None:
            continue
        ends = {done.step: done for done in item.done if not done.stale}
        for before, after in _neighbours(position):
            first, second = ends.get(before[0].id), ends.get(after.id)
            if first is None or second is None:
                continue
            start = second.end if second.start is None else second.start
            waits = sum(asked.routes.least_time(position, one) + one.next_min for one in before[1:])
            least = before[0].next_min + waits
            if start - first.end < least - 1.0:
                says = text(
                    "{id} went to {step} before it had rested long enough",
                    id=item.id,
                    step=after.name or after.id,
                )
                yield Lack("waits", item.id, after.id, says)


def _neighbours(position: Position) -> Iterator[tuple[list[Step], Step]]:
    """Each step at a station with the pure waits behind it, and the next step at a station."""
    row: list[Step] = []
    for step in position.steps:
        if step.stations:
            if row:
                yield row, step
            row = [step]
        elif row:
            row.append(step)


RULES: Final[Mapping[str, Callable[[Asked], Any]]] = {
    "whole": _whole, "held": _held, "steps": _steps, "parts": _parts, "qualified": _qualified,
    "programmes": _programmes, "verdicts": _verdicts, "instruments": _instruments, "inspected": _inspected,
    "cures": _cures, "waits": _waits,
}  # fmt: skip
