"""The hot press: heat to every glue line, cure, when it may open, steam at opening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Amount, Text, text
from pairwright.physics.cure import cure_of, cures_of, dose_for
from pairwright.physics.heat import (
    INSULATED,
    PERFECT,
    USUAL,
    Faces,
    Floats,
    Heating,
    HeatModel,
    Layer,
    heat_stack,
    warm_up,
)
from pairwright.physics.steam import steam_pressure
from pairwright.physics.wood import CONDUCTIVITY_RISE, heat_capacity_line, wood_conductivity

__all__ = [
    "CAP", "COLDEST", "HOTTEST", "Glue", "Ply", "PressCycle", "PressStack", "press_cycle", "warm_up",
]  # fmt: skip

CAP: Final = 7200.0  # longest press cycle looked at [s]
COLDEST: Final = 233.15  # below, water is ice whatever one does [K]
HOTTEST: Final = 647.0  # above, there is no saturation pressure [K]


@dataclass(frozen=True, slots=True)
class Ply:
    """One veneer: `thickness` [m], `specific_gravity` [-], `moisture` before gluing, dry basis [-]."""

    thickness: float
    specific_gravity: float
    moisture: float


@dataclass(frozen=True, slots=True)
class Glue:
    """The adhesive of every line.

    Kinetics `rate_constant` A [1/s], `activation_energy` E [J/mol], `order` n [-]; `spread` per
    line [kg/m2] and the share of it that is `water` [-] (0 for a dry film).
    """

    rate_constant: float
    activation_energy: float
    order: float = 1.0
    spread: float = 0.0
    water: float = 0.0


@dataclass(frozen=True, slots=True)
class PressStack:
    """Plies from the bottom face up, with the same glue between all of them."""

    plies: tuple[Ply, ...]
    glue: Glue

    def __post_init__(self) -> None:
        _check_stack(self)

    @property
    def thickness(self) -> float:
        """Sum of the plies. [m]"""
        return math.fsum(ply.thickness for ply in self.plies)

    def moistures(self) -> tuple[float, ...]:
        """Moisture of each ply with the glue's water in it, dry basis. [-]"""
        share = 0.5 * self.glue.spread * self.glue.water
        last = len(self.plies) - 1
        return tuple(
            ply.moisture + share * ((n > 0) + (n < last)) / (1000.0 * ply.specific_gravity * ply.thickness)
            for n, ply in enumerate(self.plies)
        )

    def layers(self, conductivity_factor: float = 1.0) -> tuple[Layer, ...]:
        """The plies as layers of the heat model.

        Parameters
        ----------
        conductivity_factor : float
            What a thermocouple of one's own found to multiply the handbook's conductivity with. [-]
        """
        found = []
        for ply, moisture in zip(self.plies, self.moistures(), strict=True):
            a, b = heat_capacity_line(moisture)
            density = 1000.0 * ply.specific_gravity * (1.0 + moisture)
            conductivity = conductivity_factor * wood_conductivity(ply.specific_gravity, moisture)
            found.append(Layer(ply.thickness, conductivity, density, a, b, CONDUCTIVITY_RISE))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class PressCycle:
    """A press cycle from closing to opening.

    `times` (n,) [s]; `temperatures` (n, lines) [K] and `cures` (n, lines) [-] of the glue lines,
    line 0 lowest; `open_time` [s]; `coldest_line` index of the least cured line; `line_temperatures`
    and `line_cures` (lines,) at opening; `steam_pressure` absolute saturation pressure at the
    coldest line [Pa] and `line_pressures` (lines,) at every line, upper bounds; `core_temperature`
    lowest in the stack [K]; `energy` given by the platens [J/m2]; `moistures` (plies,) with the
    glue's water [-]; `profile` (cells,) [K] at `places` (cells,) from the bottom face [m] at opening.
    """

    times: Floats
    temperatures: Floats
    cures: Floats
    open_time: float
    coldest_line: int
    line_temperatures: Floats
    line_cures: Floats
    steam_pressure: float
    line_pressures: Floats
    core_temperature: float
    energy: float
    moistures: tuple[float, ...]
    places: Floats
    profile: Floats


def press_cycle(
    stack: PressStack,
    *,
    platen: float | tuple[float, float],
    initial: float,
    target_cure: float,
    one_sided: bool = False,
    ramp: Sequence[tuple[float, ...]] | None = None,
    contact: float = PERFECT,
    conductivity_factor: float = 1.0,
    cap: float = CAP,
    model: HeatModel = USUAL,
    record: bool = True,
    where: str = "press cycle",
) -> PressCycle:
    """Heat and cure of every glue line until the least cured has its target.

    Parameters
    ----------
    stack : PressStack
        Plies and glue.
    platen : float or tuple of float
        Platen temperature, or bottom and top. [K]
    initial : float
        Temperature of the stack when the press closes. [K]
    target_cure : float
        Degree of cure that the least cured line must reach, between 0 and 1. [-]
    one_sided : bool
        Heat from the bottom face only; the top face is insulated.
    ramp : sequence of pairs or triples, optional
        Time and temperature of the platens, or of the bottom and the top one; linear between
        points, held after the last; replaces `platen`. [s, K, K]
    contact : float
        Heat transfer between platen and face; perfect by default. [W/(m2*K)]
    conductivity_factor : float
        What a thermocouple of one's own found to multiply the handbook's conductivity with. [-]
    cap : float
        Longest cycle. [s]
    model : HeatModel
        Cells, steps, compiled or plain.
    record : bool
        Keep the course of every line; without it `times` and its fellows are empty.
    where : str
        Named in an error.

    Returns
    -------
    PressCycle
        The cycle.

    Notes
    -----
    One-dimensional conduction in flat or gently curved stacks. Half of each line's water goes
    into either neighbouring ply, evenly through it, before heating. Left out: evaporation
    (a plateau near 100 to 110 degC, which lengthens wet stacks), the vapour that carries heat
    inwards (in trials wetter veneer heated faster; here it heats more slowly), the glue's dry
    matter (lengthens thin plies by some per cent), compression (shortens), the heat of reaction.
    The saturation pressure of the coldest line is an upper bound for the gas
    pressure in the core: wood below fibre saturation holds its water back, and in veneer
    panels measured gas pressure was low. No published course of core temperature was found to
    prove the whole model against: lay a thermocouple over it.

    References
    ----------
    .. [1] Wood Handbook, FPL-GTR-190, 2010, Eqs. 4-12, 4-15 to 4-18 (properties).
    .. [2] J. Wood Sci. 67 (2021), s10086-021-01974-8 (core gas pressure follows saturation).

    Examples
    --------
    >>> glue = Glue(2.734e9, 80e3, order=1.0, spread=0.15, water=0.4)
    >>> stack = PressStack((Ply(1.5e-3, 0.62, 0.08),) * 7, glue)
    >>> cycle = press_cycle(stack, platen=391.15, initial=293.15, target_cure=0.95)
    >>> cycle.coldest_line, round(cycle.open_time)
    (2, 236)
    """
    platens = platen if isinstance(platen, tuple) else (platen, platen)
    _check_cycle((*platens, initial), target_cure, ramp, cap, where)
    # a hair above, so that rounding never opens the press below its target
    goal = dose_for(target_cure, stack.glue.order) * (1.0 + 1e-8)
    heating = heat_stack(
        stack.layers(conductivity_factor), _faces(platens, ramp, contact, one_sided=one_sided),
        initial=initial, cap=cap, model=model,
        dose=(stack.glue.rate_constant, stack.glue.activation_energy, goal),
    )  # fmt: skip
    if not heating.reached:
        best = cure_of(float(heating.doses[-1].min()), stack.glue.order)
        raise InputError(
            Problem(where, "target_cure", text("reachable within {cap}", cap=Amount(cap, "duration")),
                    f"{best:.3g} < {target_cure:g}",
                    text("heat more, press thinner, use a faster adhesive or allow a longer cycle"))
        )  # fmt: skip
    return _cycle(stack, heating, record)


def _faces(
    platens: tuple[float, float],
    ramp: Sequence[tuple[float, ...]] | None,
    contact: float,
    *,
    one_sided: bool,
) -> Faces:
    away = INSULATED if one_sided else contact
    if ramp:
        times, bottom, top = zip(*((point[0], point[1], point[-1]) for point in ramp), strict=True)
        return Faces(times, bottom, top, contact, away)
    return Faces((0.0,), platens[:1], platens[1:], contact, away)


def _cycle(stack: PressStack, heating: Heating, record: bool) -> PressCycle:
    order = stack.glue.order
    least = float(heating.doses[-1].min())
    # mirror lines of a symmetrical stack differ only by rounding: the lower one is named
    coldest = int(np.argmax(heating.doses[-1] <= least * (1.0 + 1e-9)))
    temperatures = heating.temperatures[-1]
    pressures = np.array([steam_pressure(max(float(T), COLDEST)) for T in temperatures])
    rows = len(heating.times) if record else 0
    return PressCycle(
        times=heating.times[:rows],
        temperatures=heating.temperatures[:rows],
        cures=cures_of(heating.doses[:rows], order),
        open_time=float(heating.times[-1]),
        coldest_line=coldest,
        line_temperatures=temperatures,
        line_cures=cures_of(heating.doses[-1], order),
        steam_pressure=float(pressures[coldest]),
        line_pressures=pressures,
        core_temperature=float(min(heating.profile.min(), temperatures.min())),
        energy=float(heating.heat[-1]),
        moistures=stack.moistures(),
        places=heating.places,
        profile=heating.profile,
    )


class _Checks:
    """Collects what is wrong, then raises it all at once."""

    def __init__(self, where: str) -> None:
        self.where, self.problems = where, list[Problem]()

    def must(self, holds: bool, field: str, must_be: Text, got: object, do: Text) -> None:
        if not holds:
            self.problems.append(Problem(self.where, field, must_be, shown(got), do))

    def done(self) -> None:
        if self.problems:
            raise InputError(self.problems)


def _check_stack(stack: PressStack) -> None:
    checks, glue = _Checks("press stack"), stack.glue
    correct = text("correct it")
    checks.must(len(stack.plies) >= 2, "plies", text("two or more"), len(stack.plies),
                text("a single ply has no glue line: nothing to press"))  # fmt: skip
    for n, ply in enumerate(stack.plies):
        checks.must(ply.thickness > 0.0, f"plies[{n}].thickness", text("above 0 m"), ply.thickness, correct)
        checks.must(ply.specific_gravity > 0.0, f"plies[{n}].specific_gravity", text("above 0"),
                    ply.specific_gravity, correct)  # fmt: skip
        checks.must(ply.moisture >= 0.0, f"plies[{n}].moisture", text("0 or more"), ply.moisture, correct)
    checks.must(glue.spread >= 0.0, "glue.spread", text("0 kg/m2 or more"), glue.spread, correct)
    checks.must(0.0 <= glue.water <= 1.0, "glue.water", text("0 to 1"), glue.water,
                text("it is the share of the spread that is water"))  # fmt: skip
    checks.must(glue.rate_constant > 0.0, "glue.rate_constant", text("above 0 1/s"), glue.rate_constant,
                text("fit it to the adhesive's data sheet"))  # fmt: skip
    checks.must(glue.order >= 0.0, "glue.order", text("0 or more"), glue.order, text("common is 1 to 2"))
    checks.done()


def _check_cycle(
    temperatures: Sequence[float],
    target_cure: float,
    ramp: Sequence[tuple[float, ...]] | None,
    cap: float,
    where: str,
) -> None:
    checks = _Checks(where)
    checks.must(0.0 < target_cure < 1.0, "target_cure", text("between 0 and 1, both excluded"), target_cure,
                text("common is 0.90 to 0.95 (from memory)"))  # fmt: skip
    checks.must(all(COLDEST <= T <= HOTTEST for T in temperatures), "platen and initial",
                text("233 to 647 K"), tuple(temperatures), text("write temperatures in kelvin"))  # fmt: skip
    checks.must(cap > 0.0, "cap", text("above 0 s"), cap, text("correct it"))
    if ramp is not None:
        rising = bool(ramp) and all(later[0] > point[0] for point, later in pairwise(ramp))
        checks.must(rising and all(COLDEST <= T <= HOTTEST for point in ramp for T in point[1:]), "ramp",
                    text("points of rising time, 233 to 647 K"), list(ramp),
                    text("put the points in order of time"))  # fmt: skip
    checks.done()
