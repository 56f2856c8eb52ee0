"""What each kind of step needs to know: its recipe."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from pairwright.base.words import text
from pairwright.works.record import (
    Angle,
    Area,
    Conductivity,
    Count,
    Density,
    Force,
    HeatCapacity,
    HeatTransfer,
    Id,
    Length,
    Mass,
    Number,
    Positive,
    Pressure,
    Record,
    Share,
    Speed,
    Spread,
    Temperature,
    Time,
    Wait,
    quantity,
    refuse,
)


class Recipe(Record):
    """Root of all recipes."""


class PlatenPoint(Record):
    """Temperature of the platens at a time after closing; of the upper one too where it differs."""

    time: Wait
    temperature: Temperature
    top: Temperature | None = None


def _rising(points: tuple[PlatenPoint, ...]) -> tuple[PlatenPoint, ...]:
    """Times of a ramp rise strictly."""
    if any(b.time <= a.time for a, b in pairwise(points)):
        raise refuse(text("points of rising time"), text("put the points in order of time"))
    return points


class PressRecipe(Recipe):
    """Hot pressing of the part's layup.

    `ramp` replaces the even platen temperature until its last point. `conductivity_factor` and
    `contact` are what a thermocouple taught about this mould and stack. Venting: the fall of the
    pressure inside as measured (`vent_rate`), or what the faces see and how well they lose heat.
    """

    adhesive: Id
    platen: Temperature
    platen_top: Temperature | None = None  # where the upper platen is kept at another temperature
    ramp: Annotated[tuple[PlatenPoint, ...], AfterValidator(_rising)] = ()
    initial: Temperature = 294.15
    pressure: Pressure
    target_cure: Share
    hardener: Share | None = None  # default: the adhesive's
    conductivity_factor: Positive = 1.0
    contact: HeatTransfer | None = None  # between platen and face; default: perfect
    sides: Literal["one", "two"] = "two"
    spread: Spread | None = None  # default: the adhesive's
    lay_up: Wait = 0.0  # stacking and loading the mould
    close: Wait = 0.0
    vent: Wait = 0.0
    vent_rate: quantity("Pa/s") | None = None  # type: ignore[valid-type]
    vent_air: Temperature | None = None  # air or cooled platens at the faces; default: the room
    vent_transfer: HeatTransfer | None = None
    unload: Wait = 0.0
    scatter: Share = 0.08  # of the heating time, one standard deviation
    projected_area: Area | None = None
    press_force: Force | None = None  # what the press can give


class TrimRecipe(Recipe):
    """Machine trimming along a programme."""

    path: Length
    feed: Speed
    passes: Count = 1
    tools: Count = 1
    tool_change: Wait = 0.0
    fixture: Wait = 0.0  # clamp in and out
    tolerance: Length | None = None
    scatter: Share = 0.05


class GlueUpRecipe(Recipe):
    """Cold gluing: spread, place, close, all within the open time."""

    adhesive: Id
    area: Area
    pieces: Count
    spread_rate: quantity("m2/s")  # type: ignore[valid-type] # area spread per time
    place: Time  # per piece
    open_fixture: Wait = 0.0  # opening the shell elastically before
    opening: Length | None = None  # how far the shell is opened
    sides: Literal["one", "two"] = "one"
    scatter: Share = 0.1


class ClampRecipe(Recipe):
    """Held under pressure until the adhesive carries the load."""

    adhesive: Id
    area: Area
    force: Force
    load: Wait = 0.0
    scatter: Share = 0.05


class Grit(Record):
    """One abrasive of a sanding sequence."""

    abrasive: Id
    passes: Count
    pressure: Pressure
    speed: Speed  # of the abrasive over the surface
    dwell: Time  # contact time of one point in one pass


class SandRecipe(Recipe):
    """Sanding of wood or veneer by a programme."""

    area: Area
    width: Length  # of the contact
    overlap: Share
    feed: Speed
    turns: Wait = 0.0  # time lost at each turn
    grits: tuple[Grit, ...] = Field(min_length=1)
    fixture: Wait = 0.0
    reserve: Length  # least veneer that must be left
    removal_sd: Share = 0.15  # relative scatter of removal over the path
    edge_factor: Positive = 1.6  # removal at edges against the flat
    corner_factor: Positive | None = None  # at corners; default: corners are judged as edges
    scatter: Share = 0.05


class SprayRecipe(Recipe):
    """One coat: wet film, scatter, transfer efficiency; path time of the gun."""

    coating: Id
    wet: Length
    wet_sd: Length
    area: Area
    fan: Length  # width of the spray fan
    overlap: Share
    feed: Speed
    passes: Count = 1
    transfer_efficiency: Share
    prepare: Wait = 0.0
    flash_off: Wait = 0.0
    edge_factor: Positive = 0.8  # film at edges against the flat
    corner_factor: Positive | None = None  # at corners; default: corners are judged as edges
    scatter: Share = 0.08


class Layer(Record):
    """One layer of a body in the oven, from the heated face inward."""

    thickness: Length
    conductivity: Conductivity
    density: Density
    heat_capacity: HeatCapacity


class StoveRecipe(Recipe):
    """Warm air drying: the coldest film at a temperature for a time, the wood not too hot."""

    air: Temperature
    initial: Temperature = 294.15
    heat_transfer: HeatTransfer
    film_temperature: Temperature  # to be reached by the film
    hold: Time  # and kept this long
    layers: tuple[Layer, ...] = Field(min_length=1)
    limit: Temperature  # highest surface temperature the body bears
    coating: Id | None = None
    scatter: Share = 0.05


class FlatRecipe(Recipe):
    """Flatting a film level: how much comes off, how long it takes."""

    area: Area
    width: Length
    overlap: Share
    feed: Speed
    passes: Count
    abrasive: Id
    removal: Length  # of film, mean
    removal_sd: Length
    turns: Wait = 0.0
    prepare: Wait = 0.0
    edge_factor: Positive = 1.5
    corner_factor: Positive | None = None  # at corners; default: corners are judged as edges
    scatter: Share = 0.1


class RestRecipe(Recipe):
    """A wait whose end is computed: until hard, until cooled, or until the moisture has levelled."""

    until: Literal["hard", "cooled", "levelled"]
    coating: Id | None = None
    threshold: Positive | None = None  # hardness to reach, same scale as the coating's
    air: Temperature | None = None
    initial: Temperature | None = None  # cooled: at the start
    final: Temperature | None = None  # cooled: core at the end
    thickness: Length | None = None  # cooled, levelled
    heat_transfer: HeatTransfer | None = None
    layer: Layer | None = None
    wood: Id | None = None
    levelling: Share = 0.9  # levelled: share of the difference gone
    faces: Literal[1, 2] = 2
    scatter: Share = 0.1


class PolishRecipe(Recipe):
    """Machine polishing: passes with compounds over the whole area."""

    area: Area
    width: Length
    overlap: Share
    feed: Speed
    turns: Wait = 0.0
    prepare: Wait = 0.0
    coating: Id
    stages: tuple[Grit, ...] = Field(min_length=1)
    removal_sd: Share = 0.25
    reserve: Length  # least film that must be left
    edge_factor: Positive = 1.5
    corner_factor: Positive | None = None  # at corners; default: corners are judged as edges
    gloss_target: Number | None = None  # gloss units
    gloss_angle: Literal[20, 60, 85] = 60  # of the glossmeter, degrees
    scatter: Share = 0.06


class JoinRecipe(Recipe):
    """Putting parts together: pieces, screws, torque; wood against metal at the joint."""

    wood: Id | None = None
    metal: Id | None = None
    dimension: Length | None = None  # of the joint, across the grain
    gap: Length | None = None  # as built
    gap_least: Length | None = None
    gap_most: Length | None = None
    direction: Literal["radial", "tangential"] = "tangential"
    lift: Mass | None = None  # what a person lifts


class WorkRecipe(Recipe):
    """Work whose time is stated, with what matters for checks and cautions."""

    current: quantity("A") | None = None  # type: ignore[valid-type]
    voltage: quantity("V") | None = None  # type: ignore[valid-type]
    lift: Mass | None = None
    angle: Angle | None = None
    note: str = ""
