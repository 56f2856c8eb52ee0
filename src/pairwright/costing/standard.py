"""Standard cost of a set, step by step: people, station, energy, material, overhead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pairwright.costing.yields import Runs, runs_per_set
from pairwright.process import consumption, energy
from pairwright.works import Works
from pairwright.works.factory import Station
from pairwright.works.product import Product, Step
from pairwright.works.steptime import StepTime


@dataclass(frozen=True, slots=True)
class StepCost:
    """What one step costs per good set, in the works' currency; energy also in joule."""

    part: str
    step: str
    kind: str
    station: str | None
    runs: float
    labour: float
    place: float
    energy: float
    energy_joule: float
    material: float
    people_time: float  # [s]

    @property
    def direct(self) -> float:
        """Everything but overhead."""
        return self.labour + self.place + self.energy + self.material


@dataclass(frozen=True, slots=True)
class SetCost:
    """What a good set costs."""

    product: str
    option: str
    steps: tuple[StepCost, ...]
    materials: tuple[tuple[str, float, float], ...]  # material, amount in its unit, money
    overhead: float

    @property
    def labour(self) -> float:
        """People's time."""
        return sum(s.labour for s in self.steps)

    @property
    def place(self) -> float:
        """Stations' time."""
        return sum(s.place for s in self.steps)

    @property
    def energy(self) -> float:
        """Energy, as money."""
        return sum(s.energy for s in self.steps)

    @property
    def energy_joule(self) -> float:
        """Energy. [J]"""
        return sum(s.energy_joule for s in self.steps)

    @property
    def material(self) -> float:
        """Bulk material and bought parts."""
        return sum(s.material for s in self.steps)

    @property
    def total(self) -> float:
        """All of it with overhead."""
        return sum(s.direct for s in self.steps) + self.overhead

    @property
    def people_time(self) -> float:
        """Time of all people. [s]"""
        return sum(s.people_time for s in self.steps)


def likely_times(times: Iterable[StepTime]) -> dict[tuple[str, str, str, str, str | None], float]:
    """Likely durations by product, option, part, step and station. [s]"""
    return {(t.product, t.option, t.part, t.step, t.station): t.likely for t in times}


def set_cost(
    works: Works, product: Product, *, times: Mapping[tuple[str, str, str, str, str | None], float]
) -> SetCost:
    """Standard cost of one good set.

    Parameters
    ----------
    works : Works
        Rates, prices, stations.
    product : Product
        The product in one option.
    times : mapping
        Likely durations, see `likely_times`. [s]

    Notes
    -----
    The first station of each step counts. A batch shares its station among a full load, a line among
    its places. People are paid for the likely time at manned stations, a crew at its own rate or at
    the works' labour rate. Overhead is a share of people and stations. Setups, waiting and the price
    of delay are not in it.
    """
    materials: dict[str, tuple[float, float]] = {}
    steps = [
        _step_cost(works, product, run, times=times, materials=materials) for run in runs_per_set(product)
    ]
    overhead = works.factory.costs.overhead * sum(s.labour + s.place for s in steps)
    listed = tuple((name, amount, money) for name, (amount, money) in materials.items())
    return SetCost(product.id, product.option, tuple(steps), listed, overhead)


def _step_cost(
    works: Works,
    product: Product,
    run: Runs,
    *,
    times: Mapping[tuple[str, str, str, str, str | None], float],
    materials: dict[str, tuple[float, float]],
) -> StepCost:
    step, part = run.step, run.part
    name = step.stations[0].station if step.stations else None
    station = works.factory.stations.get(name or "")
    likely = times.get((product.id, product.option, part, step.id, name), 0.0)
    labour = place = people_time = 0.0
    if station is not None:
        share = _share(station, step)
        place = station.rate * likely * share * run.runs
        people_time = _people(station, step) * likely * share * run.runs
        labour = _rate(works, station, step) * people_time
    joule = energy(works, product.id, option=product.option, part=part, step=step.id) * run.runs
    material = 0.0
    for used, amount in consumption(works, product.id, option=product.option, part=part, step=step.id):
        money = amount * run.runs * works.materials[used].price
        before = materials.get(used, (0.0, 0.0))
        materials[used] = (before[0] + amount * run.runs, before[1] + money)
        material += money
    return StepCost(
        part, step.id, step.kind, name, run.runs, labour, place, joule * works.factory.costs.energy, joule,
        material, people_time,
    )  # fmt: skip


def _people(station: Station, step: Step) -> float:
    """People a step asks for; nobody at an unattended station."""
    if not station.manned:
        return 0.0
    return float(step.people if step.people is not None else station.people)


def _rate(works: Works, station: Station, step: Step) -> float:
    """Money per person and second."""
    crew = works.factory.crews.get(step.crew or station.crew or "")
    return float(crew.rate if crew is not None and crew.rate > 0 else works.factory.costs.labour)


def _share(station: Station, step: Step) -> float:
    """Share of the station that one item takes while it is there. [-]"""
    if station.kind == "batch":
        return min(1.0, float(step.load) / float(station.capacity))
    return 1.0 / station.places if station.kind == "line" else 1.0


def set_costs(works: Works, times: Iterable[StepTime]) -> tuple[SetCost, ...]:
    """Standard cost of every product in every option.

    Parameters
    ----------
    works : Works
        The definition.
    times : iterable of StepTime
        Durations of its steps. [s]
    """
    likely = likely_times(times)
    return tuple(set_cost(works, product, times=likely) for product in works.variants.values())
