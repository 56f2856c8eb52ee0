"""Twenty things that go wrong with a loudspeaker or its measurement, each at a size stated beforehand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

from pairwright.simulation.loudspeaker import Loose, Rig, SimulatedLoudspeaker, SimulatedUnit, Way

Case: TypeAlias = tuple[SimulatedLoudspeaker, Rig]


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault: what it is, at what size, how it is made; `unproven` where no verdict may come of it."""

    name: str
    size: str
    make: Callable[[SimulatedLoudspeaker, Rig], Case]
    unproven: bool = False


def _low(change: Callable[[Way], Way]) -> Callable[[SimulatedLoudspeaker, Rig], Case]:
    def make(speaker: SimulatedLoudspeaker, rig: Rig) -> Case:
        return replace(speaker, ways=(change(speaker.ways[0]), *speaker.ways[1:])), rig

    return make


def _high(change: Callable[[Way], Way]) -> Callable[[SimulatedLoudspeaker, Rig], Case]:
    def make(speaker: SimulatedLoudspeaker, rig: Rig) -> Case:
        return replace(speaker, ways=(*speaker.ways[:-1], change(speaker.ways[-1]))), rig

    return make


def _rig(change: Callable[[Rig], Rig]) -> Callable[[SimulatedLoudspeaker, Rig], Case]:
    return lambda speaker, rig: (speaker, change(rig))


def _unit(change: Callable[[SimulatedUnit], SimulatedUnit]) -> Callable[[Way], Way]:
    return lambda way: replace(way, unit=change(way.unit))


def _interrupted(speaker: SimulatedLoudspeaker, rig: Rig) -> Case:
    return replace(speaker, interrupted=0.02), rig


def _board(corner: float) -> Callable[[Way], Way]:
    """The board's high-pass with its corner moved: a capacitor of another value."""
    from pairwright.simulation.loudspeaker import two_way

    sections = two_way(crossover=corner).ways[-1].sections
    return lambda way: replace(way, sections=sections)


def _scaled(field: str, factor: float) -> Callable[[Way], Way]:
    return _unit(lambda unit: replace(unit, **{field: getattr(unit, field) * factor}))


FAULTS: Final[tuple[Fault, ...]] = (
    Fault("coil rubs", "0.05 N from 1.0 mm on", _low(lambda w: replace(w, loose=Loose(rub_at=1.0e-3, rub=0.05)))),
    Fault("part rattles", "3 m/s² from 150 m/s² on",
          _low(lambda w: replace(w, loose=Loose(rattle_at=150.0, rattle=3.0)))),
    Fault("box leaks", "90 1/s", _low(lambda w: replace(w, leak=90.0))),
    Fault("low unit reversed", "polarity", _low(lambda w: replace(w, gain=-w.gain))),
    Fault("dome reversed", "polarity", _high(lambda w: replace(w, gain=-w.gain))),
    Fault("both reversed", "polarity",
          lambda s, rig: (replace(s, ways=tuple(replace(w, gain=-w.gain) for w in s.ways)), rig)),
    Fault("damping missing", "mode at 620 Hz five times as strong",
          _low(lambda w: replace(w, mode=(620.0, 9.0, 0.25)))),
    Fault("part of the board swapped", "corner of the dome 20 % up", _high(_board(2640.0))),
    Fault("low unit too quiet", "1 dB", _low(lambda w: replace(w, gain=w.gain * 10 ** -0.05))),
    Fault("dome too loud", "1 dB", _high(lambda w: replace(w, gain=w.gain * 10 ** 0.05))),
    Fault("terminal loose", "10 gaps of 2 ms", _interrupted),
    Fault("dome dead", "no sound", _high(lambda w: replace(w, gain=1e-6))),
    Fault("coil off its middle", "stiffness lopsided five times as much", _low(_scaled("lopsided", 5.0))),
    Fault("suspension stiff", "compliance 25 % less", _low(_scaled("compliance", 0.75))),
    Fault("turns shorted", "resistance 10 % less", _low(_scaled("resistance", 0.9))),
    Fault("cone heavy", "mass 12 % more", _low(_scaled("mass", 1.12))),
    Fault("magnet weak", "force factor 10 % less", _low(_scaled("force_factor", 0.9))),
    Fault("microphone moved", "3 cm further away", _rig(lambda r: replace(r, distance=r.distance + 0.03))),
    Fault("room noisy", "40 dB more", _rig(lambda r: replace(r, noise=r.noise * 100.0)), unproven=True),
    Fault("input overloaded", "30 dB more gain", _rig(lambda r: replace(r, microphone=r.microphone * 31.6)),
          unproven=True),
)  # fmt: skip
BY_NAME: Final[Mapping[str, Fault]] = {fault.name: fault for fault in FAULTS}
