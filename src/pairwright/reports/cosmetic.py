"""Cosmetic inspection: faces with their zones, what was seen, what may stay, how alike the halves look."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.words import Amount, Text, text
from pairwright.floor import State
from pairwright.floor.routes import Routes
from pairwright.floor.things import Item, Reading, Set, Worked
from pairwright.measure.colour import colour_difference
from pairwright.works import Product, Works
from pairwright.works.inspection import Inspection, Likeness, Zone

ZoneState: TypeAlias = Literal["not looked at", "clear", "to be decided", "decided"]
Where: TypeAlias = tuple[str, str, str, str]  # zone, its name, one half, the other
Verdict: TypeAlias = Literal["good", "bad", "not proven"]
COLOUR: Final = ("colour-l", "colour-a", "colour-b")  # characteristics, each followed by a point and the zone
GLOSS: Final = "gloss"


@dataclass(frozen=True, slots=True)
class ZoneShown:
    """A zone with its corners [m] and what was seen there last."""

    id: str
    name: str
    seen: str
    corners: tuple[tuple[float, float], ...]
    state: ZoneState
    defect: str | None = None
    size: float | None = None
    when: int | None = None
    who: str | None = None


@dataclass(frozen=True, slots=True)
class FaceShown:
    """A face laid flat, with its zones. [m]"""

    id: str
    name: str
    width: float
    height: float
    zones: tuple[ZoneShown, ...]


@dataclass(frozen=True, slots=True)
class DefectKind:
    """A kind of defect as a person chooses it: name, how to tell it, largest size by how it is seen."""

    id: str
    name: str
    says: str
    allowed: tuple[tuple[str, float], ...]
    repair: str | None
    samples: tuple[tuple[str, str, str], ...]  # how seen, what the sample shows, where it lies


@dataclass(frozen=True, slots=True)
class Judged:
    """Whether a defect of a size may stay in a zone; `limit` None where none may. [m]"""

    may_stay: bool
    limit: float | None
    says: Text
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Alike:
    """One comparison of left and right: value, limit, verdict."""

    what: Text
    zone: str
    zone_name: str
    first: str
    second: str
    value: float | None
    limit: float
    verdict: Verdict
    says: Text


@dataclass(frozen=True, slots=True)
class InspectionShown:
    """All that the page of an inspection needs."""

    subject: str
    faces: tuple[FaceShown, ...]
    defects: tuple[DefectKind, ...]
    alike: tuple[Alike, ...]
    left: int  # zones that nobody has looked at
    open: int  # zones on which somebody has yet to decide
    says: Text


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a Pareto chart: how often, and its share with all before it. [-]"""

    id: str
    name: str
    count: int
    share: float
    together: float


def inspection_of(routes: Routes, state: State, thing: Worked) -> InspectionShown | None:
    """What is looked over on a thing and how it stands; None where the works names no zones.

    Parameters
    ----------
    routes : Routes
        Of the works.
    state : State
        Of the floor.
    thing : Worked
        An item, or a set.
    """
    product = _product(routes, state, thing)
    inspection = None if product is None else product.inspection
    if product is None or inspection is None:
        return None
    part = thing.part if isinstance(thing, Item) else product.root
    zones = {
        name: _zone(thing, name, zone)
        for name, zone in inspection.zones.items()
        if (inspection.faces[zone.face].part or product.root) == part
    }
    faces = tuple(
        FaceShown(name, face.name, face.width, face.height,
                  tuple(zones[z] for z, zone in inspection.zones.items() if zone.face == name and z in zones))
        for name, face in inspection.faces.items()
        if (face.part or product.root) == part
    )  # fmt: skip
    one = state.set(thing.set) if isinstance(thing, Item) and thing.set is not None else thing
    alike = likeness(inspection, state, one) if isinstance(one, Set) else ()
    left = sum(zone.state == "not looked at" for zone in zones.values())
    undecided = sum(zone.state == "to be decided" for zone in zones.values())
    says = _says(len(zones), left, undecided=undecided, alike=alike)
    return InspectionShown(thing.id, faces, defect_kinds(routes.works), alike, left, undecided, says)


def _product(routes: Routes, state: State, thing: Worked) -> Product | None:
    found = routes.variant(thing)
    if found is None and isinstance(thing, Set) and thing.pair is not None:
        half = state.item(thing.pair.first)
        return None if half is None else routes.variant(half)
    return found


def _zone(thing: Worked, name: str, zone: Zone) -> ZoneShown:
    look = next((one for one in thing.looks if one.zone == name), None)
    if look is None or look.sequence < thing.changed:
        return ZoneShown(name, zone.name, zone.seen, zone.corners, "not looked at")
    word: ZoneState = "clear"
    if not look.clear:
        trouble = next((one for one in thing.troubles if one.opened == look.sequence), None)
        word = "to be decided" if trouble is None or trouble.open else "decided"
    return ZoneShown(
        name, zone.name, zone.seen, zone.corners, word, look.defect, look.size, look.time, look.actor
    )


def _says(count: int, left: int, *, undecided: int, alike: Sequence[Alike]) -> Text:
    if undecided:
        return text("{count} zones wait for a decision", count=undecided)
    if left:
        return text("{left} of {count} zones are still to be looked at", left=left, count=count)
    if any(one.verdict == "bad" for one in alike):
        return text("every zone is clear, but the halves look unlike")
    return text("every zone has been looked at and is clear, or decided")


def defect_kinds(works: Works) -> tuple[DefectKind, ...]:
    """The kinds of defect of a works, with their limits, repairs and limit samples.

    Parameters
    ----------
    works : Works
        The definition.
    """
    factory = works.factory
    return tuple(
        DefectKind(
            name, one.name, one.says, tuple((seen, float(size)) for seen, size in one.allowed.items()),
            None if one.repair is None else factory.repairs[one.repair].name,
            tuple((s.seen, s.says, s.kept) for s in factory.limit_samples.values() if s.defect == name),
        )
        for name, one in factory.defects.items()
    )  # fmt: skip


def judge_defect(works: Works, product: Product, *, zone: str, defect: str, size: float | None) -> Judged:
    """Whether a defect may stay where it is.

    Parameters
    ----------
    works : Works
        The definition.
    product : Product
        What it was found on.
    zone : str
        Where.
    defect : str
        The kind.
    size : float | None
        Its longest extent; None where nobody measured it. [m]
    """
    found = None if product.inspection is None else product.inspection.zones.get(zone)
    kind = works.factory.defects.get(defect)
    if found is None or kind is None:
        return Judged(False, None, text("no limit is stated for this: somebody decides"))
    samples = tuple(
        name
        for name, one in works.factory.limit_samples.items()
        if one.defect == defect and one.seen == found.seen
    )
    limit = kind.allowed.get(found.seen)
    if limit is None:
        return Judged(
            False, None, text("{defect} may not stay in {zone}", defect=kind.name, zone=found.name), samples
        )
    if size is None:
        return Judged(
            False, float(limit),
            text("{defect} of up to {limit} may stay in {zone}: measure it", defect=kind.name,
                 limit=Amount(limit, "length"), zone=found.name), samples,
        )  # fmt: skip
    if size <= limit:
        return Judged(
            True, float(limit),
            text("{defect} of {size} is within {limit} for {zone}: it may stay", defect=kind.name,
                 size=Amount(size, "length"), limit=Amount(limit, "length"), zone=found.name), samples,
        )  # fmt: skip
    return Judged(
        False, float(limit),
        text("{defect} of {size} is beyond {limit} for {zone}", defect=kind.name, size=Amount(size, "length"),
             limit=Amount(limit, "length"), zone=found.name), samples,
    )  # fmt: skip


# left against right


def likeness(inspection: Inspection, state: State, one: Set) -> tuple[Alike, ...]:
    """Colour and gloss of both halves, zone by zone; nothing is good that was not measured on both.

    Parameters
    ----------
    inspection : Inspection
        Of the product.
    state : State
        Of the floor.
    one : Set
        The set.
    """
    if one.pair is None:
        return ()
    halves = [state.item(name) for name in one.pair.halves]
    first, second = ((half.readings if half is not None else ()) for half in halves)
    limits = inspection.likeness
    found: list[Alike] = []
    for name in limits.zones or tuple(z for z, zone in inspection.zones.items() if zone.seen == "always"):
        where = (name, inspection.zones[name].name, *one.pair.halves)
        if limits.colour is not None:
            found.append(_colour(where, first, second, limit=float(limits.colour)))
        if limits.gloss is not None:
            found.append(_gloss(where, first, second, limit=float(limits.gloss)))
        found += _gloss_span(where, first, second, limits=limits)
    return tuple(found)


def _value(readings: Iterable[Reading], name: str) -> float | None:
    return next((one.value for one in readings if one.characteristic == name), None)


def _lab(readings: Sequence[Reading], zone: str) -> tuple[float, ...] | None:
    values = [_value(readings, f"{name}.{zone}") for name in COLOUR]
    return None if any(v is None for v in values) else tuple(v for v in values if v is not None)


def _colour(where: Where, first: Sequence[Reading], second: Sequence[Reading], *, limit: float) -> Alike:
    lab1, lab2 = _lab(first, where[0]), _lab(second, where[0])
    value = None if lab1 is None or lab2 is None else colour_difference(lab1, lab2)
    return _compared(text("colour difference, CIEDE2000"), where=where, value=value, limit=limit)


def _gloss(where: Where, first: Sequence[Reading], second: Sequence[Reading], *, limit: float) -> Alike:
    one, other = (_value(readings, f"{GLOSS}.{where[0]}") for readings in (first, second))
    value = None if one is None or other is None else abs(one - other)
    return _compared(text("gloss difference"), where=where, value=value, limit=limit)


def _compared(what: Text, *, where: Where, value: float | None, limit: float) -> Alike:
    zone, name, a, b = where
    if value is None:
        says = text("{what} in {zone} is not measured on both halves", what=what, zone=name)
        return Alike(what, zone, name, a, b, None, limit, "not proven", says)
    verdict: Verdict = "good" if value <= limit else "bad"
    says = text("{what} in {zone} is {value}, at most {limit} is asked", what=what, zone=name,
                value=Amount(value, "number", 3), limit=Amount(limit, "number"))  # fmt: skip
    return Alike(what, zone, name, a, b, value, limit, verdict, says)


def _gloss_span(
    where: Where, first: Sequence[Reading], second: Sequence[Reading], *, limits: Likeness
) -> list[Alike]:
    zone, name, a, b = where
    found: list[Alike] = []
    for half, readings in ((a, first), (b, second)):
        value = _value(readings, f"{GLOSS}.{zone}")
        for limit, least in ((limits.gloss_least, True), (limits.gloss_most, False)):
            if limit is None:
                continue
            what = text("least gloss") if least else text("largest gloss")
            verdict: Verdict = "not proven"
            says = text("gloss of {half} in {zone} is not measured", half=half, zone=name)
            if value is not None:
                verdict = "good" if (value >= limit if least else value <= limit) else "bad"
                says = text("gloss of {half} in {zone} is {value}, {limit} is the limit", half=half, zone=name,
                            value=Amount(value, "number", 3), limit=Amount(float(limit), "number"))  # fmt: skip
            found.append(Alike(what, zone, name, half, half, value, float(limit), verdict, says))
    return found


# which ones to go after first


def pareto_of(counts: Mapping[str, int], names: Mapping[str, str] | None = None) -> tuple[Bar, ...]:
    """Bars in falling order with their share and the share of all so far. [-]

    Parameters
    ----------
    counts : Mapping[str, int]
        How often, by id.
    names : Mapping[str, str] | None
        Names of the ids.

    Examples
    --------
    >>> [(bar.id, bar.share, bar.together) for bar in pareto_of({"run": 1, "dent": 3})]
    [('dent', 0.75, 0.75), ('run', 0.25, 1.0)]
    """
    total = sum(counts.values())
    found: list[Bar] = []
    so_far = 0
    for name, count in sorted(Counter(counts).items(), key=lambda row: (-row[1], row[0])):
        if count > 0:
            so_far += count
            found.append(Bar(name, (names or {}).get(name, name), count, count / total, so_far / total))
    return tuple(found)
