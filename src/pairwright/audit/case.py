"""Everything a rule needs to look at: definition, expectation, operations, hours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from pairwright.audit.expected import Expected, Item
from pairwright.audit.hours import Spans, both, expand, maintenance_spans, merge, without
from pairwright.audit.reading import Op
from pairwright.base.time import DAY
from pairwright.works.definition import Works
from pairwright.works.product import Step


@dataclass(frozen=True, slots=True)
class Away:
    """So many carriers of a kind, or the tooling of a setup family, are not there in [start, end). [s]"""

    name: str
    start: int
    end: int
    count: int = 0  # of carriers; 0: a setup family


@dataclass(slots=True)
class Case:
    """One plan under audit. `ops` are the operations whose ids all exist."""

    works: Works
    expected: Expected
    now: int
    ops: list[Op]
    changes: Mapping[str, Spans] = field(default_factory=dict)  # of tools, by station
    begun: frozenset[str] = frozenset()  # operations that are facts: they lie where they lie
    away: tuple[Away, ...] = ()
    by_item: dict[str, dict[int, Op]] = field(default_factory=dict)
    reworked: dict[str, list[Op]] = field(default_factory=dict)
    first: int = 0
    last: int = 0
    _hours: dict[tuple[str, str | None], Spans] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for op in self.ops:
            if not op.rework:
                self.by_item.setdefault(op.item, {})[op.index] = op
            else:
                self.reworked.setdefault(op.item, []).append(op)
        times = [self.now, *(o.start for o in self.ops), *(o.end for o in self.ops)]
        times += [o.held_until for o in self.ops if o.held_until is not None]
        times += [o.setup_start for o in self.ops if o.setup_start is not None]
        self.first, self.last = min(times) - DAY, min(max(times), self.now + 20 * 366 * DAY) + DAY

    def step(self, op: Op) -> Step:
        """The step that an operation carries out."""
        return self.works.variants[op.product, op.option].parts[op.part].steps[op.index]

    def opening(self, station: str) -> Spans:
        """The station's calendar, maintenance not yet taken out."""
        return self._span((station, ""), station, None)

    def hours(self, station: str, crew: str | None) -> Spans:
        """Working time: the station's calendar less maintenance, within the crew's calendar."""
        return self._span((station, crew), station, crew)

    def stops(self, station: str) -> Spans:
        """Planned maintenance and tool changes."""
        planned = maintenance_spans(self.works.factory.stations[station].maintenance, self.works.zone)
        return merge([*planned, *self.changes.get(station, [])])

    def hours_without_changes(self, station: str) -> Spans:
        """When a tool can be changed: the hours of station and crew, less maintenance."""
        place, zone = self.works.factory.stations[station], self.works.zone
        spans = without(self.opening(station), maintenance_spans(place.maintenance, zone))
        if place.crew is None:
            return spans
        crew = self.works.factory.calendars[self.works.factory.crews[place.crew].calendar]
        return both(spans, expand(crew, zone, self.first, self.last))

    def _span(self, key: tuple[str, str | None], station: str, crew: str | None) -> Spans:
        if key not in self._hours:
            factory, zone = self.works.factory, self.works.zone
            spans = expand(factory.calendars[factory.stations[station].calendar], zone, self.first, self.last)
            if key[1] != "":
                spans = without(spans, self.stops(station))
            if crew is not None:
                crew_hours = expand(
                    factory.calendars[factory.crews[crew].calendar], zone, self.first, self.last
                )
                spans = both(spans, crew_hours)
            self._hours[key] = spans
        return self._hours[key]

    def people(self, op: Op) -> int:
        """People that an operation asks for; nobody at an unattended station."""
        if op.station is None or not self.works.factory.stations[op.station].manned:
            return 0
        asked = self.step(op).people
        return self.works.factory.stations[op.station].people if asked is None else asked

    def crew(self, op: Op) -> str | None:
        """The crew that works an operation, where it asks for people."""
        if op.station is None or self.people(op) == 0:
            return None
        return self.step(op).crew or self.works.factory.stations[op.station].crew

    def duration(self, op: Op) -> int | None:
        """Planned working time of an operation by itself. [s]"""
        return self.expected.times.get((op.product, op.option, op.part, op.step, op.station))

    def chain(self, item: Item) -> Iterator[Op | None]:
        """The operations of an item in order of its route; a step done together is the set's."""
        own, whole = self.by_item.get(item.id, {}), self.by_item.get(item.set, {})
        for index, step in enumerate(item.product.parts[item.part].steps):
            yield (whole if step.together else own).get(index)

    def again(self, item: Item) -> list[Op]:
        """What was done again for rework on an item, or on its set: it lies behind the step's first time."""
        found: list[Op] = []
        for op in self.reworked.get(item.id, []) + self.reworked.get(item.set, []):
            first = self.by_item.get(op.item, {}).get(op.index)
            if op.part == item.part and first is not None and first.start < op.start:
                found.append(op)
        return found

    def after(self, item: Item) -> Op | None:
        """The operation that uses an item, or None for a finished half."""
        if item.user is None:
            return None
        holder, step = item.user
        for op in self.by_item.get(holder, {}).values():
            if op.step == step:
                return op
        return None

    def area(self, op: Op, before: str | None) -> str | None:
        """Where an operation is done: its station's area, its buffer's, else where the item was."""
        if op.station is not None:
            return self.works.factory.stations[op.station].area
        buffer = self.step(op).buffer
        return self.works.factory.buffers[buffer].area if buffer else before


def group_by_unit(case: Case) -> Mapping[tuple[str, int], list[list[Op]]]:
    """Operations of each unit in order of start; those that share a batch are one group."""
    units: dict[tuple[str, int], dict[str, list[Op]]] = {}
    for op in case.ops:
        if op.station is not None and op.unit is not None:
            key = f"batch {op.batch}" if op.batch is not None else f"op {op.id}"
            units.setdefault((op.station, op.unit), {}).setdefault(key, []).append(op)
    return {
        unit: sorted(groups.values(), key=lambda g: (min(o.start for o in g), g[0].id))
        for unit, groups in units.items()
    }
