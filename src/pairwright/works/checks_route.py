"""Whether every route has a way through: stations, crews, lags, batches, buffers, carriers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pairwright.base.errors import Problem
from pairwright.base.words import Amount, Text, text
from pairwright.works.calendars import may_meet, works_at_all
from pairwright.works.draft import Draft, Variant, unknown
from pairwright.works.factory import Crew, Station
from pairwright.works.lines import Loc
from pairwright.works.product import Part, Step

_REFERENCES: Final[tuple[tuple[str, str, Text], ...]] = (
    ("crew", "crews", text("a crew")),
    ("buffer", "buffers", text("a buffer")),
    ("takes", "carriers", text("a carrier")),
    ("returns", "carriers", text("a carrier")),
    ("programme", "programmes", text("a programme")),
)


def check_routes(draft: Draft) -> Iterator[Problem]:
    """Every step that cannot be done, or not in its place."""
    for variant in draft.variants:
        for part, index, step in variant.steps():
            loc: Loc = ("parts", part, "steps", index)
            yield from _names(draft, variant, loc=loc, step=step)
            yield from _stations(draft, variant, loc=loc, step=step)
            yield from _lags(variant, loc, step=step)
            yield from _room(draft, variant, loc=loc, step=step)
            yield from _programme(draft, variant, loc=loc, step=step)
        for name, part_record in variant.sound_parts():
            yield from _order(variant, name, part=part_record)
            yield from _carriers(draft, variant, name=name, part=part_record)


def _names(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    for key, section, what in _REFERENCES:
        name = getattr(step, key)
        if name is not None and name not in draft.known(section):
            yield unknown(variant, (*loc, key), what=what, got=name, known=draft.known(section))
    for number, name in enumerate(step.cautions):
        if name not in draft.known("cautions"):
            what = text("a caution")
            yield unknown(
                variant, (*loc, "cautions", number), what=what, got=name, known=draft.known("cautions")
            )
    for number, one in enumerate(step.consumes):
        if draft.lacks_material(one.material):
            yield unknown(
                variant,
                (*loc, "consumes", number, "material"),
                what=text("a material"),
                got=one.material,
                known=draft.known("materials"),
            )


def _stations(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    if not step.stations:
        yield from _without_station(variant, loc, step=step)
        return
    seen: set[str] = set()
    fit = 0
    refused: list[Problem] = []
    for number, alternative in enumerate(step.stations):
        place: Loc = (*loc, "stations", number)
        name = alternative.station
        if name not in draft.known("stations"):
            what = text("a station")
            yield unknown(variant, place, what=what, got=name, known=draft.known("stations"))
        if name in seen:
            yield variant.problem(
                place, text("named once"), got=name, do=text("keep one of the two alternatives")
            )
        seen.add(name)
        station = draft.factory.stations.get(name)
        trouble = _trouble(draft, variant, place=place, step=step, station=station, name=name)
        refused.extend(trouble)
        fit += not trouble
    if fit == 0:
        yield from refused
    yield from _skill(draft, variant, loc=loc, step=step)


def _without_station(variant: Variant, loc: Loc, *, step: Step) -> Iterator[Problem]:
    if step.kind != "rest":
        yield variant.problem(
            (*loc, "stations"),
            text("at least one station; only a rest needs none"),
            do=text("name where the step is done"),
        )
        return
    for key, is_asked in (
        ("keeps_place", step.keeps_place),
        ("setup", step.setup is not None),
        ("programme", step.programme is not None),
        ("crew", step.crew is not None),
        ("skill", step.skill is not None),
    ):
        if is_asked:
            yield variant.problem(
                (*loc, key), text("left out where the step has no station"), do=text("leave it out")
            )
    if step.mates == "same batch":
        yield variant.problem(
            (*loc, "mates"), text("free where the step has no station"), do=text("leave it out")
        )


def _trouble(
    draft: Draft, variant: Variant, *, place: Loc, step: Step, station: Station | None, name: str
) -> list[Problem]:
    """Why a step cannot be done at a station it names."""
    if station is None:
        return []
    found: list[Problem] = []
    calendar = draft.factory.calendars.get(station.calendar)
    if calendar is not None and not works_at_all(calendar):
        must_be = text("a station with working time; calendar {name} has none", name=station.calendar)
        found.append(variant.problem(place, must_be, got=name, do=text("state the calendar's hours")))
    load = step.load * (2 if step.mates == "same batch" else 1)
    if station.kind in ("batch", "line") and load > station.capacity:
        both = text("both mates load {load}", load=load)
        alone = text("the item loads {load}", load=load)
        found.append(
            variant.problem(
                place,
                text(
                    "a station whose capacity is at least what it takes: {what}",
                    what=both if step.mates == "same batch" else alone,
                ),
                got=f"{name} (capacity {station.capacity:g})",
                do=text("correct load or capacity, or name a larger station"),
            )
        )
    crew = _crew(draft, step, station=station)
    if crew is None or not station.manned:
        return found
    crew_name = step.crew or station.crew or ""
    people = step.people if step.people is not None else station.people
    if people > crew.people:
        must_be = text("at most {n} people, all of crew {crew}", n=crew.people, crew=crew_name)
        asked: Loc = (*place[:-2], "people") if step.people is not None else place
        found.append(
            variant.problem(asked, must_be, got=people, do=text("enlarge the crew or ask for fewer"))
        )
    theirs = draft.factory.calendars.get(crew.calendar)
    if calendar and theirs and works_at_all(calendar) and not may_meet(calendar, theirs):
        must_be = text("a station in whose hours crew {crew} works", crew=crew_name)
        found.append(variant.problem(place, must_be, got=name, do=text("give them a calendar in common")))
    return found


def _crew(draft: Draft, step: Step, *, station: Station) -> Crew | None:
    name = step.crew or station.crew
    return draft.factory.crews.get(name) if name is not None else None


def _skill(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    if step.skill is None:
        return
    skills = {skill for crew in draft.factory.crews.values() for skill in crew.skills}
    if step.skill not in skills:
        if "crews" in draft.works.tree and len(draft.factory.crews) == len(draft.known("crews")):
            what = text("a skill of some crew")
            yield unknown(variant, (*loc, "skill"), what=what, got=step.skill, known=skills)
        return
    stations = [draft.factory.stations.get(a.station) for a in step.stations]
    if any(s is None for s in stations):
        return
    for station in stations:
        crew = _crew(draft, step, station=station) if station is not None else None
        named = (step.crew or station.crew) if station is not None else None
        if (crew is None and named is not None) or (crew is not None and step.skill in crew.skills):
            return
    have = sorted(name for name, crew in draft.factory.crews.items() if step.skill in crew.skills)
    yield variant.problem(
        (*loc, "skill"),
        text("a skill of the crew at one of the step's stations; crew {names} has it", names=", ".join(have)),
        got=step.skill,
        do=text("name such a crew or station, or teach the skill"),
    )


def _lags(variant: Variant, loc: Loc, *, step: Step) -> Iterator[Problem]:
    if step.next_max is not None and step.next_min > step.next_max:
        yield variant.problem(
            (*loc, "next_max"),
            text("at least next_min, {wait}", wait=Amount(step.next_min, "duration")),
            do=text("swap or correct the two times"),
        )
    if step.scrap >= 1.0:
        yield variant.problem((*loc, "scrap"), text("below 1: some must be good"), do=text("correct it"))
    if step.rework is not None and step.rework.chance + step.scrap >= 1.0:
        yield variant.problem(
            (*loc, "rework", "chance"), text("below 1 with the scrap: some must pass"), do=text("correct it")
        )


def _room(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    buffer = draft.factory.buffers.get(step.buffer) if step.buffer is not None else None
    if buffer is None:
        return
    halves = 2 if step.together and variant.product.kind == "pair" else 1
    need = variant.product.parts[str(loc[1])].places * halves
    if need > buffer.places:
        yield variant.problem(
            (*loc, "buffer"),
            text("a buffer with at least {n} places, as many as one item of the step takes", n=need),
            got=f"{step.buffer} ({buffer.places} places)",
            do=text("enlarge the buffer, or name another"),
        )


def _programme(draft: Draft, variant: Variant, *, loc: Loc, step: Step) -> Iterator[Problem]:
    programme = draft.factory.programmes.get(step.programme) if step.programme is not None else None
    if programme is None:
        return
    here = {"product": variant.product.id, "part": str(loc[1])}
    for key, name in here.items():
        stated = getattr(programme, key)
        if stated != name:
            must_be = text("a programme for {key} {name}", key=key, name=name)
            got = f"{step.programme} (for {stated})"
            yield variant.problem((*loc, "programme"), must_be, got=got, do=text("name the right programme"))
    if step.stations and programme.station not in {a.station for a in step.stations}:
        yield variant.problem(
            (*loc, "programme"),
            text("a programme of one of the step's stations"),
            got=f"{step.programme} (at {programme.station})",
            do=text("name the right programme or station"),
        )


def _order(variant: Variant, name: str, *, part: Part) -> Iterator[Problem]:
    """What depends on the order of the steps: ids, rework, places kept."""
    seen: list[str] = []
    for index, step in enumerate(part.steps):
        loc: Loc = ("parts", name, "steps", index)
        if step.id in seen:
            yield variant.problem(
                (*loc, "id"), text("an id of its own in the part"), do=text("rename one of the two")
            )
        if step.rework is not None and step.rework.to not in seen:
            what = text("an earlier step of the part")
            yield unknown(variant, (*loc, "rework", "to"), what=what, got=step.rework.to, known=seen)
        if step.keeps_place and index == len(part.steps) - 1:
            yield variant.problem(
                (*loc, "keeps_place"),
                text("false in the last step: nothing follows that would free the place"),
                do=text("leave it out"),
            )
        seen.append(step.id)


def _carriers(draft: Draft, variant: Variant, *, name: str, part: Part) -> Iterator[Problem]:
    """Every carrier taken is given back later by the same item, and both mates can have theirs."""
    held: dict[str, int] = {}
    for index, step in enumerate(part.steps):
        loc: Loc = ("parts", name, "steps", index)
        if step.takes is not None and step.takes in held:
            taker = part.steps[held[step.takes]].id
            must_be = text("a carrier that the item does not hold already, from {step}", step=taker)
            yield variant.problem((*loc, "takes"), must_be, got=step.takes, do=text("return it before"))
        elif step.takes is not None:
            held[step.takes] = index
        if step.returns is None:
            continue
        if step.returns not in held:
            yield variant.problem(
                (*loc, "returns"),
                text("a carrier that this or an earlier step of the part takes"),
                got=step.returns,
                do=text("let an earlier step take it"),
            )
            continue
        start = held.pop(step.returns)
        yield from _both_hold(
            draft, variant, name=name, carrier=step.returns, steps=(start, index), part=part
        )
    for carrier, index in held.items():
        yield variant.problem(
            ("parts", name, "steps", index, "takes"),
            text("a carrier that this or a later step of the part returns"),
            got=carrier,
            do=text("let a later step return it"),
        )


def _both_hold(
    draft: Draft, variant: Variant, *, name: str, carrier: str, steps: tuple[int, int], part: Part
) -> Iterator[Problem]:
    span = part.steps[steps[0] : steps[1] + 1]
    if span[0].together != span[-1].together:
        yield variant.problem(
            ("parts", name, "steps", steps[1], "returns"),
            text("a carrier taken by a step that is done together exactly where this one is"),
            got=carrier,
            do=text("return it before the halves meet, or take it after"),
        )
        return
    record = draft.factory.carriers.get(carrier)
    at_once = any(s.mates == "same batch" or s.together for s in span) and not span[0].together
    if record is not None and at_once and record.count < 2:
        yield variant.problem(
            ("parts", name, "steps", steps[0], "takes"),
            text("a carrier of which there are two: both halves hold one at the same time"),
            got=f"{carrier} ({record.count})",
            do=text("have another, or let the mates be free"),
        )
