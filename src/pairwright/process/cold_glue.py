"""Cold adhesives in the room they are used in: what glue-up and clamp share."""

from __future__ import annotations

from pairwright.base.findings import Finding
from pairwright.base.words import Amount, text
from pairwright.physics.glue import GlueSheet
from pairwright.process.context import StepContext, source_of
from pairwright.works.material import Adhesive

_ROOM = 293.15  # where a sheet states no reference temperature: 20 degC, common practice


def sheet_of(adhesive: Adhesive) -> GlueSheet:
    """The adhesive's data sheet as the laws read it; times not stated are zero.

    Every cold adhesive is taken as setting by its own reaction: its times follow temperature,
    and humidity is left out because the definition does not say how the glue sets.
    """
    factor = None if not adhesive.doubling else 2.0 ** (10.0 / adhesive.doubling)
    return GlueSheet(
        "reaction",
        adhesive.open_time or 0.0,
        adhesive.open_time or 0.0,
        adhesive.clamp_time or 0.0,
        adhesive.cure_time or 0.0,
        reference_temperature=adhesive.reference_temperature or _ROOM,
        factor_per_10_k=factor,
        lowest_temperature=adhesive.coldest,
        least_pressure=adhesive.pressure_low,
        greatest_pressure=adhesive.pressure_high,
        spread=adhesive.spread,
    )


def rooms(context: StepContext, sheet: GlueSheet) -> tuple[float, float, float]:
    """Coldest, usual and warmest temperature of the room as the sheet can follow it. [K]

    Without a stated shift the times hold at the reference temperature alone.
    """
    climate = context.works.factory.climate
    if sheet.factor_per_10_k is None:
        return (sheet.reference_temperature,) * 3
    usual = climate.temperature
    return min(climate.coldest or usual, usual), usual, max(climate.warmest or usual, usual)


def room_findings(context: StepContext, adhesive: Adhesive) -> list[Finding]:
    """What the room does to the glue: too cold to set, or times that cannot be carried over."""
    climate = context.works.factory.climate
    found: list[Finding] = []
    coldest = min(climate.coldest or climate.temperature, climate.temperature)
    if adhesive.coldest is not None and coldest < adhesive.coldest:
        usual = climate.temperature < adhesive.coldest
        found.append(
            context.finding(
                "adhesive_too_cold",
                "error" if usual else "warning",
                text("{adhesive} sets down to {least}; the room is at {usual} and falls to {coldest}",
                     adhesive=adhesive.name, least=Amount(adhesive.coldest, "temperature"),
                     usual=Amount(climate.temperature, "temperature"), coldest=Amount(coldest, "temperature")),
                source_of(adhesive, "coldest"),
            )
        )  # fmt: skip
    reference = adhesive.reference_temperature or _ROOM
    if not adhesive.doubling and abs(climate.temperature - reference) >= 0.5:
        found.append(
            context.finding(
                "times_not_carried_over",
                "warning",
                text("{adhesive} does not state how its times move with temperature: those of {reference} are "
                     "used in a room at {usual}",
                     adhesive=adhesive.name, reference=Amount(reference, "temperature"),
                     usual=Amount(climate.temperature, "temperature")),
                source_of(adhesive, "doubling"),
            )
        )  # fmt: skip
    return found
