"""The press cycle as a law of the handbook."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pairwright.base.findings import Finding
from pairwright.base.laws import FRACTION, NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text
from pairwright.physics.cure import KINETICS_ARGUMENTS, NTH_ORDER
from pairwright.physics.press import CAP, COLDEST, HOTTEST, Glue, Ply, PressCycle, PressStack, press_cycle
from pairwright.physics.species import SPECIES_NAMES, species
from pairwright.physics.steam import IF97
from pairwright.physics.wood import EQ_CONDUCTIVITY, EQ_DENSITY, EQ_HEAT_CAPACITY, MOISTURE_LIMIT

CONDUCTION: Final = Source("closed form", "Fourier's law, one-dimensional; finite volumes, TR-BDF2")


def _stack(inputs: Mapping[str, Any]) -> PressStack:
    plies = tuple(
        Ply(
            row["thickness"],
            species(row["species"], where="calc press_cycle").specific_gravity,
            row["moisture"],
        )
        for row in inputs["plies"]
    )
    return PressStack(plies, Glue(**inputs["glue"]))


def _press_law(**inputs: Any) -> Mapping[str, Any]:
    cycle: PressCycle = press_cycle(
        _stack(inputs), platen=inputs["platen"], initial=inputs["initial"], target_cure=inputs["target_cure"],
        one_sided=inputs["one_sided"], cap=inputs["longest"], record=False, where="calc press_cycle",
    )  # fmt: skip
    return {
        "open_time": cycle.open_time,
        "coldest_line": cycle.coldest_line,
        "line_temperatures": cycle.line_temperatures.tolist(),
        "line_cures": cycle.line_cures.tolist(),
        "steam_pressure": cycle.steam_pressure,
        "line_pressures": cycle.line_pressures.tolist(),
        "core_temperature": cycle.core_temperature,
        "energy": cycle.energy,
        "moistures": list(cycle.moistures),
    }


def _press_findings(inputs: Mapping[str, Any]) -> list[Finding]:
    found = []
    wettest = max(_stack(inputs).moistures())
    if wettest > MOISTURE_LIMIT:
        found.append(
            Finding("out_of_range", "warning", "press_cycle",
                    text("glue water brings a ply to {moisture}; conductivity is published below {limit}",
                         moisture=Amount(wettest, "share"), limit=Amount(MOISTURE_LIMIT, "share")),
                    EQ_CONDUCTIVITY)
        )  # fmt: skip
    for name in sorted({row["species"] for row in inputs["plies"]}):
        source = species(name).gravity_source
        if source.kind == "from memory":
            found.append(
                Finding("not_confirmed", "note", "press_cycle",
                        text("specific gravity of {species} is recalled, not read in a published text",
                             species=name),
                        source)
            )  # fmt: skip
    return found


_TEMPERATURE_MUST: Final = Span(COLDEST, HOTTEST)
_TEMPERATURE_RANGE: Final = Span(280.0, 420.0)

LAWS: tuple[Law, ...] = (
    Law(
        "press_cycle",
        text("Heat and cure of every glue line in the hot press, and when it may open"),
        _press_law,
        (
            Argument("plies", "-", text("from the bottom face up"), shape="table", least=2, columns=(
                Argument("species", "-", text("the wood"), shape="word", choices=SPECIES_NAMES),
                Argument("thickness", "m", text("thickness of the ply"), POSITIVE, Span(0.0, 0.01)),
                Argument("moisture", "-", text("moisture before gluing, dry basis"), NOT_NEGATIVE,
                         Span(0.0, MOISTURE_LIMIT)),
            )),
            Argument("glue", "-", text("the adhesive"), shape="object", columns=(
                *KINETICS_ARGUMENTS,
                Argument("spread", "kg/m2", text("mass per glue line"), NOT_NEGATIVE, Span(0.0, 0.5)),
                Argument("water", "-", text("share of the spread that is water"), FRACTION),
            )),
            Argument("platen", "K", text("platen temperature"), _TEMPERATURE_MUST, _TEMPERATURE_RANGE),
            Argument("initial", "K", text("of the stack when the press closes"), _TEMPERATURE_MUST,
                     _TEMPERATURE_RANGE),
            Argument("target_cure", "-", text("cure that the least cured line must reach"),
                     Span(0.0, 1.0, open_low=True, open_high=True)),
            Argument("one_sided", "-", text("heat from the bottom face only, top face insulated"),
                     shape="flag", default=False),
            Argument("longest", "s", text("longest cycle looked at"), POSITIVE, default=CAP),
        ),
        (
            Result("open_time", "s", text("from closing until the least cured line has its target")),
            Result("coldest_line", "-", text("index of the least cured line, 0 is the lowest")),
            Result("line_temperatures", "K", text("at opening, from the lowest line up")),
            Result("line_cures", "-", text("at opening, from the lowest line up")),
            Result("steam_pressure", "Pa", text("saturation at the coldest line, absolute: an upper bound")),
            Result("line_pressures", "Pa", text("saturation at every line, absolute: upper bounds")),
            Result("core_temperature", "K", text("lowest temperature in the stack at opening")),
            Result("energy", "J/m2", text("heat given by the platens until opening")),
            Result("moistures", "-", text("moisture of every ply with the glue's water")),
        ),
        text("heating times scatter by 20 % as conductivity does; no evaporation; kinetics as fitted"),
        (EQ_CONDUCTIVITY, EQ_HEAT_CAPACITY, EQ_DENSITY, CONDUCTION, NTH_ORDER, IF97),
        Worked(
            {"plies": [{"species": "birch, yellow", "thickness": 0.0015, "moisture": 0.08}] * 7,
             "glue": {"rate_constant": 2.734e9, "activation_energy": 80e3, "order": 1.0, "spread": 0.15,
                      "water": 0.4},
             "platen": 391.15, "initial": 293.15, "target_cure": 0.95},
            {"open_time": 236.1, "coldest_line": 2},
            5e-3,
        ),
        also=_press_findings,
    ),
)  # fmt: skip
