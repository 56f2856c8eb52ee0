"""What a step asks of the factory, as indices and whole minutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import text
from pairwright.plan.shop import LOAD_SCALE, SINGLE, Shop, minutes_down, minutes_up
from pairwright.works.product import Product, Step
from pairwright.works.steptime import StepTime


@dataclass(frozen=True, slots=True)
class Way:
    """One way to do a step: a station with a crew, and how long it takes. Index -1: none."""

    station: int
    crew: int
    people: int
    low: float  # [s]
    likely: float
    high: float
    time: int  # working time of the work (unattended: of its start)
    setup_crew: int
    setup_time: int
    area: int


@dataclass(frozen=True, slots=True)
class StepFacts:
    """A step of a product's part in one option; times in minutes, -1 where nothing is asked."""

    product: Product
    part: str
    index: int
    step: Step
    ways: tuple[Way, ...]
    family: int
    load: int
    word: str
    least: int
    longest: int
    same_batch: bool
    within: int
    takes: int
    returns: int
    buffer: int
    places: int
    pause: bool
    keeps: bool

    @property
    def name(self) -> str:
        """The step's full name."""
        return f"{self.product.id}.{self.part}.{self.step.id}"


class FactTable:
    """Facts of every step, made once and looked up by variant and part."""

    def __init__(self, shop: Shop, times: Sequence[StepTime]) -> None:
        self.shop = shop
        self._times = {(t.product, t.option, t.part, t.step, t.station): t for t in times}
        self._longest: dict[int, int] = {}
        self._known: dict[tuple[str, str, str], tuple[StepFacts, ...]] = {}

    def too_long(self, ways: Sequence[tuple[Way, int]]) -> bool:
        """Whether on some manned way the work fits into no working interval."""
        for way, minutes in ways:
            if way.station < 0 or not self.shop.manned[way.station]:
                continue
            if way.time not in self._longest:
                time = self.shop.times[way.time]
                spans = (end - start for start, end in zip(time.starts, time.ends, strict=True))
                self._longest[way.time] = max(spans, default=0)
            if minutes > self._longest[way.time]:
                return True
        return False

    def route(self, product: Product, part: str) -> tuple[StepFacts, ...]:
        """Facts of a part's steps in order."""
        key = (product.id, product.option, part)
        if key not in self._known:
            self._known[key] = tuple(
                self._facts(product, part, n, step) for n, step in enumerate(product.route(part))
            )
        return self._known[key]

    def _facts(self, product: Product, part: str, index: int, step: Step) -> StepFacts:
        shop = self.shop
        name = f"{product.id}.{part}.{step.id}"
        relaxed = shop.relaxed
        within = step.mates_within
        if within is None and part == product.root and product.binding == "early":
            within = product.mates_within
        if relaxed.has("mates_within", name):
            within = None
        longest = None if relaxed.has("next_max", name) else step.next_max
        family = -1 if step.setup is None else shop.family_index[step.setup]
        pools = shop.pool_index
        same_batch = step.mates == "same batch" and not relaxed.has("same_batch", name)
        ways = self._ways(product, part, step)
        if same_batch:  # a place of any other station takes one item
            ways = tuple(w for w in ways if w.station >= 0 and shop.kind[w.station] != SINGLE)
        return StepFacts(
            product=product, part=part, index=index, step=step,
            ways=ways,
            family=family,
            load=round(step.load * LOAD_SCALE),
            word=step.batch or name,
            least=0 if relaxed.has("next_min", name) else minutes_up(step.next_min),
            longest=-1 if longest is None else minutes_down(longest),
            same_batch=same_batch,
            within=-1 if within is None else minutes_down(within),
            takes=-1 if step.takes is None else pools["carrier", step.takes],
            returns=-1 if step.returns is None else pools["carrier", step.returns],
            buffer=-1 if step.buffer is None else pools["buffer", step.buffer],
            places=product.parts[part].places,
            pause=step.pause or relaxed.has("pause", name),
            keeps=step.keeps_place and not relaxed.has("keeps_place", name),
        )  # fmt: skip

    def _ways(self, product: Product, part: str, step: Step) -> tuple[Way, ...]:
        if not step.stations:
            area = -1
            if step.buffer is not None:
                area = self.shop.area_index[self.shop.works.factory.buffers[step.buffer].area]
            time = self._time(product, part, step.id, None)
            return (Way(-1, -1, 0, time.low, time.likely, time.high, -1, -1, -1, area),)
        found: list[Way] = []
        for alternative in step.stations:
            time = self._time(product, part, step.id, alternative.station)
            found.extend(self._with_crews(step, alternative.station, time))
        return tuple(found)

    def _with_crews(self, step: Step, name: str, time: StepTime) -> list[Way]:
        shop = self.shop
        factory = shop.works.factory
        place = factory.stations[name]
        station = shop.station_index[name]
        people = place.people if step.people is None else step.people
        found: list[Way] = []
        for crew_name in crews_for(shop, step, name):
            crew = -1 if crew_name is None else shop.crew_index[crew_name]
            if crew >= 0 and place.manned and people > shop.people[crew]:
                continue
            worker = crew if place.manned else -1
            setup_crew = crew if step.setup is not None and place.setup is not None else -1
            found.append(
                Way(
                    station,
                    worker,
                    people,
                    time.low,
                    time.likely,
                    time.high,
                    shop.working(station, worker),
                    setup_crew,
                    shop.working(station, setup_crew),
                    shop.area[station],
                )
            )
            if not place.manned:
                break
        return found

    def _time(self, product: Product, part: str, step: str, station: str | None) -> StepTime:
        time = self._times.get((product.id, product.option, part, step, station))
        if time is None:
            raise InputError(
                Problem(
                    f"{product.id}.{part}.{step}",
                    "duration",
                    text("known for option {option} at {station}", option=product.option,
                         station=station or "-"),
                    "nothing",
                    text("correct what the check of the recipe says, or state a time"),
                )
            )  # fmt: skip
        return time


def crews_for(shop: Shop, step: Step, station: str) -> list[str | None]:
    """The crew that does a step at a station; a single None where nobody is asked for."""
    factory = shop.works.factory
    place = factory.stations[station]
    named = step.crew or place.crew
    if named is None or (place.people if step.people is None else step.people) == 0:
        return [None]
    if step.skill is not None and step.skill not in factory.crews[named].skills and place.manned:
        return [None] if shop.relaxed.has("skill", step.skill) else []
    return [named]
