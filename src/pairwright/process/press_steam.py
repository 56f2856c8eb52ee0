"""Steam when the press opens: its bound, what the layup bears, how long to vent."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from pairwright.base.findings import Finding
from pairwright.base.sources import COMMON_PRACTICE, WORKS, Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.press import PressCycle
from pairwright.physics.steam import BLOW_MDF, BLOW_PRESSURE, gas_overpressure
from pairwright.physics.vent import LONGEST, vent_by_cooling, vent_time_at_rate
from pairwright.process.context import StepContext, source_of
from pairwright.process.figure import Curve, Figure, KeyFigure, Level
from pairwright.process.press_heat import PressInputs, heated, inputs_of, plies_of
from pairwright.works.material import Wood
from pairwright.works.recipe import PressRecipe

STILL_AIR: Final = 10.0  # heat transfer to still air, radiation included; common practice [W/(m2*K)]


@dataclass(frozen=True, slots=True)
class Vent:
    """What venting is needed: the `limit` it must come down to [Pa], `time` [s], and why in words."""

    limit: float
    time: float
    why: Text
    source: Source


def gas_bound(cycle: PressCycle) -> float:
    """Upper bound of the gas overpressure in the hottest glue line at opening. [Pa]"""
    return gas_overpressure(max(float(t) for t in cycle.line_temperatures))


def _weakest(context: StepContext) -> Wood:
    return min(
        (leaf.wood for leaf in plies_of(context)), key=lambda wood: (wood.transverse_strength, wood.name)
    )


def vent_of(context: StepContext, cycle: PressCycle) -> Vent:
    """How long the press must be vented before the layup bears what is left of the steam."""
    recipe = context.recipe(PressRecipe)
    limit = float(_weakest(context).transverse_strength)
    if recipe.vent_rate is not None:
        why = text("at {rate} a second, as stated", rate=Amount(recipe.vent_rate, "pressure"))
        return Vent(limit, vent_time_at_rate(gas_bound(cycle), limit, rate=recipe.vent_rate), why, WORKS)
    air = recipe.vent_air if recipe.vent_air is not None else context.works.factory.climate.temperature
    transfer = recipe.vent_transfer if recipe.vent_transfer is not None else STILL_AIR
    why = text("with its faces in {air}, by heat alone", air=Amount(air, "temperature"))
    time = _cooling(inputs_of(context), limit, air, transfer) if gas_bound(cycle) > limit else 0.0
    return Vent(limit, time, why, WORKS if recipe.vent_transfer is not None else COMMON_PRACTICE)


@lru_cache(maxsize=256)
def _cooling(inputs: PressInputs, limit: float, air: float, transfer: float) -> float:
    cycle = heated(inputs).cycle
    if cycle is None:
        return math.inf
    return vent_by_cooling(
        inputs.stack, cycle, limit=limit, air=air, heat_transfer=transfer,
        conductivity_factor=inputs.conductivity_factor,
    ).time  # fmt: skip


def _vent_text(vent: Vent) -> Text:
    if math.isinf(vent.time):
        return text(
            "it is not below that within {longest} {why}", longest=Amount(LONGEST, "duration"), why=vent.why
        )
    return text(
        "it takes {time} {why}, until it is below that", time=Amount(vent.time, "duration"), why=vent.why
    )


def steam_findings(context: StepContext, cycle: PressCycle) -> list[Finding]:
    """The bound of the gas pressure against the stated strength and a published figure."""
    recipe = context.recipe(PressRecipe)
    bound, weakest = gas_bound(cycle), _weakest(context)
    if bound > weakest.transverse_strength:
        vent = vent_of(context, cycle)
        what = text(
            "at opening the steam may press with up to {bound} from inside, above the {strength} that {wood} bears "
            "across the grain; {needed}; vented for {vent}",
            bound=Amount(bound, "pressure"), strength=Amount(weakest.transverse_strength, "pressure"),
            wood=weakest.name, needed=_vent_text(vent), vent=Amount(recipe.vent, "duration"),
        )  # fmt: skip
        enough = vent.time <= recipe.vent
        source = source_of(weakest, "transverse_strength")
        return [context.finding("steam_at_opening", "note" if enough else "error", what, source)]
    if bound > BLOW_PRESSURE:
        what = text(
            "at opening the steam may press with up to {bound} from inside (a bound: veneer lets gas out); fibreboard "
            "came apart above {limit}; vented for {vent}",
            bound=Amount(bound, "pressure"), limit=Amount(BLOW_PRESSURE, "pressure"),
            vent=Amount(recipe.vent, "duration"),
        )  # fmt: skip
        return [context.finding("steam_at_opening", "warning", what, BLOW_MDF)]
    return []


def steam_keys(context: StepContext, cycle: PressCycle) -> list[KeyFigure]:
    """The bound at opening, and the venting that it asks for."""
    keys: list[KeyFigure] = [
        (text("bound of the steam pressure at opening"), Amount(gas_bound(cycle), "pressure"))
    ]
    time = vent_of(context, cycle).time
    if 0.0 < time < math.inf:
        keys.append((text("venting until the layup bears it"), Amount(time, "duration")))
    return keys


def steam_figure(cycle: PressCycle) -> Figure:
    """The bound of the pressure inside over the cycle."""
    times = tuple(float(t) for t in cycle.times)
    bound = tuple(gas_overpressure(max(float(v) for v in row)) for row in cycle.temperatures)
    says = text(
        "At opening the steam may press with up to {bound}; fibreboard came apart above {limit}.",
        bound=Amount(bound[-1], "pressure"), limit=Amount(BLOW_PRESSURE, "pressure"),
    )  # fmt: skip
    levels = (
        Level(text("fibreboard came apart"), BLOW_PRESSURE),
        Level(text("opens"), cycle.open_time, upright=True),
    )
    return Figure(text("Bound of the steam pressure"), says, text("time from closing"), "duration",
                  text("overpressure"), "pressure", (Curve(text("bound"), times, bound),), levels)  # fmt: skip
