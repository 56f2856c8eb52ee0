"""The workshop's air as wood feels it."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.physics.wood import equilibrium_moisture
from pairwright.works.factory import Climate


@dataclass(frozen=True, slots=True)
class Moistures:
    """Moisture that wood settles at: in the driest, the usual and the dampest air [-]."""

    driest: float
    usual: float
    dampest: float


def moistures(climate: Climate) -> Moistures:
    """Moisture of wood over the stated range of humidity, at the usual temperature. [-]"""
    low = min(climate.driest if climate.driest is not None else climate.humidity, climate.humidity)
    high = max(climate.dampest if climate.dampest is not None else climate.humidity, climate.humidity)
    return Moistures(
        *(equilibrium_moisture(climate.temperature, humidity) for humidity in (low, climate.humidity, high))
    )
