"""Materials and their properties, each with its source."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, TypeAlias

from pydantic import AfterValidator, Field

from pairwright.base.laws import Span
from pairwright.base.words import text
from pairwright.works.record import (
    Conductivity,
    Density,
    Expansion,
    Flag,
    HeatCapacity,
    Length,
    MolarEnergy,
    Money,
    Number,
    Positive,
    Pressure,
    Rate,
    Record,
    Share,
    Spread,
    Temperature,
    Time,
    quantity,
    refuse,
)


class Material(Record):
    """What every material states: a name, the source of its values, price and shelf life."""

    name: str
    source: str  # "data sheet", "handbook: ...", "measured", "from memory", "works"
    sources: dict[str, str] = {}  # property -> source, where it differs
    unit: Literal["m2", "kg", "L", "m", "piece"] = "piece"  # of stock and price
    price: Money = 0.0  # per unit
    shelf_life: Time | None = None
    lead_time: Time | None = None  # from order to delivery


class Wood(Material):
    """A species as the handbook or the house's own trials describe it."""

    kind: Literal["wood"]
    species: str = ""  # name in the handbook tables
    specific_gravity: Positive
    modulus_along: Pressure
    modulus_across: Pressure
    shear_modulus: Pressure
    poisson: Positive = 0.3
    movement_radial: Share  # strain per unit moisture fraction
    movement_tangential: Share
    movement_along: Share = 0.01
    limit_strain: Share  # breaking strain of the outer fibre, along the grain
    elastic_strain: Share
    limit_strain_across: Share = 0.012
    transverse_strength: Pressure  # hot and moist, as the user states it
    moisture_diffusivity: quantity("m2/s") = 1e-10  # type: ignore[valid-type]
    modulus_scatter: Share = 0.22  # between pieces, one standard deviation over the mean
    movement_scatter: Share = 0.15


class Veneer(Material):
    """A veneer of a wood: thickness and moisture as it comes to the press."""

    kind: Literal["veneer"]
    wood: str
    thickness: Length
    moisture: Share
    moisture_scatter: Share = 0.01  # between deliveries, one standard deviation
    thickness_scatter: Share = 0.03
    face: Flag = False  # a show veneer, cut from flitches


class Sheet(Material):
    """A flat board: baffle stock, bracing stock."""

    kind: Literal["sheet"]
    thickness: Length
    density: Density
    conductivity: Conductivity
    heat_capacity: HeatCapacity


class CurePoint(Record):
    """A glue-line temperature and the time to the stated cure, as a data sheet prints them."""

    temperature: Temperature
    time: Time


def _falling(points: tuple[CurePoint, ...]) -> tuple[CurePoint, ...]:
    """Every hotter point is the quicker one, and no two are alike."""
    ordered = sorted(points, key=lambda point: float(point.temperature))
    pairs = pairwise(ordered)
    if any(b.temperature == a.temperature or b.time >= a.time for a, b in pairs):
        raise refuse(
            text("two or more temperatures, each hotter one with a shorter time"),
            text("read press temperatures and times off the data sheet"),
        )
    return points


class CureFit(Record):
    """Times at two or more temperatures that fix the kinetics of an adhesive.

    `cure` is the degree of cure that the times stand for, `order` the reaction order assumed.
    """

    points: Annotated[tuple[CurePoint, ...], Field(min_length=2), AfterValidator(_falling)]
    cure: quantity("-", Span(0.0, 1.0, open_low=True, open_high=True)) = 0.9  # type: ignore[valid-type]
    order: Positive = 1.0


class Adhesive(Material):
    """An adhesive: hot-press kinetics, or cold times at a reference temperature.

    Hot: either `rate_constant`, `activation_energy` and `order`, or a `fit` to times of the data
    sheet. Both hold at `hardener_reference`; at another level of hardener the rate goes with the
    `hardener_power` of the ratio, which the works states from a trial.
    """

    kind: Literal["adhesive"]
    setting: Literal["hot", "cold"]
    spread: Spread
    water: Share  # of the spread
    hardener: Share | None = None
    hardener_reference: Share | None = None  # at which the kinetics or the fit hold
    hardener_power: Number | None = None
    fit: CureFit | None = None
    rate_constant: Rate | None = None
    activation_energy: MolarEnergy | None = None
    order: Positive | None = None
    pressure_low: Pressure | None = None
    pressure_high: Pressure | None = None
    reference_temperature: Temperature | None = None
    open_time: Time | None = None
    clamp_time: Time | None = None
    cure_time: Time | None = None
    coldest: Temperature | None = None
    pot_life: Time | None = None
    doubling: Number | None = None  # warmth that halves the times [K]


class HardnessReading(Record):
    """A pendulum reading of a film of some age, in the unit of the coating's hardness."""

    day: Positive
    hardness: Positive


def _of_two_days(readings: tuple[HardnessReading, ...]) -> tuple[HardnessReading, ...]:
    """Growth needs two ages at least, or none at all is stated."""
    if readings and len({reading.day for reading in readings}) < 2:
        raise refuse(text("readings of at least two different days"), text("measure again on another day"))
    return readings


class Coating(Material):
    """A lacquer, sealer or colour: solids, recoat window, growth of hardness."""

    kind: Literal["coating"]
    solids: Share  # by volume
    density: Density
    pot_life: Time | None = None
    recoat_min: Time | None = None
    recoat_max: Time | None = None
    stove_limit: Temperature | None = None  # highest film temperature
    hardness_final: Positive | None = None  # pendulum, relative to glass or in seconds
    hardness_rate: Positive | None = None  # k of H = Hinf (1 - exp(-k t^m)), t in days
    hardness_power: Positive | None = None
    hardness_temperature: Temperature | None = None
    hardness_doubling: Number | None = None  # warmth that doubles the rate [K]
    hardness_readings: Annotated[tuple[HardnessReading, ...], AfterValidator(_of_two_days)] = ()
    hardness_sd: Positive | None = None  # of one reading, from the gauge study
    refractive_index: Positive | None = None  # of the clear film
    solvent_share: Share = 0.0  # by mass, for the caution on vapour
    solvent_molar_mass: quantity("kg/mol") | None = None  # type: ignore[valid-type]
    solvent_limit: Share | None = None  # lower explosive limit of its vapour, by volume
    preston: quantity("1/Pa") | None = None  # type: ignore[valid-type] # removal per pressure and path


class Metal(Material):
    """A metal of inserts, plinths and terminals."""

    kind: Literal["metal"]
    density: Density
    expansion: Expansion


class Abrasive(Material):
    """A belt, disc or compound: removal and wear measured in the house."""

    kind: Literal["abrasive"]
    grit: str = ""
    removal: quantity("1/Pa") | None = None  # type: ignore[valid-type] # Preston coefficient
    life: Time | None = None
    wear_floor: Share = 1.0  # share of the fresh removal rate that remains when worn


class Article(Material):
    """A bought piece: a magnet, a terminal, a carton, a capacitor."""

    kind: Literal["article"]


AnyMaterial: TypeAlias = Annotated[
    Wood | Veneer | Sheet | Adhesive | Coating | Metal | Abrasive | Article,
    Field(discriminator="kind"),
]
