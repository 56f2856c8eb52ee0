"""Facts of a works that can make a set impossible: which bear on a step, and how they are said."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from pairwright.base.words import Amount, Text, text
from pairwright.plan.problem import Problem
from pairwright.works.definition import Works
from pairwright.works.factory import Factory, Station
from pairwright.works.product import Step

Fact: TypeAlias = tuple[str, str]  # kind and subject


@dataclass(frozen=True, slots=True)
class Impossible:
    """A set that can't be made, and why.

    With `alone`, leaving out any one of the facts is enough; else only all of them together are.
    """

    product: str
    option: str
    proven: bool
    alone: bool
    facts: tuple[Fact, ...]
    locked: tuple[Text, ...]


def step_facts(problem: Problem, number: int) -> Iterator[Fact]:
    """What the works says that bears on one operation."""
    facts = problem.operations[number].facts
    step, factory = facts.step, problem.shop.works.factory
    asked = (
        ("next_max", step.next_max is not None),
        ("next_min", step.next_min > 0),
        ("keeps_place", step.keeps_place),
        ("same_batch", step.mates == "same batch"),
        ("mates_within", step.mates_within is not None or facts.within >= 0),
        ("pause", not step.pause and any(factory.stations[a.station].manned for a in step.stations)),
    )
    yield from ((kind, facts.name) for kind, says in asked if says)
    for alternative in step.stations:
        yield from _station_facts(factory, alternative.station, step)
        yield from _crew_facts(factory, factory.stations[alternative.station], step)
    areas = problem.shop.area_index
    if any(factory.transport.time(a, b) > 0 for a in areas for b in areas):
        yield "transport", ""


def _station_facts(factory: Factory, name: str, step: Step) -> Iterator[Fact]:
    station = factory.stations[name]
    yield "places", name
    if station.kind not in ("single", "parallel"):
        yield "capacity", name
    if station.kind == "line" and station.pitch > 0:
        yield "pitch", name
    if station.maintenance:
        yield "maintenance", name
    if station.setup is not None and step.setup is not None:
        yield "setup", name
    if not factory.calendars[station.calendar].always:
        yield "calendar", station.calendar


def _crew_facts(factory: Factory, station: Station, step: Step) -> Iterator[Fact]:
    name = step.crew or station.crew
    if name is None or not station.manned:
        return
    crew = factory.crews[name]
    yield "people", name
    if not factory.calendars[crew.calendar].always:
        yield "calendar", crew.calendar
    if step.skill is not None and step.skill not in crew.skills:
        yield "skill", step.skill


def reasons_of(works: Works, found: Sequence[Impossible]) -> tuple[Text, ...]:
    """The reasons in words. Where some facts help every product, those: any one of them is enough."""
    every = [fact for fact in found[0].facts if all(one.alone and fact in one.facts for one in found)]
    if every:
        return tuple(fact_text(works, fact) for fact in every)
    said: list[Text] = []
    for one in found:
        for fact in one.facts:
            fact_words = fact_text(works, fact)
            if not one.alone:
                fact_words = text("only together with the others: {fact}", fact=fact_words)
            said.append(
                text("{product} in {option}: {fact}", product=one.product, option=one.option, fact=fact_words)
            )
        if not one.facts:
            said.append(text("{product} in {option} can't be made", product=one.product, option=one.option))
        said.extend(one.locked)
    return tuple(said)


def fact_text(works: Works, fact: Fact) -> Text:
    """A fact in words."""
    kind, subject = fact
    if kind in ("next_max", "next_min"):
        return _wait_text(works, kind, subject)
    return _SAID[kind](works.factory, subject)


def _wait_text(works: Works, kind: str, subject: str) -> Text:
    step = _step_named(works, subject)
    if kind == "next_max":
        time = Amount(0.0 if step is None or step.next_max is None else step.next_max, "duration")
        return text("{step}: the next step begins at most {time} after it", step=subject, time=time)
    time = Amount(0.0 if step is None else step.next_min, "duration")
    return text("{step}: the next step begins at least {time} after it", step=subject, time=time)


def _step_named(works: Works, name: str) -> Step | None:
    for product in works.variants.values():
        for part, record in product.parts.items():
            for step in record.steps:
                if f"{product.id}.{part}.{step.id}" == name:
                    return step
    return None


_SAID: Final[dict[str, Callable[[Factory, str], Text]]] = {
    "pause": lambda _, name: text("{step}: it may not pause over a break", step=name),
    "keeps_place": lambda _, name: text("{step}: it keeps its place until the next step", step=name),
    "same_batch": lambda _, name: text("{step}: the halves share a batch", step=name),
    "mates_within": lambda _, name: text("{step}: the halves stay close in time", step=name),
    "calendar": lambda _, name: text("calendar {name}: its hours", name=name),
    "maintenance": lambda _, name: text("station {name}: its planned maintenance", name=name),
    "setup": lambda _, name: text("station {name}: its setups", name=name),
    "skill": lambda _, name: text("skill {name}: the crew has not got it", name=name),
    "transport": lambda _, __: text("the transport times between areas"),
    "places": lambda f, name: text("station {name}: its places ({n})", name=name, n=f.stations[name].places),
    "capacity": lambda f, name: text(
        "station {name}: its capacity ({n})", name=name, n=float(f.stations[name].capacity)
    ),
    "pitch": lambda f, name: text(
        "station {name}: its pitch ({time})", name=name, time=Amount(f.stations[name].pitch, "duration")
    ),
    "people": lambda f, name: text("crew {name}: its people ({n})", name=name, n=f.crews[name].people),
    "buffer": lambda f, name: text("buffer {name}: its places ({n})", name=name, n=f.buffers[name].places),
    "carrier": lambda f, name: text(
        "carrier {name}: how many there are ({n})", name=name, n=f.carriers[name].count
    ),
}
